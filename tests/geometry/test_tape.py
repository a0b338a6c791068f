"""Two tapes, held against triangles that a person can check."""

import pytest

from seatfield.geometry.tape import crossing_deg, crossing_points, position_error_m


def test_a_three_four_five_triangle_crosses_at_a_right_angle():
    assert crossing_deg((0, 0), (3, 0), (0, 4)) == pytest.approx(90)
    assert crossing_points((0, 0), 3, (5, 0), 4) == (pytest.approx((1.8, 2.4)), pytest.approx((1.8, -2.4)))


def test_tapes_that_do_not_reach_do_not_meet():
    assert crossing_points((0, 0), 1, (5, 0), 1) == ()
    assert crossing_points((0, 0), 9, (5, 0), 1) == ()
    assert crossing_points((0, 0), 1, (0, 0), 1) == ()


def test_tapes_on_one_line_meet_once():
    assert crossing_points((0, 0), 2, (5, 0), 3) == (pytest.approx((2, 0)),)


def test_the_error_doubles_at_30_degrees_and_is_root_two_at_90():
    assert position_error_m(90, 0.01) == pytest.approx(0.01 * 2**0.5)
    assert position_error_m(30, 0.01) == pytest.approx(0.02 * 2**0.5)
    assert position_error_m(0, 0.01) == float("inf")
