"""Open the workbench: the whole job on one page in the browser."""

from pathlib import Path

import click

from seatfield.cli.files import project_argument


@click.command("serve")
@project_argument()
@click.option(
    "--port", type=click.IntRange(0, 65535), default=8437, show_default=True, help="0 takes a free one."
)
@click.option("--read-only", is_flag=True, help="Show the project; refuse every change.")
@click.option("--no-browser", is_flag=True, help="Print the address; open no browser.")
def command(project: Path, *, port: int, read_only: bool, no_browser: bool) -> None:
    """Open the workbench: the whole job on one page in the browser.

    Draw the room, drag what stands in it, see every answer at once, print. Each change is written into project.toml
    as it is made, with your remarks kept; changes that you make there with an editor show up on the page.

    The page is served to this machine only, and asks nothing of the network.
    """
    from seatfield.web.running import PortTakenError, run

    if not project.exists():
        raise click.UsageError(f"{project} does not exist; start a project with: seatfield new {project}")
    try:
        run(project, port=port, read_only=read_only, open_browser=not no_browser, say=click.echo)
    except PortTakenError as taken:
        raise click.UsageError(str(taken)) from None
