"""Hatch lines fill exactly the polygon; shapely is the judge."""

import math

import pytest
from shapely.geometry import LineString, Polygon

from seatfield.drawing.hatching import hatch_lines

RING = ((0.0, 0.0), (5.4, 0.0), (5.4, 3.4), (3.6, 3.4), (3.6, 4.8), (0.0, 4.8))
HOLE = ((1.0, 1.0), (2.0, 1.0), (2.0, 2.0), (1.0, 2.0))


@pytest.mark.parametrize("angle_deg", [0.0, 45.0, 60.0, 135.0])
def test_lines_times_spacing_is_the_area(angle_deg):
    spacing = 0.01
    lines = hatch_lines((RING, HOLE), angle_deg, spacing)
    covered = sum(math.dist(*ends) for ends in lines) * spacing
    assert covered == pytest.approx(Polygon(RING, [HOLE]).area, rel=2e-3)


@pytest.mark.parametrize("angle_deg", [0.0, 45.0, 90.0, 117.0])
def test_no_line_leaves_the_polygon(angle_deg):
    room = Polygon(RING, [HOLE]).buffer(1e-6)
    assert all(room.covers(LineString(ends)) for ends in hatch_lines((RING, HOLE), angle_deg, 0.17))


def test_neighbours_share_one_grid_so_that_hatches_run_through():
    left = hatch_lines((((0, 0), (1, 0), (1, 1), (0, 1)),), 45.0, 0.1)
    right = hatch_lines((((1, 0), (2, 0), (2, 1), (1, 1)),), 45.0, 0.1)
    levels = {round((y - x) * math.sqrt(0.5) / 0.1, 4) % 1 for ends in left + right for x, y in ends}
    assert max(levels) - min(levels) < 1e-3


def test_nothing_is_hatched_without_a_ring():
    assert hatch_lines((), 45.0, 0.1) == []
