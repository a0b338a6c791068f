"""Two tapes: where they cross, at what angle, and how well that fixes a point."""

from math import acos, degrees, hypot, inf, radians, sin, sqrt

from seatfield.geometry.segment import Point, minus


def crossing_deg(point: Point, one: Point, two: Point) -> float:
    """Return the angle at which tapes from two fixed points cross at a point.

    Parameters
    ----------
    point
        Where the tapes meet [m].
    one, two
        The fixed points [m].

    Returns
    -------
    float
        Angle, 0 to 180 [deg]; 0 where the point is one of the fixed points.
    """
    a, b = minus(one, point), minus(two, point)
    reach = hypot(*a) * hypot(*b)
    if reach < 1e-12:
        return 0.0
    return degrees(acos(min(1.0, max(-1.0, (a[0] * b[0] + a[1] * b[1]) / reach))))


def crossing_points(one: Point, one_m: float, two: Point, two_m: float) -> tuple[Point, ...]:
    """Return where two tapes of given lengths from two fixed points can meet.

    Parameters
    ----------
    one, two
        The fixed points [m].
    one_m, two_m
        Tape lengths [m].

    Returns
    -------
    tuple
        No, one or two points [m]; of two, the one to the left of the way from `one` to `two` first.
    """
    x, y = minus(two, one)
    base = hypot(x, y)
    if base < 1e-12 or base > one_m + two_m + 1e-12 or base < abs(one_m - two_m) - 1e-12:
        return ()
    along = (one_m**2 - two_m**2 + base**2) / (2 * base)
    off = sqrt(max(0.0, one_m**2 - along**2))
    foot = one[0] + along * x / base, one[1] + along * y / base
    left = foot[0] - off * y / base, foot[1] + off * x / base
    right = foot[0] + off * y / base, foot[1] - off * x / base
    return (left,) if off < 1e-9 else (left, right)


def position_error_m(angle_deg: float, tape_error_m: float) -> float:
    """Return the error of a point that two tapes fix, from the error of each.

    Parameters
    ----------
    angle_deg
        Angle at which the tapes cross [deg].
    tape_error_m
        Standard error of each reading [m].

    Returns
    -------
    float
        Root mean square error of the position [m]; infinite for tapes on one line.

    Notes
    -----
    Independent readings of equal error; √2·error/sin(angle), the mean square point error of an arc section
    in plane surveying.
    """
    sharp = abs(sin(radians(angle_deg)))
    return sqrt(2) * tape_error_m / sharp if sharp > 1e-12 else inf
