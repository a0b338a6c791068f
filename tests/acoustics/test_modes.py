"""Modes against published eigenvalues, closed forms and refinements."""

import numpy as np
import pytest
from scipy.special import jnp_zeros

from seatfield.acoustics import MeshParams, extrude, mode_pressure, room_modes

C = 343.2


def box_frequencies(sides, count, speed=C):
    """Return the lowest mode frequencies of a rectangular room, f = (c/2) √((p/L)² + (q/W)² + (r/H)²)."""
    grids = np.meshgrid(*[np.arange(30) / side for side in sides], indexing="ij")
    return np.sort(speed / 2 * np.sqrt(sum(grid**2 for grid in grids)), axis=None)[1 : count + 1]


def test_the_l_shape_has_its_published_eigenvalues():
    """M. Dauge's benchmark for Maxwell's equations gives five eigenvalues of the L-shaped domain of three unit
    squares; they are those of the Neumann Laplacian. With squares of 2 m all five frequencies come within 1e-5."""
    published = np.array([1.47562182408, 3.53403136678, np.pi**2, np.pi**2, 11.3894793979])
    modes = room_modes([[0, 0], [4, 0], [4, 2], [2, 2], [2, 4], [0, 4]], to_hz=150)
    np.testing.assert_allclose(modes.freq_hz[:5], C * np.sqrt(published) / 2 / (2 * np.pi), rtol=1e-5)


def test_a_rectangle_has_its_closed_form():
    """Ten lowest frequencies of a plan of 5 × 4 m."""
    modes = room_modes([[0, 0], [5, 0], [5, 4], [0, 4]], to_hz=200)
    np.testing.assert_allclose(modes.freq_hz[:10], box_frequencies((5, 4), 10), rtol=1e-5)


def test_a_right_isosceles_triangle_has_its_closed_form():
    """(π/a)² (m² + n²), m ≥ n ≥ 0 (Kuttler and Sigillito, SIAM Review 26 (1984)); legs of 4 m, ten frequencies."""
    squares = sorted(m * m + n * n for m in range(9) for n in range(m + 1))[1:11]
    modes = room_modes([[0, 0], [4, 0], [0, 4]], to_hz=250)
    np.testing.assert_allclose(modes.freq_hz[:10], C / 8 * np.sqrt(squares), rtol=1e-5)


def test_an_equilateral_triangle_has_its_closed_form():
    """(4π/3a)² (m² + mn + n²) (Lamé; McCartin, SIAM Review 45 (2003)): 1, 1, 3, 4, 4, 7, 7, 9, 9, 12."""
    modes = room_modes([[0, 0], [4, 0], [2, 2 * np.sqrt(3)]], to_hz=300)
    squares = np.array([1, 1, 3, 4, 4, 7, 7, 9, 9, 12])
    np.testing.assert_allclose(modes.freq_hz[:10], C / 6 * np.sqrt(squares), rtol=1e-5)


def test_a_disc_has_the_zeros_of_bessel_derivatives():
    """(j'_{n,q}/R) (Abramowitz and Stegun, table 9.5; scipy): a polygon of 128 corners and equal area, ten
    frequencies."""
    zeros = np.sort(np.concatenate([np.repeat(jnp_zeros(n, 4), 1 if n == 0 else 2) for n in range(8)]))[:10]
    corners = 128
    radius = 2.0 * np.sqrt(2 * np.pi / (corners * np.sin(2 * np.pi / corners)))
    angle = 2 * np.pi * np.arange(corners) / corners
    modes = room_modes(radius * np.column_stack([np.cos(angle), np.sin(angle)]), to_hz=220)
    np.testing.assert_allclose(modes.freq_hz[:10], zeros / 2.0 * C / (2 * np.pi), rtol=1e-5)


def test_a_box_has_the_textbook_modes():
    """5 × 4 × 2.5 m at 343 m/s: 34.30, 42.88, 54.91, 68.60 (twice), 76.70, 80.90 (twice), 85.75, 87.87, 92.36, 97.02
    Hz; twelve to 100 Hz and 65 to 200 Hz (f = (c/2) √(...), recomputed)."""
    modes = room_modes([[0, 0], [5, 0], [5, 4], [0, 4]], 2.5, to_hz=200, speed_of_sound_m_s=343.0)
    expected = [34.30, 42.88, 54.91, 68.60, 68.60, 76.70, 80.90, 80.90, 85.75, 87.87, 92.36, 97.02]
    np.testing.assert_allclose(modes.freq_hz[:12], expected, atol=0.006)
    assert (modes.freq_hz <= 100).sum() == 12
    assert len(modes.freq_hz) == 65


def test_a_longer_side_lowers_its_mode():
    """6.2 × 4.1 × 2.6 m at 343.2 m/s: 27.68, 41.85, 50.18, 55.35, 66.00, 69.40, 71.57 Hz (recomputed from the closed
    form)."""
    modes = room_modes([[0, 0], [6.2, 0], [6.2, 4.1], [0, 4.1]], 2.6, to_hz=120)
    np.testing.assert_allclose(
        modes.freq_hz[:7], [27.68, 41.85, 50.18, 55.35, 66.00, 69.40, 71.57], atol=0.006
    )


@pytest.mark.parametrize("degree", [2, 3, 4])
def test_frequencies_converge_at_twice_the_degree(degree):
    """Halving the elements divides the error of a smooth mode's squared frequency by 2^(2 degree), the order of the
    theory (Strang and Fix, An Analysis of the Finite Element Method, 1973), give or take a fifth of the order."""
    exact = box_frequencies((5, 4), 4)[3]
    errors = []
    for share in (1.2, 0.6):
        mesh = MeshParams(degree=degree, per_wavelength=share / 2)
        modes = room_modes([[0, 0], [5, 0], [5, 4], [0, 4]], to_hz=90, mesh=mesh)
        errors.append(np.abs(modes.freq_hz[3] / exact - 1))
    assert np.log2(errors[0] / errors[1]) > 1.6 * degree


def test_grading_rather_than_uniform_refinement_resolves_the_corner():
    """The L's first eigenvalue, singular at the corner, gains two digits from eight levels there."""
    first = 1.47562182408
    plan = [[0, 0], [4, 0], [4, 2], [2, 2], [2, 4], [0, 4]]
    errors = [
        abs(
            (room_modes(plan, to_hz=120, mesh=MeshParams(corner_levels=levels)).freq_hz[0] * 4 * np.pi / C)
            ** 2
            / first
            - 1
        )
        for levels in (0, 4, 8)
    ]
    assert errors[1] < errors[0] / 20
    assert errors[2] < errors[1] / 20
    assert errors[2] < 3e-6


def test_a_level_ceiling_given_as_a_plane_is_a_flat_ceiling():
    """Tetrahedra under one level plane give the box's closed form within 0.2 % to 150 Hz."""
    plane = [[[0, 0, 2.5], [5, 0, 2.5], [0, 4, 2.5]]]
    modes = room_modes([[0, 0], [5, 0], [5, 4], [0, 4]], plane, to_hz=150)
    expected = box_frequencies((5, 4, 2.5), len(modes.freq_hz))
    np.testing.assert_allclose(modes.freq_hz, expected, rtol=2e-3)


@pytest.mark.slow
def test_a_sloped_room_agrees_with_its_refinement():
    """An L under a gable: every mode to 150 Hz within 0.2 % of elements of 0.63 the size."""
    plan = [[0, 0], [5.4, 0], [5.4, 3.0], [3.6, 3.0], [3.6, 4.8], [0, 4.8]]
    planes = [[[0, 0, 2.0], [5, 0, 2.0], [0, 2.4, 3.2]], [[0, 4.8, 2.0], [5, 4.8, 2.0], [0, 2.4, 3.2]]]
    coarse = room_modes(plan, planes, to_hz=150)
    fine = room_modes(plan, planes, to_hz=153, mesh=MeshParams(per_wavelength=0.38, corner_levels=12))
    np.testing.assert_allclose(coarse.freq_hz, fine.freq_hz[: len(coarse.freq_hz)], rtol=2e-3)
    assert fine.space.size > 2 * coarse.space.size


def test_a_sloped_wedge_has_the_modes_of_its_section():
    """A room that is a right isosceles triangle in section, 3 m legs, 4 m long: the triangle's closed form and
    cosines along."""
    modes = room_modes([[0, 0], [4, 0], [4, 3], [0, 3]], [[[0, 0, 3.0], [4, 0, 3.0], [0, 3, 0.0]]], to_hz=140)
    section = sorted({m * m + n * n for m in range(9) for n in range(m + 1)})
    expected = np.sort([C / 2 * np.sqrt(s / 9 + (p / 4) ** 2) for s in section for p in range(8)])[1:]
    np.testing.assert_allclose(modes.freq_hz, expected[: len(modes.freq_hz)], rtol=1.5e-3)


def test_a_mesh_may_be_given_instead_of_a_plan():
    """Modes of a mesh made beforehand are those of the room that it was made of."""
    plan, plane = [[0, 0], [4, 0], [4, 3], [0, 3]], [[[0, 0, 2.0], [4, 0, 2.0], [0, 3, 2.8]]]
    direct = room_modes(plan, plane, to_hz=110)
    given = room_modes(extrude(plan, plane, longest_m=0.9 * np.sqrt(12) / 2.2), to_hz=110)
    np.testing.assert_allclose(given.freq_hz, direct.freq_hz, rtol=1e-9)


def test_shapes_are_orthonormal_over_the_room():
    """Integrals of products of modes over a room, by a fine midpoint rule, make the identity."""
    modes = room_modes([[0, 0], [5, 0], [5, 4], [0, 4]], 2.5, to_hz=100)
    grid = [(np.arange(n) + 0.5) / n * side for n, side in ((30, 5), (24, 4), (16, 2.5))]
    points = np.stack(np.meshgrid(*grid, indexing="ij"), axis=-1).reshape(-1, 3)
    shapes = mode_pressure(modes, points)
    np.testing.assert_allclose(shapes.T @ shapes * 50 / len(points), np.eye(len(modes.freq_hz)), atol=2e-3)


def test_the_length_mode_is_a_cosine():
    """The first mode of a box is cos(πx/L), scaled by √(2/V)."""
    modes = room_modes([[0, 0], [5, 0], [5, 4], [0, 4]], 2.5, to_hz=60)
    x = np.linspace(0, 5, 11)
    shape = mode_pressure(modes, np.column_stack([x, np.full(11, 1.0), np.full(11, 0.7)]), [0])[:, 0]
    np.testing.assert_allclose(np.abs(shape), np.abs(np.cos(np.pi * x / 5)) * np.sqrt(2 / 50), atol=1e-5)


def test_a_column_in_the_room_lowers_the_first_mode():
    """A hole in the plan is a column: the wave goes around it, so the first frequency falls, by a few per cent."""
    import shapely

    plain = room_modes(shapely.box(0, 0, 5, 4), to_hz=60)
    column = room_modes(shapely.box(0, 0, 5, 4).difference(shapely.box(2.2, 1.7, 2.8, 2.3)), to_hz=60)
    assert 0.9 < column.freq_hz[0] / plain.freq_hz[0] < 0.999


@pytest.mark.parametrize(
    ("arguments", "message"),
    [({"ceiling": -2.0}, "height above zero"), ({"to_hz": 0.0}, "speed of sound above zero")],
)
def test_impossible_rooms_are_refused(arguments, message):
    """A ceiling below the floor and a frequency of zero are told."""
    with pytest.raises(ValueError, match=message):
        room_modes([[0, 0], [5, 0], [5, 4], [0, 4]], **arguments)
