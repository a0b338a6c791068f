"""Ways over the floor: between stands, the skirting at their feet, rugs and furniture, straight where one can look.

The floor is a plane that cables cross on straight lines between a few points: the foot of each stand, the nearest
places of the skirting, corners of rugs and furniture, ends of walkways. Lines that no cheapest route could use are left
out.
"""

from dataclasses import dataclass
from itertools import pairwise
from math import dist, hypot
from typing import Any

from seatfield.geometry.polygon import boundary_distance, bounds, centroid, contains, edges, encloses
from seatfield.geometry.segment import between, foot_fraction
from seatfield.geometry.sight import cut_fractions
from seatfield.model import Cover, CoverKind, Furniture, Outline, Point, Point3
from seatfield.stages.cable.setting import End, Setting, at_floor, carries, passable
from seatfield.stages.cable.surfaces import Network, Stretch, Surface, milli
from seatfield.stages.cable.walls import Feet, doorway, in_doorway

WALLS_TRIED = 3
"""The skirting is met at the feet of perpendiculars on this many nearest walls."""

UNDER_RUG = "under rug"

SLIVER_M = 0.05
"""A shorter gap between two covers, or between a cover and a wall, is not worth telling."""

APPROACH_M = 1.0
"""People walk straight through a doorway for this far: a walkway that need not be told."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A point of the floor; `wall` where it lies on a skirting, `end` where something stands there."""

    at: Point
    wall: int | None = None
    along_m: float = 0.0
    end: End | None = None


@dataclass(frozen=True, slots=True)
class Hidden:
    """An area of the floor where a cable is not seen."""

    outline: Outline
    words: str


def standing(ends: tuple[End, ...], setting: Setting) -> tuple[Spot, ...]:
    """Return the floor under every end that stands inside the room."""
    return tuple(Spot(end.at[:2], end=end) for end in ends if contains(setting.room.floor, end.at[:2]))


def spots(stands: tuple[Spot, ...], setting: Setting, grid_m: float | None = None) -> tuple[Spot, ...]:
    """Return every point that floor ways run between.

    Parameters
    ----------
    stands
        Under the ends that reach the floor.
    setting
        The room.
    grid_m
        Where given, a square grid of points is added, and its points' feet on every wall: a check on the few points
        that are used else [m].

    Notes
    -----
    A way from a stand meets the skirting square, as a tape would: slanting it saves about one hundredth of its cost.
    """
    free = [Spot(point) for point in _corners(setting)] + [
        s for stand in stands for s in _nearest_hidden(stand, setting)
    ]
    free = [spot for spot in free if contains(setting.room.floor, spot.at)]
    if grid_m is not None:
        free += _grid(setting, grid_m)
    tried = WALLS_TRIED if grid_m is None else len(setting.faces)
    feet = [foot for spot in (*stands, *free) for foot in _feet(spot, setting, tried)]
    corners = [
        Spot(face.frame.start, number, 0.0)
        for number, face in enumerate(setting.faces)
        if not in_doorway(face, 0.0)
    ]
    return _distinct((*stands, *free, *feet, *corners))


def _corners(setting: Setting) -> list[Point]:
    points: list[Point] = []
    for cover in setting.room.covers:
        if cover.kind is CoverKind.RUG and cover.outline:
            ring = (*cover.outline, cover.outline[0])
            points += [*cover.outline, *(between(a, b, 0.5) for a, b in pairwise(ring))]
    for piece in setting.room.furniture:
        points += piece.outline if passable(piece) else _grown(piece.outline)
    for area in setting.limits.keep_out:
        points += _grown(area.outline)
    for walkway in setting.limits.walkways:
        points += (
            [_beyond(walkway[1], walkway[0]), _beyond(walkway[-2], walkway[-1])] if len(walkway) > 1 else []
        )
    return points


def _grown(outline: Outline, by_m: float = 0.01) -> list[Point]:
    if len(outline) < 3:
        return []
    x, y = centroid(outline)
    return [(px + by_m * (1 if px > x else -1), py + by_m * (1 if py > y else -1)) for px, py in outline]


def _beyond(start: Point, end: Point, by_m: float = 0.05) -> Point:
    length = hypot(end[0] - start[0], end[1] - start[1])
    return between(start, end, 1 + by_m / length) if length > 0 else end


def _grid(setting: Setting, grid_m: float) -> list[Spot]:
    west, south, east, north = bounds(setting.room.floor)
    across, up = (int((high - low) / grid_m) + 1 for low, high in ((west, east), (south, north)))
    points = ((west + i * grid_m, south + j * grid_m) for i in range(across) for j in range(up))
    return [
        Spot(p)
        for p in points
        if encloses(setting.room.floor, p) and boundary_distance(setting.room.floor, p) > 0.01
    ]


def _feet(spot: Spot, setting: Setting, walls_tried: int) -> list[Spot]:
    """Return the places of the nearest walls' skirtings square to a point, or the frames of a doorway that is there."""
    tried: list[tuple[float, list[Spot]]] = []
    for number, face in enumerate(setting.faces):
        along, away = face.of(spot.at)
        if away >= -1e-9 and 0 < along < face.frame.length_m:
            places = doorway(face, along) or (along,)
            tried.append((away, [Spot(face.at(place, 0.0)[:2], number, place) for place in places]))
    tried.sort(key=lambda pair: pair[0])
    return [foot for _, feet in tried[:walls_tried] for foot in feet]


def _nearest_hidden(stand: Spot, setting: Setting) -> list[Spot]:
    """Return the point of every rug and every piece that a cable passes below that is nearest to a stand."""
    points = []
    for hidden in hidden_areas(setting):
        if not contains(hidden.outline, stand.at):
            feet = [between(a, b, foot_fraction(stand.at, a, b)) for a, b in edges(hidden.outline)]
            points.append(Spot(min(feet, key=lambda foot: dist(foot, stand.at))))
    return points


def _distinct(found: tuple[Spot, ...]) -> tuple[Spot, ...]:
    seen: dict[tuple[object, ...], Spot] = {}
    for spot in found:
        key = (milli(spot.at[0]), milli(spot.at[1]), spot.wall, spot.end and spot.end.id)
        seen.setdefault(key, spot)
    return tuple(seen.values())


def skirting_feet(found: tuple[Spot, ...], feet: Feet) -> None:
    """Note the places on the skirting where floor ways arrive."""
    for spot in found:
        if spot.wall is not None:
            feet.skirting.setdefault(spot.wall, set()).add(spot.along_m)


@dataclass(frozen=True, slots=True)
class FloorLines:
    """Straight ways that may be laid, as arrays of one length.

    Parameters
    ----------
    one, two
        Places in the list of spots.
    length_m, hidden_m
        Length, and how much of it is hidden [m].
    walkways, bends
        How many it crosses, and how often it turns off a skirting.
    """

    one: Any
    two: Any
    length_m: Any
    hidden_m: Any
    walkways: Any
    bends: Any


def sight_lines(found: tuple[Spot, ...], setting: Setting) -> FloorLines:
    """Return every straight way between two spots that stays inside the room and clear of what blocks it.

    Two spots of the same skirting are not joined: the skirting joins them.
    """
    import numpy as np
    import shapely

    at = np.array([spot.at for spot in found], dtype=float).reshape(-1, 2)
    wall = np.array([-1 if spot.wall is None else spot.wall for spot in found])
    one, two = np.triu_indices(len(found), 1)
    apart = np.hypot(*(at[one] - at[two]).T) > 1e-4
    keep = apart & ((wall[one] < 0) | (wall[one] != wall[two]))
    one, two = one[keep], two[keep]
    lines = shapely.linestrings(np.stack([at[one], at[two]], axis=1))
    keep = _clear(lines, one, two, found, setting)
    one, two, lines = one[keep], two[keep], lines[keep]
    hidden = shapely.length(shapely.intersection(lines, _hidden_area(setting)))
    for place, spot in enumerate(found):
        if spot.end is not None and any(
            carries(p, spot.end) and not passable(p) for p in setting.room.furniture
        ):
            mine = (one == place) | (two == place)
            hidden[mine] = shapely.length(shapely.intersection(lines[mine], _hidden_area(setting, spot.end)))
    bends = (wall[one] >= 0).astype(int) + (wall[two] >= 0)
    return FloorLines(one, two, shapely.length(lines), hidden, _crossed(lines, setting), bends)


def _clear(lines: Any, one: Any, two: Any, found: tuple[Spot, ...], setting: Setting) -> Any:
    import numpy as np
    import shapely

    room = shapely.Polygon(setting.room.floor).buffer(1e-6)
    shapely.prepare(room)
    keep = shapely.covers(room, lines)
    for piece in setting.room.furniture:
        if passable(piece):
            continue
        solid = _shape(piece.outline).buffer(-0.005)
        on = [place for place, spot in enumerate(found) if spot.end is not None and carries(piece, spot.end)]
        keep &= ~shapely.intersects(solid, lines) | np.isin(one, on) | np.isin(two, on)
    for area in setting.limits.keep_out:
        inner = _shape(area.outline).buffer(-0.005)
        inside = [place for place, spot in enumerate(found) if spot.end and contains(area.outline, spot.at)]
        keep &= ~shapely.intersects(inner, lines) | np.isin(one, inside) | np.isin(two, inside)
    return keep


def _shape(outline: Outline) -> Any:
    """Return an outline as an area, empty where it encloses nothing; the survey says so where it crosses itself."""
    import shapely

    return shapely.Polygon(outline).buffer(0) if len(outline) > 2 else shapely.Polygon()


def hidden_areas(setting: Setting, end: End | None = None) -> tuple[Hidden, ...]:
    """Return where the floor hides a cable: rugs, furniture that a cable passes under, and what an end stands on."""
    rugs = [Hidden(c.outline, under_rug(c)) for c in setting.room.covers if c.kind is CoverKind.RUG]
    under = [Hidden(p.outline, f"below {p.name}") for p in setting.room.furniture if _hides(p, end)]
    return tuple(hidden for hidden in (*rugs, *under) if len(hidden.outline) > 2)


def under_rug(rug: Cover) -> str:
    """Return how a rug hides a cable, in words; they begin with `UNDER_RUG` whatever its name."""
    return f"under {rug.id}" if rug.id.startswith("rug") else f"{UNDER_RUG} {rug.id}"


def _hides(piece: Furniture, end: End | None) -> bool:
    return passable(piece) or (end is not None and carries(piece, end))


def _hidden_area(setting: Setting, end: End | None = None) -> Any:
    import shapely

    return shapely.union_all([_shape(area.outline) for area in hidden_areas(setting, end)])


def walkways(setting: Setting) -> list[tuple[Point, ...]]:
    """Return where people walk: as told, and straight through every doorway."""
    told = [walkway for walkway in setting.limits.walkways if len(walkway) > 1]
    for face in setting.faces:
        for opening in face.openings:
            if at_floor(opening):
                (x, y, _), (nx, ny) = face.at(opening.start_m + opening.width_m / 2, 0.0), face.frame.inward
                told.append(((x + 0.02 * nx, y + 0.02 * ny), (x + APPROACH_M * nx, y + APPROACH_M * ny)))
    return told


def _crossed(lines: Any, setting: Setting) -> Any:
    import numpy as np
    import shapely

    count = np.zeros(len(lines), dtype=int)
    for walkway in walkways(setting):
        path = shapely.LineString(walkway)
        meets = shapely.intersects(path, lines)
        count[meets] += np.maximum(1, shapely.get_num_geometries(shapely.intersection(lines[meets], path)))
    return count


def stretches(one: Spot, two: Spot, setting: Setting) -> tuple[Stretch, ...]:
    """Return the pieces of a floor way, seen and hidden."""
    areas = {a.words: a for end in (one.end, two.end, None) for a in hidden_areas(setting, end)}
    cuts = sorted({0.0, 1.0, *(c for a in areas.values() for c in cut_fractions(one.at, two.at, a.outline))})
    pieces: list[Stretch] = []
    for low, high in pairwise(cuts):
        if high - low < 1e-9:
            continue
        middle = between(one.at, two.at, (low + high) / 2)
        words = next((a.words for a in areas.values() if contains(a.outline, middle)), "")
        start, end = _on_floor(between(one.at, two.at, low)), _on_floor(between(one.at, two.at, high))
        sliver = dist(start, end) < SLIVER_M and not (one.at == start[:2] and two.at == end[:2])
        if pieces and (pieces[-1].hidden_by == words or sliver):
            pieces[-1] = Stretch(pieces[-1].start, end, pieces[-1].hidden_by)
        elif pieces and pieces[-1].length_m < SLIVER_M:
            pieces[-1] = Stretch(pieces[-1].start, end, words)
        else:
            pieces.append(Stretch(start, end, words))
    return tuple(pieces)


def _on_floor(point: Point) -> Point3:
    return point[0], point[1], 0.0


def node_of(network: Network, spot: Spot) -> int:
    """Return the network's node for a spot."""
    if spot.wall is not None:
        return network.node(("level", spot.wall, "skirting", milli(spot.along_m)), _on_floor(spot.at))
    return network.node(("floor", milli(spot.at[0]), milli(spot.at[1])), _on_floor(spot.at))


def lay_floor_way(network: Network, one: Spot, two: Spot, walkways: int, setting: Setting) -> None:
    """Add one floor way to the network."""
    u, v = node_of(network, one), node_of(network, two)
    bends = (one.wall is not None) + (two.wall is not None)
    network.join(u, v, Surface.FLOOR, stretches(one, two, setting), bends=bends, walkways=walkways)
