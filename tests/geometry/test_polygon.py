"""Outlines, held against shapely and against shapes whose area is plain."""

import numpy as np
import pytest
from shapely import Point as ShapelyPoint
from shapely import Polygon

from seatfield.geometry.polygon import (
    area,
    boundary_distance,
    bounds,
    centroid,
    clip,
    contains,
    crossings,
    outside_by,
    overlap,
    signed_area,
)

BAKERY = ((0.0, 0.0), (5.4, 0.0), (5.4, 3.4), (3.6, 3.4), (3.6, 4.8), (0.0, 4.8))


def test_area_of_an_l_shape_is_that_of_its_two_rectangles():
    assert area(BAKERY) == pytest.approx(5.4 * 3.4 + 3.6 * 1.4, abs=1e-12)


def test_sign_of_the_area_tells_the_sense_of_the_corners():
    assert signed_area(BAKERY) == pytest.approx(-signed_area(BAKERY[::-1]))
    assert signed_area(BAKERY) > 0


def test_an_empty_outline_encloses_nothing():
    assert area(()) == 0
    assert crossings(()) == ()


def test_area_centre_and_distances_equal_shapely_s_on_random_stars():
    random = np.random.default_rng(5)
    for _ in range(60):
        angles = np.sort(random.uniform(0, 2 * np.pi, 9))
        radii = random.uniform(1, 4, 9)
        outline = tuple(
            zip((radii * np.cos(angles)).tolist(), (radii * np.sin(angles)).tolist(), strict=True)
        )
        reference = Polygon(outline)
        if not reference.is_valid:
            continue
        assert area(outline) == pytest.approx(reference.area, rel=1e-12)
        assert centroid(outline) == pytest.approx((reference.centroid.x, reference.centroid.y), abs=1e-9)
        assert bounds(outline) == pytest.approx(reference.bounds)
        for x, y in random.uniform(-4, 4, (20, 2)):
            point = ShapelyPoint(x, y)
            assert contains(outline, (x, y)) == reference.covers(point)
            assert boundary_distance(outline, (x, y)) == pytest.approx(reference.exterior.distance(point))
            assert outside_by(outline, (x, y)) == pytest.approx(reference.distance(point))


def test_simplicity_equals_shapely_s_on_random_outlines():
    random = np.random.default_rng(11)
    for _ in range(300):
        outline = tuple(map(tuple, random.uniform(0, 5, (int(random.integers(3, 8)), 2)).tolist()))
        assert (not crossings(outline)) == Polygon(outline).is_valid


@pytest.mark.parametrize(
    ("outline", "pair"),
    [
        (((0, 0), (4, 4), (4, 0), (0, 4)), (0, 2)),  # a bow tie
        (((0, 0), (4, 0), (2, 0), (2, 3)), (0, 1)),  # folds back over itself
        (((0, 0), (4, 0), (4, 3), (2, 0), (0, 3)), (0, 2)),  # touches
        (((0, 0), (4, 0), (4, 0), (0, 3)), (0, 1)),  # a corner typed twice
    ],
)
def test_crossing_touching_and_folded_walls_are_told(outline, pair):
    assert pair in crossings(outline)


def test_the_border_counts_as_inside():
    assert contains(BAKERY, (5.4, 1.0))
    assert contains(BAKERY, (3.6, 3.4))
    assert not contains(BAKERY, (4.5, 4.0))


def test_clipping_a_concave_outline_keeps_the_right_area():
    assert area(clip(BAKERY, 0.0, 1.0, -4.0)) == pytest.approx(3.6 * 0.8)
    assert area(clip(BAKERY, -1.0, 0.0, 4.0)) == pytest.approx(4.0 * 3.4 + 3.6 * 1.4)
    assert clip(BAKERY, 0.0, 1.0, -9.0) == ()


def test_overlap_is_shapely_s_and_vanishes_within_the_margin():
    one, two = ((0, 0), (2, 0), (2, 1), (0, 1)), ((1.5, 0), (3, 0), (3, 1), (1.5, 1))
    assert overlap(one, two) == pytest.approx(0.5)
    assert overlap(one, ((1.98, 0), (3, 0), (3, 1), (1.98, 1)), 0.03) == 0
    assert overlap(one, ((2, 0), (3, 0), (3, 1), (2, 1))) == 0
