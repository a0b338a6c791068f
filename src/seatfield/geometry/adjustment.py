"""An outline from tape readings: wall lengths and diagonals adjusted by least squares."""

from dataclasses import dataclass
from itertools import combinations
from math import cos, hypot, pi, sin

import numpy as np
from numpy.typing import NDArray

from seatfield.geometry.polygon import Outline, crossings, signed_area
from seatfield.geometry.rigidity import fixed
from seatfield.geometry.segment import Point
from seatfield.geometry.tape import crossing_points

Pair = tuple[int, int]
Floats = NDArray[np.float64]

RIGHT_ANGLE_WEIGHT = 0.05
"""Weight of an assumed right angle against a tape reading, as metres per unit of cosine over the tolerance."""


@dataclass(frozen=True, slots=True)
class Adjustment:
    """An outline that fits tape readings best.

    Parameters
    ----------
    outline
        Corners, counter-clockwise, the first at the origin and the second on the +x axis [m].
    corrections_m
        Adjusted minus read, in the order of the readings [m].
    standardised
        Each correction over its own standard error [-]; 0 for a reading that nothing checks.
    influence
        Root mean square movement of the corners per error of each reading [m/m].
    redundancy
        Readings beyond those that fix the outline.
    squared
        True where too few readings were given and corners were taken to be square.
    redundancy_of
        Redundancy number of each reading: the share of its error that its own correction shows [-].
    """

    outline: Outline
    corrections_m: tuple[float, ...]
    standardised: tuple[float, ...]
    influence: tuple[float, ...]
    redundancy: int
    squared: bool
    redundancy_of: tuple[float, ...] = ()


def adjust(
    walls_m: tuple[float, ...], diagonals: tuple[tuple[Pair, float], ...], error_m: float
) -> Adjustment | None:
    """Fit an outline to wall lengths and diagonals read by tape.

    Parameters
    ----------
    walls_m
        Lengths of the walls in order round the room, counter-clockwise seen from above [m].
    diagonals
        Pairs of corner numbers, each with the length read between them [m].
    error_m
        Standard error of a reading [m].

    Returns
    -------
    Adjustment or None
        None where no outline can be made of the readings.

    Notes
    -----
    All readings carry the same weight. Of several outlines with the same lengths (each corner could be mirrored)
    the one is taken that does not cross itself and fits best, starting from triangles and, for an even number
    of walls, from every outline of right angles. Where the readings do not fix the outline, right angles are
    added with so small a weight that they decide nothing that was read.

    References
    ----------
    Observation equations and redundancy numbers: Baarda, A testing procedure for use in geodetic networks,
    Netherlands Geodetic Commission (1968).
    """
    count = len(walls_m)
    pairs = (*((i, (i + 1) % count) for i in range(count)), *(pair for pair, _ in diagonals))
    read = np.array([*walls_m, *(length for _, length in diagonals)], float)
    if count < 3 or not np.all(np.isfinite(read)) or read.min() <= 0 or any(i == j for i, j in pairs):
        return None
    starts = _starts(count, pairs, read)
    squared = not fixed(count, pairs)
    best = _best(starts, pairs, read, squared=squared)
    if best is None or not _simple(best):
        return None
    return _judged(best, pairs, read, error_m, squared=squared)


def _best(starts: list[Floats], pairs: tuple[Pair, ...], read: Floats, *, squared: bool) -> Floats | None:
    """Fit from each start in turn; the first that is a room and fits to the centimetre ends the search."""
    fits = []
    for start in starts:
        fit = _fit(start, pairs, read, squared=squared)
        if not np.all(np.isfinite(fit)):
            continue
        fits.append(fit)
        if _simple(fit) and np.abs(_residuals(fit, pairs, read, squared=squared)).max() < 0.01:
            break
    return min(fits, key=lambda fit: _unfitness(fit, pairs, read, squared=squared), default=None)


def _points(free: Floats) -> Floats:
    """Corners from the unknowns: the first at the origin, the second on the x axis."""
    return np.concatenate(([0.0, 0.0, free[0], 0.0], free[1:])).reshape(-1, 2)


def _free(points: Floats) -> Floats:
    """Give the unknowns of an outline, once it is moved and turned into its standard place."""
    moved = points - points[0]
    x, y = moved[1]
    length = hypot(x, y) or 1.0
    turned = moved @ np.array([[x, -y], [y, x]]) / length
    return np.concatenate(([turned[1, 0]], turned[2:].ravel()))


def _lengths(points: Floats, pairs: tuple[Pair, ...]) -> Floats:
    ends = np.array(pairs)
    return np.asarray(np.hypot(*(points[ends[:, 1]] - points[ends[:, 0]]).T))


def _cosines(points: Floats) -> Floats:
    sides = np.roll(points, -1, axis=0) - points
    sides = sides / np.maximum(np.hypot(*sides.T), 1e-9)[:, None]
    return np.asarray((sides * np.roll(sides, 1, axis=0)).sum(axis=1))


def _residuals(free: Floats, pairs: tuple[Pair, ...], read: Floats, *, squared: bool) -> Floats:
    points = _points(free)
    misfit = _lengths(points, pairs) - read
    return np.concatenate((misfit, RIGHT_ANGLE_WEIGHT * _cosines(points))) if squared else misfit


def _fit(start: Floats, pairs: tuple[Pair, ...], read: Floats, *, squared: bool) -> Floats:
    from scipy.optimize import least_squares

    solved = least_squares(
        lambda free: _residuals(free, pairs, read, squared=squared),
        start,
        jac="2-point" if squared else lambda free: _jacobian(free, pairs),
        xtol=1e-12,
        ftol=1e-12,
        gtol=1e-12,
        max_nfev=60,
    )
    return np.asarray(solved.x)


def _jacobian(free: Floats, pairs: tuple[Pair, ...]) -> Floats:
    """Differentiate the lengths by the unknowns, shape (readings, unknowns)."""
    points = _points(free)
    rows = np.zeros((len(pairs), points.size))
    for row, (i, j) in enumerate(pairs):
        gap = points[j] - points[i]
        towards = gap / max(hypot(*gap), 1e-12)
        rows[row, 2 * j : 2 * j + 2] += towards
        rows[row, 2 * i : 2 * i + 2] -= towards
    return np.delete(rows, [0, 1, 3], axis=1)


def _simple(free: Floats) -> bool:
    outline = _outline(free)
    return signed_area(outline) > 1e-6 and not crossings(outline)


def _outline(free: Floats) -> Outline:
    return tuple((float(x), float(y)) for x, y in _points(free))


def _unfitness(free: Floats, pairs: tuple[Pair, ...], read: Floats, *, squared: bool) -> tuple[bool, float]:
    misfit = float(np.sum(_residuals(free, pairs, read, squared=squared) ** 2))
    return not _simple(free), round(misfit, 12)


def _judged(
    free: Floats, pairs: tuple[Pair, ...], read: Floats, error_m: float, *, squared: bool
) -> Adjustment:
    rows = _jacobian(free, pairs)
    inverse = np.linalg.pinv(rows, rcond=1e-6)
    corrections = _lengths(_points(free), pairs) - read
    checked = 1 - np.einsum("ij,ji->i", rows, inverse)
    error = np.maximum(error_m, 1e-6) * np.sqrt(np.maximum(checked, 0))
    standardised = np.where(checked > 1e-6, np.abs(corrections) / np.maximum(error, 1e-12), 0.0)
    influence = np.sqrt((inverse**2).sum(axis=0) / len(_points(free)))
    return Adjustment(
        outline=_outline(free),
        corrections_m=_plain(corrections),
        standardised=_plain(standardised),
        influence=_plain(influence),
        redundancy=max(0, len(read) - rows.shape[1]),
        squared=squared,
        redundancy_of=_plain(np.maximum(checked, 0)),
    )


def _plain(values: Floats) -> tuple[float, ...]:
    return tuple(float(value) for value in values)


def _starts(count: int, pairs: tuple[Pair, ...], read: Floats) -> list[Floats]:
    """Outlines to start from, the likeliest first."""
    triangles = _from_triangles(count, pairs, read)
    ring = [(cos(2 * pi * i / count), sin(2 * pi * i / count)) for i in range(count)]
    scale = float(read[:count].sum()) / (2 * count * sin(pi / count))
    starts = [*([triangles] if triangles else []), *_of_right_angles(read[:count], pairs, read)]
    starts.append([(scale * x, scale * y) for x, y in ring])
    return [_free(np.array(points)) for points in starts]


def _from_triangles(count: int, pairs: tuple[Pair, ...], read: Floats) -> list[Point] | None:
    """Grow the outline corner by corner where two lengths reach a corner from placed ones."""
    length = {frozenset(pair): float(value) for pair, value in zip(pairs, read, strict=True)}
    placed: dict[int, Point] = {0: (0.0, 0.0), 1: (float(read[0]), 0.0)}
    while len(placed) < count:
        grown = _grown(count, placed, length)
        if grown is None:
            return None
        placed[grown[0]] = grown[1]
    return [placed[i] for i in range(count)]


def _grown(
    count: int, placed: dict[int, Point], length: dict[frozenset[int], float]
) -> tuple[int, Point] | None:
    for corner in (i for i in range(count) if i not in placed):
        known = [i for i in sorted(placed) if frozenset((i, corner)) in length]
        for i, j in combinations(known, 2):
            reach = (length[frozenset((k, corner))] for k in (i, j))
            first, second = reach
            met = crossing_points(placed[i], first, placed[j], second)
            if met:
                # Inside the room a triangle of corners runs the way the corners are numbered.
                between_them = i < corner < j
                return corner, met[-1] if between_them else met[0]
    return None


def _of_right_angles(walls: Floats, pairs: tuple[Pair, ...], read: Floats) -> list[list[Point]]:
    """Give the right-angled outlines that fit the readings best; none for an odd number of walls."""
    count = len(walls)
    if count % 2 or count > 16:
        return []
    outlines = []
    for inner in combinations(range(1, count), count // 2 - 2):
        heading, points = 0, [(0.0, 0.0)]
        for i, wall in enumerate(walls[:-1]):
            x, y = points[-1]
            step = ((1, 0), (0, 1), (-1, 0), (0, -1))[heading % 4]
            points.append((x + float(wall) * step[0], y + float(wall) * step[1]))
            heading += -1 if i + 1 in inner else 1
        outlines.append(points)
    return sorted(outlines, key=lambda p: float(np.abs(_lengths(np.array(p), pairs) - read).sum()))[:4]
