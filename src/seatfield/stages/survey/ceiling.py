"""How high the ceiling is anywhere in the room."""

from seatfield.geometry.ceiling import Slope, height, plane_through
from seatfield.model import Room
from seatfield.stages.survey.result import Survey

ASSUMED_HEIGHT_M = 2.5
"""Taken where the file says nothing of the ceiling: common practice, no source."""


def slopes(room: Room) -> tuple[Slope, ...]:
    """Return the ceiling's planes as heights over the floor.

    Parameters
    ----------
    room
        The room.

    Returns
    -------
    tuple
        Planes z = a·x + b·y + c; upright planes are left out, and a ceiling that is not described at all is
        flat at `ASSUMED_HEIGHT_M`.
    """
    planes = tuple(plane for given in room.ceiling_planes if (plane := plane_through(*given.points)))
    if room.ceiling_m is not None:
        planes = (*planes, (0.0, 0.0, room.ceiling_m))
    return planes or ((0.0, 0.0, ASSUMED_HEIGHT_M),)


def height_at(survey: Survey, point: tuple[float, ...]) -> float:
    """Return the ceiling's height over a point of the floor.

    Parameters
    ----------
    survey
        The room as surveyed.
    point
        A point; only its x and y count [m].

    Returns
    -------
    float
        Height above the floor [m].
    """
    return height(survey.ceiling, point[0], point[1])
