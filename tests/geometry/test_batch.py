"""Many points at once, held against shapely, against one point at a time, and against a ray caster on boxes."""

import numpy as np
import pytest
from shapely import LineString, Point, Polygon

from seatfield.geometry.batch import (
    blocked_by_ball,
    blocked_by_block,
    boundary_distance_many,
    corners_of,
    covers_many,
    crossed_many,
    edge_distances,
    encloses_many,
    within_many,
)
from seatfield.geometry.polygon import boundary_distance, encloses

BAKERY = ((0.0, 0.0), (5.4, 0.0), (5.4, 3.4), (3.6, 3.4), (3.6, 4.8), (0.0, 4.8))


def test_many_points_equal_one_point_at_a_time():
    points = np.random.default_rng(1).uniform(-1, 6, (300, 2))
    assert encloses_many(BAKERY, points).tolist() == [encloses(BAKERY, tuple(p)) for p in points.tolist()]
    away = [boundary_distance(BAKERY, tuple(p)) for p in points.tolist()]
    assert boundary_distance_many(BAKERY, points) == pytest.approx(away)
    assert edge_distances(BAKERY, points)[0].min(axis=0) == pytest.approx(away)


def test_points_within_a_margin_are_those_that_shapely_finds():
    points = np.random.default_rng(2).uniform(-1, 6, (300, 2))
    grown = Polygon(BAKERY)
    expected = [grown.distance(Point(p)) < 0.3 for p in points]
    assert within_many(BAKERY, points, 0.3).tolist() == expected


def test_points_on_the_edge_are_covered_and_not_hit():
    edge = np.array([[5.4, 1.0], [0.0, 0.0], [3.6, 3.4]])
    assert covers_many(BAKERY, edge).all()
    assert not within_many(BAKERY, edge, 0.0).any()


def test_crossings_from_one_point_equal_shapely_s():
    random = np.random.default_rng(3)
    start, ends = np.array([2.0, 2.0]), random.uniform(-1, 6, (300, 2))
    outline = Polygon(BAKERY).exterior
    expected = [LineString([start, end]).crosses(outline) for end in ends]
    assert crossed_many(start, ends, corners_of(BAKERY)).tolist() == expected


def cast(eye, target, low, high):
    """Cast a ray at an upright box by its three slabs (Kay and Kajiya, SIGGRAPH 1986)."""
    enter, leave = 0.0, 1.0
    for axis in range(3):
        way = target[axis] - eye[axis]
        if abs(way) < 1e-12:
            if not low[axis] < eye[axis] < high[axis]:
                return False
            continue
        one, two = sorted(((low[axis] - eye[axis]) / way, (high[axis] - eye[axis]) / way))
        enter, leave = max(enter, one), min(leave, two)
    return leave - enter > 1e-12


def test_sight_lines_equal_a_ray_caster_s_on_1000_random_boxes():
    random = np.random.default_rng(4)
    blocked = 0
    for _ in range(1000):
        low = random.uniform(0, 3, 3)
        high = low + random.uniform(0.1, 2, 3)
        eye, targets = random.uniform(-1, 6, 3), random.uniform(-1, 6, (5, 3))
        corners = ((low[0], low[1]), (high[0], low[1]), (high[0], high[1]), (low[0], high[1]))
        found = blocked_by_block(eye, targets, corners, float(low[2]), float(high[2]))
        assert found.tolist() == [cast(eye, target, low, high) for target in targets]
        blocked += int(found.sum())
    assert 200 < blocked < 3000


def test_a_sight_line_turned_with_its_box_is_blocked_all_the_same():
    random = np.random.default_rng(5)
    turn = np.array([[np.cos(0.7), -np.sin(0.7)], [np.sin(0.7), np.cos(0.7)]])
    for _ in range(200):
        low, size = random.uniform(0, 3, 3), random.uniform(0.1, 2, 3)
        high = low + size
        corners = np.array([[low[0], low[1]], [high[0], low[1]], [high[0], high[1]], [low[0], high[1]]])
        eye, target = random.uniform(-1, 6, 3), random.uniform(-1, 6, 3)
        spun = [np.append(turn @ point[:2], point[2]) for point in (eye, target)]
        outline = tuple(map(tuple, (corners @ turn.T).tolist()))
        found = blocked_by_block(spun[0], spun[1][None], outline, float(low[2]), float(high[2]))
        assert bool(found[0]) == cast(eye, target, low, high)


def test_a_head_between_blocks_and_a_head_beside_does_not():
    eye, target = np.zeros(3), np.array([[4.0, 0.0, 0.0]])
    assert blocked_by_ball(eye, target, np.array([2.0, 0.1, 0.0]), 0.12)[0]
    assert not blocked_by_ball(eye, target, np.array([2.0, 0.13, 0.0]), 0.12)[0]
    assert not blocked_by_ball(eye, target, np.array([5.0, 0.0, 0.0]), 0.12)[0]
