"""Start a project folder by asking a few things."""

from pathlib import Path

import click


@click.command("new")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--name", help="What the project is called; the folder's name where left out.")
@click.option("--units", type=click.Choice(["m", "ft"]), help="Unit of plain numbers in the file.")
@click.option("--width", help="Along the screen's wall, as you read it: '4.20 m', '13 ft 9 in'.")
@click.option("--depth", help="From the screen's wall to the wall behind the seats.")
@click.option("--height", help="From floor to ceiling.")
@click.option("--seat", help="From the screen to the middle seat's ears.")
@click.option("--screen", help="Width of the picture, or '55 in diagonal'.")
@click.option("--layout", help="Such as 7.1.4 or 4+7+0, or 'best that fits'.")
def command(folder: Path, **given: str | None) -> None:
    """Start a project folder by asking a few things.

    Asks for whatever is not given as an option, and writes FOLDER/project.toml with comments that teach the rest.
    Lengths are taken as people write them, and one that no living room has is refused with the likely slip. An
    existing project is never overwritten.
    """
    from seatfield.pipeline.starting import StartRefusedError, refuse_existing, start_project

    try:
        refuse_existing(folder)
        answers: dict[str, str] = {}
        for key in _QUESTIONS:
            answers[key] = given[key] or _asked(key, folder, answers.get("units", "m"))
        file = start_project(folder, answers)
    except StartRefusedError as refused:
        raise click.UsageError(str(refused)) from None
    click.echo(f"{file} is written. Put in what you know, in any order, then: seatfield check {folder}")


_QUESTIONS = {
    "name": "Name of the project",
    "units": "Unit of plain numbers (m or ft)",
    "width": "Length of the wall with the screen",
    "depth": "From that wall to the one behind the seats",
    "height": "From floor to ceiling",
    "seat": "From the screen to the middle seat's ears",
    "screen": "Width of the picture from edge to edge, or its diagonal as '55 in diagonal'",
    "layout": "Sound system (such as 5.1.2, or 'best that fits')",
}
_OFFERED = {
    "units": ("m", "m"),
    "width": ("4.20 m", "14 ft"),
    "depth": ("5.00 m", "16 ft 6 in"),
    "height": ("2.50 m", "8 ft"),
    "seat": ("3.00 m", "10 ft"),
    "screen": ("55 in diagonal", "55 in diagonal"),
    "layout": ("best that fits", "best that fits"),
}
"""What is offered in metres and in feet."""


def _asked(key: str, folder: Path, units: str) -> str:
    """Ask until the answer can be understood."""
    from seatfield.pipeline.starting import StartRefusedError, understood

    offered = folder.resolve().name if key == "name" else _OFFERED[key][units == "ft"]
    while True:
        answer = str(click.prompt(_QUESTIONS[key], default=offered, err=True))
        try:
            understood(key, answer, units)
        except StartRefusedError as refused:
            click.echo(str(refused), err=True)
        else:
            return answer
