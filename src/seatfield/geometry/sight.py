"""What of a straight stretch lies inside an outline: tapes and sight lines."""

from itertools import pairwise
from math import hypot

from seatfield.geometry.polygon import boundary_distance, contains, encloses
from seatfield.geometry.segment import (
    Point,
    between,
    crossing_fraction,
    distance_to_segment,
    foot_fraction,
    minus,
)


def cut_fractions(a: Point, b: Point, outline: tuple[Point, ...]) -> tuple[float, ...]:
    """Return where an outline cuts or touches a stretch, both ends included, in order.

    Parameters
    ----------
    a, b
        Ends of the stretch [m].
    outline
        Corners, shape (n, 2) [m].

    Returns
    -------
    tuple
        Shares of the way from a to b [-], from 0 to 1.
    """
    cuts = {0.0, 1.0}
    for here, there in zip(outline, (*outline[1:], *outline[:1]), strict=True):
        crossing = crossing_fraction(a, b, here, there)
        if crossing is not None:
            cuts.add(crossing)
        if distance_to_segment(here, a, b) < 1e-9:
            cuts.add(foot_fraction(here, a, b))
    return tuple(sorted(cuts))


def stays_inside(a: Point, b: Point, outline: tuple[Point, ...]) -> bool:
    """Tell whether a whole stretch lies inside an outline or along its edges.

    Parameters
    ----------
    a, b
        Ends of the stretch [m].
    outline
        Corners of a simple outline, shape (n, 2) [m].

    Returns
    -------
    bool
        True where no part leaves the outline.
    """
    cuts = cut_fractions(a, b, outline)
    if len(cuts) == 2 and a == b:
        return contains(outline, a)
    return all(contains(outline, between(a, b, (low + high) / 2)) for low, high in pairwise(cuts))


def length_inside(a: Point, b: Point, outline: tuple[Point, ...]) -> float:
    """Return how much of a stretch lies inside an outline; running along an edge counts for nothing.

    Parameters
    ----------
    a, b
        Ends of the stretch [m].
    outline
        Corners of a simple outline, shape (n, 2) [m].

    Returns
    -------
    float
        Length [m].
    """
    cuts = cut_fractions(a, b, outline)
    inside = 0.0
    for low, high in pairwise(cuts):
        middle = between(a, b, (low + high) / 2)
        if encloses(outline, middle) and boundary_distance(outline, middle) > 1e-9:
            inside += high - low
    return inside * hypot(*minus(b, a))
