"""Where the microphone stands, from the words of a person; misuse is told."""

import click

from seatfield.model import Point3, Project
from seatfield.pipeline.spots import NoSuchSpotError, named_spot
from seatfield.units import QuantityError


def spot_or_tell(project: Project, text: str) -> tuple[str, Point3]:
    """Return a seat's name, or an empty one, and the place [m]; misuse is told with what is allowed."""
    try:
        return named_spot(project, text)
    except NoSuchSpotError as refused:
        raise click.UsageError(str(refused)) from None
    except QuantityError as refused:
        raise click.UsageError(f"position: {refused}") from None
