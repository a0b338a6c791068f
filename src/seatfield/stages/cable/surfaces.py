"""What a cable can follow in a room, and the network of ways that the routes are chosen from."""

from collections.abc import Hashable
from dataclasses import dataclass, field
from enum import StrEnum
from math import dist

from seatfield.model import Point3


class Surface(StrEnum):
    """What a cable follows."""

    SKIRTING = "skirting"
    RADIATOR = "behind radiator"
    CORNER = "corner"
    DOOR_FRAME = "door frame"
    DOOR_HEAD = "door head"
    WINDOW_FRAME = "window frame"
    WALL = "wall"
    CEILING_LINE = "ceiling line"
    CEILING = "ceiling"
    FLOOR = "floor"
    THRESHOLD = "threshold"
    STAND = "stand"
    LEAD = "lead"
    CAVITY = "cavity"
    ATTIC = "attic"
    BEND = "bend"


ON_WALLS = frozenset(
    {
        Surface.SKIRTING,
        Surface.CORNER,
        Surface.DOOR_FRAME,
        Surface.DOOR_HEAD,
        Surface.WINDOW_FRAME,
        Surface.WALL,
        Surface.CEILING_LINE,
        Surface.CEILING,
    }
)
"""Surfaces that take a surface raceway."""

HEAD_HEIGHT_M = 1.9
"""Above this a cable counts as overhead, and its fixing as work from a ladder: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Conduit:
    """A cover that is shared until it is full: a raceway, or the gap behind a carpet edge or skirting.

    Parameters
    ----------
    id
        Of the cover in the project.
    kind
        ``raceway`` or ``skirting gap``.
    capacity
        Cables that fit, by area.
    existing
        True where it is already there.
    """

    id: str
    kind: str
    capacity: int
    existing: bool


@dataclass(frozen=True, slots=True)
class Stretch:
    """A straight piece of a way; `hidden_by` says in words what hides it, empty where it is seen."""

    start: Point3
    end: Point3
    hidden_by: str = ""
    conduits: tuple[Conduit, ...] = ()

    @property
    def length_m(self) -> float:
        """Length [m]."""
        return dist(self.start, self.end)

    @property
    def overhead(self) -> bool:
        """True where all of it runs above head height."""
        return min(self.start[2], self.end[2]) > HEAD_HEIGHT_M


@dataclass(frozen=True, slots=True)
class Way:
    """An edge of the network.

    Parameters
    ----------
    u, v
        Node numbers; the stretches run from u to v.
    bends, holes, walkways
        How many of each it costs.
    mains_m
        Metres beside a mains cable [m].
    entry
        True for the last piece to a loudspeaker on a wall: no other run passes through it.
    """

    u: int
    v: int
    surface: Surface
    stretches: tuple[Stretch, ...]
    bends: int = 0
    holes: int = 0
    walkways: int = 0
    mains_m: float = 0.0
    entry: bool = False

    @property
    def length_m(self) -> float:
        """Length [m]."""
        return sum(stretch.length_m for stretch in self.stretches)


@dataclass(slots=True)
class Network:
    """Nodes by what they are, and at most one way between any two."""

    points: list[Point3] = field(default_factory=list)
    numbers: dict[Hashable, int] = field(default_factory=dict)
    ways: dict[tuple[int, int], Way] = field(default_factory=dict)

    def node(self, key: Hashable, at: Point3) -> int:
        """Return the number of a node, made on first mention."""
        if key not in self.numbers:
            self.numbers[key] = len(self.points)
            self.points.append(at)
        return self.numbers[key]

    def join(  # noqa: PLR0913 - an edge is what it is
        self,
        u: int,
        v: int,
        surface: Surface,
        stretches: tuple[Stretch, ...] = (),
        *,
        bends: int = 0,
        holes: int = 0,
        walkways: int = 0,
        entry: bool = False,
    ) -> None:
        """Add a way between two nodes, straight where no stretches are given; the first of two equals is kept."""
        if u == v or (min(u, v), max(u, v)) in self.ways:
            return
        pieces = stretches or (Stretch(self.points[u], self.points[v]),)
        self.ways[min(u, v), max(u, v)] = Way(u, v, surface, pieces, bends, holes, walkways, entry=entry)

    def way(self, u: int, v: int) -> Way:
        """Return the way between two nodes."""
        return self.ways[min(u, v), max(u, v)]


def milli(length_m: float) -> int:
    """Return a length as a whole number of tenths of a millimetre, for keys."""
    return round(length_m * 10_000)
