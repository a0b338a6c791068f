"""Takes in a terminal: a table for each position, then what was wrong."""

from typing import TYPE_CHECKING

from seatfield.cli.say import console, say_findings

if TYPE_CHECKING:
    from seatfield.stages.faults import Faults
    from seatfield.stages.takes import ChannelTaken, TakeRead, Takes


def say_takes(takes: "Takes") -> None:
    """Print every take as a table, then the findings."""
    for take in takes.takes:
        _say_take(take)
    if takes.findings:
        say_findings(takes.findings)


def say_faults_found(faults: "Faults") -> None:
    """Print each fault with its confidence and where to look, then what stays open."""
    from rich.padding import Padding

    out = console()
    if not faults.faults:
        out.print("\nNo fault shows in these takes.")
    for fault in faults.faults:
        out.print(f"\n{fault.kind.value}: {fault.run}, {fault.confidence:.0%} sure", style="bold")
        out.print(Padding(fault.message, (0, 0, 0, 2)))
        out.print(Padding(f"Power off first. Look at {fault.look_at}.", (0, 0, 0, 2)), style="italic")
    for question in faults.undecided:
        out.print("\nnot decided", style="bold")
        out.print(Padding(f"{question.message} {question.do}", (0, 0, 0, 2)))


def _say_take(take: "TakeRead") -> None:
    from rich.table import Table

    where = take.seat or ", ".join(f"{value:.2f}" for value in take.position) + " m"
    title = f"\n{take.id}: {where}, {take.state.value}"
    table = Table(box=None, pad_edge=False, title=title, title_justify="left", title_style="bold")
    for heading in ("run", "distance", "polarity", "level", "over noise", "decay 1 kHz", ""):
        table.add_column(heading, justify="left" if heading in {"run", "polarity", ""} else "right")
    for channel in take.channels:
        table.add_row(*_row(channel))
    console().print(table)
    used = next((one for one in take.channels if one.distance_from), None)
    if used is not None:
        console().print(f"Distances as if {used.distance_from}; differences hold in any case.")


def _row(channel: "ChannelTaken") -> tuple[str, ...]:
    at_1k = next((one.time_s for one in channel.decay_s if 900 < one.band_hz < 1100), None)
    if not channel.used:
        return (channel.run, "–", "–", "–", "–", "–", "not used")
    return (
        channel.run,
        _told(channel.distance_m, ".2f", " m"),
        f"{channel.polarity} ({channel.polarity_confidence:.0%})"
        if channel.polarity != "unknown"
        else "unknown",
        _told(channel.level_db, ".1f", f" {channel.level_unit}"),
        _told(channel.snr_db, ".0f", " dB"),
        _told(at_1k, ".2f", " s"),
        "",
    )


def _told(value: float | None, form: str, unit: str) -> str:
    return "–" if value is None else f"{value:{form}}{unit}"
