"""Questions of plan geometry asked of many points at once, on arrays."""

import numpy as np
from numpy.typing import NDArray

from seatfield.geometry.polygon import Outline

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

EDGE_M = 1e-6
"""Points nearer to an edge lie on it, whatever rounding says [m]."""


def corners_of(outline: Outline) -> tuple[Floats, Floats]:
    """Return the starts and ends of an outline's edges, each of shape (n, 2) [m]."""
    starts = np.asarray(outline, float).reshape(-1, 2)
    return starts, np.roll(starts, -1, axis=0)


def encloses_many(outline: Outline, points: Floats) -> Mask:
    """Tell which points lie inside an outline, the boundary left to rounding.

    Parameters
    ----------
    outline
        Corners of a simple outline, shape (m, 2) [m].
    points
        Points, shape (n, 2) [m].

    Returns
    -------
    ndarray
        Shape (n,), true inside.
    """
    inside = np.zeros(len(points), bool)
    x, y = points[:, 0], points[:, 1]
    for (ax, ay), (bx, by) in zip(*corners_of(outline), strict=True):
        if ay != by:
            beside = x < ax + (y - ay) * ((bx - ax) / (by - ay))
            inside ^= ((ay > y) != (by > y)) & beside
    return inside


def covers_many(outline: Outline, points: Floats) -> Mask:
    """Tell which points lie inside an outline or within a micrometre of its edge.

    Parameters
    ----------
    outline
        Corners of a simple outline, shape (m, 2) [m].
    points
        Points, shape (n, 2) [m].

    Returns
    -------
    ndarray
        Shape (n,), true inside and on the edge.
    """
    return encloses_many(outline, points) | (boundary_distance_many(outline, points) < EDGE_M)


def edge_distances(outline: Outline, points: Floats) -> tuple[Floats, Floats]:
    """Return the distance from points to every edge, and where along it the foot falls.

    Parameters
    ----------
    outline
        Corners, shape (m, 2) [m].
    points
        Points, shape (n, 2) [m].

    Returns
    -------
    tuple
        Distances and distances along each edge from its start, both of shape (m, n) [m].
    """
    starts, ends = corners_of(outline)
    away, along = np.empty((len(starts), len(points))), np.empty((len(starts), len(points)))
    for number, ((ax, ay), (bx, by)) in enumerate(zip(starts, ends, strict=True)):
        length = max(float(np.hypot(bx - ax, by - ay)), 1e-12)
        ux, uy = (bx - ax) / length, (by - ay) / length
        gx, gy = points[:, 0] - ax, points[:, 1] - ay
        reach = np.clip(gx * ux + gy * uy, 0, length)
        along[number], away[number] = reach, np.hypot(gx - reach * ux, gy - reach * uy)
    return away, along


def boundary_distance_many(outline: Outline, points: Floats) -> Floats:
    """Return the distance from points to the nearest edge.

    Parameters
    ----------
    outline
        Corners, shape (m, 2) [m].
    points
        Points, shape (n, 2) [m].

    Returns
    -------
    ndarray
        Shape (n,) [m].
    """
    nearest = np.full(len(points), np.inf)
    for a, b in zip(*corners_of(outline), strict=True):
        np.minimum(nearest, segment_distance_many(a, b, points), out=nearest)
    return nearest


def segment_distance_many(start: Floats, end: Floats, points: Floats) -> Floats:
    """Return the distance from points to one stretch.

    Parameters
    ----------
    start, end
        Its ends, shape (2,) [m].
    points
        Points, shape (n, 2) [m].

    Returns
    -------
    ndarray
        Shape (n,) [m].
    """
    sx, sy = float(end[0] - start[0]), float(end[1] - start[1])
    gx, gy = points[:, 0] - float(start[0]), points[:, 1] - float(start[1])
    share = np.clip((gx * sx + gy * sy) / max(sx * sx + sy * sy, 1e-18), 0, 1)
    return np.asarray(np.hypot(gx - share * sx, gy - share * sy))


def within_many(outline: Outline, points: Floats, margin_m: float) -> Mask:
    """Tell which points lie inside an outline or nearer to it than a margin.

    Parameters
    ----------
    outline
        Corners of a simple outline, shape (m, 2) [m].
    points
        Points, shape (n, 2) [m].
    margin_m
        Margin [m].

    Returns
    -------
    ndarray
        Shape (n,), true inside or near.
    """
    left, low = (float(value) - margin_m for value in np.min(outline, axis=0))
    right, high = (float(value) + margin_m for value in np.max(outline, axis=0))
    x, y = points[:, 0], points[:, 1]
    hit = (x > left) & (x < right) & (y > low) & (y < high)
    if hit.any():
        close = points[hit]
        away = boundary_distance_many(outline, close)
        hit[hit] = (encloses_many(outline, close) & (away > EDGE_M)) | (away < margin_m - EDGE_M)
    return np.asarray(hit)


def crossed_many(start: Floats, ends: Floats, edges: tuple[Floats, Floats]) -> Mask:
    """Tell which stretches from one point, or from one point each, cross any of some edges.

    Parameters
    ----------
    start
        Common start, shape (2,), or starts, shape (n, 2) [m].
    ends
        Ends, shape (n, 2) [m].
    edges
        Starts and ends of the edges, each of shape (m, 2) [m].

    Returns
    -------
    ndarray
        Shape (n,), true where an edge is crossed; touching at an end does not count.
    """
    starts = np.broadcast_to(start, ends.shape)
    wx, wy = ends[:, 0] - starts[:, 0], ends[:, 1] - starts[:, 1]
    crossed = np.zeros(len(ends), bool)
    for (ax, ay), (bx, by) in zip(*edges, strict=True):
        sx, sy = bx - ax, by - ay
        slant = wx * sy - wy * sx
        gx, gy = ax - starts[:, 0], ay - starts[:, 1]
        with np.errstate(divide="ignore", invalid="ignore"):
            here = (gx * sy - gy * sx) / slant
            there = (gx * wy - gy * wx) / slant
        crossed |= (here > 1e-9) & (here < 1 - 1e-9) & (there > -1e-9) & (there < 1 + 1e-9)
    return crossed


def blocked_by_block(eye: Floats, targets: Floats, outline: Outline, base_m: float, top_m: float) -> Mask:
    """Tell which straight ways from one point to targets pass through an upright block.

    Parameters
    ----------
    eye
        Where they start, shape (3,) [m].
    targets
        Where they end, shape (n, 3) [m].
    outline
        The block's outline in plan, shape (m, 2) [m].
    base_m, top_m
        Its lower and upper face [m].

    Returns
    -------
    ndarray
        Shape (n,), true where some of the way lies inside the block; grazing is left to rounding.

    Notes
    -----
    The way is first cut to the part between the block's faces; that part meets the block if an end of it is
    inside the outline or an edge is crossed.
    """
    ways = targets - eye
    rise = ways[:, 2]
    with np.errstate(divide="ignore", invalid="ignore"):
        low, high = (base_m - eye[2]) / rise, (top_m - eye[2]) / rise
    level = np.abs(rise) < 1e-12
    between = base_m < eye[2] < top_m
    enter = np.where(level, 0.0 if between else 2.0, np.minimum(low, high))
    leave = np.where(level, 1.0 if between else -1.0, np.maximum(low, high))
    enter, leave = np.clip(enter, 0, None), np.clip(leave, None, 1)
    through = leave - enter > 1e-12
    if not through.any():
        return through
    plan = ways[through, :2]
    starts = eye[:2] + enter[through, None] * plan
    ends = eye[:2] + leave[through, None] * plan
    met = encloses_many(outline, starts) | encloses_many(outline, ends)
    through[through] = met | crossed_many(starts, ends, corners_of(outline))
    return through


def blocked_by_ball(eye: Floats, targets: Floats, centre: Floats, radius_m: float) -> Mask:
    """Tell which straight ways from one point to targets pass through a ball.

    Parameters
    ----------
    eye
        Where they start, shape (3,) [m].
    targets
        Where they end, shape (n, 3) [m].
    centre
        The ball's centre, shape (3,) [m].
    radius_m
        Its radius [m].

    Returns
    -------
    ndarray
        Shape (n,), true where the way passes nearer to the centre than the radius.
    """
    ways = targets - eye
    gap = centre - eye
    share = np.clip((ways @ gap) / np.maximum((ways**2).sum(axis=1), 1e-18), 0, 1)
    return np.asarray(((share[:, None] * ways - gap) ** 2).sum(axis=1) < radius_m**2)
