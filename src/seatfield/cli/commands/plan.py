"""Compute everything: places, levels, cable, findings."""

from pathlib import Path

import click

from seatfield.cli.entry import FINE, STOPS
from seatfield.cli.files import json_option, open_or_tell, project_argument
from seatfield.cli.say import say_findings, say_json, stops


@click.command("plan")
@project_argument()
@json_option()
@click.option(
    "--explain", metavar="CODE", help="Show formula, inputs and source of findings: CODE or CODE@SUBJECT."
)
def command(project: Path, *, as_json: bool, explain: str | None) -> int:
    """Compute everything: places, levels, cable, findings.

    Findings come first, the worst on top; then each loudspeaker's place, verdict and tape distances, each
    cable's run, and what to buy. `seatfield pack` prints the same on paper.
    """
    from seatfield.cli.explaining import say_explanations
    from seatfield.cli.tables import say_plan
    from seatfield.pipeline import encode_plan, plan

    opened = open_or_tell(project, as_json=as_json)
    made = plan(opened)
    if as_json:
        say_json(encode_plan(made))
    elif explain:
        say_explanations(made.findings, explain)
    else:
        say_findings(made.findings)
        say_plan(opened, made)
    return STOPS if stops(made.findings) else FINE
