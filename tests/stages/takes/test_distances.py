"""Distances that neither tape nor tolerance explains: found, named, and the chirps' own place told from the rest."""

from math import dist

import numpy as np
import pytest

from seatfield.dsp.arrival import Arrival
from seatfield.dsp.impulse import ImpulseResponse
from seatfield.model import TakeState
from seatfield.stages.takes import ChannelTaken, Heard, Known, Spot, off_plan_m

PLACES = {
    "M+000": (2.5, 0.4, 1.0), "M+030": (1.2, 0.5, 1.0), "M-030": (3.8, 0.5, 1.0),
    "M+110": (0.6, 3.6, 1.2), "M-110": (4.4, 3.6, 1.2),
}  # fmt: skip
EAR = (2.5, 3.0, 1.1)
SPEED_M_S = 343.0
KNOWN = Known(PLACES, SPEED_M_S)


def spot(reference="M+000", *, anchored=True, **off):
    """A position that heard every main at its planned distance, or off it by so much [m]."""
    silence = ImpulseResponse(np.zeros(16), 48000, 0.0)
    heard = []
    for run, at in PLACES.items():
        time_s = (dist(at, EAR) + off.get(run.replace("+", "L").replace("-", "R"), 0.0)) / SPEED_M_S
        heard.append(
            Heard(run, run, silence, Arrival(time_s, "", 30.0, time_s), ChannelTaken(run, run), False)
        )
    return Spot(EAR, "middle", TakeState.BARE, reference, tuple(heard), (), anchored)


def test_what_building_and_tape_explain_is_no_finding():
    assert off_plan_m(spot(ML030=0.3, MR110=-0.3), KNOWN) == {}


@pytest.mark.parametrize("off_m", [3.3, -0.9])
def test_one_distance_far_off_is_named_with_its_side(off_m):
    assert off_plan_m(spot(MR110=off_m), KNOWN) == {"M-110": pytest.approx(off_m)}


def test_where_all_others_are_off_alike_the_chirps_own_loudspeaker_is_named():
    off = dict.fromkeys(("ML030", "MR030", "ML110", "MR110"), 0.9)
    assert off_plan_m(spot(**off), KNOWN) == {"M+000": pytest.approx(-0.9)}


def test_where_the_others_are_off_each_in_its_own_way_all_of_them_are_named():
    found = off_plan_m(spot(ML030=0.74, MR030=1.18, ML110=3.08, MR110=3.31), KNOWN)
    assert set(found) == {"M+030", "M-030", "M+110", "M-110"}


def test_without_the_clock_s_zero_no_distance_is_judged():
    assert off_plan_m(spot(anchored=False, MR110=3.3), KNOWN) == {}


@pytest.mark.parametrize("late_m", [0.0, 1.1])
def test_what_fires_at_the_ceiling_may_be_heard_from_its_box_or_from_its_bounce(late_m):
    known = Known(PLACES, SPEED_M_S, detour_m={"M-110": 1.1})
    assert off_plan_m(spot(MR110=late_m), known) == {}
    assert off_plan_m(spot(MR110=late_m + 2.0), known).keys() == {"M-110"}
