"""Marking out: every tape is free, crosses well, and leads back to the place."""

from math import dist

import numpy as np
import pytest
from shapely import LineString, Point, Polygon

from seatfield.geometry.tape import crossing_deg, crossing_points
from seatfield.model import Mount
from seatfield.stages import survey
from seatfield.stages.layout.marking import ToMark, mark

L_SHAPE = [("[[0,0],[5,0],[5,4],[0,4]]", "[[0,0],[5.4,0],[5.4,3.4],[3.6,3.4],[3.6,4.8],[0,4.8]]")]
SOFA = '[[furniture]]\nname = "sofa"\nheight = 0.8\noutline = [[1.2,2.4],[3.4,2.4],[3.4,3.3],[1.2,3.3]]\n'


def marked(found, at, mount=Mount.STAND):
    return mark(found, ToMark("S", "M+030", at, mount))


def test_two_tapes_meet_at_the_place_cross_well_and_pass_no_wall_or_sofa(plain_room):
    found = survey.plan(plain_room(SOFA, change=L_SHAPE))
    room, sofa = Polygon(found.room.floor), Polygon(found.room.furniture[0].outline)
    random = np.random.default_rng(4)
    taped = 0
    for x, y in random.uniform((0.1, 0.1), (5.3, 4.7), (200, 2)):
        if not room.contains(Polygon([(x, y), (x + 0.01, y), (x, y + 0.01)])):
            continue
        result = marked(found, (x, y, 1.0))
        for tape in result.tapes:
            line = LineString([tape.at, (x, y)])
            assert tape.at in found.room.floor
            assert room.buffer(1e-9).covers(line)
            assert line.intersection(sofa).length <= 0.02 + 1e-9
            assert tape.distance_m == pytest.approx(dist(tape.at, (x, y)))
        if not result.tapes:
            assert result.note
            continue
        taped += 1
        one, two = result.tapes[:2]
        assert 30 <= crossing_deg((x, y), one.at, two.at) <= 150
        met = crossing_points(one.at, one.distance_m, two.at, two.distance_m)
        assert min(dist(point, (x, y)) for point in met) < 1e-9
    assert taped > 100


def test_the_check_tape_tells_the_two_crossings_apart(plain_room):
    found = survey.plan(plain_room())
    result = marked(found, (2.0, 1.5, 1.0))
    one, two, check = result.tapes
    far = [
        p
        for p in crossing_points(one.at, one.distance_m, two.at, two.distance_m)
        if dist(p, (2.0, 1.5)) > 0.1
    ]
    assert all(abs(dist(point, check.at) - check.distance_m) > 0.1 for point in far)


def test_a_place_on_a_wall_is_told_along_it_from_its_nearer_end(plain_room):
    found = survey.plan(plain_room())
    result = marked(found, (4.9, 1.0, 1.7), Mount.WALL)
    assert (result.wall, result.from_corner) == (1, "B")
    assert result.along_m == pytest.approx(1.0)
    assert result.height_m == 1.7
    assert result.tapes == ()


def test_a_cupboard_against_the_wall_sends_the_tape_to_the_other_end(plain_room):
    cupboard = (
        '[[furniture]]\nname = "cupboard"\nheight = 2.0\noutline = [[4.5,0.2],[5,0.2],[5,0.8],[4.5,0.8]]\n'
    )
    result = marked(survey.plan(plain_room(cupboard)), (4.95, 1.2, 1.7), Mount.WALL)
    assert result.from_corner == "C"
    assert result.along_m == pytest.approx(2.8)


def test_a_loudspeaker_on_furniture_is_marked_from_the_wall_and_says_why(plain_room):
    chest = '[[furniture]]\nname = "chest"\nheight = 0.5\noutline = [[1,0],[2,0],[2,0.5],[1,0.5]]\n'
    result = marked(survey.plan(plain_room(chest)), (1.4, 0.25, 0.7))
    assert result.tapes == ()
    assert result.note == "It stands on or in chest: tapes cannot lie on the floor under it."
    assert (result.wall, result.from_corner) == (0, "A")
    assert (result.along_m, result.off_m) == (pytest.approx(1.4), pytest.approx(0.25))


def test_a_ceiling_place_is_marked_by_its_plumb_point_on_the_floor(plain_room):
    result = marked(survey.plan(plain_room()), (3.0, 2.0, 2.5), Mount.CEILING)
    assert len(result.tapes) == 3
    assert result.height_m == 2.5
    assert result.tapes[0].distance_m == pytest.approx(dist(result.tapes[0].at, (3.0, 2.0)))


def test_every_place_has_a_check_that_agrees_with_the_room(plain_room):
    """A third tape, the wall's other end, or square out from a wall: each reads what the room's plan gives."""
    found = survey.plan(plain_room(SOFA, change=L_SHAPE))
    floor = found.room.floor
    corner = {chr(ord("A") + number): at for number, at in enumerate(floor)}
    random = np.random.default_rng(7)
    kinds = set()
    for x, y in random.uniform((0.05, 0.05), (5.35, 4.75), (300, 2)):
        if not Polygon(floor).contains(Polygon([(x, y), (x + 0.01, y), (x, y + 0.01)])):
            continue
        for mount in (Mount.STAND, Mount.WALL):
            told = marked(found, (x, y, 1.0), mount)
            if len(told.tapes) > 2:
                kinds.add("tape")
                continue
            if told.check_m is None:
                assert (
                    not told.tapes
                )  # a place with free tapes always has a free way to some wall, or a third tape
                continue
            if "along" in told.check_from:
                kinds.add("along")
                wall = found.walls[told.wall]
                assert told.check_m + told.along_m == pytest.approx(wall.length_m)
                assert told.check_from[7] != told.from_corner
            elif told.check_from.startswith("corner"):
                kinds.add("across")
                assert told.check_m == pytest.approx(dist(corner[told.check_from[7]], (x, y)), abs=1e-6)
            else:
                kinds.add("square")
                letters = told.check_from[5:8:2]
                ends = LineString([corner[letters[0]], corner[letters[1]]])
                assert told.check_m == pytest.approx(ends.distance(Point(x, y)), abs=1e-6)
    assert {"tape", "along", "square"} <= kinds


def test_a_check_along_the_wall_is_not_led_through_a_cupboard(plain_room):
    """With a cupboard towards the other end the check goes across the floor from a corner of another wall."""
    cupboard = (
        '[[furniture]]\nname = "cupboard"\nheight = 2.0\noutline = [[4.5,2.2],[5,2.2],[5,2.8],[4.5,2.8]]\n'
    )
    told = marked(survey.plan(plain_room(cupboard)), (4.95, 1.2, 1.7), Mount.WALL)
    assert told.from_corner == "B"
    assert told.check_from == "corner A, on the floor"
    assert told.check_m == pytest.approx(dist((0.0, 0.0), (4.95, 1.2)))
