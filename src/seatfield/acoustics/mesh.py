"""Triangles over a floor plan, graded toward re-entrant corners, and tetrahedra under sloping ceilings."""

from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from seatfield.acoustics.lagrange import Floats, Ints

SNAP_M = 1e-7
BLUNT_RAD = np.radians(200)  # corners blunter than this hardly disturb a mode


@dataclass(frozen=True, slots=True)
class Solid:
    """Tetrahedra that fill a prism under sloping planes.

    Attributes
    ----------
    points
        Vertices [m], shape (vertices, 3).
    cells
        Vertices of each tetrahedron, shape (cells, 4).
    floor
        Floor plan, at z = 0.
    planes
        Coefficients (a, b, c) of each ceiling plane z = a x + b y + c, shape (planes, 3); the ceiling is the lowest
        of them.
    """

    points: Floats
    cells: Ints
    floor: shapely.Polygon
    planes: Floats


def as_polygon(floor: ArrayLike | shapely.Polygon) -> shapely.Polygon:
    """Return a floor plan as a polygon.

    Raises
    ------
    ValueError
        If the outline crosses itself or has no area.
    """
    polygon = floor if isinstance(floor, shapely.Polygon) else shapely.Polygon(np.asarray(floor, dtype=float))
    if not polygon.is_valid or polygon.area <= 0:
        raise ValueError(
            f"The floor plan is not a simple outline ({shapely.is_valid_reason(polygon)}); "
            "list its corners in order around the room."
        )
    return polygon


def wall_ends(floor: shapely.Polygon) -> Floats:
    """Return both ends of each wall, in the order in which the corners are listed, shape (walls, 2, 2) [m]."""
    rings = [shapely.get_coordinates(ring)[:, :2] for ring in (floor.exterior, *floor.interiors)]
    return np.concatenate([np.stack([ring[:-1], ring[1:]], axis=1) for ring in rings])


def plane_coefficients(planes: ArrayLike) -> Floats:
    """Return (a, b, c) of z = a x + b y + c through three points each, shape (planes, 3, 3) -> (planes, 3).

    Raises
    ------
    ValueError
        If a plane's three points stand above one line.
    """
    points = np.asarray(planes, dtype=float).reshape(-1, 3, 3)
    matrix = points.copy()
    matrix[..., 2] = 1
    if np.abs(np.linalg.det(matrix)).min() < 1e-9:
        raise ValueError(
            "Three points of a ceiling plane stand above one line; give three that span a triangle seen from above."
        )
    return np.linalg.solve(matrix, points[..., 2:])[..., 0]


def ceiling_height(planes: Floats, points: Floats) -> Floats:
    """Return the height of the lowest plane above plan points [m], shape (points,)."""
    return np.asarray((points @ planes[:, :2].T + planes[:, 2]).min(axis=1))


def triangulate(faces: list[shapely.Polygon]) -> tuple[Floats, Ints]:
    """Return constrained Delaunay triangles of polygons that share whole edges: points (n, 2), triangles (m, 3)."""
    pieces = shapely.get_parts(shapely.constrained_delaunay_triangles(faces))
    corners = shapely.get_coordinates(pieces).reshape(-1, 4, 2)[:, :3].reshape(-1, 2)
    points, index = np.unique(corners, axis=0, return_inverse=True)
    return points, index.reshape(-1, 3).astype(np.int64)


def _edges(points: Floats, triangles: Ints) -> tuple[Ints, Ints, Floats]:
    """Return the edges (k, 2), the three of each triangle (from its corner i to corner i + 1), and lengths [m]."""
    ends = np.sort(np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=2), axis=2)
    keys, index = np.unique(ends[..., 0] * len(points) + ends[..., 1], return_inverse=True)
    edges = np.stack(np.divmod(keys, len(points)), axis=1)
    length = np.hypot(*(points[edges[:, 0]] - points[edges[:, 1]]).T)
    return edges, index.reshape(triangles.shape), length


def bisect(
    points: Floats, triangles: Ints, longest_m: float = np.inf, chosen: Ints | None = None
) -> tuple[Floats, Ints]:
    """Halve every edge longer than a limit and every edge at a chosen point, and what keeps the mesh conforming.

    A triangle with a halved edge has its longest edge halved too, so angles stay away from zero.

    References
    ----------
    M.-C. Rivara, Int. J. Numer. Methods Eng. 20 (1984) 745 (longest-edge bisection), from memory.
    """
    edges, sides, length = _edges(points, triangles)
    cut = length > longest_m
    if chosen is not None:
        cut |= np.isin(edges, chosen).any(axis=1)
    if not cut.any():
        return points, triangles
    order = (length[sides].argmax(axis=1)[:, None] + np.arange(3)) % 3
    sides, triangles = (np.take_along_axis(array, order, axis=1) for array in (sides, triangles))
    while (need := cut[sides].any(axis=1) & ~cut[sides[:, 0]]).any():
        cut[sides[need, 0]] = True
    middle = np.full(len(edges), -1)
    middle[cut] = len(points) + np.arange(int(cut.sum()))
    points = np.concatenate([points, points[edges[cut]].mean(axis=1)])
    return points, _split(triangles, middle[sides])


def refine(points: Floats, triangles: Ints, longest_m: float) -> tuple[Floats, Ints]:
    """Halve edges until none is longer than a limit."""
    before = 0
    while len(triangles) > before:
        before = len(triangles)
        points, triangles = bisect(points, triangles, longest_m)
    return points, triangles


def _split(triangles: Ints, middle: Ints) -> Ints:
    """Cut triangles at the middles of their edges (−1: uncut): the longest first, from there to the tip opposite."""
    a, b, tip = triangles.T
    half, right, left = middle.T
    whole = half < 0
    parts = [triangles[whole]]
    for end, side in ((a, left), (b, right)):
        parts.append(np.stack([end, half, tip], axis=1)[~whole & (side < 0)])
        twice = ~whole & (side >= 0)
        parts.append(np.stack([end, half, side], axis=1)[twice])
        parts.append(np.stack([side, half, tip], axis=1)[twice])
    return np.concatenate(parts)


def reentrant_corners(floor: shapely.Polygon) -> tuple[Floats, Floats]:
    """Return the corners that point into the room and their inside angles [rad]."""
    corners, angles = [np.empty((0, 2))], [np.empty(0)]
    for ring in (floor.exterior, *floor.interiors):
        at = shapely.get_coordinates(ring)[:-1, :2]
        forward, back = np.roll(at, -1, axis=0) - at, np.roll(at, 1, axis=0) - at
        turn = np.arctan2(back[:, 1], back[:, 0]) - np.arctan2(forward[:, 1], forward[:, 0])
        room_on_left = ring.is_ccw == (ring is floor.exterior or ring.equals(floor.exterior))
        angle = (turn if room_on_left else -turn) % (2 * np.pi)
        corners.append(at[angle > BLUNT_RAD])
        angles.append(angle[angle > BLUNT_RAD])
    return np.concatenate(corners), np.concatenate(angles)


def plan_mesh(
    floor: shapely.Polygon, faces: list[shapely.Polygon], longest_m: float, levels: int
) -> tuple[Floats, Ints]:
    """Triangulate faces that make up a floor plan, halve what is too long, grade toward re-entrant corners."""
    points, triangles = refine(*triangulate(faces), longest_m)
    corners, angles = reentrant_corners(floor)
    steps = np.ceil(levels * (angles / np.pi - 1) / 0.5).astype(int)
    for level in range(int(steps.max(initial=0))):
        active = corners[steps > level]
        near = np.abs(points[:, None] - active).max(axis=2).min(axis=1) < 10 * SNAP_M
        points, triangles = bisect(points, triangles, chosen=np.flatnonzero(near))
    return points, triangles


def _creases(planes: Floats, reach_m: float, centre: Floats) -> list[shapely.LineString]:
    """Return where two planes meet and no third lies lower, seen from above, a little longer than needed."""
    lines = []
    for i, j in combinations(range(len(planes)), 2):
        a, b, c = planes[i] - planes[j]
        size = np.hypot(a, b)
        if size < 1e-12:
            continue
        along = np.array([-b, a]) / size
        foot = centre - (a * centre[0] + b * centre[1] + c) / size**2 * np.array([a, b])
        others = np.delete(planes, [i, j], axis=0) - planes[i]
        rise, gap = others[:, :2] @ along, others[:, :2] @ foot + others[:, 2]
        rising, falling = rise > 1e-12, rise < -1e-12
        if (gap[~rising & ~falling] < 0).any():
            continue
        first = np.max(-gap[rising] / rise[rising], initial=-reach_m)
        last = np.min(-gap[falling] / rise[falling], initial=reach_m)
        if first < last:
            lines.append(shapely.LineString([foot + (first - 1e-4) * along, foot + (last + 1e-4) * along]))
    return lines


def crease_faces(floor: shapely.Polygon, planes: Floats) -> list[shapely.Polygon]:
    """Cut a floor plan along the lines above which two ceiling planes meet."""
    x0, y0, x1, y1 = floor.bounds
    lines = _creases(planes, 2 * np.hypot(x1 - x0, y1 - y0), np.array([(x0 + x1) / 2, (y0 + y1) / 2]))
    if not lines:
        return [floor]
    net = shapely.unary_union([floor.boundary, *lines], grid_size=SNAP_M)
    faces = shapely.get_parts(shapely.polygonize([net]))
    return [face for face in faces if face.area > SNAP_M and floor.contains(face.representative_point())]


def extrude(
    floor: ArrayLike | shapely.Polygon, planes: ArrayLike, *, longest_m: float = 1.5, corner_levels: int = 2
) -> Solid:
    """Fill the space between a floor plan and the lowest of several ceiling planes with tetrahedra.

    Parameters
    ----------
    floor
        Floor plan: corners in order, shape (corners, 2), or a polygon [m].
    planes
        Three points on each ceiling plane, shape (planes, 3, 3) [m].
    longest_m
        Longest edge seen from above, and thickest layer [m].
    corner_levels
        How often the cells at a re-entrant corner are halved.

    Returns
    -------
    Solid
        The mesh.

    Raises
    ------
    ValueError
        If a ceiling plane dips below the floor inside the plan.

    Notes
    -----
    Each prism over a triangle is cut into three tetrahedra along its vertices in ascending order, so neighbours agree
    on the diagonals of the faces that they share. Where the ceiling meets the floor the collapsed tetrahedra are left
    out.
    """
    polygon, coefficients = as_polygon(floor), plane_coefficients(planes)
    plan, triangles = plan_mesh(polygon, crease_faces(polygon, coefficients), longest_m, corner_levels)
    height = ceiling_height(coefficients, plan)
    if height.min() < -1e-6:
        x, y = plan[height.argmin()]
        raise ValueError(
            f"The ceiling is {height.min():.2f} m high at ({x:.2f}, {y:.2f}), below the floor; "
            "cut the floor plan there."
        )
    layers = int(np.ceil(height.max() / longest_m))
    points = np.concatenate([np.column_stack([plan, height * layer / layers]) for layer in range(layers + 1)])
    ids = np.arange(len(points)).reshape(layers + 1, -1)
    ids[1:, height < 1e-6] = ids[0, height < 1e-6]
    a, b, c = np.sort(triangles, axis=1).T
    cells = np.concatenate(
        [
            np.stack(corners, axis=1)
            for low, high in pairwise(ids)
            for corners in (
                (low[a], low[b], low[c], high[c]),
                (low[a], low[b], high[b], high[c]),
                (low[a], high[a], high[b], high[c]),
            )
        ]
    )
    cells = cells[(np.diff(np.sort(cells, axis=1), axis=1) > 0).all(axis=1)]
    used, index = np.unique(cells, return_inverse=True)
    return Solid(points[used], index.reshape(cells.shape), polygon, coefficients)


def boundary_faces(cells: Ints) -> tuple[Ints, Ints]:
    """Return the cell of each outer face and which of its vertices lies opposite; cells must be sorted."""
    corners = cells.shape[1]
    keys = np.stack(
        [_key(np.delete(cells, omitted, axis=1), int(cells.max()) + 1) for omitted in range(corners)], axis=1
    )
    _, index, count = np.unique(keys, return_inverse=True, return_counts=True)
    cell, omitted = np.nonzero(count[index.reshape(keys.shape)] == 1)
    return cell, omitted


def _key(rows: Ints, base: int) -> Ints:
    """Return one number per row of vertices."""
    key = rows[:, 0]
    for column in rows.T[1:]:
        key = key * base + column
    return key


def nearest_wall(floor: shapely.Polygon, at: Floats) -> NDArray[np.int64]:
    """Return the wall nearest to each plan point, shape (points,)."""
    ends = wall_ends(floor)
    along = ends[:, 1] - ends[:, 0]
    offset = at[:, None] - ends[:, 0]
    share = np.clip((offset * along).sum(2) / np.maximum((along**2).sum(1), 1e-18), 0, 1)
    return np.asarray(np.linalg.norm(offset - share[..., None] * along, axis=2).argmin(axis=1))
