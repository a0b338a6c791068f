"""What commands share: the project argument, the --json option, and opening a project or telling its faults."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from seatfield.cli.entry import AT_FAULT
from seatfield.cli.say import say_faults, say_json
from seatfield.model import Project

Wrapper = Callable[[Callable[..., Any]], Callable[..., Any]]


def project_argument() -> Wrapper:
    """Return the argument that names a project folder or its file."""
    return click.argument("project", metavar="PROJECT", type=click.Path(path_type=Path))


def json_option() -> Wrapper:
    """Return the option that asks for one JSON object."""
    return click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of words.")


def open_or_tell(path: Path, *, as_json: bool) -> Project:
    """Open a project; where its file has faults, tell them all and end with 2."""
    from seatfield.pipeline import encode_faults, open_folder

    opened = open_folder(path)
    if opened.project is not None:
        return opened.project
    if as_json:
        say_json(encode_faults(opened.faults))
    else:
        say_faults(opened.faults)
    raise click.exceptions.Exit(AT_FAULT)
