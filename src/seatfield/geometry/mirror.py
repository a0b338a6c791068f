"""Mirror images in planes: where sound bounces, and from where it then seems to come."""

from dataclasses import dataclass
from math import dist, sqrt

Point3 = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Facet:
    """A plane n·p = offset with unit normal n.

    Parameters
    ----------
    normal
        Unit normal [-].
    offset_m
        Distance of the plane from the origin along the normal [m].
    """

    normal: Point3
    offset_m: float


def facet(normal: Point3, through: Point3) -> Facet:
    """Return the plane with a normal through a point.

    Parameters
    ----------
    normal
        Any length but zero.
    through
        A point of the plane [m].

    Returns
    -------
    Facet
        The plane, its normal of length one.
    """
    length = sqrt(sum(value**2 for value in normal))
    x, y, z = (value / length for value in normal)
    return Facet((x, y, z), x * through[0] + y * through[1] + z * through[2])


def ceiling_facet(slope: tuple[float, float, float]) -> Facet:
    """Return the plane z = a·x + b·y + c as a facet, its normal upwards."""
    a, b, c = slope
    return facet((-a, -b, 1.0), (0.0, 0.0, c))


def side_m(plane: Facet, point: Point3) -> float:
    """Return how far a point lies on the normal's side of a plane [m]; negative on the other."""
    return sum(n * p for n, p in zip(plane.normal, point, strict=True)) - plane.offset_m


def image(plane: Facet, point: Point3) -> Point3:
    """Return the mirror image of a point in a plane.

    Parameters
    ----------
    plane
        The mirror.
    point
        The point [m].

    Returns
    -------
    tuple
        Its image [m].
    """
    twice = 2 * side_m(plane, point)
    x, y, z = (p - twice * n for p, n in zip(point, plane.normal, strict=True))
    return x, y, z


@dataclass(frozen=True, slots=True)
class Bounce:
    """A way from a source to an ear by one plane.

    Parameters
    ----------
    at
        Where it meets the plane [m].
    image
        From where it seems to come [m].
    length_m
        Its whole length [m].
    """

    at: Point3
    image: Point3
    length_m: float


def bounce(plane: Facet, source: Point3, ear: Point3) -> Bounce | None:
    """Return the way from a source to an ear by one reflection.

    Parameters
    ----------
    plane
        The reflecting plane, endless.
    source, ear
        Both ends [m].

    Returns
    -------
    Bounce or None
        None where the two ends are not strictly on one side of the plane.

    References
    ----------
    Law of reflection; image source, Allen and Berkley, J. Acoust. Soc. Am. 65 (1979), 943-950.
    """
    here, there = side_m(plane, source), side_m(plane, ear)
    if here * there <= 1e-18:
        return None
    mirrored = image(plane, source)
    share = here / (here + there)
    x, y, z = (m + share * (e - m) for m, e in zip(mirrored, ear, strict=True))
    return Bounce((x, y, z), mirrored, dist(mirrored, ear))
