"""Lines of equal height on a sloping ceiling, against the plane's own equation."""

import pytest

from seatfield.drawing.board import Board
from seatfield.drawing.scene import Line
from seatfield.drawing.slopes import draw_slopes
from seatfield.geometry.ceiling import height
from seatfield.model import LengthUnit


def test_lines_of_equal_height_lie_at_that_height(attic):
    _, plan = attic
    board = Board(20.0)
    draw_slopes(board, plan.survey, LengthUnit.METRE)
    lines = [e for e in board.elements if isinstance(e, Line)]
    assert lines
    for line in lines:
        heights = [height(plan.survey.ceiling, *point) for point in line.points]
        assert heights[0] == pytest.approx(heights[1], abs=1e-9)


def test_the_attic_shows_where_its_ceiling_is_as_low_as_a_head(attic):
    _, plan = attic
    board = Board(20.0)
    draw_slopes(board, plan.survey, LengthUnit.METRE)
    named = {wish.lines[0][0] for wish in board.wishes}
    assert named == {"ceiling 1.50 m", "ceiling 2.00 m"}


def test_a_flat_ceiling_draws_nothing(open_plan):
    _, plan = open_plan
    board = Board(20.0)
    draw_slopes(board, plan.survey, LengthUnit.METRE)
    assert board.elements == []
