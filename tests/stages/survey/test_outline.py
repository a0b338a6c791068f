"""The outline: settled from tape readings, and refused where nothing can be computed in it."""

from math import dist

import pytest

from seatfield.model import Severity
from seatfield.stages import survey

L_SHAPE = ((0.0, 0.0), (5.4, 0.0), (5.4, 3.4), (3.6, 3.4), (3.6, 4.8), (0.0, 4.8))


def codes(found):
    return [finding.code for finding in found.findings]


def taped(readings):
    return (("floor = [[0,0],[5,0],[5,4],[0,4]]", readings),)


def test_a_plain_room_has_its_area_volume_and_no_findings(plain_room):
    found = survey.plan(plain_room())
    assert (found.sound, found.findings) == (True, ())
    assert found.area_m2 == pytest.approx(20)
    assert found.volume_m3 == pytest.approx(50)
    assert found.corner_heights_m == (2.5,) * 4


@pytest.mark.parametrize("reverse", [False, True])
def test_wall_frames_point_into_the_room_in_either_sense(plain_room, reverse):
    corners = "[[0,4],[5,4],[5,0],[0,0]]" if reverse else "[[0,0],[5,0],[5,4],[0,4]]"
    found = survey.plan(plain_room(change=[("[[0,0],[5,0],[5,4],[0,4]]", corners)]))
    for wall in found.walls:
        middle = [(a + b) / 2 + 0.1 * n for a, b, n in zip(wall.start, wall.end, wall.inward, strict=True)]
        assert 0 < middle[0] < 5
        assert 0 < middle[1] < 4
        assert wall.length_m == pytest.approx(dist(wall.start, wall.end))


def test_an_outline_that_crosses_itself_stops_the_job_and_names_the_walls(plain_room):
    found = survey.plan(plain_room(change=taped("floor = [[0,0],[5,4],[5,0],[0,4]]")))
    assert not found.sound
    (crossing,) = (f for f in found.findings if f.code == "survey.outline-crosses")
    assert crossing.severity is Severity.STOP
    assert "Walls A–B and C–D" in crossing.message


def test_a_floor_without_area_stops_the_job(plain_room):
    assert not survey.plan(plain_room(change=taped("floor = [[0,0],[5,0],[2,0]]"))).sound


def test_tape_readings_give_the_room_and_no_trouble_when_they_close(plain_room):
    project = plain_room(
        change=taped(
            'walls = [5, 4, 5, 4]\ndiagonals = [{ between = [0,2], length = "6.403 m" }, '
            '{ between = [1,3], length = "6.403 m" }]'
        )
    )
    found = survey.plan(project)
    assert found.sound
    assert found.closure.misclosure_m < 0.001
    assert found.closure.redundancy == 1
    assert found.area_m2 == pytest.approx(20, abs=0.01)
    assert found.findings == ()


def test_a_wall_read_20_cm_wrong_is_the_one_to_measure_again(plain_room):
    across = "".join(
        f"{{ between = [{i},{j}], length = {dist(L_SHAPE[i], L_SHAPE[j]):.4f} }}, "
        for i, j in ((0, 2), (0, 3), (3, 5), (1, 3), (1, 5), (0, 4), (2, 5))
    )
    walls = [5.4, 3.6, 1.8, 1.4, 3.6, 4.8]  # the second is 3.4
    found = survey.plan(plain_room(change=taped(f"walls = {walls}\ndiagonals = [{across}]")))
    (finding,) = (f for f in found.findings if f.code == "survey.misclosure")
    assert (finding.severity, finding.subject) == (Severity.FIX, "wall B–C")
    assert finding.measured > 3
    assert "Measure wall B–C again" in finding.advice


def test_missing_diagonals_are_asked_for_and_corners_taken_as_square(plain_room):
    found = survey.plan(plain_room(change=taped("walls = [5, 4, 5, 4]\ndiagonals = []")))
    assert "survey.diagonals-missing" in codes(found)
    assert found.area_m2 == pytest.approx(20)


def test_impossible_readings_stop_the_job_and_name_the_wall_that_is_too_long(plain_room):
    found = survey.plan(plain_room(change=taped("walls = [15, 4, 5, 4]\ndiagonals = []")))
    assert not found.sound
    (finding,) = (f for f in found.findings if f.code == "survey.readings-impossible")
    assert "wall A–B (15.00 m) is longer than all others together (13.00 m)" in finding.message


def test_corners_and_walls_are_called_by_letters():
    assert [survey.corner_name(i) for i in (0, 25, 26, 53)] == ["A", "Z", "A2", "B3"]
    assert survey.wall_name(3, 4) == "D–A"


def test_ceiling_height_is_that_of_the_lowest_plane(plain_room):
    planes = "[[[0,0,2],[5,0,2],[0,4,3]], [[0,0,2.4],[5,0,2.4],[0,4,2.4]]]"
    found = survey.plan(plain_room(change=[("ceiling = 2.5", f"ceiling = {planes}")]))
    assert survey.height_at(found, (1.0, 0.8)) == pytest.approx(2.2)
    assert survey.height_at(found, (1.0, 3.0, 0.5)) == pytest.approx(2.4)
    # By hand: the slope reaches 2.4 m at y = 1.6; wedge of mean 2.2 m before it, flat behind.
    assert found.volume_m3 == pytest.approx(5 * 1.6 * 2.2 + 5 * 2.4 * 2.4)


def test_a_slip_on_a_diagonal_is_told_of_that_diagonal_and_by_how_much(plain_room):
    """Data snooping (Baarda 1968): a planted error of 27 cm is found on its reading, not where its effect spreads."""
    pairs = ((0, 2), (0, 3), (3, 5), (1, 3), (1, 5), (0, 4), (2, 5))
    across = "".join(
        f"{{ between = [{i},{j}], length = {dist(L_SHAPE[i], L_SHAPE[j]) + 0.27 * ((i, j) == (1, 5)):.4f} }}, "
        for i, j in pairs
    )
    walls = [5.4, 3.4, 1.8, 1.4, 3.6, 4.8]
    found = survey.plan(plain_room(change=taped(f"walls = {walls}\ndiagonals = [{across}]")))
    (finding,) = (f for f in found.findings if f.code == "survey.misclosure")
    assert finding.subject == "diagonal B–F"
    assert finding.key == "room.diagonals[4].length"
    assert "reads about 0.27 m too long; the others agree" in finding.message


def test_where_one_reading_too_many_cannot_tell_which_is_wrong_it_says_so(plain_room):
    """Four walls and both diagonals have one condition: every reading is as suspect as the other."""
    readings = (
        "walls = [5, 4, 5, 4]\ndiagonals = [{ between = [0,2], length = 6.673 }, "
        "{ between = [1,3], length = 6.403 }]"
    )
    found = survey.plan(plain_room(change=taped(readings)))
    (finding,) = (f for f in found.findings if f.code == "survey.misclosure")
    assert finding.subject == "diagonal A–C"
    assert "diagonal A–C (6.67 m) reads about 0.2" in finding.message
    assert "they do not tell which" in finding.message


def test_readings_within_the_tolerance_give_no_finding(plain_room):
    """Errors of a standard error or less are what a tape of this tolerance leads one to expect."""
    readings = (
        "walls = [5.01, 4.0, 4.99, 4.01]\ndiagonals = [{ between = [0,2], length = 6.41 }, "
        "{ between = [1,3], length = 6.40 }]"
    )
    assert survey.plan(plain_room(change=taped(readings))).findings == ()


def test_a_tolerance_told_too_small_is_suspected_where_no_reading_stands_out(plain_room):
    """The sum of squares of all corrections is tested beside the largest of them."""
    pairs = [(i, j) for i in range(6) for j in range(i + 2, 6) if (i, j) != (0, 5)]
    errors = [0.012 * sign for sign in (-1, 1, 1, 1, -1, 1, 1, -1, 1, -1, 1, 1, -1, -1, 1)]
    walls = [round(length + e, 4) for length, e in zip((5.4, 3.4, 1.8, 1.4, 3.6, 4.8), errors, strict=False)]
    across = "".join(
        f"{{ between = [{i},{j}], length = {dist(L_SHAPE[i], L_SHAPE[j]) + e:.4f} }}, "
        for (i, j), e in zip(pairs, errors[6:], strict=True)
    )
    tight = ("ceiling = 2.5", "ceiling = 2.5\ntolerance = 0.01")
    change = [*taped(f"walls = {walls}\ndiagonals = [{across}]"), tight]
    found = survey.plan(plain_room(change=change))
    (finding,) = (f for f in found.findings if f.code == "survey.misclosure")
    assert "No reading stands out" in finding.message
    assert finding.measured < finding.limit
