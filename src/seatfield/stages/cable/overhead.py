"""Ways over the ceiling, inside hollow walls and through the attic, where what hangs there or the limits allow."""

from itertools import combinations, pairwise
from math import hypot

from seatfield.geometry.polygon import contains
from seatfield.geometry.segment import between
from seatfield.geometry.sight import stays_inside
from seatfield.model import Point, Point3
from seatfield.stages.cable.setting import End, Face, Setting
from seatfield.stages.cable.surfaces import Network, Stretch, Surface, milli
from seatfield.stages.cable.walls import Feet, ridges

ATTIC_ABOVE_M = 0.15
"""Cable in an attic lies this far above the ceiling's underside: boards and joists, a guess."""


def ceiling_feet(hung: tuple[End, ...], setting: Setting, feet: Feet) -> tuple[tuple[str, int, float], ...]:
    """Note where straight lines over the ceiling, square to a wall, meet its ceiling line; return who meets what."""
    met = []
    for end in hung:
        for number, face in enumerate(setting.faces):
            along, away = face.of(end.at[:2])
            foot = face.at(along, 0.0)[:2]
            if (
                0 < along < face.frame.length_m
                and away > 0
                and stays_inside(end.at[:2], foot, setting.room.floor)
            ):
                feet.ceiling.setdefault(number, set()).add(along)
                met.append((end.id, number, along))
    return tuple(met)


def lay_ceiling(
    network: Network, setting: Setting, hung: tuple[End, ...], met: tuple[tuple[str, int, float], ...]
) -> None:
    """Add the ways over the ceiling's face: from each device there to the walls, and from device to device."""
    nodes = {end.id: _ceiling_node(network, setting, end.at[:2]) for end in hung}
    for end in hung:
        device = network.node(("end", end.id), end.at)
        network.join(device, nodes[end.id], Surface.LEAD)
    for name, number, along in met:
        foot = network.numbers.get(("level", number, "ceiling", milli(along)))
        if foot is not None:
            _over(network, setting, nodes[name], foot, bends=1)
    for one, two in combinations(hung, 2):
        if stays_inside(one.at[:2], two.at[:2], setting.room.floor):
            _over(network, setting, nodes[one.id], nodes[two.id], bends=1)


def _ceiling_node(network: Network, setting: Setting, at: Point) -> int:
    return network.node(("ceiling", milli(at[0]), milli(at[1])), (*at, setting.ceiling_m(*at)))


def _over(network: Network, setting: Setting, u: int, v: int, *, bends: int) -> None:
    network.join(
        u, v, Surface.CEILING, _along_ceiling(network.points[u], network.points[v], setting), bends=bends
    )


def _along_ceiling(start: Point3, end: Point3, setting: Setting) -> tuple[Stretch, ...]:
    length = hypot(end[0] - start[0], end[1] - start[1])
    points = [start]
    for place in ridges(start, end, length, setting):
        x, y = between(start[:2], end[:2], place / length)
        points.append((x, y, setting.ceiling_m(x, y)))
    points.append(end)
    return tuple(Stretch(a, b) for a, b in pairwise(points))


def lay_hollow(
    network: Network, setting: Setting, feet: Feet, hung: tuple[End, ...]
) -> dict[str, tuple[int, ...]]:
    """Add the ways inside hollow walls, and through the attic, where holes are allowed.

    Returns
    -------
    dict
        For every loudspeaker on a hollow wall, the end of its own way inside it.
    """
    tops: list[int] = []
    entries: dict[str, tuple[int, ...]] = {}
    for number, face in enumerate(setting.faces):
        if not face.cavity:
            continue
        for along, z in sorted(feet.devices.get(number, ())):
            places = [network.numbers.get(_column_key(number, along, h)) for h in (0.0, z)]
            tops += _pulled(network, setting, face, number, along, [n for n in places if n is not None])
        for own in feet.own.get(number, ()):
            inside = network.node(("own", own.id, "inside"), face.at(own.along_m, own.z_m))
            tops += _pulled(network, setting, face, number, own.along_m, [inside])
            skirting = network.numbers.get(("level", number, "skirting", milli(own.along_m)))
            if skirting is not None:
                _inside(network, inside, skirting, holes=2)
            entries[own.id] = (inside,)
    if setting.attic is not None:
        _lay_attic(network, setting, hung, tops)
    return entries


def _pulled(
    network: Network, setting: Setting, face: Face, number: int, along_m: float, nodes: list[int]
) -> list[int]:
    """Add the ways from places on a wall up inside it, to ceiling line and attic; return the attic's node."""
    top = network.numbers.get(("level", number, "ceiling", milli(along_m)))
    for node in nodes:
        if top is not None:
            _inside(network, node, top, holes=2)
    x, y, _ = face.at(along_m, 0.0)
    if not _under_attic(setting, (x, y)):
        return []
    above = _attic_node(network, setting, (x, y))
    for node in nodes:
        _inside(network, node, above, holes=2)
    return [above]


def _column_key(number: int, along_m: float, z_m: float) -> tuple[object, ...]:
    return "column", (number, milli(along_m)), milli(z_m)


def _inside(network: Network, u: int, v: int, *, holes: int) -> None:
    stretch = Stretch(network.points[u], network.points[v], "inside the wall")
    network.join(u, v, Surface.CAVITY, (stretch,), holes=holes)


def _under_attic(setting: Setting, at: Point) -> bool:
    return setting.attic is not None and (not setting.attic.outline or contains(setting.attic.outline, at))


def _attic_node(network: Network, setting: Setting, at: Point) -> int:
    return network.node(("attic", milli(at[0]), milli(at[1])), (*at, setting.ceiling_m(*at) + ATTIC_ABOVE_M))


def _lay_attic(network: Network, setting: Setting, hung: tuple[End, ...], tops: list[int]) -> None:
    drilled = [end for end in hung if _under_attic(setting, end.at[:2])]
    for end in drilled:
        below, above = network.node(("end", end.id), end.at), _attic_node(network, setting, end.at[:2])
        tops.append(above)
        network.join(
            below,
            above,
            Surface.CAVITY,
            (Stretch(end.at, network.points[above], "through the ceiling"),),
            holes=1,
        )
    for one, two in combinations(dict.fromkeys(tops), 2):
        pair = network.points[one], network.points[two]
        network.join(one, two, Surface.ATTIC, (Stretch(*pair, "in the attic"),))
