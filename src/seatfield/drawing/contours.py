"""Contour lines with labels over a pale tint: a field of numbers as a drawing.

The field is drawn smooth: a bicubic spline through its grid, four points to each of its own, and straight lines over
triangles between them.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from seatfield.drawing.lettering import width_mm
from seatfield.drawing.scene import Area, Element, Line, Point, Text
from seatfield.drawing.style import style
from seatfield.stages.bass.result import Field

Floats = NDArray[np.float64]

FINER = 4
TINTS = 6
STEPS = (0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 5.0)
ROUGH_M2, GRID_M, SHORTEST_M = 1e-4, 1e-5, 0.05
GAP_MM = 1.6


@dataclass(frozen=True, slots=True)
class Levels:
    """Numbers at which contour lines run, ascending; one tint below the first, between each two, above the last."""

    values: tuple[float, ...]


def even_levels(field: Field) -> Levels:
    """Return at most five round levels that part a field into tints, most of them where it is low."""
    known = np.array([v for row in field.values for v in row if v is not None])
    if not len(known):
        return Levels(())
    low, high = float(known.min()), float(np.quantile(known, 0.95))
    step = next((step for step in STEPS if (high - low) / step <= TINTS), STEPS[-1])
    first = math.floor(low / step) * step + step
    values = [first + k * step for k in range(TINTS - 1) if first + k * step < known.max()]
    return Levels(tuple(round(value, 3) for value in values))


def contour_map(
    field: Field, levels: Levels, outline: tuple[Point, ...], mm_per_m: float, *, finer: int = FINER
) -> tuple[list[Element], list[Element]]:
    """Draw a field inside an outline.

    Parameters
    ----------
    field
        Numbers over a grid.
    levels
        Where contour lines run.
    outline
        Corners of the room [m].
    mm_per_m
        Millimetres on paper per metre.
    finer
        How many points are drawn for each of the field's own, along each side.

    Returns
    -------
    tints, lines
        Areas to draw below all else, and lines with their labels to draw above.
    """
    surface, room = _surface(field, finer), shapely.Polygon(outline)
    if surface is None or not room.is_valid:
        return [], []
    domain = room.intersection(surface.known)
    rings = {level: _stretches_of(surface.triangles, level) for level in levels.values}
    lines: list[Element] = []
    taken: list[shapely.Geometry] = []
    for level, whole in rings.items():
        inside = tuple(_inside(whole, domain))
        lines += [Line(line, "contour") for line in inside]
        lines += _label(f"{level:g}".replace("-", "−"), inside, mm_per_m, taken)
    return list(_tints(surface, domain, rings)), lines


@dataclass(frozen=True, slots=True)
class _Surface:
    """A field as a smooth surface: triangles (n, 3, 3) of x, y [m] and number; the spline; where it is known."""

    triangles: Floats
    at: Callable[[float, float], float]
    known: shapely.Geometry


def _surface(field: Field, finer: int) -> _Surface | None:
    """Return a spline through a grid on a finer one; holes are filled from their nearest number, and stay unknown."""
    from scipy.interpolate import RectBivariateSpline

    x, y = np.array(field.x_m), np.array(field.y_m)
    z = np.array([[math.nan if v is None else v for v in row] for row in field.values])
    if min(z.shape, default=0) < 2 or np.isnan(z).all():
        return None
    spline = RectBivariateSpline(y, x, _filled(x, y, z), kx=min(3, len(y) - 1), ky=min(3, len(x) - 1))
    fine_x, fine_y = (
        np.interp(np.arange((len(g) - 1) * finer + 1) / finer, np.arange(len(g)), g) for g in (x, y)
    )
    cells = _cells_known(z)
    at = np.stack([*np.meshgrid(fine_x, fine_y), spline(fine_y, fine_x)], axis=-1)
    a, b, c, d = at[:-1, :-1], at[:-1, 1:], at[1:, 1:], at[1:, :-1]
    known = np.kron(cells, np.ones((finer, finer), int)).astype(bool)
    triangles = np.concatenate([np.stack([a, b, c], axis=2)[known], np.stack([a, c, d], axis=2)[known]])
    j, i = np.nonzero(cells)
    whole = shapely.coverage_union_all(shapely.box(x[i], y[j], x[i + 1], y[j + 1]))
    return _Surface(
        triangles, lambda px, py: float(spline(py, px)[0, 0]), shapely.set_precision(whole, GRID_M)
    )


def _filled(x: Floats, y: Floats, z: Floats) -> Floats:
    rows, columns = np.nonzero(~np.isnan(z))
    filled = z.copy()
    for row, column in np.argwhere(np.isnan(z)):
        nearest = np.hypot(y[rows] - y[row], x[columns] - x[column]).argmin()
        filled[row, column] = z[rows[nearest], columns[nearest]]
    return filled


def _cells_known(z: Floats) -> NDArray[np.bool_]:
    known = ~np.isnan(z)
    return np.asarray(known[:-1, :-1] & known[:-1, 1:] & known[1:, 1:] & known[1:, :-1])


def _stretches_of(triangles: Floats, level: float) -> shapely.Geometry:
    """Return the lines along which the number is a level, over all triangles.

    A level crosses two sides of a triangle or none. Each crossing is reckoned from the lower end of its side, so that
    neighbours find the same point to the last bit, and their stretches meet.
    """
    over = triangles[..., 2] > level
    mixed = over.any(axis=1) & ~over.all(axis=1)
    sides = np.stack([triangles[mixed], np.roll(triangles[mixed], -1, axis=1)], axis=2)
    crossed = over[mixed] != np.roll(over[mixed], -1, axis=1)
    low, high = np.moveaxis(np.take_along_axis(sides, sides[..., 2:].argsort(axis=2), axis=2)[crossed], 1, 0)
    share = (level - low[:, 2:]) / (high[:, 2:] - low[:, 2:])
    ends = np.round((low + share * (high - low))[:, :2] / GRID_M).reshape(-1, 2, 2) * GRID_M
    return shapely.multilinestrings(shapely.linestrings(ends[(ends[:, 0] != ends[:, 1]).any(axis=1)]))


def _inside(whole: shapely.Geometry, domain: shapely.Geometry) -> Iterator[tuple[Point, ...]]:
    """Yield the parts of a level's lines in the room, the longest first."""
    parts = shapely.get_parts(shapely.line_merge(whole.intersection(domain)))
    for line in sorted(parts, key=lambda one: (-round(one.length, 6), one.bounds)):
        if isinstance(line, shapely.LineString) and line.length > SHORTEST_M:
            yield _points(line)


def _tints(
    surface: _Surface, domain: shapely.Geometry, rings: dict[float, shapely.Geometry]
) -> Iterator[Area]:
    """Yield the faces that the lines cut the room into, each with the tint of its number."""
    net = shapely.union_all([domain.boundary, *rings.values()])
    levels = tuple(rings)
    for face in shapely.get_parts(shapely.polygonize([net])):
        inner = face.representative_point()
        if face.area < ROUGH_M2 or not domain.intersects(inner):
            continue
        number = 1 + sum(surface.at(inner.x, inner.y) > level for level in levels)
        holes = tuple(_points(hole)[:-1] for hole in face.interiors)
        yield Area(_points(face.exterior)[:-1], f"tint {number}", holes)


def _points(line: shapely.Geometry) -> tuple[Point, ...]:
    return tuple((x, y) for x, y in shapely.get_coordinates(line).round(4).tolist())


def _label(
    text: str, lines: tuple[tuple[Point, ...], ...], mm_per_m: float, taken: list[shapely.Geometry]
) -> Iterator[Text]:
    """Yield the number of a level on its longest lines, where it is straightest and no other number stands.

    Numbers stand upright: a 6 that lies on its side reads as a 9.
    """
    wide = (width_mm(text, style("contour")) + GAP_MM) / mm_per_m
    for points in lines[:3]:
        line = shapely.LineString(points)
        if line.length < 3 * wide:
            continue
        chords, bent, middles = _stretches(line, wide)
        others = shapely.union_all(taken)
        crossed = shapely.intersects(chords, others)
        best = int(np.lexsort((bent, crossed))[0])
        if crossed[best]:
            continue
        taken.append(chords[best].buffer(wide / 2))
        x, y = middles[best].tolist()
        yield Text((x, y), text, "contour", "middle", "middle")


def _stretches(line: shapely.LineString, wide_m: float) -> tuple[NDArray[np.object_], Floats, Floats]:
    """Return stretches of a line as chords, how bent each is [m], and their middles (stretches, 2) [m]."""
    starts = np.linspace(0.0, line.length - wide_m, 24)
    points = shapely.line_interpolate_point(line, starts[:, None] + wide_m * np.array([0.0, 0.5, 1.0]))
    at = shapely.get_coordinates(points).reshape(-1, 3, 2)
    chords = shapely.linestrings(at[:, [0, 2]])
    return chords, shapely.distance(chords, points[:, 1]).round(4), (at[:, 0] + at[:, 2]) / 2
