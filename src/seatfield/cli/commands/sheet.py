"""Print the blank survey sheet, to fill in by pencil."""

from datetime import datetime
from pathlib import Path

import click

from seatfield.cli.paper import out_option, paper_option, write_or_tell


@click.command("sheet")
@out_option()
@paper_option()
@click.option(
    "--units", type=click.Choice(["m", "ft"]), default="m", show_default=True, help="Unit to measure in."
)
def command(*, out: Path | None, paper: str, units: str) -> None:
    """Print the blank survey sheet, to fill in by pencil.

    Take it to the room with a tape measure: walls, diagonals, openings, heights, seats, screen. What is written on
    it goes into project.toml in the same order.
    """
    from seatfield.model import LengthUnit
    from seatfield.pipeline.printing import print_survey_sheet

    target = out or Path("survey-sheet.pdf")
    day = datetime.now().astimezone().date()
    write_or_tell(target, print_survey_sheet(paper=paper, unit=LengthUnit(units), day=day))
    click.echo(f"{target} is written.")
