"""What commands that print share: paper size, target file, date, revision."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

Wrapper = Callable[[Callable[..., Any]], Callable[..., Any]]


def paper_option() -> Wrapper:
    """Return the option that names the paper."""
    return click.option(
        "--paper",
        type=click.Choice(["a4", "letter"]),
        default="a4",
        show_default=True,
        help="Paper to print on.",
    )


def out_option() -> Wrapper:
    """Return the option that names the file to write."""
    return click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="PDF to write.")


def write_or_tell(target: Path, content: bytes) -> None:
    """Write a finished PDF, or say in a sentence why that cannot be."""
    from seatfield.pipeline.printing import NotWrittenError, write_whole

    try:
        write_whole(target, content)
    except NotWrittenError as reason:
        raise click.UsageError(str(reason)) from None
