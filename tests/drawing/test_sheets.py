"""Floor plan, elevations and tape sketches of whole examples."""

import itertools
import math
import sys
from dataclasses import replace

import pytest
from shapely.geometry import LineString, Point

from seatfield.drawing import (
    Line,
    Sheet,
    Shown,
    Text,
    Title,
    elevations,
    floor_plan,
    floor_sketch,
    marking_sketch,
    routes_sketch,
)
from seatfield.drawing.board import Board, text_box
from seatfield.drawing.elevations import walls_in_rows
from seatfield.drawing.floor_plan import noted, place_of
from seatfield.drawing.legend import legend_rows
from seatfield.drawing.measures import draw_corners
from seatfield.drawing.parts import plain
from seatfield.drawing.placing import overlap
from seatfield.drawing.scene import Circle, Dimension, Note, Symbol
from seatfield.drawing.sheet import (
    FOOT_SCALES,
    METRIC_SCALES,
    by_height,
    fitting_scale,
    scale_text,
    stacked,
)
from seatfield.drawing.tapes import _apart
from seatfield.model import Finding, LengthUnit, Severity

A4 = Sheet(277.0, 184.5)
TITLE = Title("A room", "Floor plan", "3", "2026-03-01")


@pytest.fixture
def drawn(example):
    project, plan = example
    return floor_plan(project, plan, A4, TITLE), project, plan


def test_everything_that_stands_in_the_room_is_on_the_plan(drawn):
    scene, project, plan = drawn
    refs = {element.ref for element in scene.elements}
    wanted = {f"seat:{seat.name}" for seat in project.seats}
    wanted |= {f"opening:{opening.id}" for opening in plan.survey.room.openings}
    wanted |= {f"furniture:{thing.name}" for thing in plan.survey.room.furniture}
    wanted |= {
        f"loudspeaker:{one.id}"
        for one in plan.layout.loudspeakers
        if one.at is not None and one.channel != "LFE1"
    }
    wanted |= {"screen"} | {f"wall:{i}" for i in range(len(plan.survey.walls))}
    assert wanted - refs == set()


def test_the_drawing_is_true_to_its_scale(drawn):
    scene, _, plan = drawn
    for wall in plan.survey.walls:
        lengths = [
            math.dist(e.start, e.end)
            for e in scene.elements
            if isinstance(e, Dimension) and e.ref == f"wall:{wall.wall.number}"
        ]
        assert max(lengths) == pytest.approx(wall.length_m)
    assert scene.size_mm == pytest.approx((A4.width_mm, A4.height_mm))


def test_nothing_leaves_the_sheet(drawn):
    scene, _, _ = drawn
    left, bottom, right, top = (edge * scene.mm_per_m for edge in scene.bounds)
    for piece in plain(scene):
        if isinstance(piece, Text):
            box = text_box(piece, scene.mm_per_m)
            assert box[0] >= left - 1.0, piece.text
            assert box[2] <= right + 1.0, piece.text
            assert box[1] >= bottom - 0.5, piece.text
            assert box[3] <= top + 0.5, piece.text


def test_no_letters_stand_on_other_letters(drawn):
    scene, _, _ = drawn
    boxes = [
        (piece.text, text_box(piece, scene.mm_per_m)) for piece in plain(scene) if isinstance(piece, Text)
    ]
    clashes = [
        (one, other) for i, (one, a) in enumerate(boxes) for other, b in boxes[i + 1 :] if overlap(a, b) > 0.5
    ]
    assert clashes == []


def test_the_same_plan_gives_the_same_drawing(example):
    project, plan = example
    assert floor_plan(project, plan, A4, TITLE) == floor_plan(project, plan, A4, TITLE)


def test_the_legend_explains_every_symbol_on_the_sheet(drawn):
    scene, _, _ = drawn
    explained = {name for kind, name, _ in legend_rows(scene.elements) if kind == "symbol"}
    assert explained == {e.name for e in scene.elements if isinstance(e, Symbol)}


def test_findings_with_a_place_are_tied_to_it(drawn):
    scene, project, plan = drawn
    notes = [e for e in scene.elements if isinstance(e, Note)]
    places = {f.at[:2] for f in noted(project, plan) if f.at is not None}
    assert notes
    assert all(note.target in places for note in notes if note.target is not None)


def test_a_finding_without_a_place_takes_that_of_its_subject(attic):
    project, plan = attic
    assert place_of("sub", project, plan) == project.subwoofers[0].at
    assert place_of("middle", project, plan) == project.main_seat.head
    assert place_of("nobody", project, plan) is None


def test_the_cable_plan_shows_every_run(example):
    project, plan = example
    scene = floor_plan(project, plan, A4, TITLE, Shown(runs=True, bearings=False, findings=False))
    drawn_runs = {
        e.ref for e in scene.elements if isinstance(e, Line) and e.style.startswith("run ") and e.ref
    }
    assert drawn_runs == {f"run:{run.id}" for run in plan.cable.runs}


def test_every_wall_has_one_elevation_and_fits_its_sheet(example):
    project, plan = example
    scenes = elevations(project, plan, A4, Title("A room", "Walls", "3", "2026-03-01"))
    count = len(plan.survey.walls)
    names = [
        e.text
        for scene in scenes
        for e in scene.elements
        if isinstance(e, Text) and e.text.startswith("Wall ")
    ]
    assert len(names) == len(set(names)) == count
    for scene in scenes:
        outlines = [e for e in scene.elements if isinstance(e, Line) and e.style == "outline"]
        assert outlines
        for line in outlines:
            assert all(scene.bounds[0] <= x <= scene.bounds[2] for x, _ in line.points)
            assert all(scene.bounds[1] <= y <= scene.bounds[3] for _, y in line.points)


def test_seen_from_inside_the_second_corner_stands_left_where_walls_run_counter_clockwise(attic):
    """Facing a wall from inside a room walked counter-clockwise, its first corner is on the right hand."""
    project, plan = attic
    (scene, *_) = elevations(project, plan, A4, Title("A room", "Walls", "3", "2026-03-01"))
    letters = [e for e in scene.elements if isinstance(e, Text) and e.style == "corner"]
    assert [e.text for e in sorted(letters[:2], key=lambda e: e.at[0])] == ["B", "A"]


@pytest.mark.parametrize("width_mm", [80.0, 139.0, 226.0])
def test_on_a_screen_every_wall_is_in_the_view_with_the_measures_of_its_openings(example, width_mm):
    """The stretches along the floor add up to the wall, and the heights of an opening to its head."""
    project, plan = example
    scene = walls_in_rows(project, plan, width_mm, 150.0)
    lines = [e for e in scene.elements if isinstance(e, Dimension)]
    for line in [e for e in scene.elements if isinstance(e, Line) and e.style == "outline"]:
        assert all(scene.bounds[0] <= x <= scene.bounds[2] for x, _ in line.points)
    for opening in plan.survey.room.openings:
        wall = plan.survey.walls[opening.wall]
        across = [math.dist(e.start, e.end) for e in lines if e.ref == f"wall:{opening.wall}"]
        assert sum(across) == pytest.approx(wall.length_m, abs=0.01 * len(across))
        assert any(one == pytest.approx(opening.width_m, abs=1e-6) for one in across)
        upright = [math.dist(e.start, e.end) for e in lines if e.ref == f"opening:{opening.id}"]
        assert sum(upright) == pytest.approx(opening.sill_m + opening.height_m)


@pytest.mark.parametrize("width_mm", [80.0, 226.0])
def test_no_word_of_a_name_is_broken_on_a_wall(example, width_mm):
    project, plan = example
    scene = walls_in_rows(project, plan, width_mm, 150.0)
    words = {word for thing in plan.survey.room.furniture for word in thing.name.split()}
    told = [e for e in scene.elements if isinstance(e, Text) and e.ref.startswith("furniture:")]
    assert {word for e in told for word in e.text.split()} <= words


def test_a_tape_sketch_shows_each_tape_from_its_corner_to_the_place(example):
    project, plan = example
    places = {one.id: one.at for one in (*plan.layout.loudspeakers, *project.subwoofers)}
    for mark in plan.layout.marks:
        if not mark.tapes:
            continue
        at = places[mark.id][:2]
        scene = marking_sketch(project, plan, mark, at, (52.0, 40.0))
        tapes = [e for e in scene.elements if isinstance(e, Line) and e.style in {"tape", "check tape"}]
        assert [math.dist(*line.points) for line in tapes] == pytest.approx(
            [t.distance_m for t in mark.tapes], abs=5e-3
        )


def test_corners_in_a_tape_sketch_stand_clear_of_each_other(example):
    """Rings of corners that are measured from never overlap, nor does a small letter touch a ring."""
    project, plan = example
    places = {one.id: one.at for one in (*plan.layout.loudspeakers, *project.subwoofers)}
    for mark in plan.layout.marks:
        scene = marking_sketch(project, plan, mark, places[mark.id][:2], (52.0, 40.0))
        mm = scene.scale / 1000.0
        rings = [e for e in scene.elements if isinstance(e, Circle) and e.style == "corner"]
        small = [e.at for e in scene.elements if isinstance(e, Text) and e.style == "faint name"]
        for one, two in itertools.combinations(rings, 2):
            assert math.dist(one.centre, two.centre) > 2 * 2.6 * mm
        for at, ring in itertools.product(small, rings):
            assert math.dist(at, ring.centre) > (2.6 + 1.0) * mm
        left, low, right, high = scene.bounds
        assert all(left < r.centre[0] < right and low < r.centre[1] < high for r in rings)


def test_close_corners_are_pushed_apart():
    """Two corners 0.3 mm apart and one between far ones: each two end up at the distance asked for."""
    spread = _apart([(0.0, 0.0), (0.3, 0.0), (0.0, 0.2), (20.0, 0.0)], 5.0)
    gaps = [math.dist(one, two) for one, two in itertools.combinations(spread, 2)]
    assert min(gaps) > 5.0 - 1e-3
    assert spread[3] == (20.0, 0.0)


def test_a_corner_that_juts_in_stands_off_a_loudspeaker_beside_it(open_plan):
    """A loudspeaker sits where the corner's letter would: the ring takes the place behind the corner."""
    _, plan = open_plan
    board = Board(40.0)
    draw_corners(board, plan.survey.walls)
    free = {e.ref: e.centre for e in board.elements if isinstance(e, Circle)}
    taken = Board(40.0)
    at = free["corner:D"]
    taken.draw(Symbol("loudspeaker", at, 0.2, 0.0, "loudspeaker"))
    draw_corners(taken, plan.survey.walls)
    moved = {e.ref: e.centre for e in taken.elements if isinstance(e, Circle) and e.ref}
    assert math.dist(moved["corner:D"], at) * 40.0 > 2.4 + 0.2 * 40.0 / 2


def test_a_nearly_empty_sheet_of_elevations_is_joined_to_the_others(open_plan, monkeypatch):
    """Where one or two walls would have a sheet of their own, all are drawn somewhat smaller on fewer sheets."""
    project, plan = open_plan
    bare = replace(project, subwoofers=())

    def shown(count):
        survey = replace(plan.survey, walls=(plan.survey.walls * 4)[:count])
        scenes = elevations(bare, replace(plan, survey=survey, cable=None, layout=None), A4, TITLE)
        outlines = [
            [e for e in one.elements if isinstance(e, Line) and e.ref.startswith("wall:")] for one in scenes
        ]
        return [len(walls) for walls in outlines]

    joined = {count: shown(count) for count in range(5, 14)}
    monkeypatch.setattr(sys.modules["seatfield.drawing.elevations"], "FEW", 0)
    loose = {count: shown(count) for count in joined}
    assert all(sum(sheets) == count for count, sheets in joined.items())
    assert any(len(joined[count]) < len(loose[count]) for count in joined)
    for count, sheets in joined.items():
        assert len(sheets) <= len(loose[count])
        if loose[count][-1] > 2 or len(loose[count]) == 1:
            assert sheets == loose[count]


def test_the_sketch_of_the_floor_has_no_letters(example):
    project, plan = example
    scene = floor_sketch(project, plan, (62.0, 62.0))
    assert not [piece for piece in plain(scene) if isinstance(piece, Text)]
    assert max(scene.size_mm) == pytest.approx(62.0)


def test_the_largest_usual_scale_that_fits_is_taken():
    assert fitting_scale(5.4, 4.8, (160.0, 130.0), LengthUnit.METRE) == 40
    assert fitting_scale(5.4, 4.8, (160.0, 130.0), LengthUnit.FOOT) == 48
    assert fitting_scale(500.0, 4.8, (160.0, 130.0), LengthUnit.METRE) == 4000


def test_a_scale_fits_whatever_was_typed():
    for width_m in (1e-3, 1.0, 77.0, 1e4, 1e7):
        scale = fitting_scale(width_m, 1.0, (160.0, 130.0), LengthUnit.METRE)
        assert width_m * 1000.0 / scale <= 160.0
        assert scale >= METRIC_SCALES[0]


@pytest.mark.parametrize("scale", FOOT_SCALES)
def test_a_scale_in_feet_also_says_what_an_inch_stands_for(scale):
    """A foot is twelve inches: at 1:n an inch on paper is n/12 feet."""
    words = scale_text(scale, LengthUnit.FOOT).split("(")[1].split("″")[0]
    signs = {"½": 0.5, "¼": 0.25, "¾": 0.75, "⅛": 0.125, "⅜": 0.375}
    inches = signs.get(words) or (
        int(words.split("/")[0]) / int(words.split("/")[1]) if "/" in words else int(words)
    )
    assert inches * scale == pytest.approx(12.0)


def finding(subject, severity, at):
    return Finding("a.b", severity, subject, "It is so.", at=at)


def test_equal_findings_stand_in_the_order_of_their_places_so_that_no_leaders_cross():
    low = finding("low", Severity.FIX, (0.0, 0.0, 0.0))
    high = finding("high", Severity.FIX, (0.0, 9.0, 0.0))
    nowhere = finding("nowhere", Severity.FIX, None)
    assert [f.subject for f in by_height((nowhere, low, high))] == ["high", "low", "nowhere"]


def test_a_worse_finding_is_never_moved_below_a_lesser_one():
    stop = finding("stop", Severity.STOP, (0.0, 0.0, 0.0))
    fix = finding("fix", Severity.FIX, (0.0, 9.0, 0.0))
    assert [f.subject for f in by_height((stop, fix))] == ["stop", "fix"]


def test_boxes_stack_where_they_wish_when_nothing_is_in_the_way():
    assert stacked((9.0, 5.0, 2.0), (1.0, 1.0, 1.0), (0.0, 10.0)) == pytest.approx((9.0, 5.0, 2.0))


@pytest.mark.parametrize("seed", range(8))
def test_stacked_boxes_come_as_near_to_their_wishes_as_a_general_minimiser_brings_them(seed):
    """SLSQP of scipy on the same squares under the same order and column."""
    import numpy as np
    from scipy.optimize import minimize

    chance = np.random.default_rng(seed)
    sizes, wished = chance.uniform(0.5, 2.0, 5), chance.uniform(0.0, 20.0, 5)
    got = stacked(tuple(wished), tuple(sizes), (0.0, 20.0))
    rules = [{"type": "ineq", "fun": lambda y, i=i: y[i] - sizes[i] - y[i + 1]} for i in range(4)]
    rules += [
        {"type": "ineq", "fun": lambda y: 20.0 - y[0]},
        {"type": "ineq", "fun": lambda y: y[4] - sizes[4]},
    ]
    start = 20.0 - np.concatenate([[0.0], np.cumsum(sizes)[:-1]])
    best = minimize(lambda y: np.sum((y - wished) ** 2), start, constraints=rules, method="SLSQP")
    assert np.sum((np.array(got) - wished) ** 2) == pytest.approx(best.fun, rel=1e-3, abs=1e-6)
    assert all(got[i] - sizes[i] >= got[i + 1] - 1e-9 for i in range(4))


def test_a_corner_that_juts_in_is_lettered_clear_of_runs_and_stands_on_top(open_plan):
    project, plan = open_plan
    scene = floor_plan(project, plan, A4, TITLE, Shown(runs=True, bearings=False, findings=False))
    rings = {e.ref: n for n, e in enumerate(scene.elements) if isinstance(e, Circle) and e.style == "corner"}
    runs = [n for n, e in enumerate(scene.elements) if e.ref.startswith("run:")]
    assert rings["corner:D"] > max(runs)
    ring = scene.elements[rings["corner:D"]]
    crossing = [
        e
        for e in scene.elements
        if isinstance(e, Line)
        and e.style.startswith("run ")
        and LineString(e.points).distance(Point(ring.centre)) < ring.radius_m
    ]
    assert crossing == []


def test_routes_in_small_show_every_run(example):
    project, plan = example
    for one in plan.cable.alternatives:
        scene = routes_sketch(project, plan, one.routes, (62.0, 50.0))
        drawn_runs = {e.ref for e in scene.elements if isinstance(e, Line) and e.ref.startswith("run:")}
        assert drawn_runs == {f"run:{run}" for run, _ in one.routes}
