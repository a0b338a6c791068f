"""The room as its bass feels it: the floor with what lies behind archways, the ceiling, and every surface's loss."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from seatfield.acoustics import Boundary, FloorPatch, WallPatch
from seatfield.geometry.ceiling import Slope, height, volume_below
from seatfield.model import Furniture, Opening, OpeningKind, Point3, Treatment
from seatfield.stages.bass.priors import (
    BANDS_HZ,
    OPEN,
    absorption_row,
    admittances,
    named_row,
    sheet_admittances,
)
from seatfield.stages.survey import Survey, WallFrame, top_m, wall_name

Floats = NDArray[np.float64]
Plane3 = tuple[Point3, Point3, Point3]

SLOT_M = 0.10
"""Thickness of the wall that an archway goes through: common practice, no source [m]."""
FLAT_M = 0.03
LEAST_M = 0.02
FAR_M, LOWEST_M = 0.7, 0.3
"""A space further behind its archway, or with its ceiling lower, is not joined to the room [m]."""
NEAR_M = 0.011


@dataclass(frozen=True, slots=True)
class Shell:
    """The room as its bass feels it.

    Parameters
    ----------
    floor
        The room's floor, with the spaces behind archways.
    ceiling
        Height of a flat ceiling [m], or three points on each plane, shape (planes, 3, 3) [m].
    boundary, opened
        Admittances of all surfaces; the same with every door open.
    volume_m3
        With the spaces behind archways.
    unknown
        Surfaces whose finish the file does not give.
    leaks
        Openings that let the bass out for good.
    assumed
        Those of them that the file says nothing about.
    apart
        Archways whose space behind does not meet them.
    """

    floor: shapely.Polygon
    ceiling: float | tuple[Plane3, ...]
    boundary: Boundary
    opened: Boundary
    volume_m3: float
    unknown: tuple[str, ...]
    leaks: tuple[str, ...]
    assumed: tuple[str, ...]
    apart: tuple[str, ...]

    @property
    def flat(self) -> bool:
        """Whether the ceiling is flat."""
        return isinstance(self.ceiling, float | int)


def shell_of(survey: Survey, opened: str = "") -> Shell:
    """Describe a room to the acoustics.

    Parameters
    ----------
    survey
        The room as surveyed.
    opened
        Id of a door that stands open; none if empty.

    Returns
    -------
    Shell
        Floor, ceiling and losses.

    Notes
    -----
    A space behind an archway has the room's ceiling, and walls like the room's. Doors are shut and absorb as wooden
    doors; a window as double glazing, a curtain before it adds a light curtain. Rugs take nothing out of the bass.
    """
    room = shapely.Polygon(survey.room.floor)
    floor, joined, apart = _joined(survey, room)
    leaking = tuple(
        one for one in survey.room.openings if one.id == opened or (_leaks(one) and one.id not in joined)
    )
    doors = tuple(one.id for one in survey.room.openings if one.kind is OpeningKind.DOOR)
    leaks = tuple(one.id for one in leaking)
    outline = tuple((float(x), float(y)) for x, y in shapely.get_coordinates(floor.exterior)[:-1])
    return Shell(
        floor,
        _ceiling(survey, floor),
        _boundary(survey, floor, leaks, joined),
        _boundary(survey, floor, (*leaks, *doors), joined),
        volume_below(outline, survey.ceiling),
        tuple(_unknown(survey)),
        leaks,
        tuple(one.id for one in leaking if not one.leak and one.id != opened),
        apart,
    )


def _leaks(opening: Opening) -> bool:
    return opening.kind is OpeningKind.ARCHWAY


def _unknown(survey: Survey) -> Iterator[str]:
    room = survey.room
    if not room.floor_finish.freq_hz:
        yield "the floor"
    if not room.ceiling_finish.freq_hz:
        yield "the ceiling"
    bare = [frame.wall.number for frame in survey.walls if not frame.wall.finish.freq_hz]
    if len(bare) == len(survey.walls):
        yield "the walls"
    else:
        yield from (f"wall {wall_name(number, len(survey.walls))}" for number in bare)


def _joined(
    survey: Survey, room: shapely.Polygon
) -> tuple[shapely.Polygon, tuple[str, ...], tuple[str, ...]]:
    """Return the floor with the spaces behind archways, the archways that it goes through, and those it does not."""
    floor, joined, apart = room, [], []
    for opening in survey.room.openings:
        if opening.kind is not OpeningKind.ARCHWAY or len(opening.beyond) < 3:
            continue
        grown = _through(survey, room, floor, opening)
        if grown is None:
            apart.append(opening.id)
        else:
            floor = grown
            joined.append(opening.id)
    return floor, tuple(joined), tuple(apart)


def _through(
    survey: Survey, room: shapely.Polygon, floor: shapely.Polygon, opening: Opening
) -> shapely.Polygon | None:
    """Return a floor joined through an archway to the space behind; None where they do not meet."""
    space = shapely.Polygon(opening.beyond)
    if not space.is_valid or not 0 <= opening.wall < len(survey.walls):
        return None
    wall = survey.walls[opening.wall]
    behind = space.difference(room.buffer(SLOT_M, join_style="mitre"))
    reach = max(SLOT_M, float(room.distance(space))) + 0.02
    way = shapely.Polygon(
        [
            _at(wall, opening.start_m, 0.02),
            _at(wall, opening.start_m + opening.width_m, 0.02),
            _at(wall, opening.start_m + opening.width_m, -reach),
            _at(wall, opening.start_m, -reach),
        ]
    )
    whole = shapely.set_precision(shapely.unary_union([floor, way, behind]), 1e-6)
    low = min(height(survey.ceiling, x, y) for x, y in opening.beyond)
    fits = isinstance(whole, shapely.Polygon) and not whole.interiors and reach < FAR_M and low > LOWEST_M
    return whole if fits else None


def _at(wall: WallFrame, along: float, inward: float) -> tuple[float, float]:
    return (
        wall.start[0] + along * wall.along[0] + inward * wall.inward[0],
        wall.start[1] + along * wall.along[1] + inward * wall.inward[1],
    )


def _ceiling(survey: Survey, floor: shapely.Polygon) -> float | tuple[Plane3, ...]:
    """Return the height of a flat ceiling, or three points on each plane of a sloping one."""
    if all(abs(a) < 1e-9 and abs(b) < 1e-9 for a, b, _ in survey.ceiling):
        return min(c for _, _, c in survey.ceiling)
    x0, y0, x1, y1 = floor.bounds
    corners = ((x0, y0), (x1, y0), (x0, y1))
    return tuple(_points(slope, corners) for slope in survey.ceiling)


def _points(slope: Slope, corners: tuple[tuple[float, float], ...]) -> Plane3:
    (a, b, c), (p, q, r) = slope, corners
    return (*p, a * p[0] + b * p[1] + c), (*q, a * q[0] + b * q[1] + c), (*r, a * r[0] + b * r[1] + c)


def _boundary(
    survey: Survey, floor: shapely.Polygon, leaks: tuple[str, ...], joined: tuple[str, ...]
) -> Boundary:
    sides = sides_of(floor)
    own = [admittances(absorption_row(frame.wall.finish)) for frame in survey.walls]
    usual = tuple(float(value) for value in np.mean(own, axis=0))
    which = [_wall_at(survey, side.mean(axis=0)) for side in sides]
    room = survey.room
    return Boundary(
        BANDS_HZ,
        tuple(usual if number is None else own[number] for number in which),
        admittances(absorption_row(room.floor_finish)),
        admittances(absorption_row(room.ceiling_finish)),
        tuple(_wall_patches(survey, sides, leaks, joined)),
        tuple(_sheets(survey, floor)),
    )


def sides_of(floor: shapely.Polygon) -> Floats:
    """Return both ends of each side of a floor, in its order, shape (sides, 2, 2) [m]."""
    ring = shapely.get_coordinates(floor.exterior)
    return np.stack([ring[:-1], ring[1:]], axis=1)


def _wall_at(survey: Survey, point: Floats) -> int | None:
    """Return the number of the wall that a point lies on; None for the wall of a space behind an archway."""
    for number, wall in enumerate(survey.walls):
        gap = point - np.array(wall.start)
        along, off = float(gap @ wall.along), float(gap @ wall.inward)
        if -NEAR_M < along < wall.length_m + NEAR_M and abs(off) < NEAR_M:
            return number
    return None


def _wall_patches(
    survey: Survey, sides: Floats, leaks: tuple[str, ...], joined: tuple[str, ...]
) -> Iterator[WallPatch]:
    for opening in survey.room.openings:
        if opening.id not in joined and 0 <= opening.wall < len(survey.walls):
            stretch = (opening.start_m, opening.start_m + opening.width_m)
            up = (opening.sill_m, opening.sill_m + opening.height_m)
            open_ = opening.id in leaks
            row = (OPEN,) * len(BANDS_HZ) if open_ else admittances(_shut(opening))
            yield from _placed(survey, sides, (survey.walls[opening.wall], stretch, up), (row, open_))
    for panel in survey.room.treatments:
        yield from _panel(survey, sides, panel)


def _panel(survey: Survey, sides: Floats, panel: Treatment) -> Iterator[WallPatch]:
    wall, start, end = panel.wall, panel.from_m, panel.to_m
    if wall is None or start is None or end is None or not 0 <= wall < len(survey.walls):
        return
    up = (panel.sill_m, panel.sill_m + panel.height_m)
    row = admittances(absorption_row(panel.finish))
    yield from _placed(survey, sides, (survey.walls[wall], (start, end), up), (row, False))


def _shut(opening: Opening) -> tuple[float, ...]:
    if opening.kind is OpeningKind.DOOR:
        return named_row("wooden door")
    glass = named_row("double glazing")
    if not opening.curtain:
        return glass
    return tuple(one + other for one, other in zip(glass, named_row("light curtain"), strict=True))


def _placed(
    survey: Survey,
    sides: Floats,
    where: tuple[WallFrame, tuple[float, float], tuple[float, float]],
    what: tuple[tuple[float, ...], bool],
) -> Iterator[WallPatch]:
    """Yield the patch on the side of the floor that its stretch of wall has become, cut to the side and the ceiling."""
    wall, stretch, up = where
    ends = np.array([_at(wall, along, 0.0) for along in stretch])
    middle = ends.mean(axis=0)
    top = min(up[1], height(survey.ceiling, float(middle[0]), float(middle[1])))
    for number, (start, end) in enumerate(sides):
        length = float(np.linalg.norm(end - start))
        along = (end - start) / max(length, 1e-9)
        off = abs(float((middle - start) @ [-along[1], along[0]]))
        first, last = sorted(float((point - start) @ along) for point in ends)
        if off < NEAR_M and -NEAR_M < float((middle - start) @ along) < length + NEAR_M:
            first, last, bottom = max(first, 0.0), min(last, length), max(up[0], 0.0)
            if last - first > LEAST_M and top - bottom > LEAST_M:
                yield WallPatch(number, (first, last), (bottom, top), *what)
            return


def _sheets(survey: Survey, floor: shapely.Polygon) -> Iterator[FloorPatch]:
    for piece in survey.room.furniture:
        if top_m(piece) > FLAT_M and _lies_in(piece.outline, floor):
            yield FloorPatch(piece.outline, _middle_m(survey, piece), sheet_admittances(piece))
    for panel in survey.room.treatments:
        if panel.wall is None and _lies_in(panel.outline, floor):
            x, y = np.mean(panel.outline, axis=0)
            under = max(height(survey.ceiling, float(x), float(y)) - 0.05, 0.05)
            yield FloorPatch(panel.outline, under, admittances(absorption_row(panel.finish)))


def _lies_in(outline: tuple[tuple[float, float], ...], floor: shapely.Polygon) -> bool:
    if len(outline) < 3:
        return False
    shape = shapely.Polygon(outline)
    return bool(shape.is_valid and shape.area > 0.01 and shape.intersection(floor).area > 0.01)


def _middle_m(survey: Survey, piece: Furniture) -> float:
    """Return half the height of a piece, under the ceiling everywhere over it [m]."""
    lowest = min(height(survey.ceiling, x, y) for x, y in piece.outline)
    return max(min(piece.base_m + piece.height_m / 2, lowest - 0.05), 0.02)
