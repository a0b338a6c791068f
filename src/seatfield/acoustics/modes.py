"""Modes of a rigid room: any floor plan under a flat ceiling, or any prism under sloping ceilings."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import ArrayLike

from seatfield.acoustics.lagrange import Floats, Ints, Space, assemble, evaluate, make_space
from seatfield.acoustics.lanczos import smallest_eigenpairs
from seatfield.acoustics.mesh import Solid, as_polygon, boundary_faces, extrude, plan_mesh

if TYPE_CHECKING:
    from scipy.sparse import csc_array

SPEED_OF_SOUND_M_S = 343.2  # ISO 9613-1 at 20 °C
_SLACK_M = 0.01  # how far outside a height may lie
_SOLID_COARSER = 1.5  # tetrahedra cut finer than the edges of their prisms say


@dataclass(frozen=True, slots=True)
class MeshParams:
    """How fine the elements are.

    Attributes
    ----------
    degree
        Degree of the polynomials.
    per_wavelength
        Longest edge as a share of the shortest wavelength asked for.
    corner_levels
        How often the cells at a re-entrant corner of 270° are halved; sharper corners get more, blunter ones fewer.
    """

    degree: int = 4
    per_wavelength: float = 0.6
    corner_levels: int = 8


@dataclass(frozen=True, slots=True)
class RoomModes:
    """Modes of a rigid room, each scaled so that its square integrates to one over the room.

    Under a flat ceiling each mode is a base mode of the plan times a cosine in z; otherwise the base modes are the
    room's modes and there is a single order that is constant in z.

    Attributes
    ----------
    freq_hz
        Frequencies in ascending order without the constant mode [Hz], shape (modes,).
    base, order
        Which base mode and which height order makes each, shape (modes,).
    base_k
        Wave numbers of the base modes, the constant one first [rad/m], shape (bases,).
    order_k
        Wave numbers of the height cosines [rad/m], shape (orders,).
    values
        Unknowns of the base modes, shape (size, bases).
    space
        The finite elements they live in.
    stiffness, mass
        Matrices of the space.
    to_hz
        Every mode up to here is present [Hz].
    true_bases
        How many base modes are modes; what follows them stands for the rest (see `enrich`).
    height_m
        Ceiling height; None under sloping ceilings and for a plan alone [m].
    speed_of_sound_m_s
        Speed of sound [m/s].
    floor
        Floor plan.
    solid
        The mesh under sloping ceilings, else None.
    """

    freq_hz: Floats
    base: Ints
    order: Ints
    base_k: Floats
    order_k: Floats
    values: Floats
    space: Space
    stiffness: "csc_array"
    mass: "csc_array"
    to_hz: float
    true_bases: int
    height_m: float | None
    speed_of_sound_m_s: float
    floor: shapely.Polygon
    solid: Solid | None


def weyl_count(measure: float, boundary: float, k: float, dimension: int) -> int:
    """Return about how many modes of a rigid domain lie below a wave number (Weyl's law with its boundary term)."""
    if dimension == 2:
        return int(measure * k**2 / (4 * np.pi) + boundary * k / (4 * np.pi)) + 1
    return int(measure * k**3 / (6 * np.pi**2) + boundary * k**2 / (16 * np.pi)) + 1


def room_modes(
    floor: ArrayLike | shapely.Polygon | Solid,
    ceiling: float | ArrayLike | None = None,
    *,
    to_hz: float = 200.0,
    speed_of_sound_m_s: float = SPEED_OF_SOUND_M_S,
    mesh: MeshParams | None = None,
) -> RoomModes:
    """Solve for the modes of a rigid room.

    Parameters
    ----------
    floor
        Floor plan: corners in order, shape (corners, 2), or a polygon, holes allowed [m]; or a mesh made by
        `extrude`.
    ceiling
        Height of a flat ceiling [m]; or three points on each plane of a sloping one, shape (planes, 3, 3), of which
        the lowest counts; None for the modes of the plan alone, and with a mesh.
    to_hz
        Every mode up to here is found [Hz].
    speed_of_sound_m_s
        Speed of sound [m/s].
    mesh
        How fine the elements are.

    Returns
    -------
    RoomModes
        Frequencies and shapes.

    Raises
    ------
    ValueError
        If the plan, the ceiling or the frequency makes no room.

    Notes
    -----
    Quartic elements on constrained Delaunay triangles, graded toward re-entrant corners where modes are singular;
    shift-invert Lanczos from a fixed start vector, so that the same room gives the same modes. At the default
    fineness frequencies below `to_hz` are within 0.01 % of a refinement's for flat ceilings, within 0.1 % under
    sloping ones.

    References
    ----------
    P. Grisvard, Elliptic Problems in Nonsmooth Domains (1985), for the corner singularities.
    """
    if to_hz <= 0 or speed_of_sound_m_s <= 0:
        raise ValueError(
            f"Modes to {to_hz} Hz at {speed_of_sound_m_s} m/s: give a frequency and a speed of sound above zero."
        )
    mesh = mesh or MeshParams()
    limit = 2 * np.pi * to_hz / speed_of_sound_m_s
    if isinstance(floor, Solid):
        return _solid_modes(floor, to_hz, speed_of_sound_m_s, mesh)
    polygon = as_polygon(floor)
    if ceiling is None or np.ndim(ceiling) == 0:
        height_m = None if ceiling is None else float(np.asarray(ceiling, dtype=float))
        return _flat_modes(polygon, height_m, to_hz, speed_of_sound_m_s, mesh)
    share = mesh.per_wavelength * _SOLID_COARSER
    longest_m = share * min(2 * np.pi / limit, np.sqrt(polygon.area) / 2.2)
    solid = extrude(polygon, ceiling, longest_m=longest_m, corner_levels=mesh.corner_levels // 4)
    return _solid_modes(solid, to_hz, speed_of_sound_m_s, mesh)


def _flat_modes(
    floor: shapely.Polygon, height_m: float | None, to_hz: float, speed_of_sound_m_s: float, mesh: MeshParams
) -> RoomModes:
    """Return the modes of a plan times cosines in z."""
    if height_m is not None and height_m <= 0:
        raise ValueError(f"The ceiling is {height_m} m high; give a height above zero.")
    limit = 2 * np.pi * to_hz / speed_of_sound_m_s
    longest_m = min(2 * np.pi / limit * mesh.per_wavelength, np.sqrt(floor.area) / 1.5)
    points, triangles = plan_mesh(floor, [floor], longest_m, mesh.corner_levels)
    space = make_space(points, triangles, mesh.degree)
    bases = _base_modes(space, floor, floor.area, floor.length, limit)
    orders = 1 if height_m is None else int(limit * height_m / np.pi) + 1
    order_k = np.arange(float(orders)) * (np.pi / (height_m or 1.0))
    return _listed(bases, order_k, to_hz, speed_of_sound_m_s, height_m=height_m)


def _solid_modes(solid: Solid, to_hz: float, speed_of_sound_m_s: float, mesh: MeshParams) -> RoomModes:
    """Return the modes of a mesh of tetrahedra."""
    space = make_space(solid.points, solid.cells, mesh.degree)
    corner = solid.points[solid.cells]
    volume = np.abs(np.linalg.det(corner[:, 1:] - corner[:, :1])).sum() / 6
    cell, omitted = boundary_faces(space.cells)
    face = space.points[np.stack([np.delete(space.cells[i], j) for i, j in zip(cell, omitted, strict=True)])]
    surface = np.linalg.norm(np.cross(face[:, 1] - face[:, 0], face[:, 2] - face[:, 0]), axis=1).sum() / 2
    bases = _base_modes(
        space, solid.floor, float(volume), float(surface), 2 * np.pi * to_hz / speed_of_sound_m_s
    )
    return _listed(bases, np.zeros(1), to_hz, speed_of_sound_m_s, solid=solid)


@dataclass(frozen=True, slots=True)
class _Bases:
    """Base modes and what they live in; see `RoomModes`."""

    k: Floats
    values: Floats
    space: Space
    stiffness: "csc_array"
    mass: "csc_array"
    floor: shapely.Polygon


def _base_modes(
    space: Space, floor: shapely.Polygon, measure: float, boundary: float, limit: float
) -> _Bases:
    """Return every base mode up to a wave number, the constant one first."""
    stiffness, mass = assemble(space)
    about = int(1.05 * weyl_count(measure, boundary, limit, space.dimension)) + 3
    squares, values = smallest_eigenpairs(stiffness, mass, limit**2, about=about, shift=0.1 * limit**2)
    squares[0], values[:, 0] = 0, 1 / np.sqrt(measure)
    signs = np.sign(values[np.abs(values).argmax(axis=0), np.arange(values.shape[1])])
    return _Bases(np.sqrt(squares), values * signs, space, stiffness, mass, floor)


def _listed(
    bases: _Bases,
    order_k: Floats,
    to_hz: float,
    speed_of_sound_m_s: float,
    *,
    height_m: float | None = None,
    solid: Solid | None = None,
) -> RoomModes:
    """Return the modes with all pairs of a base mode and a height order sorted by frequency."""
    freq_hz = np.hypot(bases.k[:, None], order_k) * speed_of_sound_m_s / (2 * np.pi)
    base, order = np.nonzero(freq_hz <= to_hz)
    rank = np.argsort(freq_hz[base, order], kind="stable")[1:]
    base, order = base[rank], order[rank]
    return RoomModes(
        freq_hz=freq_hz[base, order],
        base=base,
        order=order,
        base_k=bases.k,
        order_k=order_k,
        values=bases.values,
        space=bases.space,
        stiffness=bases.stiffness,
        mass=bases.mass,
        to_hz=to_hz,
        true_bases=len(bases.k),
        height_m=height_m,
        speed_of_sound_m_s=speed_of_sound_m_s,
        floor=bases.floor,
        solid=solid,
    )


def base_pressure(modes: RoomModes, points: Floats) -> Floats:
    """Return the base modes at points (x, y, z), shape (points, bases)."""
    return evaluate(modes.space, modes.values, np.asarray(points, dtype=float)[:, : modes.space.dimension])


def order_pressure(modes: RoomModes, z_m: Floats) -> Floats:
    """Return the height cosines at heights [m], scaled to unit square integral, shape (heights, orders)."""
    z = np.asarray(z_m, dtype=float)
    if modes.height_m is None:
        return np.ones((len(z), 1))
    if len(z) and not -_SLACK_M <= z.min() <= z.max() <= modes.height_m + _SLACK_M:
        raise ValueError(
            f"A point from {z.min():.3f} to {z.max():.3f} m up was given in a room {modes.height_m:.3f} m high; "
            "give heights between floor and ceiling."
        )
    scale = np.where(modes.order_k > 0, 2.0, 1.0) / modes.height_m
    return np.sqrt(scale) * np.cos(z[:, None] * modes.order_k)


def mode_pressure(modes: RoomModes, points: ArrayLike, which: ArrayLike | None = None) -> Floats:
    """Return modes at points.

    Parameters
    ----------
    modes
        The room's modes.
    points
        Where, shape (points, 3), or (points, 2) for the modes of a plan alone [m].
    which
        Indices into `modes.freq_hz`; all if None.

    Returns
    -------
    array
        Pressure, each mode scaled to unit square integral over the room, shape (points, modes) [m^-3/2].
    """
    at = np.atleast_2d(np.asarray(points, dtype=float))
    index = slice(None) if which is None else np.asarray(which)
    bases = base_pressure(modes, at)[:, modes.base[index]]
    return bases * order_pressure(modes, at[:, -1])[:, modes.order[index]]
