"""The room as it stands: outline, ceiling, finishes, openings, furniture, covers, seats, screen, limits.

Lengths are metres, angles degrees, temperatures degrees Celsius. Points are (x, y) or (x, y, z):
x to the right and y up the page, z up from the floor.
"""

from dataclasses import dataclass
from enum import StrEnum

Point = tuple[float, float]
Point3 = tuple[float, float, float]
Outline = tuple[Point, ...]


class OpeningKind(StrEnum):
    """What fills an opening in a wall."""

    DOOR = "door"
    WINDOW = "window"
    ARCHWAY = "archway"


class WallBuild(StrEnum):
    """What a wall is made of, as far as fixings and hidden cable care."""

    MASONRY = "masonry"
    STUD = "stud"
    PANEL = "panel"


class CoverKind(StrEnum):
    """What can hide a cable."""

    RUG = "rug"
    CURTAIN = "curtain"
    RACEWAY = "raceway"
    SKIRTING_GAP = "skirting gap"
    CAVITY = "cavity"
    ATTIC = "attic"


class Holes(StrEnum):
    """What may be drilled."""

    NONE = "none"
    WALLS = "walls"
    WALLS_AND_CEILING = "walls and ceiling"


@dataclass(frozen=True, slots=True)
class Finish:
    """A surface finish: its name and its random-incidence absorption in octave bands.

    Parameters
    ----------
    name
        A name of the built-in table, or the user's own.
    freq_hz
        Octave band centres [Hz].
    absorption
        Sabine absorption coefficients at `freq_hz` [-].
    """

    name: str
    freq_hz: tuple[float, ...]
    absorption: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Diagonal:
    """A tape reading between two corners [m]."""

    between: tuple[int, int]
    length_m: float


@dataclass(frozen=True, slots=True)
class TapeReadings:
    """An outline given as wall lengths in order, with diagonals that fix its angles [m]."""

    walls_m: tuple[float, ...]
    diagonals: tuple[Diagonal, ...]


@dataclass(frozen=True, slots=True)
class Plane:
    """A ceiling plane through three points [m]."""

    points: tuple[Point3, Point3, Point3]


@dataclass(frozen=True, slots=True)
class Wall:
    """What is known of wall `number`, from corner `number` to the next as listed.

    Parameters
    ----------
    number
        Index of the wall.
    finish
        Its finish.
    build
        What it is made of; None where the file does not say.
    stud_spacing_m, first_stud_m
        Stud grid along the wall from its first corner [m].
    services
        Stretches along the wall that may hide services [m].
    """

    number: int
    finish: Finish
    build: WallBuild | None = None
    stud_spacing_m: float | None = None
    first_stud_m: float | None = None
    services: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Opening:
    """A door, window or archway in a wall; positions run along the wall from its first corner [m].

    Parameters
    ----------
    swing_assumed
        True where the file does not say both where the door hangs and which way it opens.
    """

    id: str
    kind: OpeningKind
    wall: int
    start_m: float
    width_m: float
    sill_m: float
    height_m: float
    hinge: str = "start"
    opens: str = "inward"
    beyond: Outline = ()
    leak: bool = False
    curtain: bool = False
    key: str = ""
    swing_assumed: bool = False


@dataclass(frozen=True, slots=True)
class Furniture:
    """Anything with an outline and a height: blocks sight, hides cable, carries a loudspeaker, absorbs."""

    name: str
    kind: str
    outline: Outline
    base_m: float
    height_m: float
    key: str = ""


@dataclass(frozen=True, slots=True)
class Cover:
    """What can hide a cable: an area of the floor (`outline`) or a stretch of a wall [m].

    Parameters
    ----------
    inside_m
        Clear width and depth of a raceway [m].
    existing
        True where it is already there, so that it costs nothing.
    """

    id: str
    kind: CoverKind
    outline: Outline = ()
    wall: int | None = None
    from_m: float | None = None
    to_m: float | None = None
    height_m: float = 0.0
    inside_m: tuple[float, float] | None = None
    existing: bool = False
    key: str = ""


@dataclass(frozen=True, slots=True)
class Socket:
    """A mains socket on a wall."""

    wall: int
    at_m: float
    circuit: str = ""
    key: str = ""


@dataclass(frozen=True, slots=True)
class Radiator:
    """A radiator along a wall."""

    wall: int
    from_m: float
    to_m: float
    key: str = ""


@dataclass(frozen=True, slots=True)
class Treatment:
    """An absorbing panel: on a stretch of a wall, or flat on the ceiling (`outline`)."""

    name: str
    finish: Finish
    outline: Outline = ()
    wall: int | None = None
    from_m: float | None = None
    to_m: float | None = None
    sill_m: float = 0.0
    height_m: float = 0.0
    key: str = ""


class CeilingThingKind(StrEnum):
    """What hangs under a ceiling and may be in a sound's way."""

    LAMP = "lamp"
    BEAM = "beam"
    FAN = "fan"


@dataclass(frozen=True, slots=True)
class CeilingThing:
    """A lamp, beam or fan: its outline in plan and how far it hangs below the ceiling [m]."""

    name: str
    kind: CeilingThingKind
    outline: Outline
    drop_m: float
    key: str = ""


@dataclass(frozen=True, slots=True)
class Seat:
    """Where somebody sits: place in plan and height of the ears, as a range where it varies [m]."""

    name: str
    at: Point
    ear_m: tuple[float, float]
    main: bool = False
    key: str = ""

    @property
    def ear_mid_m(self) -> float:
        """Middle of the range of ear heights [m]."""
        return (self.ear_m[0] + self.ear_m[1]) / 2

    @property
    def head(self) -> Point3:
        """Middle of the head [m]."""
        return (*self.at, self.ear_mid_m)


@dataclass(frozen=True, slots=True)
class Screen:
    """The picture: centre, width and height [m].

    Parameters
    ----------
    whole_inches
        True where the width was written as whole inches alone, as people write diagonals.
    """

    centre: Point3
    width_m: float
    height_m: float
    whole_inches: bool = False


@dataclass(frozen=True, slots=True)
class Area:
    """A named part of the floor."""

    name: str
    outline: Outline


@dataclass(frozen=True, slots=True)
class Limits:
    """What may not be done in this home."""

    holes: Holes = Holes.NONE
    pets: bool = False
    children: bool = False
    keep_out: tuple[Area, ...] = ()
    walkways: tuple[tuple[Point, ...], ...] = ()
    mains_cables: tuple[tuple[Point3, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Room:
    """The room.

    Parameters
    ----------
    floor
        Corners as listed, in either direction; empty where only `tape` is given (the survey solves it).
    tape
        Wall lengths and diagonals, where the outline was read so.
    ceiling_m
        Height of a flat ceiling; None where `ceiling_planes` are given.
    ceiling_planes
        The ceiling is the lowest of these planes at each point.
    walls
        One record per wall, in order.
    tolerance_m
        How well the tape was read [m].
    """

    floor: Outline
    tape: TapeReadings | None
    ceiling_m: float | None
    ceiling_planes: tuple[Plane, ...]
    floor_finish: Finish
    ceiling_finish: Finish
    walls: tuple[Wall, ...]
    temperature_c: float = 20.0
    tolerance_m: float = 0.03
    openings: tuple[Opening, ...] = ()
    furniture: tuple[Furniture, ...] = ()
    covers: tuple[Cover, ...] = ()
    sockets: tuple[Socket, ...] = ()
    radiators: tuple[Radiator, ...] = ()
    treatments: tuple[Treatment, ...] = ()
    ceiling_things: tuple[CeilingThing, ...] = ()
