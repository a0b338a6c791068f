"""Read the project file and say what is wrong with the file or the room."""

from pathlib import Path

import click

from seatfield.cli.entry import FINE, STOPS
from seatfield.cli.files import json_option, open_or_tell, project_argument
from seatfield.cli.say import say_findings, say_json, stops


@click.command("check")
@project_argument()
@json_option()
def command(project: Path, *, as_json: bool) -> int:
    """Read the project file and say what is wrong with the file or the room.

    All faults of the file are told at once, each with its line and what would be right. If there are none, the
    room is checked: does the outline close, does everything lie inside it, do doors still open, is every number
    one that a living room can have?
    """
    from seatfield.pipeline import encode_findings, plan

    findings = plan(open_or_tell(project, as_json=as_json), "survey").findings
    if as_json:
        say_json(encode_findings(findings))
    else:
        say_findings(findings)
    return STOPS if stops(findings) else FINE
