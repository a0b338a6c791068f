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
    assert [f.severity for f in found.findings] == [Severity.NOTE]


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
