"""Where the microphone stands, from the words of a person: a seat's name, or three lengths."""

import click

from seatfield.model import Point3, Project
from seatfield.units import QuantityError, parse_length


def spot_or_tell(project: Project, text: str) -> tuple[str, Point3]:
    """Return a seat's name, or an empty one, and the place [m]; misuse is told with what is allowed."""
    seat = next((seat for seat in project.seats if seat.name == text.strip()), None)
    if seat is not None:
        return seat.name, seat.head
    parts = text.split(";") if ";" in text else text.split(",")
    if len(parts) != 3:
        names = ", ".join(repr(seat.name) for seat in project.seats)
        raise click.UsageError(
            f"The position {text!r} is no seat ({names}) and not three lengths x, y, z such as 2.30, 3.10, 1.05."
        )
    try:
        x, y, z = (parse_length(part.strip(), project.units.value) for part in parts)
    except QuantityError as refused:
        raise click.UsageError(f"position: {refused}") from None
    return "", (x, y, z)
