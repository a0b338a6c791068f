"""Tapes and sight lines, held against shapely."""

import numpy as np
import pytest
from shapely import LineString, Polygon

from seatfield.geometry.segment import crossing_fraction, distance_to_segment, unit
from seatfield.geometry.sight import length_inside, stays_inside

BAKERY = ((0.0, 0.0), (5.4, 0.0), (5.4, 3.4), (3.6, 3.4), (3.6, 4.8), (0.0, 4.8))


def test_a_stretch_through_the_inner_corner_s_far_side_leaves_the_room():
    assert not stays_inside((5.0, 3.0), (3.0, 4.7), BAKERY)
    assert stays_inside((5.0, 3.0), (0.5, 3.9), BAKERY)


def test_a_stretch_along_a_wall_or_from_corner_to_corner_stays_inside():
    assert stays_inside((0.0, 0.0), (5.4, 0.0), BAKERY)
    assert stays_inside((0.0, 4.8), (3.6, 3.4), BAKERY)
    assert stays_inside((2.0, 2.0), (2.0, 2.0), BAKERY)


def test_staying_inside_equals_shapely_s_covering_on_random_stretches():
    random = np.random.default_rng(2)
    room = Polygon(BAKERY)
    for ax, ay, bx, by in random.uniform(-0.5, 6, (500, 4)):
        line = LineString([(ax, ay), (bx, by)])
        assert stays_inside((ax, ay), (bx, by), BAKERY) == room.covers(line)
        assert length_inside((ax, ay), (bx, by), BAKERY) == pytest.approx(
            line.intersection(room).length, abs=1e-9
        )


def test_running_along_an_edge_counts_as_no_way_inside():
    assert length_inside((0.0, 0.0), (5.4, 0.0), BAKERY) == 0


def test_crossing_and_foot_of_plain_stretches():
    assert crossing_fraction((0, 0), (4, 0), (1, -1), (1, 1)) == pytest.approx(0.25)
    assert crossing_fraction((0, 0), (4, 0), (0, 1), (4, 1)) is None
    assert distance_to_segment((5, 3), (0, 0), (4, 0)) == pytest.approx(10**0.5)
    assert unit((1, 1), (1, 1)) == (0, 0)
