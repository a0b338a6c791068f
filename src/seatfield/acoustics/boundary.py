"""What the boundary takes out of each mode: admittance from absorption, boundary integrals, damping."""

from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from seatfield.acoustics.lagrange import Floats, boundary_product
from seatfield.acoustics.mesh import (
    Solid,
    as_polygon,
    boundary_faces,
    ceiling_height,
    nearest_wall,
    refine,
    triangulate,
    wall_ends,
)
from seatfield.acoustics.modes import RoomModes, base_pressure, order_pressure

STRONG = 0.05  # admittance from which a patch bends the modes near it


def diffuse_absorption(admittance: ArrayLike) -> Floats:
    """Return the random-incidence absorption of a locally reacting surface with a real specific admittance.

    Parameters
    ----------
    admittance
        Specific admittance, ρc divided by the surface's impedance [1].

    Returns
    -------
    array
        Absorption coefficient [1]; 8 β for a small admittance.

    References
    ----------
    H. Kuttruff, Room Acoustics, chapter 2 (Paris' integral over angles for a real impedance), from memory; checked
    against the integral itself in the tests.
    """
    beta = np.maximum(np.asarray(admittance, dtype=float), 1e-300)
    return np.asarray(8 * beta * (1 + beta / (1 + beta) - 2 * beta * np.log1p(1 / beta)))


def admittance_from_absorption(absorption: ArrayLike) -> Floats:
    """Return the smaller real specific admittance that has a given random-incidence absorption.

    Parameters
    ----------
    absorption
        Absorption coefficient from a table [1]; above 0.951, which no such surface reaches, the admittance stays at
        that point.

    Returns
    -------
    array
        Specific admittance [1]; an eighth of the absorption when that is small.

    Raises
    ------
    ValueError
        If an absorption is negative.

    Notes
    -----
    Tables measure absorption in a diffuse field and say nothing of the phase. Taking the admittance as real and the
    surface as locally reacting is the usual reading for rooms; it leaves out that a light wall shifts the frequencies
    a little.
    """
    alpha = np.asarray(absorption, dtype=float)
    if (alpha < 0).any():
        raise ValueError(
            f"An absorption of {alpha.min()} was given; it is a share of the energy and cannot be negative."
        )
    return np.asarray(np.interp(alpha, _ABSORPTION, _ADMITTANCE))


_ADMITTANCE = np.concatenate([np.zeros(1), np.geomspace(1e-5, 0.6378, 4000)])
_ABSORPTION = diffuse_absorption(_ADMITTANCE)


@dataclass(frozen=True, slots=True)
class WallPatch:
    """A rectangle on a wall with its own admittance in place of the wall's: door, curtain, leaking opening.

    Attributes
    ----------
    wall
        Number of the wall, which runs from corner `wall` to the next.
    along_m
        Start and end, from the wall's first corner [m].
    height_m
        Bottom and top [m].
    admittance
        Specific admittance in each band [1]; about one for an opening into a large space.
    certain
        False lets a scenario scale it as it does the walls.
    """

    wall: int
    along_m: tuple[float, float]
    height_m: tuple[float, float]
    admittance: tuple[float, ...]
    certain: bool = False


@dataclass(frozen=True, slots=True)
class FloorPatch:
    """An absorbing sheet above a part of the floor, in addition to the floor's own absorption: furniture, a rug.

    Attributes
    ----------
    outline
        Corners seen from above [m].
    z_m
        Height of the sheet; half the height of a sofa serves for the sofa [m].
    admittance
        Specific admittance in each band, such that its eightfold times the area is the equivalent absorption area
        [1].
    """

    outline: tuple[tuple[float, float], ...]
    z_m: float
    admittance: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Boundary:
    """Admittances of a room's surfaces in frequency bands.

    Attributes
    ----------
    bands_hz
        Centre frequencies, ascending; between them the admittance is interpolated over log frequency, outside it
        stays [Hz].
    walls
        Specific admittance of each wall, shape (walls, bands), or of all, shape (bands,) [1].
    floor
        Of the floor, shape (bands,) [1].
    ceiling
        Of each ceiling plane, shape (planes, bands), or of all, shape (bands,) [1].
    wall_patches, floor_patches
        What differs, and what comes on top.
    """

    bands_hz: ArrayLike
    walls: ArrayLike
    floor: ArrayLike
    ceiling: ArrayLike
    wall_patches: tuple[WallPatch, ...] = field(default=())
    floor_patches: tuple[FloorPatch, ...] = field(default=())


@dataclass(frozen=True, slots=True)
class Losses:
    """A boundary as the modes feel it, surface by surface: an integral over the plan times one over the height.

    Attributes
    ----------
    matrices
        Integrals of products of base modes, shape (surfaces, bases, bases).
    heights
        Integrals of products of height cosines, shape (surfaces, orders, orders).
    level
        Surfaces that cover the whole plan at one height, whose matrix is the identity, shape (surfaces,).
    bands_hz
        Bands of the admittance [Hz].
    admittance
        Specific admittance of each surface, shape (surfaces, bands) [1].
    certain
        Surfaces that no scenario scales, shape (surfaces,).
    patch
        Number of the strong patch of partial height that the surface belongs to, −1 for all others, shape (surfaces,).
    """

    matrices: Floats
    heights: Floats
    level: NDArray[np.bool_]
    bands_hz: Floats
    admittance: Floats
    certain: NDArray[np.bool_]
    patch: NDArray[np.int64]


def boundary_losses(modes: RoomModes, boundary: Boundary) -> Losses:
    """Integrate products of modes over each surface of the room.

    Parameters
    ----------
    modes
        Modes, enriched or not.
    boundary
        Admittances of the surfaces.

    Returns
    -------
    Losses
        One row per wall, the floor, each ceiling plane, and the patches.

    Raises
    ------
    ValueError
        If the number of walls, planes or bands does not fit the room, or a patch lies off its wall.
    """
    bands = np.atleast_1d(np.asarray(boundary.bands_hz, dtype=float))
    sides = surface_integrals(modes)
    ceilings = 1 if modes.solid is None else len(modes.solid.planes)
    walls = len(sides) - 1 - ceilings
    given = np.concatenate(
        [
            _rows(boundary.walls, walls, len(bands), "walls"),
            _rows(boundary.floor, 1, len(bands), "floor"),
            _rows(boundary.ceiling, ceilings, len(bands), "ceiling planes"),
        ]
    )
    height = modes.height_m or 0.0
    heights = (
        [np.eye(len(modes.order_k))] * walls
        + [_at_height(modes, 0.0)]
        + [_at_height(modes, height)] * ceilings
    )
    surfaces = [_Surface(*parts) for parts in zip(sides, heights, given, strict=True)]
    strong = 0
    for patch in boundary.wall_patches:
        matrix, over = _wall_patch(modes, patch)
        row = _bands(patch.admittance, len(bands))
        number = strong if _exchanges(modes, row, *patch.height_m) else -1
        strong += number == strong
        surfaces.append(_Surface(matrix, over, row, patch.certain, number))
        surfaces.append(_Surface(matrix, over, -given[patch.wall], patch=number))  # the wall that it replaces
    for sheet in boundary.floor_patches:
        row = _bands(sheet.admittance, len(bands))
        number = strong if _exchanges(modes, row, sheet.z_m, sheet.z_m) else -1
        strong += number == strong
        surfaces.append(_Surface(_floor_patch(modes, sheet), _at_height(modes, sheet.z_m), row, patch=number))
    level = np.zeros(len(surfaces), dtype=bool)
    level[walls : walls + 2] = modes.solid is None
    return Losses(
        np.stack([s.matrix for s in surfaces]),
        np.stack([s.over for s in surfaces]),
        level,
        bands,
        np.stack([s.admittance for s in surfaces]),
        np.array([s.certain for s in surfaces]),
        np.array([s.patch for s in surfaces]),
    )


def _exchanges(modes: RoomModes, admittance: Floats, bottom: float, top: float) -> bool:
    """Return whether a patch couples height orders enough to matter: strong, and not from floor to ceiling."""
    if modes.height_m is None:
        return False
    return bool(admittance.max() > STRONG and top - bottom < 0.999 * modes.height_m)


@dataclass(frozen=True, slots=True)
class _Surface:
    """One row of `Losses`."""

    matrix: Floats
    over: Floats
    admittance: Floats
    certain: bool = False
    patch: int = -1


def _bands(admittance: ArrayLike, bands: int) -> Floats:
    """Return one admittance per band."""
    row = np.asarray(admittance, dtype=float)
    if row.shape != (bands,):
        raise ValueError(
            f"A patch has admittances of shape {row.shape} for {bands} bands; give one for each band."
        )
    return row


def _rows(admittance: ArrayLike, surfaces: int, bands: int, what: str) -> Floats:
    """Return one row of admittances per surface."""
    rows = np.atleast_2d(np.asarray(admittance, dtype=float))
    if rows.shape[1] != bands or len(rows) not in {1, surfaces}:
        raise ValueError(
            f"Admittances of the {what} have shape {rows.shape}; "
            f"the room has {surfaces} {what} and the boundary {bands} bands."
        )
    return np.broadcast_to(rows, (surfaces, bands))


def surface_integrals(modes: RoomModes) -> Floats:
    """Return integrals of products of base modes over the surfaces, shape (surfaces, bases, bases)."""
    space = modes.space
    cell, omitted = boundary_faces(space.cells)
    corners = np.stack([np.delete(space.cells, opposite, axis=1) for opposite in range(space.dimension + 1)])
    label = _labels(space.points[corners[omitted, cell]], modes.floor, modes.solid)
    walls = len(wall_ends(modes.floor))
    planes = 1 if modes.solid is None else len(modes.solid.planes)
    integrals = np.stack(
        [
            boundary_product(space, modes.values, cell[label == i], omitted[label == i])
            for i in range(walls + 1 + planes)
        ]
    )
    if modes.solid is None:
        integrals[walls:] = np.eye(len(modes.base_k))
    return integrals


def _labels(faces: Floats, floor: shapely.Polygon, solid: Solid | None) -> NDArray[np.int64]:
    """Return which surface each outer face is on: walls in the plan's order, the floor, the ceiling planes."""
    middle = faces.mean(axis=1)
    wall = nearest_wall(floor, middle[:, :2])
    if solid is None:
        return wall
    normal = np.cross(faces[:, 1] - faces[:, 0], faces[:, 2] - faces[:, 0])
    level = np.abs(normal[:, 2]) > 1e-6 * np.linalg.norm(normal, axis=1)
    plane = (middle[:, :2] @ solid.planes[:, :2].T + solid.planes[:, 2]).argmin(axis=1)
    above = 1 + np.where(np.abs(faces[..., 2]).max(axis=1) < 1e-9, -1, plane)
    return np.where(level, len(wall_ends(floor)) + above, wall)


def _at_height(modes: RoomModes, z_m: float) -> Floats:
    """Return products of height cosines at a height, shape (orders, orders) [1/m]; one in a solid."""
    value = order_pressure(modes, np.array([z_m]))[0]
    return np.asarray(np.multiply.outer(value, value))


def _wall_patch(modes: RoomModes, patch: WallPatch) -> tuple[Floats, Floats]:
    """Return the integrals over a rectangle of a wall, along it and up."""
    at, weight = patch_points(modes, patch)
    value = base_pressure(modes, at)
    over = _over_heights(modes, *patch.height_m)
    return value.T @ (weight[:, None] * value), over


def patch_points(modes: RoomModes, patch: WallPatch) -> tuple[Floats, Floats]:
    """Return points and weights of a quadrature over a patch: along it on the plan, or over it in a solid.

    Raises
    ------
    ValueError
        If the patch does not fit its wall.
    """
    ends = wall_ends(modes.floor)
    known = 0 <= patch.wall < len(ends)
    length = float(np.linalg.norm(ends[patch.wall, 1] - ends[patch.wall, 0])) if known else 0.0
    (start, end), (bottom, top) = patch.along_m, patch.height_m
    if not (known and -1e-6 <= start < end <= length + 1e-6 and -1e-6 <= bottom < top):
        raise ValueError(
            f"A patch from {start} to {end} m along and {bottom} to {top} m up does not fit wall {patch.wall}"
            + (f", which is {length:.3f} m long." if known else f"; the room has walls 0 to {len(ends) - 1}.")
        )
    across, weight = _gauss(start, end, modes)
    at = ends[patch.wall, 0] + across[:, None] / length * (ends[patch.wall, 1] - ends[patch.wall, 0])
    if modes.solid is None:
        return at, weight
    up, up_weight = _gauss(bottom, top, modes)
    both = np.column_stack([np.repeat(at, len(up), axis=0), np.tile(up, len(at))])
    inside = both[:, 2] <= ceiling_height(modes.solid.planes, both[:, :2])
    return both[inside], np.multiply.outer(weight, up_weight).ravel()[inside]


def _gauss(start: float, end: float, modes: RoomModes) -> tuple[Floats, Floats]:
    """Return points and weights of a rule that follows products of modes from start to end."""
    nodes, weights = np.polynomial.legendre.leggauss(
        10 + int(12 * (end - start) * modes.to_hz / modes.speed_of_sound_m_s)
    )
    half = (end - start) / 2
    return (start + end) / 2 + half * nodes, half * weights


def _over_heights(modes: RoomModes, bottom: float, top: float) -> Floats:
    """Return integrals of products of height cosines between two heights, shape (orders, orders)."""
    if modes.height_m is None:
        return np.ones((1, 1))
    middle, width = (bottom + min(top, modes.height_m)) / 2, min(top, modes.height_m) - bottom
    total, difference = (
        np.add.outer(modes.order_k, modes.order_k),
        np.subtract.outer(modes.order_k, modes.order_k),
    )
    scale = np.sqrt(np.where(modes.order_k > 0, 2.0, 1.0) / modes.height_m)
    terms = [np.cos(k * middle) * np.sinc(k * width / (2 * np.pi)) for k in (total, difference)]
    return np.asarray(np.multiply.outer(scale, scale) * width / 2 * (terms[0] + terms[1]))


def _floor_patch(modes: RoomModes, sheet: FloorPatch) -> Floats:
    """Return the integral over a level sheet by Dunavant's six-point rule on small triangles."""
    outline = as_polygon(sheet.outline).intersection(modes.floor)
    faces = [
        part for part in shapely.get_parts(outline) if isinstance(part, shapely.Polygon) and part.area > 1e-9
    ]
    if not faces:
        raise ValueError("An absorbing sheet lies outside the floor plan; give an outline inside the room.")
    points, triangles = triangulate(faces)
    points, triangles = refine(points, triangles, 0.35 * modes.speed_of_sound_m_s / modes.to_hz)
    corner = points[triangles]
    edge, other = (corner[:, 1] - corner[:, 0]).T, (corner[:, 2] - corner[:, 0]).T
    area = np.abs(edge[0] * other[1] - edge[1] * other[0]) / 2
    at = np.einsum("qk,tkd->tqd", _DUNAVANT[:, :3], corner).reshape(-1, 2)
    weight = (area[:, None] * _DUNAVANT[:, 3]).ravel()
    value = base_pressure(modes, np.column_stack([at, np.full(len(at), sheet.z_m)]))
    return np.asarray(value.T @ (weight[:, None] * value))


# Barycentric weights and weight of each point; exact to degree four.
# D. A. Dunavant, Int. J. Numer. Methods Eng. 21 (1985) 1129.
_INNER, _OUTER = 0.445948490915965, 0.091576213509771
_DUNAVANT = np.array(
    [
        [1 - 2 * at if corner == i else at for i in range(3)] + [weight]
        for at, weight in ((_INNER, 0.223381589678011), (_OUTER, 0.109951743655322))
        for corner in range(3)
    ]
)


def surface_admittance(losses: Losses, freq_hz: ArrayLike, scale: float = 1.0) -> Floats:
    """Return admittances at frequencies, shape (surfaces, frequencies) [1]; scale multiplies the uncertain ones."""
    log = np.log(np.asarray(freq_hz, dtype=float))
    rows = [np.interp(log, np.log(losses.bands_hz), row) for row in losses.admittance]
    return np.stack(rows) * np.where(losses.certain, 1.0, scale)[:, None]


def damping(modes: RoomModes, losses: Losses, scale: float = 1.0) -> Floats:
    """Return how fast each mode's pressure decays.

    Parameters
    ----------
    modes
        The room's modes.
    losses
        Its boundary.
    scale
        Multiplies the admittance of all surfaces that are not certain [1].

    Returns
    -------
    array
        Damping δ = (c/2) ∮ β p² dS / ∫ p² dV of each mode in `modes.freq_hz` [1/s]; the pressure decays as exp(−δ t).

    References
    ----------
    H. Kuttruff, Room Acoustics, chapter 3, from memory; P. M. Morse, K. U. Ingard, Theoretical Acoustics (1968) §9.5,
    from memory.
    """
    beta = surface_admittance(losses, modes.freq_hz, scale)
    own = losses.matrices[:, modes.base, modes.base] * losses.heights[:, modes.order, modes.order]
    return np.asarray(modes.speed_of_sound_m_s / 2 * (beta * own).sum(axis=0))


def uncoupled(losses: Losses) -> Losses:
    """Return losses that damp each mode by itself, as textbooks' modal sums do; coarse where absorption is uneven."""
    matrices = losses.matrices * np.eye(losses.matrices.shape[1])
    heights = losses.heights * np.eye(losses.heights.shape[1])
    return replace(losses, matrices=matrices, heights=heights, patch=np.full(len(losses.patch), -1))


def decay_time(damping_per_s: ArrayLike) -> Floats:
    """Return the time in which the level falls by 60 dB, ln(1000)/δ [s]."""
    return np.asarray(np.log(1000) / np.asarray(damping_per_s, dtype=float))
