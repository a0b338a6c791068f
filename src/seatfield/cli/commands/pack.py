"""Print the hand-over pack as one PDF."""

from datetime import datetime
from pathlib import Path

import click

from seatfield.cli.entry import FINE, STOPS
from seatfield.cli.files import json_option, open_or_tell, project_argument
from seatfield.cli.paper import out_option, paper_option, write_or_tell
from seatfield.cli.say import say_json, stops


@click.command("pack")
@project_argument()
@out_option()
@paper_option()
@click.option("--revision", default="1", show_default=True, help="Revision printed on every sheet.")
@click.option(
    "--date", "day", type=click.DateTime(["%Y-%m-%d"]), help="Date printed on every sheet; today if left out."
)
@json_option()
def command(
    project: Path, *, out: Path | None, paper: str, revision: str, day: datetime | None, as_json: bool
) -> int:
    """Print the hand-over pack as one PDF.

    Floor plan to scale, marking-out sheet in tape distances, cable schedule, cut list, labels, shopping list,
    findings, cautions: everything that a stranger needs on site, readable in black and white. It is written
    beside the project file unless --out says otherwise.
    """
    from seatfield.pipeline import plan
    from seatfield.pipeline.printing import print_pack

    opened = open_or_tell(project, as_json=as_json)
    made = plan(opened)
    target = out or (project if project.is_dir() else project.parent) / "pack.pdf"
    printed = print_pack(
        opened, made, paper=paper, day=(day or datetime.now().astimezone()).date(), revision=revision
    )
    write_or_tell(target, printed)
    if as_json:
        say_json({"pack": str(target), "bytes": len(printed)})
    else:
        click.echo(f"{target} is written.")
    return STOPS if stops(made.findings) else FINE
