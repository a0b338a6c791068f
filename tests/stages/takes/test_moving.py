"""What the plan moved after a take was made is set aside, told first, and never judged against its new place."""

from dataclasses import replace

import pytest

from seatfield.stages.takes import changed, moved_findings, read_spot
from seatfield.stages.takes.rehearsal import Spell

PAIR = ("M+000", "M-030")


@pytest.fixture
def taken(install):
    """One session of the loudspeaker that plays the chirps and another, which knows where the plan had them."""
    (session,) = install.sessions(install.params(), install.sweeps(PAIR))
    return replace(session, take=replace(session.take, places=tuple(install.known.places.items())))


def moved(known, **to):
    return replace(known, places={**known.places, **{run.replace("_", "-"): at for run, at in to.items()}})


def test_a_run_that_the_plan_moved_is_told_and_set_aside_and_the_others_are_kept(install, taken):
    (read,), spot = read_spot([taken], moved(install.known, M_030=(1.4, 1.75, 1.0)))
    assert [one.run for one in read.channels] == ["M-030", "M+000"]
    assert [one.run for one in spot.heard] == ["M+000"]
    (aside,) = spot.aside
    assert (aside.name, aside.takes) == ("M-030", ("take 1",))
    assert aside.moved_m == pytest.approx(1.0)
    (finding,) = moved_findings([spot])
    assert "M-030 stands 1.00 m from its place in the plan of take 1" in finding.message
    assert finding.advice == "Take M-030 again at middle."


def test_a_place_measured_two_centimetres_better_sets_nothing_aside(install, taken):
    _, spot = read_spot([taken], moved(install.known, M_030=(1.42, 0.75, 1.0)))
    assert {one.run for one in spot.heard} == set(PAIR)
    assert spot.aside == ()
    assert changed([spot]) == ()


def test_a_take_of_the_moved_run_made_since_counts(install, taken):
    known = moved(install.known, M_030=(1.4, 1.75, 1.0))
    again = replace(taken, take=replace(taken.take, id="take 2", places=tuple(known.places.items())))
    _, spot = read_spot([taken, again], known)
    assert {one.run for one in spot.heard} == set(PAIR)
    assert spot.aside == ()


def test_where_the_chirps_came_from_another_place_only_differences_count(install, taken):
    reference = taken.take.sweeps.reference_run
    known = moved(install.known, **{reference.replace("-", "_"): (4.5, 1.7, 1.05)})
    (before,), _ = read_spot([taken], install.known)
    (read,), spot = read_spot([taken], known)
    assert not spot.anchored
    other = next(run for run in PAIR if run != reference)
    then, now = (next(one for one in told.channels if one.run == other) for told in (before, read))
    assert now.arrival_ms == pytest.approx(then.arrival_ms)  # by the places of that day


def test_a_seat_that_moved_is_no_seat_of_the_take_until_it_is_taken_again(install, taken):
    known = replace(install.known, seats={"middle": (2.5, 2.4, 1.1)})
    _, spot = read_spot([taken], known)
    assert spot.seat == ""
    assert spot.left.name == "middle"
    ((what, do),) = changed([spot])
    assert "seat middle has moved by" in what
    assert "take middle again" in do
    assert changed([spot, replace(spot, seat="middle", left=None)]) == ()


def test_a_sound_that_would_arrive_before_it_was_played_has_no_distance(install):
    sweeps = install.sweeps(PAIR)
    reference = sweeps.reference_run
    other = next(run for run in PAIR if run != reference)
    x, y, z = install.known.places[other]
    (session,) = install.sessions(install.params(spells=(Spell("", (x, y + 1.0, z)),)), sweeps)
    # the plan has the chirps' loudspeaker at the microphone, though it stands more than a metre behind the other one
    known = replace(install.known, places={**install.known.places, reference: session.take.position})
    (read,), spot = read_spot([session], known)
    told = next(one for one in read.channels if one.run == other)
    assert told.distance_m is None
    assert told.arrival_ms is None
    assert spot.of(other).arrival.time_s is None
    assert any("before it was played" in trouble.message for trouble in told.troubles)
