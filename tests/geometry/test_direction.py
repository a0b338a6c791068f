"""Directions, held against the standard's own axes, spherical trigonometry and brute force."""

from math import cos, radians, sin

import numpy as np
import pytest

from seatfield.geometry.direction import great_circle_deg, outside_window_deg, seen_from, wrap_deg


@pytest.mark.parametrize(
    ("azimuth", "elevation", "x", "y", "z"),
    [
        # ITU-R BS.2051 directions at 2.5 m, x to the right and y ahead, recomputed by hand.
        (30, 0, -1.2500, 2.1651, 0.0),
        (110, 0, -2.3492, -0.8551, 0.0),
        (45, 30, -1.5309, 1.5309, 1.2500),
        (135, 45, -1.2500, -1.2500, 1.7678),
    ],
)
def test_directions_of_the_standard_are_seen_where_they_stand(azimuth, elevation, x, y, z):
    assert seen_from((0, 0, 0), (0, 1), (x, y, z)) == pytest.approx((azimuth, elevation, 2.5), abs=0.003)


def test_left_is_positive_whatever_way_the_seat_faces():
    # As in the project file's example: the seat faces −y, so the left is +x.
    assert seen_from((2.3, 2.9, 1.05), (2.3, 0.1), (4.3, 2.9, 1.05))[0] == pytest.approx(90)


def test_surround_raised_to_1_80_m_is_16_7_degrees_up():
    assert seen_from((0, 0, 1.2), (0, 1), (-2, 0, 1.8))[1] == pytest.approx(16.70, abs=0.005)


def test_straight_above_has_azimuth_0():
    assert seen_from((1, 1, 1), (1, 5), (1, 1, 2)) == pytest.approx((0, 90, 1))


def test_angles_wrap_into_plus_minus_180():
    assert [wrap_deg(a) for a in (-180, 180, 181, -181, 540, 0, -90)] == [180, 180, -179, 179, 180, 0, -90]


def test_great_circle_equals_the_scalar_product_s_angle():
    random = np.random.default_rng(3)
    for az, el, other_az, other_el in random.uniform((-180, -90, -180, -90), (180, 90, 180, 90), (200, 4)):
        one, two = _vector(az, el), _vector(other_az, other_el)
        expected = np.degrees(np.arccos(np.clip(one @ two, -1, 1)))
        assert great_circle_deg(az, el, other_az, other_el) == pytest.approx(expected, abs=1e-5)


def test_a_loudspeaker_behind_is_inside_the_back_window_on_both_sides_of_180():
    for azimuth in (179, -179, 180, -180):
        assert outside_window_deg(azimuth, 0, ((178, 182),), ((-2, 2),)) == 0
    assert outside_window_deg(-175, 0, ((178, 182),), ((-2, 2),)) == pytest.approx(3)


def test_distance_to_a_window_equals_a_fine_search_over_it():
    random = np.random.default_rng(7)
    for _ in range(40):
        low, width = random.uniform(-180, 180), random.uniform(0, 120)
        bottom, top = np.sort(random.uniform(-60, 90, 2))
        inside_az, inside_el = np.meshgrid(np.linspace(low, low + width, 241), np.linspace(bottom, top, 181))
        window = _vector(inside_az.ravel(), inside_el.ravel())
        az, el = random.uniform(-180, 180), random.uniform(-90, 90)
        nearest = np.degrees(np.arccos(np.clip((window.T @ _vector(az, el)).max(), -1, 1)))
        found = float(outside_window_deg(az, el, ((low, low + width),), ((bottom, top),)))
        assert found <= nearest + 1e-4
        assert found == pytest.approx(nearest, abs=0.6)


def test_of_several_intervals_the_nearest_counts_and_arrays_equal_scalars():
    window = ((5.0, 25.0), (35.0, 60.0))
    azimuths = np.array([0.0, 10.0, 30.0, 33.0, 70.0])
    together = outside_window_deg(azimuths, 0.0, window, ((0.0, 0.0),))
    assert together == pytest.approx([5, 0, 5, 2, 10])
    assert [float(outside_window_deg(a, 0.0, window, ((0.0, 0.0),))) for a in azimuths] == pytest.approx(
        together
    )


def _vector(azimuth, elevation):
    azimuth, elevation = np.radians(azimuth), np.radians(elevation)
    return np.array(
        [-np.sin(azimuth) * np.cos(elevation), np.cos(azimuth) * np.cos(elevation), np.sin(elevation)]
    )


def test_a_ceiling_loudspeaker_is_legal_between_0_84_and_2_08_m_at_1_2_m_over_the_ears():
    # ITU-R BS.2051-3 system J: elevation 30° to 55°; 1.2 m / tan(30°) = 2.078 m, 1.2 m / tan(55°) = 0.840 m.
    for away, allowed in ((0.83, False), (0.85, True), (2.07, True), (2.09, False)):
        at = (-away * sin(radians(40)), away * cos(radians(40)), 1.2)
        azimuth, elevation, _ = seen_from((0, 0, 0), (0, 1), at)
        assert (outside_window_deg(azimuth, elevation, ((30, 45),), ((30, 55),)) == 0) == allowed
