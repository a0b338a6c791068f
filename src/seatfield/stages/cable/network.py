"""The whole network of a room: walls, floor, ceiling, hollow walls and the ends of every run."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from seatfield.geometry.polygon import contains
from seatfield.stages.cable import floor, overhead
from seatfield.stages.cable.mains import measure_mains
from seatfield.stages.cable.setting import End, Hide, Setting, carries, hangs, wall_behind
from seatfield.stages.cable.surfaces import Network, Stretch, Surface, milli
from seatfield.stages.cable.walls import Feet, Own, lay_walls

if TYPE_CHECKING:
    from seatfield.stages.cable.tariff import Tariff

UNDER_CEILING_M = 0.02
NO_WAY = 1e9


@dataclass(frozen=True, slots=True)
class Joined:
    """The network with the node of every end that could be joined to it."""

    network: Network
    ends: dict[str, int]


def build(
    setting: Setting, ends: tuple[End, ...], tariff: "Tariff", *, grid_m: float | None = None
) -> Joined:
    """Lay the network of a room.

    Parameters
    ----------
    setting
        The room.
    ends
        Amplifier, loudspeakers and subwoofers, each with its place.
    tariff
        What ways cost; floor ways that no cheapest layout needs are left out.
    grid_m
        Where given, the floor also gets a square grid of points: slow, a check on the usual network [m].

    Returns
    -------
    Joined
        Nodes and ways, and each end's node; an end outside the room has none.
    """
    inside = tuple(end for end in ends if contains(setting.room.floor, end.at[:2]))
    hung = tuple(end for end in inside if hangs(end, setting))
    backed = {end.id: place for end in inside if end not in hung and (place := wall_behind(end, setting))}
    stands = floor.standing(tuple(end for end in inside if end not in hung and end.id not in backed), setting)
    feet = _feet(setting, inside, backed)
    found = floor.spots(stands, setting, grid_m)
    floor.skirting_feet(found, feet)
    met = overhead.ceiling_feet(hung, setting, feet)
    setting = _behind_boxes(setting, inside, backed)
    network = Network()
    entries = lay_walls(network, setting, feet)
    overhead.lay_ceiling(network, setting, hung, met)
    hollow = overhead.lay_hollow(network, setting, feet, hung)
    _join_amplifiers(network, setting, inside, backed)
    _join_own(
        network, setting, inside, {name: (*nodes, *hollow.get(name, ())) for name, nodes in entries.items()}
    )
    _join_stands(network, setting, stands)
    _lay_floor(network, setting, found, tariff)
    measure_mains(network, setting.limits.mains_cables)
    return Joined(
        network,
        {end.id: network.numbers["end", end.id] for end in inside if ("end", end.id) in network.numbers},
    )


def _behind_boxes(
    setting: Setting, ends: tuple[End, ...], backed: dict[str, tuple[int, float, float]]
) -> Setting:
    """Return the room with what the boxes on furniture hide: the wall straight behind each, up to its middle."""
    hides: dict[int, list[Hide]] = {}
    for end in ends:
        on = next((p for p in setting.room.furniture if carries(p, end)), None)
        if end.id in backed and on is not None:
            number, along, _ = backed[end.id]
            hides.setdefault(number, []).append(Hide(along, along, end.at[2], f"behind {on.name}"))
    faces = tuple(replace(f, hides=(*f.hides, *hides.get(n, ()))) for n, f in enumerate(setting.faces))
    return replace(setting, faces=faces)


def _below_ceiling(setting: Setting, number: int, along_m: float, z_m: float) -> float:
    x, y, _ = setting.faces[number].at(along_m, 0.0)
    return min(max(z_m, 0.0), setting.ceiling_m(x, y) - UNDER_CEILING_M)


def _feet(setting: Setting, ends: tuple[End, ...], backed: dict[str, tuple[int, float, float]]) -> Feet:
    feet = Feet()
    for end in ends:
        if end.id in backed:
            number, along, _ = backed[end.id]
            z = _below_ceiling(setting, number, along, end.at[2])
            if end.source:
                feet.devices.setdefault(number, set()).add((along, z))
            else:
                feet.own.setdefault(number, []).append(Own(end.id, along, z))
    return feet


def _join_amplifiers(
    network: Network, setting: Setting, ends: tuple[End, ...], backed: dict[str, tuple[int, float, float]]
) -> None:
    for end in ends:
        if end.source and end.id in backed:
            number, along, _ = backed[end.id]
            face = setting.faces[number]
            z = _below_ceiling(setting, number, along, end.at[2])
            level = network.numbers.get(("level", number, milli(z), milli(along)))
            if level is not None:
                device = network.node(("end", end.id), end.at)
                column = network.numbers.get(("column", (number, milli(along)), milli(z)), level)
                words = face.hidden_by(along, along, z)
                network.join(device, column, Surface.LEAD, (Stretch(end.at, network.points[column], words),))


def _join_own(
    network: Network, setting: Setting, ends: tuple[End, ...], entries: dict[str, tuple[int, ...]]
) -> None:
    for end in ends:
        on = next((p.name for p in setting.room.furniture if carries(p, end)), "")
        for entry in entries.get(end.id, ()):
            device = network.node(("end", end.id), end.at)
            stretch = Stretch(end.at, network.points[entry], f"behind {on}" if on else "")
            network.join(device, entry, Surface.LEAD, (stretch,), entry=True)


def _join_stands(network: Network, setting: Setting, stands: tuple[floor.Spot, ...]) -> None:
    for spot in stands:
        if spot.end is not None:
            device, foot = network.node(("end", spot.end.id), spot.end.at), floor.node_of(network, spot)
            on = next((p.name for p in setting.room.furniture if carries(p, spot.end)), "")
            words = f"behind {on}" if on else ""
            network.join(device, foot, Surface.STAND, (Stretch(spot.end.at, network.points[foot], words),))


def _lay_floor(network: Network, setting: Setting, found: tuple[floor.Spot, ...], tariff: "Tariff") -> None:
    """Add the floor ways that a cheapest layout could use.

    A floor way is left out where, for every number of cables, taking them all off it and leading them another way costs
    no more, whatever that way carries already: no layout needs it.
    """
    lines = floor.sight_lines(found, setting)
    nodes = np.array([floor.node_of(network, spot) for spot in found], dtype=int)
    ways = list(network.ways.values())
    tables = _greatest_additions(np.stack([tariff.cost(way) for way in ways]))
    tables[[way.entry for way in ways], 1:] += NO_WAY  # nobody goes round through a loudspeaker
    prices = tariff.floor_costs(lines)
    u = np.concatenate([[way.u for way in ways], nodes[lines.one]]).astype(int)
    v = np.concatenate([[way.v for way in ways], nodes[lines.two]]).astype(int)
    ends = nodes[lines.one], nodes[lines.two]
    wanted = np.zeros(len(lines.one), dtype=bool)
    for load in range(1, tariff.cables + 1):
        cost = np.concatenate([tables[:, load], prices[:, load]])
        dearest = 1e-3 + 1.001 * float(prices[:, load].max(initial=0.0))
        wanted |= prices[:, load] <= _around(u, v, cost, ends, dearest) * (1 + 1e-9) + 1e-6
    for place in np.flatnonzero(wanted):
        one, two = found[lines.one[place]], found[lines.two[place]]
        floor.lay_floor_way(network, one, two, int(lines.walkways[place]), setting)


def _greatest_additions(tables: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return, for every way and number of cables, the most that so many more cables can add to what it carries."""
    most = tables.copy()
    for more in range(1, tables.shape[1]):
        most[:, more] = (tables[:, more:] - tables[:, : tables.shape[1] - more]).max(axis=1)
    return most


def _around(
    u: NDArray[np.intp],
    v: NDArray[np.intp],
    cost: NDArray[np.float64],
    ends: tuple[NDArray[np.intp], NDArray[np.intp]],
    limit: float,
) -> NDArray[np.float64]:
    """Return the cost of the cheapest way between pairs of nodes, over all edges; infinite where beyond a limit."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import dijkstra

    keep = _cheapest_of_parallel(u, v, cost)
    count = int(max(u.max(), v.max())) + 1
    graph = coo_array((cost[keep] + 1e-9, (u[keep], v[keep])), shape=(count, count)).tocsr()
    sources = np.unique(ends[0])
    distance = dijkstra(graph, directed=False, indices=sources, limit=limit)
    around: NDArray[np.float64] = distance[np.searchsorted(sources, ends[0]), ends[1]]
    return around


def _cheapest_of_parallel(
    u: NDArray[np.intp], v: NDArray[np.intp], cost: NDArray[np.float64]
) -> NDArray[np.intp]:
    low, high = np.minimum(u, v), np.maximum(u, v)
    order = np.lexsort((cost, high, low))
    first = np.ones(len(order), dtype=bool)
    first[1:] = (np.diff(low[order]) != 0) | (np.diff(high[order]) != 0)
    return order[first]
