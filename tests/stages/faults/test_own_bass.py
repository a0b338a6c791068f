"""Whose bass a channel plays, from its shape and its loudness; a trim alone is no fault."""

import pytest

from seatfield.model import FaultKind
from seatfield.stages.faults.bass import Handing
from seatfield.stages.faults.known import Plan, RunKnown
from seatfield.stages.faults.naming import own_bass
from seatfield.stages.faults.result import FaultFound

USUAL = Handing(likeness=0.999, ratio_db=-10.0, over_middle_db=2.5, spots=1)
RUNS = ("M+030", "M-030", "M+000", "M+110", "M-110")


def told(one, usual=USUAL):
    known = Plan(tuple(RunKnown(run, run, None, None, "receiver", run) for run in RUNS), (), 343.0, 80.0)
    return list(own_bass(known, {run: one if run == "M-110" else usual for run in RUNS}))


@pytest.mark.parametrize(
    "one",
    [
        Handing(0.97, -24.0, -12.0, 1),  # small and far below, though much of the shape is the subwoofers'
        Handing(0.6, -10.0, 2.5, 1),  # as loud, and another shape
        Handing(0.975, -13.4, -0.7, 1),  # a little quieter, and odd where the others are not
        Handing(0.999, -3.0, 9.5, 1),  # much louder: as after a boost
    ],
)
def test_a_channel_that_keeps_its_bass_is_named(one):
    (found,) = told(one)
    assert isinstance(found, FaultFound)
    assert (found.kind, found.run) == (FaultKind.FULL_RANGE, "M-110")
    assert "plays its bass itself" in found.message


@pytest.mark.parametrize(
    "one",
    [
        Handing(0.998, -16.0, 2.4, 1),  # a trim turns bass and middle down together
        Handing(0.998, -10.1, 7.8, 1),  # a bad joint takes from the middle, and leaves the subwoofers'
        Handing(0.995, -10.6, -0.7, 1),  # a room
    ],
)
def test_a_trim_a_joint_and_a_room_are_not_named(one):
    assert told(one) == []


def test_where_noise_makes_all_odd_none_is_named():
    noisy = Handing(0.975, -10.0, 2.5, 1)
    assert told(Handing(0.96, -13.0, -0.5, 1), noisy) == []


def test_odd_and_as_loud_is_asked():
    (question,) = told(Handing(0.93, -10.5, 2.4, 1))
    assert not isinstance(question, FaultFound)
    assert question.kinds == (FaultKind.FULL_RANGE,)
    assert "not clear" in question.message
