"""Routes chosen together on the network, and their stretches told as legs."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from itertools import pairwise
from math import dist

import numpy as np

from seatfield.model import Point3
from seatfield.routing import Design, Effort, design
from seatfield.stages.cable.network import NO_WAY, Joined
from seatfield.stages.cable.result import Cost, Leg
from seatfield.stages.cable.surfaces import Stretch, Surface, Way
from seatfield.stages.cable.tariff import PARTS, ROWS, Floats, Tariff

WHOLE = Effort(flows=1000)
"""The effort that a plan's own routes get; the exact model of a room's tables is easier than others of its size."""

ALL_GROUPS = Effort(starts=6, combined=0, retreats=40, flows=700)
"""The effort of the bound for all groups together."""


@dataclass(frozen=True, slots=True)
class Wire:
    """A run to be routed: its id, and the ids of both its ends in the network."""

    id: str
    source: str
    target: str


@dataclass(frozen=True, slots=True)
class Routed:
    """Routes as ways in order from the amplifier, the load of every way, and what it costs.

    Parameters
    ----------
    ways
        For each run its ways, each with whether it is followed from u to v.
    loads
        Cables on each way that carries any.
    cost, hours
        By the weights that costs are told by, and the work behind it [h].
    bound
        No routes on this network cost less, by the weights that they are chosen by.
    exact
        True where cost and bound meet.
    """

    ways: dict[str, tuple[tuple[Way, bool], ...]]
    loads: dict[tuple[int, int], int]
    cost: Cost
    hours: float
    bound: float
    exact: bool


def route(
    joined: Joined,
    wires: Sequence[Wire],
    tariff: Tariff,
    *,
    seed: int = 0,
    effort: Effort = WHOLE,
    exact: bool = False,
) -> Routed:
    """Choose routes for all runs together.

    Parameters
    ----------
    joined
        The network with its ends.
    wires
        Runs whose ends are both joined.
    tariff
        What ways cost.
    seed, effort, exact
        For the search; with `exact` it goes on until cost and bound meet, however long that takes.

    Returns
    -------
    Routed
        Where every run starts at one place, near the cheapest with a proven bound. Where amplifiers stand apart, their
        runs are chosen group by group, the largest first and once more at the end, each over what the others have laid;
        the bound is then that of a network in which every run may end at any amplifier, which can only be cheaper.
    """
    ways = list(joined.network.ways.values())
    tables = [tariff.cost(way) for way in ways]
    toll = _toll(joined, wires, ways, tables)
    tolled = [
        table + toll * np.arange(len(table)) if way.entry else table
        for way, table in zip(ways, tables, strict=True)
    ]
    entered = {node for way in ways if way.entry for node in (way.u, way.v)}
    paid = toll * sum(joined.ends[wire.target] in entered for wire in wires)
    of_sink = Counter(joined.ends[wire.source] for wire in wires)
    sinks = [sink for sink, _ in of_sink.most_common()]
    again = sinks[:1] * (len(sinks) > 1 and effort == WHOLE)
    alone = effort if len(sinks) == 1 else replace(effort, growths=0)  # a group's own bound bounds nothing
    laid: dict[int, Design] = {}
    for sink in (*sinks, *again):
        others = sum(
            (np.array(design.loads) for other, design in laid.items() if other != sink),
            np.zeros(len(ways), int),
        )
        edges = [
            (way.u, way.v, (table[load:] - table[load]).tolist())
            for way, table, load in zip(ways, tolled, others.tolist(), strict=True)
        ]
        ends = [joined.ends[wire.target] for wire in wires if joined.ends[wire.source] == sink]
        laid[sink] = design(edges, ends, sink, seed=seed, effort=alone, exact=exact and len(sinks) == 1)
    loads = sum((np.array(design.loads) for design in laid.values()), np.zeros(len(ways), int))
    found = {}
    for sink, group in laid.items():
        mine = (wire for wire in wires if joined.ends[wire.source] == sink)
        found.update(
            {wire.id: _from_amplifier(joined, nodes) for wire, nodes in zip(mine, group.routes, strict=True)}
        )
    bound, proved = laid[sinks[0]].bound - paid, laid[sinks[0]].proved
    if len(sinks) > 1:
        bound, proved = (_relaxed(joined, wires, ways, tolled, seed) - paid if effort.growths else 0.0), False
    found = {wire.id: found[wire.id] for wire in wires}
    told = sum(
        (tariff.told(w)[:, n] for w, n in zip(ways, loads.tolist(), strict=True) if n), np.zeros(len(ROWS))
    )
    cost = cost_of(told)
    own = float(sum(table[n] for table, n in zip(tables, loads.tolist(), strict=True)))
    carried = {(min(w.u, w.v), max(w.u, w.v)): n for w, n in zip(ways, loads.tolist(), strict=True) if n}
    proved = proved or own <= bound + 1e-9
    # Told part by part the same cost is summed in another order, and a bound is not above it by a rounding either.
    least = min(own, cost.total) if tariff.told_by is tariff.weights else own
    return Routed(found, carried, cost, float(told[-1]) / 60, max(0.0, min(bound, least)), proved)


def _toll(joined: Joined, wires: Sequence[Wire], ways: list[Way], tables: list[Floats]) -> float:
    """Return a price of entering a loudspeaker on a wall that no run pays to pass through another's.

    It is more than any run costs alone; each run to such a loudspeaker pays it once, so it changes no choice.
    """
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import dijkstra

    count = len(joined.network.points)
    cost = np.array([table[1] + NO_WAY * way.entry for way, table in zip(ways, tables, strict=True)]) + 1e-9
    u, v = (np.array([getattr(way, end) for way in ways]) for end in ("u", "v"))
    sinks = sorted({joined.ends[wire.source] for wire in wires})
    distance = dijkstra(
        coo_array((cost, (u, v)), shape=(count, count)).tocsr(), directed=False, indices=sinks
    )
    reached = distance[:, [joined.ends[wire.target] for wire in wires]]
    return float(1 + (reached % NO_WAY).max())


def _relaxed(
    joined: Joined, wires: Sequence[Wire], ways: list[Way], tables: list[Floats], seed: int
) -> float:
    anywhere = len(joined.network.points)
    edges = [(way.u, way.v, table.tolist()) for way, table in zip(ways, tables, strict=True)]
    sinks = dict.fromkeys(joined.ends[wire.source] for wire in wires)
    edges += [(sink, anywhere, [0.0] * (len(wires) + 1)) for sink in sinks]
    ends = [joined.ends[wire.target] for wire in wires]
    return design(edges, ends, anywhere, seed=seed, effort=ALL_GROUPS).bound


def _from_amplifier(joined: Joined, nodes: Sequence[int]) -> tuple[tuple[Way, bool], ...]:
    steps = []
    for one, two in pairwise(reversed(nodes)):
        way = joined.network.way(one, two)
        steps.append((way, way.u == one))
    return tuple(steps)


def cost_of(parts: Floats) -> Cost:
    """Return a column of rows by name."""
    amounts = dict(zip(PARTS, (float(p) for p in parts[: len(PARTS)]), strict=True))
    return Cost(sum(amounts.values()), **amounts)


assert tuple(f.name for f in fields(Cost))[1:] == PARTS


def pieces_of(way: Way, forward: bool) -> tuple[Stretch, ...]:  # noqa: FBT001
    """Return the stretches of a way in the order and direction in which they are followed."""
    if forward:
        return way.stretches
    return tuple(Stretch(s.end, s.start, s.hidden_by, s.conduits) for s in reversed(way.stretches))


def legs_of(steps: tuple[tuple[Way, bool], ...], covers: dict[tuple[int, int], str]) -> tuple[Leg, ...]:
    """Return a run's stretches, neighbours of one kind put together.

    Parameters
    ----------
    steps
        Ways from the amplifier, each with its direction.
    covers
        What the run lies in along a way, where that is a raceway or a gap.

    Returns
    -------
    tuple
        Legs in order; ways of no length are left out.
    """
    legs: list[Leg] = []
    for way, forward in steps:
        cover = covers.get((min(way.u, way.v), max(way.u, way.v)), "")
        for stretch in pieces_of(way, forward):
            if stretch.length_m > 1e-9:
                _append(legs, way.surface, stretch, cover or stretch.hidden_by)
    return tuple(legs)


def _append(legs: list[Leg], surface: Surface, stretch: Stretch, cover: str) -> None:
    hidden = bool(stretch.hidden_by) or cover in HIDING
    leg = Leg(str(surface), (stretch.start, stretch.end), stretch.length_m, hidden, stretch.overhead, cover)
    last = legs[-1] if legs else None
    if last and (last.surface, last.cover, last.overhead) == (leg.surface, leg.cover, leg.overhead):
        path = straightened((*last.path, *leg.path[1:]))
        legs[-1] = Leg(leg.surface, path, last.length_m + leg.length_m, hidden, leg.overhead, cover)
    else:
        legs.append(leg)


HIDING = ("skirting gap",)
"""Covers in which nobody sees a cable; a raceway on the wall is seen."""


def path_of(legs: tuple[Leg, ...]) -> tuple[Point3, ...]:
    """Return a run's path without points that lie on a straight line."""
    return straightened(tuple(point for leg in legs for point in leg.path))


def straightened(points: tuple[Point3, ...]) -> tuple[Point3, ...]:
    """Return points without repeats and without those on the straight line between their neighbours."""
    kept: list[Point3] = []
    for point in points:
        if kept and dist(kept[-1], point) < 1e-9:
            continue
        while len(kept) > 1 and _between(kept[-2], kept[-1], point):
            kept.pop()
        kept.append(point)
    return tuple(kept)


def _between(a: Point3, b: Point3, c: Point3) -> bool:
    return dist(a, b) + dist(b, c) - dist(a, c) < 1e-9
