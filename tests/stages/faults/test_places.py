"""Who sounds where, from exact geometry: random swaps and healthy installs, four and six positions.

The truth is the geometry itself: arrivals are distances over the speed of sound with errors of placing, building and
reading added; nothing of the room model takes part.
"""

import numpy as np
import pytest

from seatfield.dsp.arrival import Arrival
from seatfield.dsp.impulse import ImpulseResponse
from seatfield.model import TakeState
from seatfield.stages.faults.known import Plan, RunKnown
from seatfield.stages.faults.places import seating
from seatfield.stages.takes import ChannelTaken, Heard, Spot

SPEED = 343.0
AZIMUTHS = {
    "M+030": 30,
    "M-030": -30,
    "M+000": 0,
    "M+090": 90,
    "M-090": -90,
    "M+135": 135,
    "M-135": -135,
    "U+045": 45,
    "U-045": -45,
    "U+135": 135,
    "U-135": -135,
}
ROUND = np.array(
    [
        (0, 0, 0),
        (0.45, 0.1, 0.4),
        (-0.45, 0.15, -0.2),
        (0.1, -0.5, 0.3),
        (-0.3, -0.35, 0),
        (0.25, 0.45, -0.25),
    ]
)
NOTHING = ImpulseResponse(np.zeros(2), 48000.0)


def layout(rng):
    """Where eleven loudspeakers stand round an ear at the origin, none of them quite symmetric."""
    places = {}
    for run, azimuth in AZIMUTHS.items():
        high = run.startswith("U")
        angle = np.radians(azimuth + rng.uniform(-5, 5))
        away = rng.uniform(1.2, 1.6) if high else rng.uniform(1.8, 2.6)
        places[run] = np.array(
            [-away * np.sin(angle), away * np.cos(angle), 1.2 if high else rng.uniform(-0.1, 0.2)]
        )
    return places


def plan(places):
    runs = tuple(RunKnown(run, run, None, tuple(at), "receiver", run) for run, at in places.items())
    return Plan(runs, (), SPEED, 80.0)


def spots(rng, places, wired, positions, reference, build_m=0.10):
    built = {run: at + rng.normal(size=3) * build_m / np.sqrt(3) for run, at in places.items()}
    found = []
    for place in ROUND[:positions]:
        stands = place + rng.normal(size=3) * 0.01
        flight = {run: np.linalg.norm(built[wired[run]] - stands) / SPEED for run in places}
        zero = flight[reference] - np.linalg.norm(places[reference] - place) / SPEED if reference else 0.0
        heard = tuple(heard_at(run, flight[run] - zero + rng.normal() * 0.005 / SPEED) for run in places)
        found.append(Spot(tuple(place), "", TakeState.BARE, reference, heard, ()))
    return found


def heard_at(run, time_s):
    return Heard(run, run, NOTHING, Arrival(time_s, "", 40.0, time_s), ChannelTaken(run, run), low=False)


@pytest.mark.parametrize("reference", ["", "M+000"])
def test_random_swaps_are_found_and_named_from_four_positions_and_sound_installs_left_alone(reference):
    """A hundred of each: at least 97 found and named, at most one false alarm."""
    found = alarms = 0
    for seed in range(50):
        rng = np.random.default_rng([20310506, seed])
        places = layout(rng)
        same = {run: run for run in places}
        one, other = (str(run) for run in rng.choice(list(places), 2, replace=False))
        swapped = same | {one: other, other: one}
        told = seating(plan(places), spots(rng, places, swapped, 4 + 2 * (seed % 2), reference))
        found += [set(ring.runs) for ring in told.rings] == [{one, other}]
        alarms += bool(seating(plan(places), spots(rng, places, same, 4, reference)).rings)
    assert found >= 49
    assert alarms <= 0


def test_a_swap_with_the_loudspeaker_that_plays_the_chirps_is_found_too():
    rng = np.random.default_rng(20310506)
    places = layout(rng)
    wired = {run: run for run in places} | {"M+000": "M-030", "M-030": "M+000"}
    (ring,) = seating(plan(places), spots(rng, places, wired, 4, "M+000")).rings
    assert set(ring.runs) == {"M+000", "M-030"}
    assert ring.confidence > 0.9


def test_from_one_position_in_a_symmetric_layout_every_pair_stays_open():
    places = {
        "M+030": np.array([-1.0, 1.8, 0.0]),
        "M-030": np.array([1.0, 1.8, 0.0]),
        "M+000": np.array([0.0, 2.6, 0.0]),
        "M+110": np.array([-1.5, -0.6, 0.1]),
        "M-110": np.array([1.5, -0.6, 0.1]),
    }
    wired = {run: run for run in places} | {"M+110": "M-110", "M-110": "M+110"}
    told = seating(plan(places), spots(np.random.default_rng(1), places, wired, 1, "", build_m=0.02))
    assert told.rings == ()
    assert {frozenset(pair) for pair in told.open} == {
        frozenset({"M+030", "M-030"}),
        frozenset({"M+110", "M-110"}),
    }


def test_too_few_loudspeakers_say_nothing():
    places = {"M+000": np.array([0.0, 2.6, 0.0])}
    assert not seating(plan(places), spots(np.random.default_rng(1), places, {"M+000": "M+000"}, 4, "")).read
