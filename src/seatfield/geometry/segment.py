"""Straight stretches: vectors, distances and crossings."""

from math import hypot

Point = tuple[float, float]


def minus(a: Point, b: Point) -> Point:
    """Return a − b [m]."""
    return a[0] - b[0], a[1] - b[1]


def cross(a: Point, b: Point) -> float:
    """Return the signed area of the parallelogram that two vectors span [m²]."""
    return a[0] * b[1] - a[1] * b[0]


def dot(a: Point, b: Point) -> float:
    """Return the scalar product of two vectors [m²]."""
    return a[0] * b[0] + a[1] * b[1]


def between(a: Point, b: Point, share: float) -> Point:
    """Return the point at a share of the way from a to b [m]."""
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])


def unit(a: Point, b: Point) -> Point:
    """Return the unit vector from a to b.

    Parameters
    ----------
    a, b
        Two points [m].

    Returns
    -------
    tuple
        Unit vector [-]; the zero vector where the points coincide.
    """
    x, y = minus(b, a)
    length = hypot(x, y)
    return (x / length, y / length) if length > 0 else (0.0, 0.0)


def foot_fraction(point: Point, a: Point, b: Point) -> float:
    """Return where along a–b a point's foot falls, held to the stretch.

    Parameters
    ----------
    point, a, b
        The point and the ends of the stretch [m].

    Returns
    -------
    float
        0 at a, 1 at b [-].
    """
    along = minus(b, a)
    length2 = dot(along, along)
    return min(1.0, max(0.0, dot(minus(point, a), along) / length2)) if length2 > 0 else 0.0


def distance_to_segment(point: Point, a: Point, b: Point) -> float:
    """Return the distance from a point to a stretch.

    Parameters
    ----------
    point, a, b
        The point and the ends of the stretch [m].

    Returns
    -------
    float
        Distance [m].
    """
    foot = between(a, b, foot_fraction(point, a, b))
    return hypot(point[0] - foot[0], point[1] - foot[1])


def crossing_fraction(a: Point, b: Point, c: Point, d: Point) -> float | None:
    """Return where along a–b the stretch c–d crosses it.

    Parameters
    ----------
    a, b, c, d
        Ends of the two stretches [m].

    Returns
    -------
    float or None
        Share of the way from a to b [-]; None where they do not cross or are parallel.
    """
    one, two = minus(b, a), minus(d, c)
    slant = cross(one, two)
    if abs(slant) <= 1e-12 * (hypot(*one) * hypot(*two)):
        return None
    gap = minus(c, a)
    here, there = cross(gap, two) / slant, cross(gap, one) / slant
    return here if 0 <= here <= 1 and 0 <= there <= 1 else None
