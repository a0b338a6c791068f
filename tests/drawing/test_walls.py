"""Walls in plan; shapely's mitred offset is the judge of their shape."""

import pytest
from shapely.geometry import Polygon
from shapely.ops import unary_union

from seatfield.drawing.scene import Arc, Area
from seatfield.drawing.walls import drawn_thickness_m, offset_corners, on_wall, opening_in_plan, wall_solids
from seatfield.model import OpeningKind


def ring_of(survey):
    return Polygon([wall.start for wall in survey.walls])


def test_solids_are_the_mitred_ring_less_the_openings(example):
    _, plan = example
    walls, openings = plan.survey.walls, plan.survey.room.openings
    outer = Polygon(offset_corners(walls, tuple(drawn_thickness_m(wall) for wall in walls)))
    gaps = [
        Polygon(
            [
                on_wall(walls[o.wall], o.start_m),
                on_wall(walls[o.wall], o.start_m + o.width_m),
                on_wall(walls[o.wall], o.start_m + o.width_m, -drawn_thickness_m(walls[o.wall])),
                on_wall(walls[o.wall], o.start_m, -drawn_thickness_m(walls[o.wall])),
            ]
        )
        for o in openings
    ]
    expected = outer.difference(ring_of(plan.survey)).difference(unary_union(gaps))
    drawn = unary_union([Polygon(area.outline, area.holes) for area in wall_solids(walls, openings)])
    assert drawn.symmetric_difference(expected).area == pytest.approx(0.0, abs=1e-6)


def test_an_even_offset_is_that_of_shapely(example):
    _, plan = example
    walls = plan.survey.walls
    for out in (0.2, -0.3):
        drawn = Polygon(offset_corners(walls, tuple(out for _ in walls)))
        expected = ring_of(plan.survey).buffer(out, join_style="mitre", mitre_limit=10.0)
        assert drawn.symmetric_difference(expected).area == pytest.approx(0.0, abs=1e-6)


def test_walls_without_openings_are_one_ring(example):
    _, plan = example
    (area,) = wall_solids(plan.survey.walls, ())
    assert len(area.holes) == 1
    assert Polygon(area.holes[0]).area == pytest.approx(plan.survey.area_m2)


def test_a_door_swings_a_quarter_turn_from_shut_to_open(example):
    _, plan = example
    room = ring_of(plan.survey)
    for door in (o for o in plan.survey.room.openings if o.kind is OpeningKind.DOOR):
        pieces = opening_in_plan(door, plan.survey.walls[door.wall])
        (arc,) = (p for p in pieces if isinstance(p, Arc))
        (leaf,) = (p for p in pieces if isinstance(p, Area))
        assert abs(arc.sweep_deg) == pytest.approx(90.0)
        assert arc.radius_m == door.width_m
        inside = Polygon(leaf.outline).buffer(-1e-3).within(room)
        assert inside == (door.opens != "outward")
