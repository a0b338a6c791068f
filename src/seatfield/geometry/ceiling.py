"""Ceilings made of planes: the height at a point is that of the lowest plane there."""

from seatfield.geometry.polygon import Outline, centroid, clip, signed_area

Point3 = tuple[float, float, float]
Slope = tuple[float, float, float]
"""A plane z = a·x + b·y + c as (a [-], b [-], c [m])."""


def plane_through(p: Point3, q: Point3, r: Point3) -> Slope | None:
    """Return the plane through three points as a height over the floor.

    Parameters
    ----------
    p, q, r
        Three points [m].

    Returns
    -------
    tuple or None
        (a, b, c) of z = a·x + b·y + c; None where the points lie on one line in plan, so that the plane
        is upright or undefined.
    """
    ux, uy, uz = q[0] - p[0], q[1] - p[1], q[2] - p[2]
    vx, vy, vz = r[0] - p[0], r[1] - p[1], r[2] - p[2]
    flat = ux * vy - uy * vx
    if abs(flat) < 1e-9:
        return None
    a = (uz * vy - uy * vz) / flat
    b = (ux * vz - uz * vx) / flat
    return a, b, p[2] - a * p[0] - b * p[1]


def height(planes: tuple[Slope, ...], x: float, y: float) -> float:
    """Return the height of the lowest plane at a point.

    Parameters
    ----------
    planes
        At least one plane.
    x, y
        The point [m].

    Returns
    -------
    float
        Height above the floor [m].
    """
    return min(a * x + b * y + c for a, b, c in planes)


def lowest_plane(planes: tuple[Slope, ...], x: float, y: float) -> int:
    """Return the number of the plane that is the ceiling at a point; the first of equals.

    Parameters
    ----------
    planes
        At least one plane.
    x, y
        The point [m].

    Returns
    -------
    int
        Its place in `planes`.
    """
    return min(range(len(planes)), key=lambda i: planes[i][0] * x + planes[i][1] * y + planes[i][2])


def volume_below(outline: Outline, planes: tuple[Slope, ...]) -> float:
    """Return the volume over a floor and under the lowest of the planes.

    Parameters
    ----------
    outline
        Corners of a simple floor outline, shape (n, 2) [m].
    planes
        At least one plane.

    Returns
    -------
    float
        Volume [m³]; where a plane dips below the floor, nothing is counted.

    Notes
    -----
    Exact: the floor is cut into the parts over which each plane is the lowest, and a plane's mean height
    over a part is its height at that part's centre of area.
    """
    total = 0.0
    for i, plane in enumerate(planes):
        part = clip(outline, *plane)  # where the plane is above the floor
        for j, other in enumerate(planes):
            if j != i and other != plane:
                part = clip(part, *(theirs - ours for theirs, ours in zip(other, plane, strict=True)))
            elif j < i:  # the same plane twice counts once
                part = ()
        if len(part) > 2:
            x, y = centroid(part)
            total += abs(signed_area(part)) * height((plane,), x, y)
    return total
