"""What a way costs by the number of cables on it, in parts that a person understands, and how they are best laid.

Every way is priced per metre by what it follows and what hides it, plus bends, holes, thresholds and walkways. For each
number of cables the cheapest mix is taken of cables in the open, in raceway to buy, and in covers that are there.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise, product
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from seatfield.model import Costs, Limits
from seatfield.stages.cable.setting import fits
from seatfield.stages.cable.surfaces import ON_WALLS, Conduit, Stretch, Surface, Way

if TYPE_CHECKING:
    from seatfield.stages.cable.floor import FloorLines

Floats = NDArray[np.float64]
Wholes = NDArray[np.intp]

PARTS = ("cable", "seen", "exposed", "raceway", "bends", "holes", "thresholds", "walkways", "mains", "labour")
"""Parts of the cost, in the order of the rows of a table."""

ROWS = (*PARTS, "minutes")
"""Rows of a table: the parts of the cost, and the minutes behind the labour."""


@dataclass(frozen=True, slots=True)
class Raceway:
    """A surface raceway that can be bought: generic, by its clear width and depth [m]."""

    name: str
    inside_m: tuple[float, float]
    price_factor: float


RACEWAYS = (Raceway("small raceway", (0.020, 0.010), 1.0), Raceway("large raceway", (0.038, 0.016), 1.6))
"""Two generic sizes of trunking with their price against the project's: common practice, no source."""

STICK_M = 2.0
"""Raceway is sold in sticks of this length: common practice."""


@dataclass(frozen=True, slots=True)
class Weights:
    """Everything that the tariff weighs; costs in the project's currency. All of it common practice, no source.

    Parameters
    ----------
    costs
        The project's own weights.
    cable_per_m
        Price of cable, from the stock where the project tells one.
    beside
        A further cable in the open beside another costs this share of the first, seen and clipped.
    raceway_seen
        A raceway in the wall's colour is seen as this share of an open cable.
    exposed_per_m
        A metre in the open that pets or children reach.
    exposed_below_m
        How high they reach [m]; 0 where there are none.
    heated_per_m
        A metre behind or below a radiator: its heat ages insulation, and its pipes are in the way.
    raceways
        Whether raceway may be bought.
    """

    costs: Costs
    cable_per_m: float = 1.0
    beside: float = 0.5
    raceway_seen: float = 0.35
    exposed_per_m: float = 2.0
    exposed_below_m: float = 0.0
    heated_per_m: float = 25.0
    raceways: bool = True


def reach_m(limits: Limits) -> float:
    """Return how high pets (0.6 m) and children (1.2 m) reach [m]: common practice, no source."""
    return 1.2 if limits.children else 0.6 if limits.pets else 0.0


MINUTES_PER_M: dict[Surface, tuple[float, float]] = {
    Surface.SKIRTING: (3.0, 0.75),
    Surface.RADIATOR: (6.0, 3.0),
    Surface.CORNER: (4.0, 1.0),
    Surface.DOOR_FRAME: (4.0, 1.0),
    Surface.DOOR_HEAD: (4.0, 1.0),
    Surface.WINDOW_FRAME: (4.0, 1.0),
    Surface.WALL: (4.0, 1.0),
    Surface.CEILING_LINE: (5.0, 1.25),
    Surface.CEILING: (6.0, 1.5),
    Surface.FLOOR: (1.5, 0.5),
    Surface.THRESHOLD: (3.0, 1.0),
    Surface.STAND: (1.0, 1.0),
    Surface.LEAD: (1.0, 1.0),
    Surface.CAVITY: (6.0, 3.0),
    Surface.ATTIC: (3.0, 1.0),
    Surface.BEND: (0.0, 0.0),
}
"""Minutes of work for a metre: with the first cable, and for each further one. Common practice, no source."""

RACEWAY_MINUTES = (8.0, 0.5)
GAP_MINUTES = (3.0, 0.5)
LAID_MINUTES = (0.5, 0.5)
HIDDEN_MINUTES = (1.0, 0.5)
HOLE_MINUTES = 15.0
THRESHOLD_MINUTES = 10.0
BEND_MINUTES = 1.0
LADDER = 1.5
"""Work overhead takes this much longer: common practice, no source."""

TRIP = 1.5
"""A metre loose on the open floor counts this much again, because feet reach it: common practice, no source."""

PULLED = (Surface.CAVITY, Surface.ATTIC)
NEVER_EXPOSED = (Surface.STAND, Surface.LEAD, Surface.CAVITY, Surface.ATTIC)
PER_HOLE = 6
"""Cables that pass one hole."""
MOST_PIECES = 3
"""So many raceways of one size side by side at most."""


@dataclass(frozen=True, slots=True)
class Site:
    """What decides the price of a metre beside its surface.

    Parameters
    ----------
    hidden
        True where something hides it.
    low
        True where pets or children reach it.
    overhead
        True where it is worked on from a ladder.
    conduits
        Covers that are there.
    """

    hidden: bool = False
    low: bool = False
    overhead: bool = False
    conduits: tuple[Conduit, ...] = ()


@dataclass(frozen=True, slots=True)
class Mix:
    """How n cables are best laid along a stretch: some in the open, some in covers.

    Parameters
    ----------
    open
        Cables in the open, or just hidden.
    boxed
        Cables in raceway to buy.
    shared
        Cables in each existing or planned cover, in the order of the stretch's conduits.
    bought
        Pieces of each size of raceway to buy side by side.
    """

    open: int
    boxed: int
    shared: tuple[int, ...]
    bought: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Mixes:
    """Many mixes, by their number of cables: the fields of `Mix` with one row for each."""

    cables: Wholes
    open: Wholes
    boxed: Wholes
    shared: Wholes
    bought: Wholes

    def of(self, rows: Sequence[int]) -> "Mixes":
        """Return some of them."""
        return Mixes(
            self.cables[rows], self.open[rows], self.boxed[rows], self.shared[rows], self.bought[rows]
        )

    def each(self) -> tuple[Mix, ...]:
        """Return them one by one."""
        rows = zip(
            *(part.tolist() for part in (self.open, self.boxed, self.shared, self.bought)), strict=True
        )
        return tuple(Mix(loose, boxed, tuple(shared), tuple(bought)) for loose, boxed, shared, bought in rows)


@dataclass(frozen=True, slots=True)
class Rate:
    """Cost of a metre by number of cables, as chosen by and as told, and the mix behind each number.

    Parameters
    ----------
    chosen
        Sum of the parts by the weights that ways are chosen by, shape (cables + 1,).
    told
        By the weights that costs are told by, shape (rows, cables + 1).
    """

    chosen: Floats
    told: Floats
    mixes: tuple[Mix, ...]


class Tariff:
    """Costs of ways for up to `cables` cables of one outer cross-section.

    Parameters
    ----------
    weights
        What is weighed.
    cables
        The most cables that any way can carry.
    cable_area_m2
        Outer cross-section of one cable, for the fill of raceways [m²].
    told_by
        Weights that costs are told by where they are not those that ways and mixes are chosen by.
    """

    def __init__(
        self, weights: Weights, cables: int, cable_area_m2: float, *, told_by: Weights | None = None
    ) -> None:
        self.weights = weights
        self.told_by = told_by or weights
        self.cables = cables
        self.room_in = tuple(fits(raceway.inside_m, cable_area_m2) for raceway in RACEWAYS)
        self._rate = cache(self._compute_rate)

    def rate(self, surface: Surface, stretch: Stretch) -> Rate:
        """Return the cost of a metre of a stretch."""
        low = max(stretch.start[2], stretch.end[2]) <= self.weights.exposed_below_m
        return self._rate(surface, Site(bool(stretch.hidden_by), low, stretch.overhead, stretch.conduits))

    def told(self, way: Way) -> Floats:
        """Return the cost of a way, laid as chosen, by the weights that it is told by, shape (rows, cables + 1)."""
        total = self._events(way, self.told_by)
        for stretch in way.stretches:
            if (length := stretch.length_m) > 0:
                total += length * self.rate(way.surface, stretch).told
        return total

    def cost(self, way: Way) -> Floats:
        """Return the cost of a way by number of cables, by the weights that it is chosen by, shape (cables + 1,)."""
        total = _sum(self._events(way, self.weights)) if _eventful(way) else np.zeros(self.cables + 1)
        for stretch in way.stretches:
            if (length := stretch.length_m) > 0:
                total += length * self.rate(way.surface, stretch).chosen
        cost: Floats = np.maximum.accumulate(total)
        return cost

    def floor_costs(self, lines: "FloorLines") -> Floats:
        """Return what floor ways cost before they are laid, shape (ways, cables + 1)."""
        low = self.weights.exposed_below_m > 0
        seen, hidden = (self._rate(Surface.FLOOR, Site(hides, low)).chosen for hides in (False, True))
        bend, walkway = (
            _sum(self._events(Way(0, 0, Surface.FLOOR, (), bends=b, walkways=1 - b), self.weights))
            for b in (1, 0)
        )
        costs: Floats = np.outer(lines.length_m - lines.hidden_m, seen) + np.outer(lines.hidden_m, hidden)
        costs += np.outer(lines.bends, bend) + np.outer(lines.walkways, walkway)
        return np.maximum.accumulate(costs, axis=1)

    def _events(self, way: Way, weights: Weights) -> Floats:
        costs = weights.costs
        crosses = way.surface is Surface.THRESHOLD
        parts = np.zeros((len(ROWS), self.cables + 1))
        n = np.arange(self.cables + 1, dtype=float)
        once = np.where(
            n > 0, 1 + 0.25 * (n - 1), 0.0
        )  # one strip, elbow or crossing serves all, each a little wider
        drilled = np.ceil(n / PER_HOLE)
        parts[ROWS.index("bends")] = way.bends * costs.bend * once
        parts[ROWS.index("holes")] = way.holes * costs.hole * drilled
        parts[ROWS.index("thresholds")] = crosses * costs.threshold * once
        parts[ROWS.index("walkways")] = way.walkways * costs.walkway * once
        parts[ROWS.index("mains")] = way.mains_m * costs.beside_mains_per_m * n
        minutes = (
            way.bends * BEND_MINUTES + crosses * THRESHOLD_MINUTES
        ) * once + way.holes * HOLE_MINUTES * drilled
        parts[ROWS.index("minutes")] = minutes
        parts[ROWS.index("labour")] = minutes / 60 * costs.labour_per_hour
        return parts

    def _compute_rate(self, surface: Surface, site: Site) -> Rate:
        mixes = self._mixes(surface, site)
        sums = _sum(_prices(mixes, surface, site, self.weights)).round(9)
        starts = np.searchsorted(mixes.cables, np.arange(self.cables + 2))
        best = [start + int(np.argmin(sums[start:end])) for start, end in pairwise(starts.tolist())]
        taken = mixes.of(best)
        told = _prices(taken, surface, site, self.told_by)
        chosen = told if self.told_by == self.weights else _prices(taken, surface, site, self.weights)
        return Rate(_sum(chosen), told, taken.each())

    def _mixes(self, surface: Surface, site: Site) -> "Mixes":
        """Return the ways to lay each number of cables: in covers that are there, in raceway to buy, and open."""
        buys = surface in ON_WALLS and not site.hidden and self.weights.raceways
        capacities = tuple(conduit.capacity for conduit in site.conduits)
        shares = [(n, shared) for n in range(self.cables + 1) for shared in _shares(n, capacities)]
        n = np.array([n for n, _ in shares])[:, None]
        shared = np.array([shared for _, shared in shares], dtype=np.intp).reshape(
            len(shares), len(capacities)
        )
        bought = np.array(list(product(range(MOST_PIECES + 1), repeat=len(self.room_in))))
        room = np.array(self.room_in)
        most = np.minimum(n // np.maximum(room, 1) + 1, MOST_PIECES) * (buys & (room > 0))
        left = n - shared.sum(axis=1, keepdims=True)
        boxed = np.minimum(left, bought @ room)
        kept = (bought[None] <= most[:, None]).all(axis=2) & ((boxed > 0) | ~bought.any(axis=1))
        of_share, of_bought = np.nonzero(kept)
        return Mixes(n[of_share, 0], (left - boxed)[kept], boxed[kept], shared[of_share], bought[of_bought])


def _eventful(way: Way) -> bool:
    return bool(way.bends or way.holes or way.walkways or way.mains_m or way.surface is Surface.THRESHOLD)


def _sum(rows: Floats) -> Floats:
    total: Floats = rows[: len(PARTS)].sum(axis=0)
    return total


def _prices(mixes: Mixes, surface: Surface, site: Site, weights: Weights) -> Floats:
    """Return the rows of a metre laid in each way, shape (rows, mixes)."""
    costs = weights.costs
    seen = costs.hidden_per_m if site.hidden else seen_per_m(surface, costs)
    bare = not site.hidden and site.low and surface not in NEVER_EXPOSED
    loose, boxed, shared, bought = mixes.open, mixes.boxed, mixes.shared.T, mixes.bought.T
    parts: dict[str, NDArray[np.floating[Any]]] = dict.fromkeys(ROWS, np.zeros(len(loose)))
    parts["cable"] = weights.cable_per_m * (loose + boxed + shared.sum(axis=0))
    parts["seen"] = seen * _first_and_further(loose, 1.0, weights.beside)
    if bare:
        parts["exposed"] = weights.exposed_per_m * loose
    if surface is Surface.FLOOR and not site.hidden:
        trip = TRIP * costs.open_floor_per_m * _first_and_further(loose, 1.0, weights.beside)
        parts["exposed"] = parts["exposed"] + trip
    if surface is Surface.RADIATOR:
        parts["exposed"] = parts["exposed"] + weights.heated_per_m * (loose + shared.sum(axis=0))
    open_minutes = HIDDEN_MINUTES if site.hidden and surface not in PULLED else MINUTES_PER_M[surface]
    minutes = _first_and_further(loose, *open_minutes) + boxed * RACEWAY_MINUTES[1]
    for pieces, raceway in zip(bought, RACEWAYS, strict=True):
        parts["raceway"] = parts["raceway"] + pieces * costs.raceway_per_m * raceway.price_factor
        parts["seen"] = parts["seen"] + pieces * seen * weights.raceway_seen
        minutes = minutes + pieces * RACEWAY_MINUTES[0]
    for inside, conduit in zip(shared, site.conduits, strict=True):
        laid = LAID_MINUTES if conduit.kind == "raceway" else GAP_MINUTES
        minutes = minutes + _first_and_further(inside, *laid)
        if not conduit.existing:
            used = inside > 0
            parts["raceway"] = parts["raceway"] + used * costs.raceway_per_m
            parts["seen"] = parts["seen"] + used * seen * weights.raceway_seen
            minutes = minutes + used * RACEWAY_MINUTES[0]
    parts["minutes"] = minutes * (LADDER if site.overhead else 1.0)
    parts["labour"] = parts["minutes"] / 60 * costs.labour_per_hour
    return np.stack([parts[name] for name in ROWS])


def _first_and_further(count: Wholes, first: float, further: float) -> Floats:
    return np.where(count > 0, first + further * (count - 1), 0.0)


def _shares(n: int, capacities: tuple[int, ...]) -> list[tuple[int, ...]]:
    if not capacities:
        return [()]
    rest = _shares(n, capacities[1:])
    return [
        (first, *more)
        for first in range(min(n, capacities[0]) + 1)
        for more in rest
        if first + sum(more) <= n
    ]


def seen_per_m(surface: Surface, costs: Costs) -> float:
    """Return what a metre of cable in sight costs on a surface."""
    vertical = costs.vertical_per_m
    table = {
        Surface.SKIRTING: costs.skirting_per_m,
        Surface.RADIATOR: costs.skirting_per_m,
        Surface.CORNER: vertical,
        Surface.DOOR_FRAME: vertical,
        Surface.DOOR_HEAD: vertical,
        Surface.WINDOW_FRAME: vertical,
        Surface.WALL: vertical * WALL_FACTOR,
        Surface.CEILING_LINE: costs.ceiling_line_per_m,
        Surface.CEILING: costs.ceiling_line_per_m * WALL_FACTOR,
        Surface.FLOOR: costs.open_floor_per_m,
        Surface.THRESHOLD: costs.open_floor_per_m,
        Surface.STAND: costs.hidden_per_m,
        Surface.LEAD: costs.hidden_per_m,
    }
    return table.get(surface, 0.0)


WALL_FACTOR = 1.5
"""Across the face of a wall or ceiling a cable is seen this much more than along an edge: common practice."""
