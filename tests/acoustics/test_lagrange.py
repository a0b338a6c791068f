"""Elements against exact integrals and a general library."""

from itertools import pairwise

import numpy as np
import pytest
import shapely
import skfem
from skfem.helpers import dot, grad

from seatfield.acoustics.lagrange import (
    assemble,
    boundary_product,
    evaluate,
    make_space,
    point_sources,
    reference,
)
from seatfield.acoustics.mesh import (
    as_polygon,
    boundary_faces,
    crease_faces,
    extrude,
    plan_mesh,
    plane_coefficients,
)

PLAN = as_polygon([[0, 0], [4, 0], [4, 2], [2.5, 2], [2.5, 3], [0, 3]])
SLOPES = [[[0, 0, 2.0], [4, 0, 2.0], [0, 3, 3.0]], [[0, 3, 2.2], [4, 3, 2.2], [0, 0, 3.4]]]


def a_space(dimension: int, degree: int):
    """Return a small space in either dimension."""
    if dimension == 2:
        return make_space(*plan_mesh(PLAN, [PLAN], 1.5, 1), degree)
    solid = extrude(PLAN, SLOPES, longest_m=2.0, corner_levels=0)
    return make_space(solid.points, solid.cells, degree)


@pytest.mark.parametrize("degree", [1, 2, 3, 4, 5])
@pytest.mark.parametrize("dimension", [2, 3])
def test_polynomials_up_to_the_degree_are_exact(dimension, degree):
    """A function that is a polynomial of the element's degree is continuous in the space, so values, loads and energy
    are exact."""
    space = a_space(dimension, degree)
    rng = np.random.default_rng(0)
    inside = np.column_stack(
        [rng.uniform(0.1, 2.4, 50), rng.uniform(0.1, 1.9, 50), rng.uniform(0.1, 1.9, 50)]
    )[:, :dimension]
    slope = np.array([0.3, -0.7, 0.5])[:dimension]
    nodes = _node_positions(space)
    values = ((nodes @ slope) ** degree)[:, None]
    np.testing.assert_allclose(evaluate(space, values, inside)[:, 0], (inside @ slope) ** degree, atol=1e-11)
    np.testing.assert_allclose(
        point_sources(space, inside).T @ values[:, 0], (inside @ slope) ** degree, atol=1e-11
    )
    stiffness, mass = assemble(space)
    linear = nodes @ slope
    volume = np.ones(space.size) @ (mass @ np.ones(space.size))
    assert linear @ (stiffness @ linear) == pytest.approx(volume * (slope @ slope), rel=1e-11)


def _node_positions(space):
    """Return where each unknown's node lies."""
    weights = reference(space.dimension, space.degree).nodes / space.degree
    at = np.einsum("nv,evd->end", weights, space.points[space.cells])
    nodes = np.empty((space.size, space.dimension))
    nodes[space.dofs] = at
    np.testing.assert_allclose(nodes[space.dofs], at, atol=1e-12)  # cells agree on every node that they share
    return nodes


def test_matrices_have_the_spectrum_of_a_general_library():
    """Quartic triangles have the same eigenvalues as those of scikit-fem on the same mesh."""
    space = a_space(2, 4)
    stiffness, mass = assemble(space)
    basis = skfem.Basis(skfem.MeshTri(space.points.T, space.cells.T), skfem.ElementTriP4(), intorder=8)
    theirs_k = skfem.BilinearForm(lambda u, v, w: dot(grad(u), grad(v))).assemble(basis).toarray()
    theirs_m = skfem.BilinearForm(lambda u, v, w: u * v).assemble(basis).toarray()
    ours = np.sort(np.linalg.eigvals(np.linalg.solve(mass.toarray(), stiffness.toarray())).real)
    theirs = np.sort(np.linalg.eigvals(np.linalg.solve(theirs_m, theirs_k)).real)
    np.testing.assert_allclose(ours, theirs, rtol=1e-7, atol=1e-7)


def test_boundary_products_measure_the_surface():
    """The product of the constant with itself over all outer faces is the surface, and of a plan the perimeter."""
    for space, expected in ((a_space(2, 4), PLAN.length), (a_space(3, 4), _surface())):
        product = boundary_product(space, np.ones((space.size, 1)), *boundary_faces(space.cells))
        assert product[0, 0] == pytest.approx(expected, rel=1e-8)  # creases are snapped to 0.1 µm


def _surface() -> float:
    """Return floor, ceiling and wall areas of the room under `SLOPES`, from its polygons."""
    planes = plane_coefficients(SLOPES)

    def height(x, y):
        return min(a * x + b * y + c for a, b, c in planes)

    total = PLAN.area
    for face in crease_faces(PLAN, planes):
        x, y = face.representative_point().coords[0]
        a, b, _ = min(planes, key=lambda p: p[0] * x + p[1] * y + p[2])
        total += face.area * np.sqrt(1 + a**2 + b**2)
        ring = list(face.exterior.coords)
        for (x0, y0), (x1, y1) in pairwise(ring):
            if PLAN.boundary.distance(shapely.Point((x0 + x1) / 2, (y0 + y1) / 2)) < 1e-6:
                total += np.hypot(x1 - x0, y1 - y0) * (height(x0, y0) + height(x1, y1)) / 2
    return total


def test_a_point_outside_is_told():
    """A point half a metre outside the plan is refused and named; one a few millimetres off the wall is taken."""
    space = a_space(2, 2)
    with pytest.raises(ValueError, match=r"The point \(1\.000, -0\.500\) lies outside the room"):
        evaluate(space, np.ones((space.size, 1)), np.array([[1.0, -0.5]]))
    assert evaluate(space, np.ones((space.size, 1)), np.array([[1.0, -0.005]])) == pytest.approx(1.0)
