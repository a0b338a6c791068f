"""Outlines: area, sense, crossings, containment, clipping and overlap."""

from itertools import pairwise
from math import hypot

from seatfield.geometry.segment import Point, cross, crossing_fraction, distance_to_segment, minus

Outline = tuple[Point, ...]


def edges(outline: Outline) -> tuple[tuple[Point, Point], ...]:
    """Return the edges in order, the last one closing the outline.

    Parameters
    ----------
    outline
        Corners, shape (n, 2) [m].

    Returns
    -------
    tuple
        n pairs of points [m].
    """
    return tuple(pairwise((*outline, outline[0]))) if outline else ()


def signed_area(outline: Outline) -> float:
    """Return the area, positive where the corners run counter-clockwise.

    Parameters
    ----------
    outline
        Corners, shape (n, 2) [m].

    Returns
    -------
    float
        Signed area [m²].

    References
    ----------
    The shoelace formula (Meister, 1769).
    """
    if not outline:
        return 0.0
    origin = outline[0]
    return sum(cross(minus(a, origin), minus(b, origin)) for a, b in edges(outline)) / 2


def area(outline: Outline) -> float:
    """Return the enclosed area, whatever the sense of the corners.

    Parameters
    ----------
    outline
        Corners, shape (n, 2) [m].

    Returns
    -------
    float
        Area [m²].
    """
    return abs(signed_area(outline))


def centroid(outline: Outline) -> Point:
    """Return the centre of area; the mean of the corners where the area vanishes.

    Parameters
    ----------
    outline
        Corners, shape (n, 2), n > 0 [m].

    Returns
    -------
    tuple
        Centre of area [m].
    """
    whole = signed_area(outline)
    ox, oy = outline[0]
    if abs(whole) < 1e-12:
        return sum(x for x, _ in outline) / len(outline), sum(y for _, y in outline) / len(outline)
    x = y = 0.0
    for a, b in edges(outline):
        (ax, ay), (bx, by) = minus(a, (ox, oy)), minus(b, (ox, oy))
        weight = ax * by - bx * ay
        x += (ax + bx) * weight
        y += (ay + by) * weight
    return ox + x / (6 * whole), oy + y / (6 * whole)


def crossings(outline: Outline) -> tuple[tuple[int, int], ...]:
    """Find the pairs of edges that cross, touch or fold back over one another.

    Parameters
    ----------
    outline
        Corners, shape (n, 2) [m].

    Returns
    -------
    tuple
        Pairs of edge numbers, lower first; empty for a simple outline. Edge i runs from corner i to the next.

    Notes
    -----
    Neighbours share a corner, which is no crossing; they are told only where one folds back over the other.
    """
    sides = edges(outline)
    count = len(sides)
    found = []
    for i in range(count):
        for j in range(i + 1, count):
            neighbours = j == i + 1 or (i == 0 and j == count - 1)
            if _folds(sides[i], sides[j]) if neighbours else _meet(sides[i], sides[j]):
                found.append((i, j))
    return tuple(found)


def _meet(one: tuple[Point, Point], two: tuple[Point, Point]) -> bool:
    if crossing_fraction(*one, *two) is not None:
        return True
    ends = ((one[0], two), (one[1], two), (two[0], one), (two[1], one))
    return any(distance_to_segment(point, *side) < 1e-9 for point, side in ends)


def _folds(one: tuple[Point, Point], two: tuple[Point, Point]) -> bool:
    if one[1] == two[0]:
        before, after = minus(one[0], one[1]), minus(two[1], two[0])
    else:
        before, after = minus(one[1], one[0]), minus(two[0], two[1])
    scale = hypot(*before) * hypot(*after)
    ahead = before[0] * after[0] + before[1] * after[1] > 0
    return scale < 1e-18 or (ahead and abs(cross(before, after)) < 1e-9 * scale)


def contains(outline: Outline, point: Point) -> bool:
    """Tell whether a point lies inside or, within a micrometre, on the outline.

    Parameters
    ----------
    outline
        Corners of a simple outline, shape (n, 2) [m].
    point
        The point [m].

    Returns
    -------
    bool
        True inside and on the boundary.

    References
    ----------
    Even-odd rule, Shimrat, Communications of the ACM 5 (1962), algorithm 112.
    """
    return encloses(outline, point) or boundary_distance(outline, point) < 1e-6


def encloses(outline: Outline, point: Point) -> bool:
    """Tell whether a point lies inside the outline, the boundary left to rounding.

    Parameters
    ----------
    outline
        Corners of a simple outline, shape (n, 2) [m].
    point
        The point [m].

    Returns
    -------
    bool
        True inside.
    """
    x, y = point
    inside = False
    for (ax, ay), (bx, by) in edges(outline):
        if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
            inside = not inside
    return inside


def boundary_distance(outline: Outline, point: Point) -> float:
    """Return the distance from a point to the nearest edge.

    Parameters
    ----------
    outline
        Corners, shape (n, 2) [m].
    point
        The point [m].

    Returns
    -------
    float
        Distance [m]; infinite for an empty outline.
    """
    return min((distance_to_segment(point, a, b) for a, b in edges(outline)), default=float("inf"))


def outside_by(outline: Outline, point: Point) -> float:
    """Return how far a point lies outside the outline, 0 where it lies inside.

    Parameters
    ----------
    outline
        Corners, shape (n, 2) [m].
    point
        The point [m].

    Returns
    -------
    float
        Distance to the outline [m].
    """
    return 0.0 if encloses(outline, point) else boundary_distance(outline, point)


def bounds(outline: Outline) -> tuple[float, float, float, float]:
    """Return the smallest upright rectangle round the outline.

    Parameters
    ----------
    outline
        Corners, shape (n, 2), n > 0 [m].

    Returns
    -------
    tuple
        Least x, least y, greatest x, greatest y [m].
    """
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    return min(xs), min(ys), max(xs), max(ys)


def clip(outline: Outline, slope_x: float, slope_y: float, offset: float) -> Outline:
    """Keep the part of an outline where slope_x·x + slope_y·y + offset is not negative.

    Parameters
    ----------
    outline
        Corners, shape (n, 2) [m].
    slope_x, slope_y, offset
        The half-plane.

    Returns
    -------
    tuple
        Corners of what is left; a concave outline may keep edges that run back over one another, which
        add nothing to its area.

    References
    ----------
    Sutherland and Hodgman, Communications of the ACM 17 (1974), 32-42.
    """
    kept: list[Point] = []
    for a, b in edges(outline):
        side_a = slope_x * a[0] + slope_y * a[1] + offset
        side_b = slope_x * b[0] + slope_y * b[1] + offset
        if side_a >= 0:
            kept.append(a)
        if (side_a >= 0) != (side_b >= 0):
            share = side_a / (side_a - side_b)
            kept.append((a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])))
    return tuple(kept)


def overlap(one: Outline, two: Outline, margin_m: float = 0.0) -> float:
    """Return the area that two outlines share once each is drawn in by half a margin.

    Parameters
    ----------
    one, two
        Corners of simple outlines [m].
    margin_m
        Depth of overlap that is put down to the tape [m].

    Returns
    -------
    float
        Shared area [m²]; 0 where they keep apart, touch, or overlap by less than the margin.
    """
    if min(len(one), len(two)) < 3 or not _boxes_overlap(bounds(one), bounds(two), margin_m):
        return 0.0
    from shapely import Polygon, make_valid

    first, second = (make_valid(Polygon(shape)).buffer(-margin_m / 2) for shape in (one, two))
    return float(first.intersection(second).area)


def _boxes_overlap(one: tuple[float, ...], two: tuple[float, ...], margin_m: float) -> bool:
    wide = min(one[2], two[2]) - max(one[0], two[0])
    high = min(one[3], two[3]) - max(one[1], two[1])
    return min(wide, high) > max(margin_m, 0.0)
