"""Contours of known functions; the map of the bass with its places; curves with their bands."""

import numpy as np
import pytest
import shapely

from seatfield.drawing import svg
from seatfield.drawing.bass_curves import bass_curves
from seatfield.drawing.bass_map import bass_map, mode_picture
from seatfield.drawing.contours import Levels, contour_map, even_levels
from seatfield.drawing.scene import Area, Circle, Line, Text
from seatfield.pipeline.bass import plan_bass
from seatfield.pipeline.projects import open_project
from seatfield.stages.bass.result import Curve, Field

SQUARE = ((0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0))


@pytest.fixture(scope="module")
def attic():
    """The attic with its bass."""
    project = open_project("examples/attic")
    return project, plan_bass(project)


GRID = np.linspace(0, 4, 21)


def field(function, x=GRID, y=GRID):
    """Sample a function over the square."""
    rows = tuple(tuple(float(function(a, b)) for a in x) for b in y)
    return Field("a test", "dB", tuple(x), tuple(y), rows)


def test_the_lines_of_a_cone_are_circles_and_its_tints_rings():
    """At the level r the line runs at the radius r; the area of each tint is that of the ring between two radii."""
    cone = field(lambda x, y: np.hypot(x - 2, y - 2))
    tints, lines = contour_map(cone, Levels((0.75, 1.5)), SQUARE, 25.0)
    for level in (0.75, 1.5):
        ring = next(
            np.array(line.points)
            for line in lines
            if isinstance(line, Line) and abs(np.hypot(*(np.array(line.points[0]) - 2)) - level) < 0.1
        )
        np.testing.assert_allclose(np.hypot(ring[:, 0] - 2, ring[:, 1] - 2), level, atol=0.02)
    areas = {
        n: sum(shapely.Polygon(a.outline, a.holes).area for a in tints if a.style == f"tint {n}")
        for n in (1, 2, 3)
    }
    assert areas[1] == pytest.approx(np.pi * 0.75**2, rel=0.02)
    assert areas[2] == pytest.approx(np.pi * (1.5**2 - 0.75**2), rel=0.02)
    assert sum(areas.values()) == pytest.approx(16.0, rel=1e-3)
    assert {line.text for line in lines if isinstance(line, Text)} == {"0.75", "1.5"}


def test_holes_of_a_field_stay_empty():
    """Where nothing is known nothing is drawn."""
    whole = field(lambda x, y: x + y)
    holed = Field("a test", "", whole.x_m, whole.y_m, (*whole.values[:10], *[(None,) * 21] * 11))
    tints, _ = contour_map(holed, Levels((2.0, 4.0)), SQUARE, 25.0)
    covered = shapely.union_all([shapely.Polygon(a.outline, a.holes) for a in tints if isinstance(a, Area)])
    assert covered.area == pytest.approx(4 * 1.8, rel=0.01)


def test_levels_are_round_and_no_more_than_tints_allow():
    """From 4.3 to 9.9 dB: whole decibels, at most five lines."""
    levels = even_levels(field(lambda x, y: 4.3 + 5.6 * (x + y) / 8)).values
    assert levels == (5.0, 6.0, 7.0, 8.0, 9.0)


def test_the_map_shows_every_place_to_try_and_says_what_to_do(attic):
    """Numbers stand at the places; the margin holds the tape distances; the drawing prints in every theme."""
    project, plan = attic
    scene = bass_map(project, plan)
    spots = {e.ref: e.centre for e in scene.elements if isinstance(e, Circle) and e.ref.startswith("try:")}
    assert spots["try:1"] == pytest.approx(plan.bass.best[0].subwoofers[0].at[:2])
    assert len(spots) == len(plan.bass.best)
    words = " ".join(e.text for e in scene.elements if isinstance(e, Text))
    assert "Places to try" in words
    assert "from corner" in words
    for theme in ("paper", "print", "blueprint"):
        assert svg(scene, theme=theme).startswith("<svg")


def test_the_map_of_the_seats_and_a_mode_are_drawn_too(attic):
    """The broken line of a mode runs where its pressure is zero; a mode that does not exist is refused."""
    project, plan = attic
    assert bass_map(project, plan, of="seat").elements
    scene = mode_picture(project, plan, 1)
    assert any(isinstance(e, Line) and e.style == "still" for e in scene.elements)
    with pytest.raises(ValueError, match=r"Mode 999 was asked for; the room has modes 1 to"):
        mode_picture(project, plan, 999)


def test_the_curves_of_every_seat_are_drawn_with_their_bands(attic):
    """One band and two lines for each seat; a level of 10 dB stands one step above one of 0 dB."""
    _, plan = attic
    scene = bass_curves(plan.bass.curves, (180.0, 100.0))
    assert sum(isinstance(e, Area) and e.style == "band" for e in scene.elements) == 2
    assert sum(isinstance(e, Line) and e.ref.startswith("curve:best") for e in scene.elements) == 2
    assert sum(isinstance(e, Line) and e.ref.startswith("curve:now") for e in scene.elements) == 2
    flat = (Curve("best", "here", (20.0, 100.0), (10.0, 10.0), (0.0, 0.0), (10.0, 10.0)),)
    drawn = bass_curves(flat, (180.0, 60.0)).elements
    band = next(e for e in drawn if isinstance(e, Area))
    steps = sorted(
        {
            e.points[0][1]
            for e in drawn
            if isinstance(e, Line) and e.style == "grid" and e.points[0][1] == e.points[1][1]
        }
    )
    assert max(y for _, y in band.outline) - min(y for _, y in band.outline) == pytest.approx(
        steps[1] - steps[0]
    )
    with pytest.raises(ValueError, match="There are no curves"):
        bass_curves((), (100.0, 50.0))
