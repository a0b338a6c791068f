"""Ceilings of planes, held against prisms and pyramids of school geometry."""

import pytest

from seatfield.geometry.ceiling import height, lowest_plane, plane_through, volume_below

SQUARE = ((0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0))
FLAT = (0.0, 0.0, 2.5)


def test_a_plane_passes_through_its_three_points():
    plane = plane_through((0, 0, 2.0), (5.4, 0, 2.0), (0, 4.8, 3.2))
    assert height((plane,), 5.4, 4.8) == pytest.approx(3.2)
    assert height((plane,), 1.0, 2.4) == pytest.approx(2.6)


def test_points_on_one_line_in_plan_give_no_plane():
    assert plane_through((0, 0, 0), (1, 0, 1), (2, 0, 5)) is None


def test_volume_under_a_flat_ceiling_is_area_times_height():
    assert volume_below(SQUARE, (FLAT,)) == pytest.approx(40.0)
    assert volume_below(SQUARE, (FLAT, FLAT)) == pytest.approx(40.0)


def test_volume_under_a_gable_is_prism_and_half_prism():
    gable = (plane_through((0, 0, 1), (0, 4, 1), (2, 0, 3)), plane_through((4, 0, 1), (4, 4, 1), (2, 0, 3)))
    assert volume_below(SQUARE, gable) == pytest.approx(16 * 1 + 16 * 2 / 2)


def test_volume_under_a_hipped_roof_is_a_pyramid():
    hips = ((1, 0, 0), (-1, 0, 4), (0, 1, 0), (0, -1, 4))
    assert volume_below(SQUARE, hips) == pytest.approx(16 * 2 / 3)


def test_volume_of_an_l_shape_under_a_slope_is_the_sum_of_its_rectangles():
    room = ((0.0, 0.0), (5.4, 0.0), (5.4, 3.4), (3.6, 3.4), (3.6, 4.8), (0.0, 4.8))
    slope = (0.0, 0.25, 2.0)
    by_hand = 5.4 * 3.4 * (2 + 0.25 * 1.7) + 3.6 * 1.4 * (2 + 0.25 * 4.1)
    assert volume_below(room, (slope,)) == pytest.approx(by_hand)
    assert volume_below(room[::-1], (slope,)) == pytest.approx(by_hand)


def test_a_plane_below_the_floor_encloses_nothing_there():
    assert volume_below(SQUARE, ((1.0, 0.0, -2.0),)) == pytest.approx(4 * 2 * 2 / 2)


def test_the_lowest_plane_is_named():
    assert lowest_plane((FLAT, (0.5, 0.0, 1.0)), 1.0, 0.0) == 1
    assert lowest_plane((FLAT, (0.5, 0.0, 1.0)), 3.9, 0.0) == 0
