"""The bass while something moves: what stays the same is not solved again."""

from dataclasses import replace
from pathlib import Path

import seatfield
from seatfield.acoustics import room_modes
from seatfield.stages.bass import DRAGGING, BassParams, space

EXAMPLES = Path(__file__).parents[3] / "examples"
ALONG = BassParams(parts=DRAGGING)


def test_the_bare_room_is_solved_once_while_its_outline_stays(monkeypatch, heard):
    solved = []

    def counted(*room, **wanted):
        solved.append(room)
        return room_modes(*room, **wanted)

    monkeypatch.setattr(space, "room_modes", counted)
    project = seatfield.open_project(EXAMPLES / "open-plan")
    (x, y), *others = project.room.floor
    narrower = replace(project.room, floor=((x + 0.0171, y), *others))
    project = replace(project, room=narrower)
    first = heard(project, ALONG)
    seat = project.seats[0]
    nearer = replace(seat, at=(seat.at[0], seat.at[1] + 0.1))
    moved = heard(replace(project, seats=(nearer, *project.seats[1:])), ALONG)
    assert len(solved) == 1
    assert moved.modes_hz == first.modes_hz
    assert moved.curves != first.curves
    other = heard(replace(project, room=replace(narrower, floor=((x + 0.2171, y), *others))), ALONG)
    assert len(solved) == 2
    assert other.modes_hz != first.modes_hz
