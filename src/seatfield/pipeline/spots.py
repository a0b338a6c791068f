"""Where the microphone stands, from the words of a person: a seat's name, or three lengths."""

from seatfield.model import Point3, Project
from seatfield.units import parse_length


class NoSuchSpotError(ValueError):
    """A place was named that is no seat and no three lengths."""

    def __init__(self, project: Project, text: str) -> None:
        names = ", ".join(repr(seat.name) for seat in project.seats)
        super().__init__(
            f"The position {text[:80]!r} is no seat ({names}) and not three lengths x, y, z such as 2.30, 3.10, 1.05."
        )


def named_spot(project: Project, text: str) -> tuple[str, Point3]:
    """Return a seat's name, or an empty one, and the place [m].

    Raises
    ------
    NoSuchSpotError
        If it is neither.
    seatfield.units.QuantityError
        If a length cannot be read.
    """
    seat = next((seat for seat in project.seats if seat.name == text.strip()), None)
    if seat is not None:
        return seat.name, seat.head
    parts = text.split(";") if ";" in text else text.split(",")
    if len(parts) != 3:
        raise NoSuchSpotError(project, text)
    x, y, z = (parse_length(part.strip(), project.units.value) for part in parts)
    return "", (x, y, z)
