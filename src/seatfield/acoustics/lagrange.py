"""Lagrange elements of any degree on triangles and tetrahedra: reference matrices, numbering, assembly, evaluation.

Cells list their vertices in ascending order. Two cells that share an edge or a face then walk it in the same
direction, so nodes on it have the same order in both and no orientation has to be stored.
"""

from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from math import comb, factorial
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from scipy.sparse import csc_array

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Reference:
    """The reference simplex of one dimension and degree, with exact integrals of its basis functions.

    Attributes
    ----------
    nodes
        Weights of each node on the vertices, in units of 1/degree, shape (nodes, dimension + 1).
    powers
        Exponents of the monomials that span the basis, shape (nodes, dimension).
    coefficients
        Column j holds basis function j in those monomials, shape (nodes, nodes).
    mass
        Integrals of products of basis functions over the reference simplex.
    stiffness
        Integrals of products of their derivatives, shape (dimension, dimension, nodes, nodes).
    """

    nodes: Ints
    powers: Ints
    coefficients: Floats
    mass: Floats
    stiffness: Floats


def _compositions(total: int, parts: int) -> list[tuple[int, ...]]:
    """Return every way to write `total` as an ordered sum of `parts` non-negative integers."""
    if parts == 1:
        return [(total,)]
    return [
        (first, *rest) for first in range(total, -1, -1) for rest in _compositions(total - first, parts - 1)
    ]


def _monomial_integral(powers: Ints) -> Floats:
    """Return the integrals of monomials over the unit simplex: prod(a_i!) / (sum(a_i) + dimension)!."""
    dimension = powers.shape[-1]
    factorials = np.array(
        [factorial(n) for n in range(int(powers.sum(-1).max()) + dimension + 1)], dtype=float
    )
    return np.asarray(factorials[powers].prod(-1) / factorials[powers.sum(-1) + dimension])


def _monomials(powers: Ints, at: Floats) -> Floats:
    """Return each monomial at each point, shape (points, monomials)."""
    ladder = at[:, :, None] ** np.arange(int(powers.max()) + 1)
    value = ladder[:, 0, powers[:, 0]]
    for axis in range(1, powers.shape[1]):
        value = value * ladder[:, axis, powers[:, axis]]
    return value


@lru_cache
def reference(dimension: int, degree: int) -> Reference:
    """Return the reference element, made once per dimension and degree."""
    nodes = np.array(_compositions(degree, dimension + 1))
    powers = nodes[:, 1:]
    coefficients = np.asarray(np.linalg.inv(_monomials(powers, powers / degree)), dtype=float)
    mass = coefficients.T @ _monomial_integral(powers[:, None] + powers) @ coefficients
    size = len(nodes)
    stiffness = np.empty((dimension, dimension, size, size))
    for a in range(dimension):
        for b in range(dimension):
            step_a, step_b = np.eye(dimension, dtype=int)[[a, b]]
            lowered = np.maximum(powers - step_a, 0)[:, None] + np.maximum(powers - step_b, 0)
            factor = powers[:, a][:, None] * powers[:, b]
            stiffness[a, b] = coefficients.T @ (factor * _monomial_integral(lowered)) @ coefficients
    return Reference(nodes, powers, coefficients, mass, stiffness)


@dataclass(frozen=True, slots=True)
class Space:
    """Continuous piecewise polynomials on a mesh of simplices.

    Attributes
    ----------
    points
        Vertices [m], shape (vertices, dimension).
    cells
        Vertices of each cell, ascending, shape (cells, dimension + 1).
    degree
        Degree of the polynomials.
    dofs
        Unknown that belongs to each node of each cell, shape (cells, nodes).
    size
        Number of unknowns.
    """

    points: Floats
    cells: Ints
    degree: int
    dofs: Ints
    size: int

    @property
    def dimension(self) -> int:
        """Two for triangles, three for tetrahedra."""
        return int(self.points.shape[1])


def make_space(points: Floats, cells: Ints, degree: int) -> Space:
    """Return the space with its nodes numbered: vertices first, then the insides of edges, faces and cells."""
    cells = np.sort(cells, axis=1)
    nodes = reference(points.shape[1], degree).nodes
    dofs = np.empty((len(cells), len(nodes)), dtype=np.int64)
    start = 0
    for corners in range(1, min(cells.shape[1], degree) + 1):
        sides = list(combinations(range(cells.shape[1]), corners))
        keys = np.zeros((len(cells), len(sides)), dtype=np.int64)
        for corner in range(corners):
            keys = keys * len(points) + cells[:, [side[corner] for side in sides]]
        unique, entity = np.unique(keys, return_inverse=True)
        entity = entity.reshape(keys.shape)
        inside = comb(degree - 1, corners - 1)
        for column, side in enumerate(sides):
            own = np.flatnonzero((nodes[:, side] > 0).all(1) & (nodes[:, side].sum(1) == degree))
            dofs[:, own] = start + entity[:, [column]] * inside + np.arange(inside)
        start += len(unique) * inside
    return Space(points, cells, degree, dofs, start)


def assemble(space: Space) -> tuple["csc_array", "csc_array"]:
    """Return the stiffness and mass matrices of a space (exact for straight cells)."""
    element = reference(space.dimension, space.degree)
    size = len(element.nodes)
    corner = space.points[space.cells]
    from scipy.sparse import csc_array

    jacobian = corner[:, 1:] - corner[:, :1]  # rows are the edges from the first vertex
    volume = np.abs(np.linalg.det(jacobian))
    inverse = np.linalg.inv(jacobian)
    metric = np.einsum("eij,eik->ejk", inverse, inverse) * volume[:, None, None]
    stiffness = metric.reshape(len(corner), -1) @ element.stiffness.reshape(-1, size * size)
    mass = np.multiply.outer(volume, element.mass.ravel())
    rows = np.repeat(space.dofs, size, axis=1).ravel()
    columns = np.tile(space.dofs, (1, size)).ravel()
    shape = (space.size, space.size)
    return csc_array((stiffness.ravel(), (rows, columns)), shape), csc_array(
        (mass.ravel(), (rows, columns)), shape
    )


def locate(space: Space, points: Floats) -> tuple[Ints, Floats, Floats]:
    """Return the cell of each point, its reference coordinates there, and how deep inside the cell it lies [m].

    A negative depth means that no cell holds the point; the cell given is then the one that it misses least.
    """
    corner = space.points[space.cells]
    inverse = np.linalg.inv(corner[:, 1:] - corner[:, :1])  # column a is the gradient of barycentric a + 1
    gradients = np.concatenate([-inverse.sum(2, keepdims=True), inverse], axis=2)
    height = 1 / np.linalg.norm(gradients, axis=1)
    origin = np.einsum("ed,eda->ea", corner[:, 0], gradients)
    origin[:, 0] -= 1
    cell = np.empty(len(points), dtype=np.int64)
    inside = np.empty((len(points), space.dimension + 1))
    depth = np.empty(len(points))
    chunk = max(1, 2_000_000 // gradients.size)
    flat = gradients.transpose(1, 0, 2).reshape(space.dimension, -1)
    for start in range(0, len(points), chunk):
        some = points[start : start + chunk]
        barycentric = (some @ flat).reshape(len(some), *origin.shape) - origin
        deepest = (barycentric * height).min(axis=2)
        best = deepest.argmax(axis=1)
        cell[start : start + chunk] = best
        rows = np.arange(len(some))
        inside[start : start + chunk] = barycentric[rows, best]
        depth[start : start + chunk] = deepest[rows, best]
    return cell, inside[:, 1:], depth


def evaluate(space: Space, values: Floats, points: Floats, *, slack_m: float = 0.01) -> Floats:
    """Return functions of the space at points, shape (points, functions).

    Parameters
    ----------
    space
        The space.
    values
        Unknowns of the functions, shape (size, functions).
    points
        Where, shape (points, dimension) [m].
    slack_m
        How far outside the mesh a point may lie; the nearest cell's polynomial is used there [m].

    Raises
    ------
    ValueError
        If a point lies further outside.
    """
    cell, at, depth = locate(space, points)
    if len(points) and depth.min() < -slack_m:
        where = ", ".join(f"{x:.3f}" for x in points[depth.argmin()])
        raise ValueError(
            f"The point ({where}) lies outside the room; "
            "give points inside its floor plan and under its ceiling."
        )
    element = reference(space.dimension, space.degree)
    basis = _monomials(element.powers, at) @ element.coefficients
    return np.asarray((basis[:, None] @ values[space.dofs[cell]])[:, 0])


def point_sources(space: Space, points: Floats) -> Floats:
    """Return the load vectors of unit point sources, shape (size, points)."""
    cell, at, _ = locate(space, points)
    element = reference(space.dimension, space.degree)
    basis = _monomials(element.powers, at) @ element.coefficients
    load = np.zeros((space.size, len(points)))
    load[space.dofs[cell], np.arange(len(points))[:, None]] = basis
    return load


def boundary_product(space: Space, values: Floats, cell: Ints, omitted: Ints) -> Floats:
    """Return the integrals of products of functions over faces, shape (functions, functions).

    Parameters
    ----------
    space
        The space.
    values
        Unknowns of the functions, shape (size, functions).
    cell, omitted
        Cell of each face and which of its vertices lies opposite, shape (faces,).
    """
    nodes = reference(space.dimension, space.degree).nodes
    face = reference(space.dimension - 1, space.degree)
    own = np.stack([np.flatnonzero(nodes[:, corner] == 0) for corner in range(space.dimension + 1)])
    kept = np.stack(
        [np.delete(np.arange(space.dimension + 1), corner) for corner in range(space.dimension + 1)]
    )
    corner = space.points[np.take_along_axis(space.cells[cell], kept[omitted], axis=1)]
    edges = corner[:, 1:] - corner[:, :1]
    measure = np.sqrt(np.linalg.det(edges @ edges.transpose(0, 2, 1)))
    local = values[np.take_along_axis(space.dofs[cell], own[omitted], axis=1)]
    weighted = np.einsum("f,ij,fjk->fik", measure, face.mass, local, optimize=True)
    size = values.shape[1]
    return np.asarray(local.reshape(-1, size).T @ weighted.reshape(-1, size))
