"""Dimensions, notes and symbols come apart into what a draughtsman would draw."""

import math

import pytest

from seatfield.drawing.parts import take_apart
from seatfield.drawing.scene import Arc, Circle, Dimension, Line, Note, Symbol, Text, moved, turned
from seatfield.drawing.symbols import SHAPES

MM_PER_M = 20.0


@pytest.mark.parametrize("angle_deg", range(0, 360, 15))
def test_a_value_reads_from_the_bottom_or_the_right_of_the_sheet(angle_deg):
    """ISO 129-1: letters of dimensions stand upright or lean to the left by a quarter turn at most."""
    end = turned((2.0, 0.0), angle_deg)
    text = next(
        p for p in take_apart(Dimension((0.0, 0.0), end, 0.3, "2.00 m"), MM_PER_M) if isinstance(p, Text)
    )
    assert -90.0 < text.angle_deg <= 90.0 + 1e-9


@pytest.mark.parametrize("angle_deg", [0, 90, 180, 270, 33])
def test_a_dimension_line_is_as_long_as_what_it_measures(angle_deg):
    end = turned((2.0, 0.0), angle_deg)
    first = take_apart(Dimension((0.0, 0.0), end, -0.3, "2.00 m"), MM_PER_M)[0]
    assert math.dist(*first.points) == pytest.approx(2.0)


def test_a_dimension_stands_off_by_its_offset_to_the_left():
    line = take_apart(Dimension((0.0, 0.0), (2.0, 0.0), 0.5, "2.00 m"), MM_PER_M)[0]
    assert line.points == ((0.0, 0.5), (2.0, 0.5))


def test_a_note_without_a_place_has_no_leader():
    lines = (("Stop: sofa", "note stop"), ("It is in the way.", "note"))
    assert not [p for p in take_apart(Note((0.0, 0.0), lines), MM_PER_M) if isinstance(p, Line)]


def test_a_leader_ends_at_the_place_it_speaks_of():
    pieces = take_apart(Note((5.0, 5.0), (("Stop: sofa", "note stop"),), target=(1.0, 2.0)), MM_PER_M)
    leader = next(p for p in pieces if isinstance(p, Line))
    assert leader.points[-1] == (1.0, 2.0)


@pytest.mark.parametrize("name", SHAPES)
def test_every_symbol_fits_its_size_whichever_way_it_looks(name):
    for piece in take_apart(Symbol(name, (3.0, 2.0), 0.5, 30.0), MM_PER_M):
        points = getattr(piece, "points", None) or getattr(piece, "outline", None) or (piece.centre,)
        reach = getattr(piece, "radius_m", 0.0)
        assert all(math.dist(point, (3.0, 2.0)) + reach < 0.5 for point in points)


def test_a_symbol_looks_where_its_angle_says():
    horn = take_apart(Symbol("loudspeaker", (0.0, 0.0), 1.0, 90.0), MM_PER_M)[0]
    assert max(y for _, y in horn.outline) == pytest.approx(0.5)
    assert max(abs(x) for x, _ in horn.outline) == pytest.approx(0.5)


def test_turning_and_scaling_keep_circles_and_arcs_what_they_are():
    circle = moved(Circle((1.0, 0.0), 0.2, "leaf"), (2.0, 2.0), 3.0, 90.0)
    assert circle.centre == pytest.approx((2.0, 5.0))
    assert circle.radius_m == pytest.approx(0.6)
    assert moved(Arc((0.0, 0.0), 1.0, 10.0, 80.0, "leaf"), (0.0, 0.0), 1.0, 20.0).from_deg == 30.0
