"""What the layout hands on: each loudspeaker from the main seat, its verdict and its tape distances."""

from dataclasses import dataclass
from enum import StrEnum

from seatfield.model import Finding, Mount, Point, Point3


class Verdict(StrEnum):
    """How well a loudspeaker stands against its window."""

    GOOD = "good"
    USABLE = "usable"
    POOR = "poor"
    NOT_POSSIBLE = "not possible"


@dataclass(frozen=True, slots=True)
class Placed:
    """A loudspeaker in the room, seen from the main seat in the screen's frame.

    Parameters
    ----------
    at
        Acoustic centre [m]; None where it has no position yet.
    azimuth_deg, elevation_deg
        As in ITU-R BS.2051: from the main seat, 0° at the screen's centre, positive to the left and up.
    deviation_deg
        Great-circle distance to the nearest direction that the window allows [deg]; 0 inside.
    placed
        True where the program chose the position.
    limit, source
        The window in words, and the publication behind it.
    verdicts
        Every verdict that the tape's tolerance leaves open, the best first; one where it is certain.
    """

    id: str
    channel: str
    plain_name: str
    model: str
    at: Point3 | None
    mount: Mount | None
    azimuth_deg: float | None
    elevation_deg: float | None
    distance_m: float | None
    deviation_deg: float | None
    verdict: Verdict
    placed: bool
    limit: str
    source: str
    verdicts: tuple[Verdict, ...] = ()


@dataclass(frozen=True, slots=True)
class Tape:
    """A tape distance from a named fixed point."""

    corner: str
    at: Point
    distance_m: float


@dataclass(frozen=True, slots=True)
class Mark:
    """How to mark one loudspeaker's place with nothing but a tape.

    Parameters
    ----------
    id
        Of the loudspeaker or subwoofer.
    height_m
        Of its acoustic centre above the floor [m].
    tapes
        Two tape distances on the floor to the plumb point, crossing at 30 to 150°, and a third as a check;
        empty for a place on a wall.
    crossing_deg
        Angle at which the first two tapes cross [deg].
    wall, along_m, from_corner
        For a place on a wall: its number, and the distance along it from the named corner [m].
    off_m
        Distance out from the wall, where the place is told along a wall but is not on it [m].
    note
        What cannot be taped, and what to do instead; empty where all is well.
    """

    id: str
    channel: str
    height_m: float
    tapes: tuple[Tape, ...] = ()
    crossing_deg: float | None = None
    wall: int | None = None
    along_m: float | None = None
    from_corner: str = ""
    note: str = ""
    off_m: float | None = None


@dataclass(frozen=True, slots=True)
class Layout:
    """Every loudspeaker of the chosen sound system in this room.

    Parameters
    ----------
    system
        BS.2051 name such as ``4+7+0``, or the shorthand where no standard names it.
    standard
        False for the common layouts that no standard names.
    subwoofers
        As `loudspeakers`; a low-frequency channel is free where the standard prescribes no position.
    """

    system: str
    shorthand: str
    standard: bool
    loudspeakers: tuple[Placed, ...]
    marks: tuple[Mark, ...]
    findings: tuple[Finding, ...]
    subwoofers: tuple[Placed, ...] = ()
