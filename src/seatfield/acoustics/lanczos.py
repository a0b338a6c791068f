"""Smallest eigenpairs of a sparse symmetric pencil by block Lanczos on its shifted inverse."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from seatfield.acoustics.lagrange import Floats

if TYPE_CHECKING:
    from scipy.sparse import csc_array

Solve = Callable[[Floats], Floats]
_DENSE = 300  # unknowns up to which a dense solution is as fast
_TOLERANCE = 1e-5  # of the residual; an eigenvalue's error is of its square


def factorised(stiffness: "csc_array", mass: "csc_array", shift: float) -> Solve:
    """Return the solver of (stiffness + shift mass) x = b for a positive shift."""
    from scipy.sparse.linalg import splu

    factor = splu(
        stiffness + shift * mass,
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    solve: Solve = factor.solve
    return solve


def smallest_eigenpairs(
    stiffness: "csc_array", mass: "csc_array", limit: float, *, about: int, shift: float, block: int = 6
) -> tuple[Floats, Floats]:
    """Return all eigenvalues up to a limit, ascending, and their mass-orthonormal vectors.

    Parameters
    ----------
    stiffness, mass
        Symmetric matrices; mass positive definite, stiffness semi-definite.
    limit
        Largest eigenvalue wanted.
    about
        How many are expected; a wrong guess costs time, not results.
    shift
        What is added to every eigenvalue before inversion, above zero.
    block
        How many vectors the inverse is applied to at once; also the multiplicity that is found for certain.

    Notes
    -----
    Each block is orthogonalised against all before it; no restart, a fixed start block: the same matrices give the
    same result. Stops when every pair up to the limit and the next one beyond it have converged. Blocks make the
    triangular solves two to three times cheaper a vector than the single-vector iteration of ARPACK, which serves as
    the reference in the tests.
    """
    size = stiffness.shape[0]
    if size <= _DENSE:
        from scipy.linalg import eigh

        squares, vectors = eigh(stiffness.toarray(), mass.toarray(), driver="gvd")
        found = int(np.searchsorted(squares, limit, side="right"))
        return squares[:found], vectors[:, :found]
    solve = factorised(stiffness, mass, shift)
    room = min(size - size % block, 6 * about + 24 * block)
    basis, image = np.empty((size, room), order="F"), np.empty((size, room), order="F")
    projected = np.zeros((room, room))
    vectors = np.cos(np.multiply.outer(np.arange(1.0, size + 1) * 4.743, np.arange(block) + 1.0))
    vectors[:, 0] = 1
    basis[:, :block], image[:, :block] = _orthonormal(vectors, mass)
    check = 2 * about + 2 * block
    for filled in range(block, room + 1, block):
        own, near = slice(filled - block, filled), slice(max(0, filled - 2 * block), filled)
        vectors = solve(image[:, own])
        coupling = image[:, near].T @ vectors
        projected[near, own], projected[own, near] = coupling, coupling.T
        vectors -= basis[:, near] @ coupling
        vectors -= basis[:, :filled] @ (image[:, :filled].T @ vectors)  # what rounding let back in
        if filled >= check or filled + block > room:
            check = filled + max(2 * block, about // 4)
            inverse, turn = np.linalg.eigh(projected[:filled, :filled])
            inverse, turn = inverse[::-1], turn[:, ::-1]
            rest = vectors.T @ (mass @ vectors)
            residual = np.sqrt(np.maximum(np.einsum("ij,ik,kj->j", turn[own], rest, turn[own]), 0)) / inverse
            found = int(np.searchsorted(1 / inverse - shift, limit, side="right"))
            if found < filled and np.abs(residual[: found + 1]).max() < _TOLERANCE:
                return 1 / inverse[:found] - shift, basis[:, :filled] @ turn[:, :found]
        if filled + block <= room:
            after = slice(filled, filled + block)
            basis[:, after], image[:, after] = _orthonormal(vectors, mass)
    raise ValueError(
        f"{found} modes or more were asked of {size} unknowns, more than they can tell apart; "
        "use finer elements or a lower frequency."
    )


def _orthonormal(vectors: Floats, mass: "csc_array") -> tuple[Floats, Floats]:
    """Return vectors made mass-orthonormal and their products with the mass matrix."""
    product = mass @ vectors
    for _ in range(2):  # twice is enough (Parlett, The Symmetric Eigenvalue Problem, 1980)
        triangle = np.linalg.inv(np.linalg.cholesky(vectors.T @ product)).T
        vectors, product = vectors @ triangle, product @ triangle
    return vectors, product
