"""The eigenvalue solver against a general library."""

import numpy as np
import pytest
from scipy.sparse.linalg import eigsh

from seatfield.acoustics.lagrange import assemble, make_space
from seatfield.acoustics.lanczos import smallest_eigenpairs
from seatfield.acoustics.mesh import as_polygon, plan_mesh

SQUARE = as_polygon([[0, 0], [4, 0], [4, 4], [0, 4]])
L = as_polygon([[0, 0], [6, 0], [6, 3], [4, 3], [4, 5.5], [0, 5.5]])


@pytest.mark.parametrize(("plan", "guess"), [(SQUARE, 10), (SQUARE, 60), (L, 5), (L, 40)])
def test_finds_every_pair_that_arpack_finds(plan, guess):
    """Eigenvalues agree with ARPACK to 1e-9, double ones included, however wrong the guess of their number."""
    stiffness, mass = assemble(make_space(*plan_mesh(plan, [plan], 0.9, 4), 4))
    limit = 14.0
    squares, vectors = smallest_eigenpairs(stiffness, mass, limit, about=guess, shift=1.0)
    theirs = np.sort(eigsh(stiffness, 60, M=mass, sigma=-1.0, v0=np.ones(stiffness.shape[0]))[0])
    theirs = theirs[theirs <= limit]
    np.testing.assert_allclose(squares, theirs, rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(vectors.T @ (mass @ vectors), np.eye(len(squares)), atol=1e-9)
    residual = stiffness @ vectors - (mass @ vectors) * squares
    assert np.abs(residual).max() < 1e-5 * (abs(stiffness) @ np.abs(vectors)).max()


def test_the_same_matrices_give_the_same_result():
    """Two runs agree to the last bit."""
    stiffness, mass = assemble(make_space(*plan_mesh(L, [L], 1.2, 2), 4))
    first, second = (smallest_eigenpairs(stiffness, mass, 8.0, about=20, shift=1.0) for _ in range(2))
    np.testing.assert_array_equal(first[0], second[0])
    np.testing.assert_array_equal(first[1], second[1])
