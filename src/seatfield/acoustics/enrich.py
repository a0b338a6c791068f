"""Functions that stand for the modes a truncated sum leaves out, at seats and through openings."""

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from seatfield.acoustics.boundary import STRONG, Boundary, WallPatch, patch_points
from seatfield.acoustics.lagrange import Floats, point_sources
from seatfield.acoustics.lanczos import factorised
from seatfield.acoustics.modes import RoomModes

if TYPE_CHECKING:
    from scipy.sparse import csc_array

# negative squared wave number over the highest, and how many moments there
_SHIFTS = ((0.2, 2), (2.0, 1), (10.0, 1))


def enrich(
    modes: RoomModes, points: ArrayLike, boundary: Boundary | None = None, *, orders_to: float = 2.5
) -> RoomModes:
    """Add base functions that stand for all the modes left out.

    Parameters
    ----------
    modes
        The room's modes.
    points
        Seats, or whatever end of a path is the same for many, shape (points, 3) [m].
    boundary
        Its strong wall patches, such as openings, get functions of their own.
    orders_to
        Height cosines are carried up to this multiple of the highest wave number.

    Returns
    -------
    RoomModes
        The same modes with `base_k` and `values` longer, beyond `true_bases`, and `order_k` longer.

    Notes
    -----
    Static responses to a source at each point and to a flow through each patch, less their shares of the modes found,
    span the functions; Rayleigh and Ritz make them orthonormal. Nothing is added to the list of modes. Good beyond
    about 1 m from a source; the mesh does not resolve the pressure peak nearer to it.

    References
    ----------
    J. M. Dickens, J. M. Nakagawa, M. J. Wittbrodt, Computers & Structures 62 (1997) 985 (modal truncation
    augmentation), from memory.
    """
    at = np.atleast_2d(np.asarray(points, dtype=float))[:, : modes.space.dimension]
    strong = [
        patch for patch in (boundary.wall_patches if boundary else ()) if max(patch.admittance) > STRONG
    ]
    sources = point_sources(modes.space, at)
    flows = np.concatenate([sources, *(_flows(modes, patch) for patch in strong)], axis=1)
    limit = 2 * np.pi * modes.to_hz / modes.speed_of_sound_m_s
    found: list[Floats] = []
    for shift, depth in _SHIFTS if modes.solid is None else _SHIFTS[:2]:
        solve = factorised(modes.stiffness, modes.mass, shift * limit**2)
        vector = flows if not found else sources
        for _ in range(depth):
            vector = solve(vector)
            found.append(vector)
            vector = modes.mass @ vector[:, : len(at)]
    span = np.concatenate(found, axis=1)
    span = span - modes.values @ (modes.values.T @ (modes.mass @ span))
    k, values = _ritz(span, modes.stiffness, modes.mass)
    order_k: Floats = modes.order_k
    if modes.height_m is not None:
        order_k = np.arange(np.floor(orders_to * limit * modes.height_m / np.pi) + 1) * (
            np.pi / modes.height_m
        )
    return replace(
        modes,
        base_k=np.concatenate([modes.base_k, k]),
        values=np.concatenate([modes.values, values], axis=1),
        order_k=order_k,
    )


def _flows(modes: RoomModes, patch: WallPatch) -> Floats:
    """Return the load vectors of flows through a patch that vary along it as polynomials do, shape (size, flows)."""
    at, weight = patch_points(modes, patch)
    along = np.linalg.norm(at[:, :2] - at[0, :2], axis=1)
    degree = 2 + int(2 * (patch.along_m[1] - patch.along_m[0]) * modes.to_hz / modes.speed_of_sound_m_s)
    shapes = np.polynomial.legendre.legvander(2 * along / along.max() - 1, degree)
    if modes.solid is not None:
        up = 2 * (at[:, 2] - patch.height_m[0]) / (patch.height_m[1] - patch.height_m[0]) - 1
        shapes = np.concatenate([shapes, shapes[:, :2] * up[:, None]], axis=1)
    return point_sources(modes.space, at) @ (weight[:, None] * shapes)


def _ritz(span: Floats, stiffness: "csc_array", mass: "csc_array") -> tuple[Floats, Floats]:
    """Return the Ritz wave numbers and vectors of a span, without its numerically dependent part."""
    span = span / np.sqrt((span * (mass @ span)).sum(axis=0))
    weight, turn = np.linalg.eigh(span.T @ (mass @ span))
    keep = weight > 1e-10 * weight[-1]
    span = span @ (turn[:, keep] / np.sqrt(weight[keep]))
    squares, turn = np.linalg.eigh(span.T @ (stiffness @ span))
    return np.sqrt(squares), span @ turn
