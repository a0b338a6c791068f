"""Say what a change gives and what it costs: two states of a project side by side."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from seatfield.cli.entry import FINE
from seatfield.cli.files import json_option, open_or_tell
from seatfield.cli.say import console, say_json, say_wrapped

if TYPE_CHECKING:
    from seatfield.model import Finding
    from seatfield.pipeline.comparing import Comparison


@click.command("compare")
@click.argument("before", metavar="BEFORE", type=click.Path(path_type=Path))
@click.argument("after", metavar="AFTER", type=click.Path(path_type=Path))
@json_option()
def command(before: Path, after: Path, *, as_json: bool) -> int:
    """Say what a change gives and what it costs: two states of a project side by side.

    BEFORE and AFTER are project folders or their files: copy the folder, change the copy, and compare. Told is what
    differs: each loudspeaker's place, cable to cut, what is to buy, and the findings that only one of the two has.
    """
    from seatfield.pipeline import plan
    from seatfield.pipeline.comparing import compare
    from seatfield.pipeline.encoding import encode

    projects = [open_or_tell(path, as_json=as_json) for path in (before, after)]
    one, other = ((project, plan(project)) for project in projects)
    found = compare(one, other)
    if as_json:
        say_json(encode(found))
    else:
        _say(found)
    return FINE


def _say(found: "Comparison") -> None:
    from rich.table import Table

    out = console()
    if found.lines:
        table = Table(box=None, pad_edge=False)
        for heading in ("", "first, before", "second, after", ""):
            table.add_column(heading)
        better = {"left": "the first is better", "right": "the second is better", "": ""}
        for line in found.lines:
            table.add_row(line.what, line.left or "–", line.right or "–", better[line.better])
        out.print(table)
    _say_only("Findings that the change does away with:", found.only_left)
    _say_only("Findings that the change brings:", found.only_right)
    say_wrapped(out, found.sentence)


def _say_only(heading: str, findings: "tuple[Finding, ...]") -> None:
    out = console()
    if findings:
        out.print(heading, style="bold")
    for finding in findings:
        say_wrapped(
            out, f"{finding.severity.value:<5}{finding.code}@{finding.subject}: {finding.message}", hanging=5
        )
