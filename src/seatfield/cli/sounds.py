"""Takes in a terminal: a table for each position, then what was wrong."""

from typing import TYPE_CHECKING

from seatfield.cli.say import console, say_findings

if TYPE_CHECKING:
    from collections.abc import Sequence

    from seatfield.pipeline.aligning import Aligned
    from seatfield.stages.alignment import (
        Aged,
        Alignment,
        Built,
        Judged,
        Redo,
        RoomFitted,
        SeatGain,
        Verified,
    )
    from seatfield.stages.faults import Faults
    from seatfield.stages.takes import ChannelTaken, TakeRead, Takes


def say_takes(takes: "Takes") -> None:
    """Print every take as a table, then the findings."""
    for take in takes.takes:
        _say_take(take)
    if takes.findings:
        say_findings(takes.findings, explained=False)


def say_faults_found(faults: "Faults") -> None:
    """Print each fault with its confidence and where to look, then what stays open."""
    from rich.padding import Padding

    out = console()
    if not faults.faults:
        rest = ", but not all is decided." if faults.undecided else "."
        out.print(f"\nNo fault shows in these takes{rest}")
    for fault in faults.faults:
        runs = ", ".join((fault.run, *fault.with_runs))
        out.print(f"\n{fault.kind.value}: {runs}; {fault.confidence:.0%} sure", style="bold")
        out.print(Padding(fault.message, (0, 0, 0, 2)))
        out.print(Padding(fault.advice, (0, 0, 0, 2)), style="italic")
    for question in faults.undecided:
        out.print("\nnot decided", style="bold")
        out.print(Padding(f"{question.message} {question.do}", (0, 0, 0, 2)))


def _say_take(take: "TakeRead") -> None:
    from rich.table import Table

    where = take.seat or ", ".join(f"{value:.2f}" for value in take.position) + " m"
    title = f"\n{take.id}: {where}, amplifier {take.state.value}"
    table = Table(box=None, pad_edge=False, title=title, title_justify="left", title_style="bold")
    for heading in ("run", "distance", "polarity", "level", "over noise", "decay 1 kHz", ""):
        table.add_column(heading, justify="left" if heading in {"run", "polarity", ""} else "right")
    for channel in take.channels:
        table.add_row(*_row(channel))
    console().print(table)
    used = next((one for one in take.channels if one.distance_from), None)
    if used is not None:
        by_wire = "Distances are times of flight, by the loopback."
        as_if = f"Distances as if {used.distance_from}; differences hold in any case."
        console().print(by_wire if used.arrival_from == "loopback" else as_if)
    _say_room_noise(take.channels)


def _say_room_noise(channels: "Sequence[ChannelTaken]") -> None:
    out = console()
    loudest = max((one for one in channels if one.noise_db is not None), key=_noise_db, default=None)
    if loudest is not None:
        hum = (
            f", hum of {loudest.hum_hz:.0f} Hz and its harmonics {loudest.hum_db:.0f} {loudest.level_unit}"
            if loudest.hum_hz and loudest.hum_db is not None
            else ", no hum"
        )
        out.print(f"Noise between the sweeps {_noise_db(loudest):.0f} {loudest.level_unit}{hum}.")
    for one in channels:
        for rattle in one.rattles:
            out.print(
                f"{one.run}: something buzzes from {rattle.low_hz:.0f} to {rattle.high_hz:.0f} Hz, "
                f"{rattle.level_db:.0f} dB against the sweep."
            )


def _noise_db(channel: "ChannelTaken") -> float:
    return -200.0 if channel.noise_db is None else channel.noise_db


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


def say_aligned(aligned: "Aligned") -> None:
    """Print faults, values to type, what seats gain, verdicts, and what to do again."""
    _say_redo(aligned.redo)
    say_faults_found(aligned.faults)
    out = console()
    if aligned.alignment is None:
        out.print(f"\n{aligned.refusal} The commands are `seatfield sweep`, then `seatfield take`.")
    elif aligned.leave:
        out.print("\nNothing to type here: leave the values as they are.", style="bold")
        _say_seats(aligned.alignment.seats)
        say_findings(aligned.alignment.findings, explained=False)
    else:
        if aligned.faults.faults:
            out.print(
                "\nMend this and take it again before you type: these values are for the wiring as it is."
            )
        _say_values(aligned.alignment)
        _say_seats(aligned.alignment.seats)
        if aligned.alignment.findings:
            say_findings(aligned.alignment.findings, explained=False)
    _say_judged(aligned.judged)
    if aligned.alignment is not None:
        _say_built(aligned.built)
    _say_verified(aligned.verified)
    _say_aged(aligned.aged)
    if aligned.room is not None:
        _say_room(aligned.room)


def _say_values(alignment: "Alignment") -> None:
    headings = ("run", "distance", "trim", "crossover", "polarity", "filters")
    whom = "all seats" if alignment.aligned_to == "all seats" else f"the {alignment.aligned_to}"
    table = _table(f"\nType this (delays are for {whom})", headings, left={"run", "polarity"})
    for one in alignment.channels:
        table.add_row(
            one.run,
            f"{one.distance_m:.2f} m",
            f"{one.trim_db:+.1f} dB",
            "–" if one.crossover_hz is None else f"{one.crossover_hz:.0f} Hz",
            "turn it" if one.inverted else "leave it",
            str(len(one.filters)) if one.filters else "–",
        )
    out = console()
    out.print(table)
    for one in alignment.channels:
        for eq in one.filters:
            out.print(f"  {one.run}: {eq.gain_db:+.1f} dB at {eq.freq_hz:.0f} Hz, Q {eq.q:.2f}")
    for one in alignment.channels:
        for remark in one.remarks:
            out.print(f"{one.run}: {remark}.")


def _table(title: str, headings: tuple[str, ...], left: set[str]):  # type: ignore[no-untyped-def]  # noqa: ANN202
    from rich.table import Table

    table = Table(box=None, pad_edge=False, title=title, title_justify="left", title_style="bold")
    for heading in headings:
        table.add_column(heading, justify="left" if heading in left else "right")
    return table


def _say_seats(seats: "tuple[SeatGain, ...]") -> None:
    headings = ("position", "join lost, untouched", "once typed", "bass uneven, untouched", "once typed")
    table = _table("\nWhich seat gains", headings, {"position"})
    for one in seats:
        where = one.seat or ", ".join(f"{value:.2f}" for value in one.position)
        table.add_row(
            where,
            _told(one.join_before_db, ".1f", " dB"),
            _told(one.join_after_db, ".1f", " dB"),
            f"{one.uneven_before_db:.1f} dB",
            f"{one.uneven_after_db:.1f} dB",
        )
    console().print(table)


def _say_judged(judged: "tuple[Judged, ...]") -> None:
    if judged:
        console().print("\nThe other calibration, line by line", style="bold")
    for one in judged:
        console().print(f"{one.verdict:<10} {one.run} {one.what} {one.typed:g} {one.unit}: {one.message}")


def _say_built(built: "tuple[Built, ...]") -> None:
    if not built:
        console().print(
            "\nWhere the loudspeakers really stand shows from six positions on, from four with a loopback."
        )
        return
    table = _table(
        "\nWhere they really are", ("run", "x", "y", "z", "give or take", "off plan", "angle"), {"run"}
    )
    for one in built:
        place = (f"{value:.2f} m" for value in one.position)
        table.add_row(
            one.run,
            *place,
            f"{one.half_axes_m[0]:.2f} m",
            _told(one.off_m, ".2f", " m"),
            _told(one.off_deg, ".0f", "°"),
        )
    console().print(table)


def _say_verified(verified: "tuple[Verified, ...]") -> None:
    """Print one line for a position where all is as predicted, and one for each channel that is not."""
    if not verified:
        return
    out = console()
    out.print("\nMeasured since, against the prediction", style="bold")
    for position in dict.fromkeys(one.position for one in verified):
        here = [one for one in verified if one.position == position]
        off = [one for one in here if one.verdict != "as predicted"]
        where = here[0].seat or ", ".join(f"{value:.2f}" for value in position) + " m"
        good = [one.off_db for one in here if one not in off]
        if good:
            share = f"{len(good)} of {len(here)} channels"
            out.print(f"{where}: {share} as predicted, {max(good):.1f} dB off at most.")
        for one in off:
            late = "" if one.arrival_off_ms is None else f", {one.arrival_off_ms:+.2f} ms"
            out.print(
                f"{where}: {one.run} {one.verdict}, {one.off_db:.1f} dB off{late}; most at {one.worst_hz:.0f} Hz, "
                f"{one.worst_db:+.1f} dB."
            )


def _say_redo(changes: "tuple[Redo, ...]") -> None:
    if changes:
        console().print("\nWhat changed, and what to do again", style="bold")
    for one in changes:
        console().print(f"{one.changed}: {'; then '.join(one.redo)}.")


def _say_aged(changes: "tuple[Aged, ...]") -> None:
    told = [(one.since, sentence) for one in changes for sentence in one.worth_telling]
    if told:
        console().print("\nOver the years", style="bold")
    for since, sentence in told:
        console().print(f"since {since[:10]}: {sentence}")


def _say_room(room: "RoomFitted") -> None:
    out = console()
    if room.decays:
        table = _table(
            "\nThe room as measured", ("octave", "decay", "expected", "absorbs", "expected"), set()
        )
        for one in room.decays:
            table.add_row(
                f"{one.band_hz:.0f} Hz",
                f"{one.measured_s:.2f} s",
                f"{one.expected_s:.2f} s",
                f"{one.measured_absorption:.2f}",
                f"{one.expected_absorption:.2f}",
            )
        out.print(table)
    if room.bass is not None:
        bass = room.bass
        out.print(
            f"In the bass the model fits best {100 * (bass.size - 1):+.1f} % in size and with {bass.absorption:.1f} "
            f"times its losses: {bass.off_before_db:.1f} dB off before, {bass.off_after_db:.1f} dB after."
        )
        if bass.kept_back_after_db is not None:
            out.print(
                f"At a position that the fit did not see: {bass.kept_back_before_db:.1f} dB before, "
                f"{bass.kept_back_after_db:.1f} dB after."
            )
