"""Read the project file and say what is wrong with the file or the room."""

from pathlib import Path

import click

from seatfield.cli.entry import FINE, STOPS
from seatfield.cli.files import json_option, open_or_tell, project_argument
from seatfield.cli.say import console, say_findings, say_json, say_wrapped, stops


@click.command("check")
@project_argument()
@json_option()
def command(project: Path, *, as_json: bool) -> int:
    """Read the project file and say what is wrong with the file or the room.

    All faults of the file are told at once, each with its line and what would be right. If there are none, the
    room is checked: does the outline close, does everything lie inside it, do doors still open, is every number
    one that a living room can have? What was made of the room is told first: its corners, area, volume and angles.
    """
    from seatfield.pipeline import encode_findings, plan
    from seatfield.stages.survey import read_back

    opened = open_or_tell(project, as_json=as_json)
    made = plan(opened, "survey")
    findings = made.findings
    if as_json:
        say_json(encode_findings(findings))
    else:
        survey = made.survey
        if survey.walls:
            text = read_back(survey.room.floor, survey.area_m2, survey.volume_m3, opened.units)
            say_wrapped(console(), text)
        say_findings(findings)
    return STOPS if stops(findings) else FINE
