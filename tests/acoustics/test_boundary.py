"""Admittance, boundary integrals and damping against integrals, closed forms and decays."""

import numpy as np
import pytest
from scipy.integrate import quad

from seatfield.acoustics import (
    Boundary,
    FloorPatch,
    WallPatch,
    admittance_from_absorption,
    boundary_losses,
    damping,
    decay_time,
    diffuse_absorption,
    room_modes,
    sabine_time,
)

BOX = [[0, 0], [5, 0], [5, 4], [0, 4]]
C = 343.2


@pytest.mark.parametrize("beta", [0.001, 0.02, 0.2, 0.6])
def test_diffuse_absorption_is_paris_integral(beta):
    """∫ α(θ) sin 2θ dθ with α = 1 − |(cos θ − β)/(cos θ + β)|² (Paris 1928, in Kuttruff, Room Acoustics)."""
    integral, _ = quad(
        lambda t: (1 - ((np.cos(t) - beta) / (np.cos(t) + beta)) ** 2) * np.sin(2 * t), 0, np.pi / 2
    )
    assert diffuse_absorption(beta) == pytest.approx(integral, rel=1e-8)


def test_small_absorption_is_eight_admittances():
    """For small absorption the admittance is an eighth of it; at the largest possible, 0.951, it is 0.638."""
    assert admittance_from_absorption(0.01) == pytest.approx(0.01 / 8, rel=0.02)
    assert diffuse_absorption(0.6378) == pytest.approx(0.9512, abs=2e-4)
    np.testing.assert_allclose(
        diffuse_absorption(admittance_from_absorption([0.05, 0.3, 0.9])), [0.05, 0.3, 0.9], rtol=1e-5
    )
    with pytest.raises(ValueError, match="cannot be negative"):
        admittance_from_absorption(-0.1)


def test_damping_of_a_box_has_its_closed_form():
    """δ = (c/2) Σ β_s ε_s S_s / V: a surface counts twice for a mode that varies across it, once for one that does
    not."""
    modes = room_modes(BOX, 2.5, to_hz=90)
    walls = np.array([0.01, 0.02, 0.03, 0.05])
    losses = boundary_losses(modes, Boundary([100.0], walls[:, None], [0.07], [0.04]))
    per_length = {"x": (walls[1] + walls[3]) / 5, "y": (walls[0] + walls[2]) / 4, "z": 0.11 / 2.5}
    factors = {0: (2, 1, 1), 1: (1, 2, 1), 2: (2, 2, 1)}  # modes 100, 010, 110
    for mode, (x, y, z) in factors.items():
        expected = C / 2 * (x * per_length["x"] + y * per_length["y"] + z * per_length["z"])
        assert damping(modes, losses)[mode] == pytest.approx(expected, rel=1e-4)
    vertical = np.flatnonzero((modes.order == 1) & (modes.base == 0))[0]
    expected = C / 2 * (per_length["x"] + per_length["y"] + 2 * per_length["z"])
    assert damping(modes, losses)[vertical] == pytest.approx(expected, rel=1e-4)


def test_oblique_modes_decay_as_sabine_says():
    """Modes that vary along all three axes decay in Sabine's time when absorption is small and even (Sabine 1922)."""
    modes = room_modes(BOX, 2.5, to_hz=150)
    losses = boundary_losses(
        modes,
        Boundary([100.0], admittance_from_absorption([0.02]), *[admittance_from_absorption([0.02])] * 2),
    )
    times = decay_time(damping(modes, losses))
    assert times.min() == pytest.approx(float(sabine_time(50.0, 85 * 0.02)), rel=0.03)


def test_a_patch_takes_the_place_of_its_wall():
    """A patch over a whole wall with the wall's admittance changes nothing; with another it is that wall."""
    modes = room_modes(BOX, 2.5, to_hz=120)
    walls = np.array([[0.01], [0.02], [0.03], [0.05]])
    whole = WallPatch(1, (0.0, 4.0), (0.0, 2.5), (0.2,))
    patched = damping(modes, boundary_losses(modes, Boundary([100.0], walls, [0.01], [0.01], (whole,))))
    walls[1] = 0.2
    np.testing.assert_allclose(
        patched, damping(modes, boundary_losses(modes, Boundary([100.0], walls, [0.01], [0.01]))), rtol=2e-4
    )


def test_parts_of_a_wall_add_up_to_the_wall():
    """Six patches that tile a wall damp as the wall does."""
    modes = room_modes(BOX, 2.5, to_hz=120)
    tiles = tuple(
        WallPatch(0, (a, b), (low, high), (0.1,))
        for a, b in ((0, 1.3), (1.3, 3), (3, 5))
        for low, high in ((0, 0.9), (0.9, 2.5))
    )
    tiled = damping(modes, boundary_losses(modes, Boundary([100.0], [0.02], [0.01], [0.01], tiles)))
    walls = [[0.1], [0.02], [0.02], [0.02]]
    np.testing.assert_allclose(
        tiled, damping(modes, boundary_losses(modes, Boundary([100.0], walls, [0.01], [0.01]))), rtol=5e-5
    )


def test_a_sheet_over_the_floor_is_the_floor():
    """A sheet that covers the plan at height zero adds to the floor; at half height it spares the first vertical
    mode."""
    modes = room_modes(BOX, 2.5, to_hz=120)
    corners = tuple(map(tuple, BOX))
    on_floor = Boundary([100.0], [0.0], [0.0], [0.0], (), (FloorPatch(corners, 0.0, (0.03,)),))
    floor = Boundary([100.0], [0.0], [0.03], [0.0])
    np.testing.assert_allclose(
        damping(modes, boundary_losses(modes, on_floor)),
        damping(modes, boundary_losses(modes, floor)),
        rtol=2e-4,
    )
    raised = Boundary([100.0], [0.0], [0.0], [0.0], (), (FloorPatch(corners, 1.25, (0.03,)),))
    vertical = np.flatnonzero((modes.order == 1) & (modes.base == 0))[0]
    assert abs(damping(modes, boundary_losses(modes, raised))[vertical]) < 1e-6


def test_sloped_and_flat_solvers_agree_on_damping():
    """The same box by tetrahedra has the same damping of its separate modes within 1 %."""
    boundary = Boundary(
        [100.0], [[0.01], [0.02], [0.03], [0.05]], [0.07], [0.04], (WallPatch(0, (1, 2), (0, 2), (0.2,)),)
    )
    flat = room_modes([[0, 0], [5.3, 0], [5.3, 4], [0, 4]], 2.45, to_hz=75)
    plane = [[[0, 0, 2.45], [5, 0, 2.45], [0, 4, 2.45]]]
    solid = room_modes([[0, 0], [5.3, 0], [5.3, 4], [0, 4]], plane, to_hz=75)
    np.testing.assert_allclose(
        damping(solid, boundary_losses(solid, boundary)),
        damping(flat, boundary_losses(flat, boundary)),
        rtol=1e-2,
    )


def test_bands_are_interpolated_to_each_mode():
    """With admittances that rise from band to band a mode's damping is that of the admittance at its frequency."""
    modes = room_modes(BOX, 2.5, to_hz=100)
    rising = damping(
        modes, boundary_losses(modes, Boundary([50.0, 100.0], [0.0, 0.0], [0.01, 0.03], [0.0, 0.0]))
    )
    unit = damping(modes, boundary_losses(modes, Boundary([50.0], [0.0], [1.0], [0.0])))
    expected = np.interp(np.log(modes.freq_hz), np.log([50, 100]), [0.01, 0.03])
    np.testing.assert_allclose(rising / unit, expected, rtol=1e-9)


@pytest.mark.parametrize(
    ("boundary", "message"),
    [
        (Boundary([100.0], [[0.1]] * 3, [0.1], [0.1]), "the room has 4 walls"),
        (Boundary([100.0], [0.1, 0.2], [0.1], [0.1]), "the boundary 1 bands"),
        (
            Boundary([100.0], [0.1], [0.1], [0.1], (WallPatch(0, (4, 6), (0, 2), (1.0,)),)),
            "which is 5.000 m long",
        ),
        (Boundary([100.0], [0.1], [0.1], [0.1], (WallPatch(7, (0, 1), (0, 2), (1.0,)),)), "walls 0 to 3"),
        (
            Boundary([100.0], [0.1], [0.1], [0.1], (), (FloorPatch(((9, 9), (10, 9), (9, 10)), 0, (1.0,)),)),
            "outside the floor",
        ),
        (
            Boundary([100.0], [0.1], [0.1], [0.1], (WallPatch(0, (0, 1), (0, 2), (1.0, 2.0)),)),
            "one for each band",
        ),
    ],
)
def test_boundaries_that_do_not_fit_are_told(boundary, message):
    """Wrong numbers of walls and bands and patches off their wall name what the room has."""
    modes = room_modes(BOX, 2.5, to_hz=60)
    with pytest.raises(ValueError, match=message):
        boundary_losses(modes, boundary)
