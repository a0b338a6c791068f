"""The starter file: it opens, and so does everything that its remarks offer."""

import re

import pytest

from seatfield.model import LengthUnit
from seatfield.store import Answers, new_project, open_text

ROOMS = [
    Answers("den"),
    Answers('A "quoted" room\\', LengthUnit.FOOT, 3.6576, 4.8768, 2.4384, 3.048, 1.2, "4+5+0", "USD"),
    Answers("Küche", width_m=2.2, depth_m=9.0, height_m=2.0, layout="9.1.6"),
]


@pytest.mark.parametrize("answers", ROOMS)
def test_a_starter_opens_as_the_room_that_was_answered(answers):
    """Name, room, seat, screen and system are those of the answers."""
    opened = open_text(new_project(answers))
    assert opened.faults == ()
    project = opened.project
    assert (project.name, project.units, project.layout) == (answers.name, answers.units, answers.layout)
    assert project.room.floor[2] == pytest.approx((answers.width_m, answers.depth_m), abs=0.0006)
    assert project.room.ceiling_m == pytest.approx(answers.height_m, abs=0.0006)
    distance_m = answers.seat_distance_m or answers.depth_m * 2 / 3
    assert project.main_seat.at[1] - project.screen.centre[1] == pytest.approx(distance_m, abs=0.001)


@pytest.mark.parametrize("answers", ROOMS)
def test_what_the_remarks_offer_opens_too(answers):
    """Taking the # away from the tables in the remarks gives a project with them."""
    text = re.sub(r"^# (?=\[\[|[a-z_]+ = )", "", new_project(answers), flags=re.MULTILINE)
    opened = open_text(text)
    assert opened.faults == ()
    project = opened.project
    assert [opening.id for opening in project.room.openings] == ["door"]
    assert project.loudspeakers[0].channel == "M+030"
    assert project.cable.stock[0].area_mm2 == 2.5
    assert project.room.floor_finish.name == "wood floor on joists"


def test_a_starter_claims_no_finish_that_nobody_told():
    project = open_text(new_project(ROOMS[0])).project
    finishes = (
        project.room.floor_finish,
        project.room.ceiling_finish,
        *(w.finish for w in project.room.walls),
    )
    assert {finish.name for finish in finishes} == {"not given"}


def test_a_seat_behind_the_wall_is_refused():
    """The error says how deep the room is."""
    with pytest.raises(ValueError, match=r"a seat 6\.00 m from the screen is given in a room 5\.00 m deep"):
        new_project(Answers("x", seat_distance_m=6.0))


def test_answers_that_make_no_project_are_refused():
    """The error names the key and what would be right, so that no faulty file is ever written."""
    with pytest.raises(
        ValueError, match=r"these answers make no project: room\.ceiling: found -2, wanted a length"
    ):
        new_project(Answers("x", height_m=-2.0))
    with pytest.raises(ValueError, match=r'system\.layout: found "5\.1\.3", wanted a sound system'):
        new_project(Answers("x", layout="5.1.3"))
