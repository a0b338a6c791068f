"""The bass while something moves: what stays the same is not solved again."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import seatfield
from seatfield.acoustics import room_modes
from seatfield.stages.bass import ALONG_HZ, DRAGGING, BassParams, space

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


@pytest.mark.parametrize("example", ["rented-room", "attic", "open-plan"])
def test_what_follows_the_hand_is_what_stays_when_it_lets_go(example, heard):
    """With fewer modes, fields and responses stay near those of twice the modes."""
    project = seatfield.open_project(EXAMPLES / example)
    along = heard(project, BassParams(parts=("map", "ears"), to_hz=ALONG_HZ))
    full = heard(project, BassParams(parts=("map", "ears"), to_hz=space.FULL_HZ))
    for quick, slow in ((along.map, full.map), (along.seat_map, full.seat_map)):
        if slow is None:
            assert quick is None
            continue
        apart = np.array(quick.values, float) - np.array(slow.values, float)
        assert np.sqrt(np.nanmean(apart**2)) < 0.1
    assert len(along.curves) == len(full.curves)
    for quick, slow in zip(along.curves, full.curves, strict=True):
        assert np.sqrt(np.mean((np.array(quick.level_db) - np.array(slow.level_db)) ** 2)) < 0.2
