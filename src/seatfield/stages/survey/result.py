"""What the survey hands on: the room with its outline settled, and walls as frames."""

from dataclasses import dataclass

from seatfield.geometry.ceiling import Slope
from seatfield.model import Finding, Point, Room, Wall


@dataclass(frozen=True, slots=True)
class WallFrame:
    """A wall as an axis: `start` to `end` as listed, with its unit vectors [m].

    Parameters
    ----------
    along
        Unit vector from `start` to `end`.
    inward
        Unit normal that points into the room.
    """

    wall: Wall
    start: Point
    end: Point
    length_m: float
    along: Point
    inward: Point


@dataclass(frozen=True, slots=True)
class Closure:
    """How tape readings closed: what was left over, and which reading to take again.

    Parameters
    ----------
    misclosure_m
        Root mean square of the corrections that the adjustment made [m].
    corrections_m
        Correction of each reading, walls first, then diagonals [m].
    again
        The reading whose repetition improves the outline most, in words.
    redundancy
        Readings beyond those that fix the outline.
    """

    misclosure_m: float
    corrections_m: tuple[float, ...]
    again: str
    redundancy: int = 0


@dataclass(frozen=True, slots=True)
class Survey:
    """The room as surveyed.

    Parameters
    ----------
    room
        The room with `floor` settled (adjusted where it was read by tape).
    walls
        One frame per wall, in order.
    area_m2, volume_m3
        Floor area and volume under the ceiling.
    corner_heights_m
        Ceiling height at each corner [m].
    closure
        Of the tape readings, where there were any.
    sound
        False where the outline is unfit for computing (it crosses itself, or encloses nothing), or where
        there is no main seat that faces a screen.
    ceiling
        Planes z = a·x + b·y + c; the ceiling is the lowest of them at each point.
    """

    room: Room
    walls: tuple[WallFrame, ...]
    area_m2: float
    volume_m3: float
    corner_heights_m: tuple[float, ...]
    closure: Closure | None
    sound: bool
    findings: tuple[Finding, ...]
    ceiling: tuple[Slope, ...] = ((0.0, 0.0, 2.5),)
