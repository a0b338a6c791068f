"""Ways along the walls: skirting, ceiling line, corners, frames, door heads, and verticals at every device.

A wall is an axis. Level lines run along it, columns up it; where they cross, a cable may turn, at the cost of a bend.
What leads to a loudspeaker on the wall is its own: no other run takes that way, so that a loudspeaker more never makes
the others' runs cheaper.
"""

from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass, field
from itertools import pairwise

from seatfield.model import Opening, Point3
from seatfield.stages.cable.setting import Face, Setting, at_floor
from seatfield.stages.cable.surfaces import Conduit, Network, Stretch, Surface, milli

HAIR_M = 1e-6
RADIATOR_TOP_M = 0.8
"""Nothing is fixed on the wall behind a radiator from 5 cm above the floor up to this height: a guess.

The skirting below it is passed only where no other way is left: heat ages insulation (common practice, no source).
"""


@dataclass(slots=True)
class Column:
    """A vertical line on a wall or in a corner.

    Parameters
    ----------
    crossings
        Height and node of every level line that crosses it.
    cuts
        Heights at which something else joins it [m].
    fixed
        True where it stands whatever covers there are: ways along the wall to a loudspeaker start there.
    """

    key: Hashable
    wall: int
    along_m: float
    surface: Surface
    fixed: bool = True
    crossings: list[tuple[float, int]] = field(default_factory=list)
    cuts: set[float] = field(default_factory=set)


Upright = dict[int, tuple[float, Column]]
"""Columns of one wall by where they stand along it."""


@dataclass(frozen=True, slots=True)
class Own:
    """A loudspeaker on a wall: where the way of its own run meets the wall [m]."""

    id: str
    along_m: float
    z_m: float


@dataclass(slots=True)
class Feet:
    """Places along each wall where something else joins it [m].

    Parameters
    ----------
    skirting, ceiling
        Where ways over the floor and over the ceiling arrive.
    devices
        Amplifiers at the wall: place and height; their columns serve every run.
    own
        Loudspeakers on the wall.
    """

    skirting: dict[int, set[float]] = field(default_factory=dict)
    ceiling: dict[int, set[float]] = field(default_factory=dict)
    devices: dict[int, set[tuple[float, float]]] = field(default_factory=dict)
    own: dict[int, list[Own]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Level:
    """A line along a wall from low to high, at a height that may follow the ceiling."""

    name: Hashable
    low_m: float
    high_m: float
    z_m: Callable[[float], float]
    surface: Surface
    breaks: frozenset[float]
    conduits: tuple[tuple[float, float, Conduit], ...] = ()


def lay_walls(network: Network, setting: Setting, feet: Feet) -> dict[str, tuple[int, ...]]:
    """Add every way along the walls to the network.

    Returns
    -------
    dict
        For every loudspeaker on a wall, the ends of the ways that lead to it.
    """
    columns: dict[Hashable, Column] = {}
    walls = []
    for number, face in enumerate(setting.faces):
        upright = _columns(number, face, len(setting.faces), feet, columns)
        levels = tuple(_levels(number, face, setting, feet, upright))
        for level in levels:
            _lay_level(network, number, face, setting, level, upright)
        walls.append((face, upright, tuple(("level", number, level.name) for level in levels)))
        for own in feet.own.get(number, ()):
            for column in _neighbours(upright, own.along_m):
                column.cuts.add(own.z_m)
    for column in columns.values():
        _lay_column(network, setting, column)
    _turn_corners(network, setting)
    entries = {}
    for number, (face, upright, levels_here) in enumerate(walls):
        for own in feet.own.get(number, ()):
            lower_upper = _lay_own_column(network, face, own, levels_here)
            entries[own.id] = (*lower_upper, *_lay_own_level(network, face, setting, own, upright))
    return entries


def _neighbours(upright: Upright, along_m: float) -> list[Column]:
    """Return the nearest corner, frame or amplifier's column on either side of a place on a wall."""
    fixed = {along: column for along, column in upright.values() if column.fixed}
    before = [along for along in fixed if along < along_m - HAIR_M]
    after = [along for along in fixed if along > along_m + HAIR_M]
    return [fixed[max(before)]] * bool(before) + [fixed[min(after)]] * bool(after)


def _lay_own_column(
    network: Network, face: Face, own: Own, levels: tuple[tuple[Hashable, ...], ...]
) -> list[int]:
    """Add the ways straight down and up from a loudspeaker to the level lines; return their ends beside it."""
    met = [n for level in levels if (n := network.numbers.get((*level, milli(own.along_m)))) is not None]
    heights = {node: network.points[node][2] for node in met}
    entries = []
    lower = [n for n in met if heights[n] <= own.z_m]
    for side, nodes in (("below", lower), ("above", [n for n in met if n not in lower])):
        chain = sorted(nodes, key=lambda n: abs(heights[n] - own.z_m))
        first = last = network.node(("own", own.id, side, milli(own.z_m)), face.at(own.along_m, own.z_m))
        for node in chain:
            reached = _own_piece(network, face, own, side, last, heights[node])
            if reached is None:
                break
            last = reached
            network.join(last, node, Surface.BEND, bends=1)
        entries.append(first)
    return entries


def _own_piece(network: Network, face: Face, own: Own, side: str, start: int, z_m: float) -> int | None:
    """Lay a private vertical piece, parted where what hides it ends; None where something is in its way."""
    low, high = sorted((network.points[start][2], z_m))
    if _walled(face, own.along_m, low, high):
        return None
    beside = [h for h in face.hides if h.low_m <= own.along_m <= h.high_m]
    ends = {z for h in beside for z in (h.base_m, h.top_m) if low < z < high}
    stops = sorted({*ends, z_m}, reverse=network.points[start][2] > z_m)
    last = start
    for stop in stops:
        node = network.node(("own", own.id, side, milli(stop)), face.at(own.along_m, stop))
        bottom, top = sorted((stop, network.points[last][2]))
        hidden = face.hidden_by(own.along_m, own.along_m, top, bottom)
        network.join(last, node, Surface.WALL, (Stretch(network.points[last], network.points[node], hidden),))
        last = node
    return last


def _lay_own_level(network: Network, face: Face, setting: Setting, own: Own, upright: Upright) -> list[int]:
    """Add the ways along the wall from a loudspeaker to the corners or frames beside it; return their near ends."""
    entries = []
    for column in _neighbours(upright, own.along_m):
        there = next(along for along, other in upright.values() if other is column)
        end = network.numbers.get(("column", column.key, milli(own.z_m)))
        low, high = sorted((own.along_m, there))
        if end is None or _barred(face, setting, (low, high), own.z_m):
            continue
        start = network.node(("own", own.id, "beside", milli(there)), face.at(own.along_m, own.z_m))
        stretch = Stretch(network.points[start], network.points[end], face.hidden_by(low, high, own.z_m))
        network.join(start, end, Surface.WALL, (stretch,), bends=1)
        entries.append(start)
    return entries


def _barred(face: Face, setting: Setting, span: tuple[float, float], z_m: float) -> bool:
    low, high = span
    across = any(
        o.start_m < high - HAIR_M
        and o.start_m + o.width_m > low + HAIR_M
        and o.sill_m + HAIR_M < z_m < o.sill_m + o.height_m - HAIR_M
        for o in face.openings
    )
    under = min(_ceiling(face, setting, low), _ceiling(face, setting, high)) > z_m + HAIR_M
    return across or not under or _at_radiator(face, low, high, z_m)


def _columns(number: int, face: Face, walls: int, feet: Feet, columns: dict[Hashable, Column]) -> Upright:
    length = face.frame.length_m
    found: Upright = {}

    def stand(along: float, surface: Surface, key: Hashable, *, fixed: bool = True) -> None:
        if milli(along) not in found:
            column = Column(key, number, along, surface, fixed)
            found[milli(along)] = (along, columns.setdefault(key, column))

    stand(0.0, Surface.CORNER, ("corner", number))
    stand(length, Surface.CORNER, ("corner", (number + 1) % walls))
    places = [(o.start_m + d, _frame(o), True) for o in face.openings for d in (0.0, o.width_m)]
    places += [(along, Surface.WALL, True) for along, _ in sorted(feet.devices.get(number, ()))]
    raised = (along for a, b, z, _ in face.conduits if z > SKIRTING_TOP_M for along in (a, b))
    places += [(along, Surface.WALL, False) for along in raised]
    for along, surface, fixed in places:
        if HAIR_M < along < length - HAIR_M:
            stand(along, surface, (number, milli(along)), fixed=fixed)
    return found


def _frame(opening: Opening) -> Surface:
    return Surface.DOOR_FRAME if at_floor(opening) else Surface.WINDOW_FRAME


SKIRTING_TOP_M = 0.15
"""A raceway no higher than this counts as running along the skirting."""


def _levels(number: int, face: Face, setting: Setting, feet: Feet, upright: Upright) -> Iterable[Level]:
    length = face.frame.length_m
    edges = {x for h in face.hides if h.high_m > h.low_m for x in (h.low_m, h.high_m)}
    edges |= {min(max(x, 0.0), length) for stretch in face.radiators for x in stretch}
    low_conduits = tuple((a, b, c) for a, b, z, c in face.conduits if z <= SKIRTING_TOP_M)
    ends = {x for a, b, _ in low_conduits for x in (a, b)}
    near_sockets = {min(max(s + d, 0.0), length) for s in face.sockets for d in (-0.3, 0.3)}
    owned = {own.along_m for own in feet.own.get(number, ())}
    breaks = frozenset(edges | ends | near_sockets | owned | feet.skirting.get(number, set()))
    yield Level("skirting", 0.0, length, lambda _: 0.0, Surface.SKIRTING, breaks, low_conduits)
    above = frozenset(_ridges(face, setting) | owned | feet.ceiling.get(number, set()))
    yield Level("ceiling", 0.0, length, lambda s: _ceiling(face, setting, s), Surface.CEILING_LINE, above)
    for opening in face.openings:
        if at_floor(opening):
            yield _head(face, opening, frozenset(owned))
    places = [along for along, column in upright.values() if column.surface is not Surface.WALL]
    for along, z in sorted(feet.devices.get(number, ())):
        low = max((p for p in places if p < along - HAIR_M), default=along)
        high = min((p for p in places if p > along + HAIR_M), default=along)
        yield Level(milli(z), low, high, _flat(z), Surface.WALL, frozenset(owned))
    for low, high, z, conduit in face.conduits:
        if z > SKIRTING_TOP_M:
            yield Level(
                conduit.id, low, high, _flat(z), Surface.WALL, frozenset(owned), ((low, high, conduit),)
            )


def _flat(z_m: float) -> Callable[[float], float]:
    return lambda _: z_m


def _head(face: Face, opening: Opening, breaks: frozenset[float]) -> Level:
    top = opening.sill_m + opening.height_m
    low, high = max(0.0, opening.start_m), min(face.frame.length_m, opening.start_m + opening.width_m)
    return Level(opening.id, low, high, lambda _: top, Surface.DOOR_HEAD, breaks)


def _ceiling(face: Face, setting: Setting, along_m: float) -> float:
    x, y, _ = face.at(along_m, 0.0)
    return setting.ceiling_m(x, y)


def _ridges(face: Face, setting: Setting) -> set[float]:
    return set(ridges(face.at(0.0, 0.0), face.at(face.frame.length_m, 0.0), face.frame.length_m, setting))


def ridges(start: Point3, end: Point3, length_m: float, setting: Setting) -> list[float]:
    """Return where, along a straight line in plan, the ceiling passes from one plane to another [m]."""
    places = []
    for i, (a, b, c) in enumerate(setting.slopes):
        for d, e, f in setting.slopes[i + 1 :]:
            here = (a - d) * start[0] + (b - e) * start[1] + (c - f)
            there = (a - d) * end[0] + (b - e) * end[1] + (c - f)
            if here * there < 0:
                share = here / (here - there)
                x, y = start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])
                if a * x + b * y + c < setting.ceiling_m(x, y) + HAIR_M:
                    places.append(share * length_m)
    return sorted(places)


def _lay_level(
    network: Network, number: int, face: Face, setting: Setting, level: Level, upright: Upright
) -> None:
    crossing = {k: c for k, (s, c) in upright.items() if level.low_m - HAIR_M <= s <= level.high_m + HAIR_M}
    inner = {milli(b): b for b in level.breaks if level.low_m + HAIR_M < b < level.high_m - HAIR_M}
    places = {milli(level.low_m): level.low_m, milli(level.high_m): level.high_m} | inner
    places |= {key: upright[key][0] for key in crossing}
    if level.surface is Surface.SKIRTING:
        places = {key: along for key, along in places.items() if not in_doorway(face, along)}
    nodes: dict[int, int] = {}
    for key in sorted(places):
        z = level.z_m(places[key])
        if level.surface is not Surface.CEILING_LINE and z > _ceiling(face, setting, places[key]) - HAIR_M:
            continue
        nodes[key] = network.node(("level", number, level.name, key), face.at(places[key], z))
        if key in crossing:
            crossing[key].crossings.append((z, nodes[key]))
    for one, two in pairwise(sorted(places)):
        if one in nodes and two in nodes:
            _lay_piece(network, face, level, (places[one], places[two]), (nodes[one], nodes[two]))


def doorway(face: Face, along_m: float) -> tuple[float, ...]:
    """Return both frames, along the wall, of the opening that people walk through at a place; nothing where none is."""
    for o in face.openings:
        low, high = o.start_m, o.start_m + o.width_m
        if at_floor(o) and low + HAIR_M < along_m < high - HAIR_M:
            return tuple(place for place in (low, high) if 0 <= place <= face.frame.length_m)
    return ()


def in_doorway(face: Face, along_m: float) -> bool:
    """Tell whether a place along a wall lies inside an opening that people walk through."""
    return any(
        at_floor(o) and o.start_m + HAIR_M < along_m < o.start_m + o.width_m - HAIR_M for o in face.openings
    )


def _lay_piece(
    network: Network, face: Face, level: Level, span: tuple[float, float], nodes: tuple[int, int]
) -> None:
    low, high = span
    z = max(level.z_m(low), level.z_m(high))
    surface = level.surface
    opening = next(
        (o for o in face.openings if o.start_m < high - HAIR_M and o.start_m + o.width_m > low + HAIR_M), None
    )
    if opening is not None:
        top = opening.sill_m + opening.height_m
        if surface is Surface.SKIRTING:
            surface = Surface.THRESHOLD if at_floor(opening) else surface
        elif opening.sill_m + HAIR_M < z < top - HAIR_M or (
            surface is Surface.CEILING_LINE and z < top + HAIR_M
        ):
            return
    if surface is Surface.WALL and _at_radiator(face, low, high, z):
        return
    if surface is Surface.SKIRTING and _beside_radiator(face, low, high):
        surface = Surface.RADIATOR
    hidden = "" if surface is Surface.THRESHOLD else face.hidden_by(low, high, z)
    shared = tuple(c for a, b, c in level.conduits if a - HAIR_M <= low and high <= b + HAIR_M)
    start, end = (network.points[node] for node in nodes)
    network.join(
        *nodes, surface, (Stretch(start, end, hidden, shared if surface is not Surface.THRESHOLD else ()),)
    )


def _beside_radiator(face: Face, low_m: float, high_m: float) -> bool:
    return any(a < high_m - HAIR_M and b > low_m + HAIR_M for a, b in face.radiators)


def _at_radiator(face: Face, low_m: float, high_m: float, z_m: float) -> bool:
    return _beside_radiator(face, low_m, high_m) and 0.05 < z_m < RADIATOR_TOP_M


def _lay_column(network: Network, setting: Setting, column: Column) -> None:
    face = setting.faces[column.wall]
    beside = [hide for hide in face.hides if hide.low_m <= column.along_m <= hide.high_m]
    ends = {z for hide in beside for z in (hide.base_m, hide.top_m)} | set(_frame_ends(face, column.along_m))
    ceiling = _ceiling(face, setting, column.along_m)
    heights = sorted({z for z, _ in column.crossings} | {z for z in ends | column.cuts if 0 < z < ceiling})
    merged = [z for i, z in enumerate(heights) if i == 0 or z - heights[i - 1] > HAIR_M]
    for low, high in pairwise(merged):
        if _walled(face, column.along_m, low, high):
            continue
        u, v = (
            network.node(("column", column.key, milli(z)), face.at(column.along_m, z)) for z in (low, high)
        )
        hidden = face.hidden_by(column.along_m, column.along_m, high, low)
        surface = column.surface
        if surface in FRAMES:
            surface = _frame_at(face, column.along_m, low, high)
        network.join(u, v, surface, (Stretch(network.points[u], network.points[v], hidden),))
    for z, level_node in column.crossings:
        key = ("column", column.key, milli(z))
        if key in network.numbers:
            network.join(level_node, network.numbers[key], Surface.BEND, bends=1)


FRAMES = (Surface.DOOR_FRAME, Surface.WINDOW_FRAME)


def _framed(face: Face, along_m: float) -> list[Opening]:
    """Return the openings with a side at a place along the wall."""
    return [o for o in face.openings if any(abs(along_m - o.start_m - d) < HAIR_M for d in (0.0, o.width_m))]


def _frame_ends(face: Face, along_m: float) -> Iterable[float]:
    for o in _framed(face, along_m):
        yield from (o.sill_m, o.sill_m + o.height_m)


def _frame_at(face: Face, along_m: float, low_m: float, high_m: float) -> Surface:
    """Return what a vertical piece beside an opening follows: its frame from sill to head, else the bare wall."""
    for o in _framed(face, along_m):
        if low_m > o.sill_m - HAIR_M and high_m < o.sill_m + o.height_m + HAIR_M:
            return _frame(o)
    return Surface.WALL


def _walled(face: Face, along_m: float, low_m: float, high_m: float) -> bool:
    """Tell whether a vertical piece crosses an opening or lies behind a radiator."""
    for o in face.openings:
        inside = o.start_m + HAIR_M < along_m < o.start_m + o.width_m - HAIR_M
        if inside and low_m < o.sill_m + o.height_m - HAIR_M and high_m > o.sill_m + HAIR_M:
            return True
    behind = any(a < along_m < b for a, b in face.radiators)
    return behind and low_m < RADIATOR_TOP_M and high_m > 0.05


def _turn_corners(network: Network, setting: Setting) -> None:
    count = len(setting.faces)
    for number, face in enumerate(setting.faces):
        for name in ("skirting", "ceiling"):
            before = network.numbers.get(("level", number, name, milli(face.frame.length_m)))
            after = network.numbers.get(("level", (number + 1) % count, name, 0))
            if before is not None and after is not None:
                network.join(before, after, Surface.BEND, bends=1)
