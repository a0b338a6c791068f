"""Boundary gain against Waterhouse's limits and Allison's minimum."""

import numpy as np
import pytest

from seatfield.acoustics import boundary_gain, reflection_null


def test_near_planes_raise_power_by_three_decibels_each():
    """One, two, three planes close by: 3.01, 6.02, 9.03 dB of power (Waterhouse, J. Acoust. Soc. Am. 30 (1958))."""
    for planes in (1, 2, 3):
        assert boundary_gain((1e-4,) * planes, 50.0) == pytest.approx(3.0103 * planes, abs=1e-3)


@pytest.mark.parametrize(
    ("planes", "minimum", "at"), [(1, -1.06, 0.358), (2, -2.86, 0.319), (3, -11.37, 0.281)]
)
def test_equal_distances_have_the_published_minimum(planes, minimum, at):
    """Lowest power at equal distances: −1.06, −2.86 and −11.37 dB at 0.358, 0.319 and 0.281 wavelengths (Allison, J.
    Audio Eng. Soc. 22 (1974): about 11 dB for three)."""
    share = np.linspace(0.1, 0.6, 5001)
    gain = boundary_gain((1.0,) * planes, share * 343.2)
    assert gain.min() == pytest.approx(minimum, abs=0.01)
    assert share[gain.argmin()] == pytest.approx(at, abs=0.001)


def test_a_box_near_three_planes_has_its_table():
    """0.6 m from three planes and 0.3/0.6/1.0 m: six frequencies (Waterhouse's formula, recomputed)."""
    freq = [50, 80, 100, 125, 150, 200]
    np.testing.assert_allclose(boundary_gain((0.6,), freq), [2.58, 1.93, 1.36, 0.57, -0.21, -1.06], atol=0.01)
    np.testing.assert_allclose(
        boundary_gain((0.6, 0.6), freq), [5.14, 3.73, 2.42, 0.43, -1.60, -2.54], atol=0.01
    )
    np.testing.assert_allclose(
        boundary_gain((0.6, 0.6, 0.6), freq), [7.68, 5.37, 2.95, -1.64, -9.15, -3.49], atol=0.03
    )
    np.testing.assert_allclose(
        boundary_gain((0.3, 0.6, 1.0), freq), [7.25, 4.50, 2.32, 0.70, 1.03, 1.31], atol=0.01
    )


def test_a_wall_behind_cancels_at_a_quarter_wave():
    """0.6 m: 142.9 Hz, 1 m: 85.75 Hz at 343 m/s."""
    np.testing.assert_allclose(
        reflection_null([0.6, 1.0], speed_of_sound_m_s=343.0), [142.9, 85.75], atol=0.03
    )


def test_four_planes_are_refused():
    """A corner has three planes at most."""
    with pytest.raises(ValueError, match="one to three"):
        boundary_gain((1, 1, 1, 1), 50.0)
