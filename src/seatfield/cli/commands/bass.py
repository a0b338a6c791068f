"""Say how even the bass is, where a subwoofer stands best, and what moving a seat does."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from seatfield.cli.entry import FINE, STOPS
from seatfield.cli.files import json_option, open_or_tell, project_argument
from seatfield.cli.say import console, say_findings, say_json, stops

if TYPE_CHECKING:
    from rich.table import Table

    from seatfield.model import Project
    from seatfield.stages.bass import Bass
    from seatfield.stages.plan import Plan

MODES_SHOWN = 8


@click.command("bass")
@project_argument()
@json_option()
@click.option(
    "--responses", is_flag=True, help="Add the response of every source at every seat, 15 to 300 Hz."
)
@click.option(
    "--subwoofers",
    type=click.IntRange(1, 4),
    help="How many subwoofers the best sets have; as many as the project has if left out.",
)
@click.option(
    "--draw",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the map as a picture (.svg or .png).",
)
@click.option(
    "--mode", type=click.IntRange(1), help="With --draw: the pressure of this mode instead of the map."
)
def command(
    project: Path,
    *,
    as_json: bool,
    responses: bool,
    subwoofers: int | None,
    draw: Path | None,
    mode: int | None,
) -> int:
    """Say how even the bass is, where a subwoofer stands best, and what moving a seat does.

    Modes of the room, the best places with their tape distances and by how much they lead, settings of several
    subwoofers, crossovers, and how far to move a seat out of a gap. Lower is better: the numbers are decibels of
    unevenness over all seats.
    """
    from seatfield.pipeline import encode_stage
    from seatfield.pipeline.bass import plan_bass
    from seatfield.stages.bass import BassParams

    opened = open_or_tell(project, as_json=as_json)
    made = plan_bass(opened, BassParams(responses=responses, subwoofers=subwoofers))
    if draw is not None:
        _draw(opened, made, draw, mode)
    if made.bass is None:
        say_json(encode_stage("survey", made.survey)) if as_json else say_findings(made.survey.findings)
        return STOPS
    if as_json:
        say_json(encode_stage("bass", made.bass))
    else:
        short = made.level.findings if made.level else ()
        say_findings((*made.bass.findings, *(one for one in short if one.code == "level.bass-short")))
        _say(opened, made, made.bass)
    return STOPS if stops(made.bass.findings) else FINE


def _draw(opened: "Project", made: "Plan", target: Path, mode: int | None) -> None:
    from seatfield.pipeline.bass import draw_bass
    from seatfield.pipeline.printing import NotWrittenError

    try:
        draw_bass(opened, made, target, mode=mode)
    except (ValueError, NotWrittenError) as reason:
        raise click.UsageError(str(reason)) from None


def _say(opened: "Project", made: "Plan", bass: "Bass") -> None:
    _say_places(opened, made, bass)
    _say_settings(bass)
    _say_crossovers(bass)
    _say_modes(bass)


def _table(title: str, *headings: str) -> "Table":
    from rich.table import Table

    table = Table(box=None, pad_edge=False, title=f"\n{title}", title_justify="left", title_style="bold")
    for number, heading in enumerate(headings):
        table.add_column(heading, justify="left" if number == len(headings) - 1 else "right")
    return table


def _say_places(opened: "Project", made: "Plan", bass: "Bass") -> None:
    from seatfield.stages.bass.params import BassParams
    from seatfield.stages.bass.telling import mark_words
    from seatfield.stages.survey import tell

    if not bass.tries:
        return
    off_by = f"{tell(BassParams().misplaced_m, opened.units)} off"
    table = _table("To try by ear, the best first", "", "uneven", off_by, "the middle of the box at")
    for one in bass.tries:
        where = "; ".join(mark_words(mark, opened, made.survey) for mark in one.marks)
        off = "" if one.now else f"{one.misplaced:.1f} dB"
        table.add_row("now" if one.now else str(one.number), f"{one.merit:.1f} dB", off, where)
    console().print(table)


def _say_settings(bass: "Bass") -> None:
    if not bass.best or len(bass.best[0].subwoofers) < 2:
        return
    table = _table("Settings of the best set", "", "delay", "gain", "polarity")
    for letter, one in zip("abcd", bass.best[0].subwoofers, strict=False):
        turned = "inverted" if one.inverted else "as it is"
        table.add_row(letter, f"{one.delay_ms:.1f} ms", f"{one.gain_db:+.0f} dB", turned)
    console().print(table)


def _say_crossovers(bass: "Bass") -> None:
    if not bass.crossovers:
        return
    table = _table("Crossovers to start from", "crossover", "subwoofer later", "polarity", "loudspeakers")
    for group in bass.crossovers:
        turned = "inverted" if group.inverted else "as it is"
        table.add_row(f"{group.crossover_hz:.0f} Hz", f"{group.later_ms:+.1f} ms", turned, group.group)
    console().print(table)


def _say_modes(bass: "Bass") -> None:
    table = _table("The lowest modes", "Hz", "60 dB in", "which way, and what it does")
    for mode in bass.modes[:MODES_SHOWN]:
        table.add_row(f"{mode.freq_hz:.1f}", f"{mode.decay_s:.1f} s", f"{mode.kind}. {mode.does}")
    console().print(table)
