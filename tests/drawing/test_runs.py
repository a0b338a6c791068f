"""Runs as single lines: shared stretches are drawn once, with their number of cables."""

import math
from itertools import pairwise

import pytest
from shapely.geometry import LineString
from shapely.ops import unary_union

from seatfield.drawing import Line, Symbol
from seatfield.drawing.board import Board
from seatfield.drawing.runs import Way, draw_ways, shared_ways


def seen(run, *points):
    return Way(run, "run seen", points)


def test_two_runs_share_a_line_until_one_leaves_in_the_middle_of_the_others_segment():
    found = shared_ways((seen("a", (0, 0), (4, 0)), seen("b", (0, 0), (3, 0), (3, 2))))
    by_runs = {one.runs: one.points for one in found}
    assert set(by_runs[("a", "b")]) == {(0.0, 0.0), (3.0, 0.0)}
    assert set(by_runs[("a",)]) == {(3.0, 0.0), (4.0, 0.0)}
    assert set(by_runs[("b",)]) == {(3.0, 0.0), (3.0, 2.0)}


def test_the_direction_in_which_a_run_is_walked_does_not_part_it_from_others():
    (found,) = shared_ways((seen("a", (0, 0), (4, 0)), seen("b", (4, 0), (0, 0))))
    assert found.runs == ("a", "b")


def test_what_is_hidden_shares_no_line_with_what_is_seen():
    found = shared_ways((seen("a", (0, 0), (4, 0)), Way("b", "run hidden", ((0, 0), (4, 0)))))
    assert sorted(one.runs for one in found) == [("a",), ("b",)]


def test_a_stretch_walked_twice_by_one_run_counts_once():
    (found,) = shared_ways((seen("a", (0, 0), (4, 0), (0, 0)),))
    assert (found.runs, len(found.points)) == (("a",), 2)


def test_every_metre_of_every_run_of_an_example_is_drawn_once(example):
    """shapely's union of the paths has the length of all shared lines together, run by run and in all."""
    _, plan = example
    ways = tuple(
        Way(name, "run seen", tuple(point[:2] for point in path))
        for name, path in plan.cable.alternatives[0].routes
    )
    found = shared_ways(ways)

    def length(points):
        return sum(math.dist(*ends) for ends in pairwise(points))

    for way in ways:
        whole = unary_union([LineString(ends) for ends in pairwise(way.points) if math.dist(*ends) > 1e-9])
        mine = sum(length(one.points) for one in found if way.run in one.runs)
        assert mine == pytest.approx(whole.length, abs=0.02)
    everything = unary_union([LineString(one.points) for one in found])
    assert everything.length == pytest.approx(sum(length(one.points) for one in found), abs=0.02)


def test_a_shared_line_is_struck_through_and_tells_how_many():
    board = Board(20.0)
    draw_ways(board, (seen("a", (0, 0), (2, 0)), seen("b", (0, 0), (2, 0))), lambda point, _: point)
    assert [e.at for e in board.elements if isinstance(e, Symbol)] == [(1.0, 0.0)]
    assert [wish.lines for wish in board.wishes] == [(("2", "count"),)]
    assert [e.ref for e in board.elements if isinstance(e, Line)] == ["run:a", "run:b"]


def test_a_run_alone_is_not_struck_through():
    board = Board(20.0)
    draw_ways(board, (seen("a", (0, 0), (2, 0)),), lambda point, _: point)
    assert board.wishes == []
