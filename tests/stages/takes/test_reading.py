"""What a take says, in rooms of a library that knows nothing of this project and in the project's own."""

from dataclasses import replace

import numpy as np
import pytest

from seatfield.model import SweepSettings, TakeState
from seatfield.readers.microphone import read_compensation
from seatfield.stages.takes import findings_of, read_spot
from seatfield.stages.takes.reading import Session
from seatfield.stages.takes.rehearsal import Spell

SEED = 20310504  # fixed before anything was tuned on it
SPEED = 343.2 * np.sqrt((20 + 273.15) / 293.15)


def true_m(install, run, place):
    return float(np.linalg.norm(np.subtract(install.places[run], place)))


def by_run(take):
    return {one.run: one for one in take.channels}


@pytest.mark.parametrize("snr_db", [40.0, 10.0])
def test_distances_between_loudspeakers_are_right_within_two_centimetres_in_rooms_of_a_library(
    install, shoebox, snr_db
):
    room = shoebox(install.project, 0.35)
    sweeps = install.sweeps(("M+000", "M+030", "M-110", "U+030"))
    (session,) = install.sessions(install.params(SEED, snr_db=snr_db, drift_ppm=37.0), sweeps, room)
    ((take,), _) = read_spot([session], install.known)
    told = by_run(take)
    assert all(one.drift_ppm == pytest.approx(37.0, abs=0.5) for one in told.values())
    for run, one in told.items():
        expected = true_m(install, run, session.take.position) * install.known.speed_of_sound_m_s / 343.0
        reference = true_m(install, "M+000", session.take.position)
        off = (one.distance_m - reference) - (expected - reference * install.known.speed_of_sound_m_s / 343.0)
        assert abs(off) < 0.02, run
    assert {one.polarity for one in told.values()} == {"normal"}
    assert min(one.polarity_confidence for one in told.values()) > 0.8


def test_a_loopback_makes_arrivals_true_times_of_flight(install):
    sweeps = install.sweeps(("M+030", "U-030"), chirps="loopback")
    (session,) = install.sessions(install.params(SEED), sweeps)
    ((take,), spot) = read_spot([session], install.known)
    for one in take.channels:
        assert one.arrival_from == "loopback"
        assert one.distance_m == pytest.approx(true_m(install, one.run, take.position), abs=0.02)
    assert spot.reference == ""


def test_a_recording_of_all_sweeps_in_one_file_says_the_same_as_one_of_each(install):
    runs = ("M+000", "M-030", "sub")
    each = install.read(install.params(SEED, drift_ppm=-80.0), install.sweeps(runs))[0]
    whole = install.read(install.params(SEED, drift_ppm=-80.0), install.sweeps(runs, one_file=True))[0]
    for one in each.heard:
        other = whole.of(one.run)
        assert other.arrival.time_s == pytest.approx(one.arrival.time_s, abs=1e-4 if one.low else 2e-5)
        assert other.told.level_db == pytest.approx(one.told.level_db, abs=0.1)


def test_a_whole_recording_that_misses_its_first_sweep_is_refused_because_nobody_can_say_which_is_which(
    install,
):
    sweeps = install.sweeps(("M+000", "M-030", "M+030"), one_file=True)
    (session,) = install.sessions(install.params(SEED), sweeps)
    cut = replace(session.recordings[0], samples=session.recordings[0].samples[round(19.5 * 48000) :])
    ((take,), spot) = read_spot([replace(session, recordings=(cut,))], install.known)
    assert not any(one.used for one in take.channels)
    assert {trouble.kind for one in take.channels for trouble in one.troubles} == {"miscounted"}
    assert spot.heard == ()


def spoilt(samples, how):
    held = np.array(samples)
    if how == "clipped":
        return np.clip(held * 20, -1, 1)
    if how == "silent":
        return np.zeros_like(held)
    if how == "too-short":
        return held[: len(held) // 3]
    if how == "gap":
        middle = len(held) * 2 // 3 - 20000
        held[middle : middle + 900] = held[middle]
        return held
    if how == "stereo":
        return np.hstack(
            [held, np.roll(held, 3000, axis=0) * 0.8 + 0.01 * np.sin(np.arange(len(held)))[:, None]]
        )
    return np.zeros((0, 0))


@pytest.mark.parametrize("how", ["clipped", "silent", "too-short", "gap", "stereo", "unreadable"])
def test_a_bad_recording_is_told_in_words_and_never_used(install, how):
    sweeps = install.sweeps(("M+000", "M+030"))
    (session,) = install.sessions(install.params(SEED), sweeps)
    bad = replace(session.recordings[1], samples=spoilt(session.recordings[1].samples, how))
    ((take,), spot) = read_spot([replace(session, recordings=(session.recordings[0], bad))], install.known)
    lost, kept = (by_run(take)[run] for run in (session.take.files[1].runs[0], session.take.files[0].runs[0]))
    assert not lost.used
    assert kept.used
    kinds = {"too-short": {"too-short", "no-chirps"}}.get(how, {how})
    assert kinds & {trouble.kind for trouble in lost.troubles}
    assert lost.distance_m is None
    assert lost.level_db is None
    assert spot.of(lost.run) is None
    told = findings_of([take])
    assert any(
        lost.run in finding.subject and finding.advice == "This sweep is not used." for finding in told
    )


def test_the_wrong_rate_in_a_file_s_head_is_found_by_the_chirps_distance(install):
    sweeps = replace(install.sweeps(("M+000",)), settings=SweepSettings(length_s=6.0))
    (session,) = install.sessions(install.params(SEED), sweeps)
    wrong = replace(session.recordings[0], rate_hz=44100)
    ((take,), _) = read_spot([replace(session, recordings=(wrong,))], install.known)
    assert [trouble.kind for trouble in take.channels[0].troubles] == ["wrong-rate"]
    assert "as far apart as at 4800" in take.channels[0].troubles[0].message


def test_a_channel_taken_again_later_counts_and_lands_on_the_same_clock(install):
    first = install.sessions(install.params(SEED, drift_ppm=20.0), install.sweeps(("M+000", "M+030")))[0]
    again = install.sessions(install.params(SEED + 1, drift_ppm=-20.0), install.sweeps(("M+030",)))[0]
    _, alone = read_spot([first], install.known)
    _, both = read_spot([first, replace(again, take=replace(again.take, at="2031-05-05"))], install.known)
    assert both.of("M+030").arrival.time_s == pytest.approx(alone.of("M+030").arrival.time_s, abs=6e-5)


def test_noisy_sweeps_of_one_channel_are_averaged_until_the_arrival_is_certain(install):
    sweeps = install.sweeps(("M+000", "M-110"))
    noisy = [install.sessions(install.params(SEED + place, snr_db=7.0), sweeps)[0] for place in range(4)]
    _, one = read_spot(noisy[:1], install.known)
    _, four = read_spot(noisy, install.known)
    assert one.of("M+000").arrival.time_s is None
    assert not one.anchored
    assert all(heard.told.distance_m is None for heard in one.heard)
    assert four.anchored
    apart_s = four.of("M-110").arrival.time_s - four.of("M+000").arrival.time_s
    true_s = (true_m(install, "M-110", four.position) - true_m(install, "M+000", four.position)) / SPEED
    assert apart_s == pytest.approx(true_s, abs=1e-4)


def test_a_compensation_file_is_taken_off_the_levels(install):
    sweeps = install.sweeps(("M+000",))
    (session,) = install.sessions(install.params(SEED), sweeps)
    file = read_compensation(b"20 0\n400 3\n2500 3\n20000 3\n")
    ((plain,), _) = read_spot([session], install.known)
    ((mended,), _) = read_spot([Session(session.take, session.recordings, file)], install.known)
    assert mended.channels[0].level_db == pytest.approx(plain.channels[0].level_db - 3.0, abs=0.01)


def test_a_calibrated_microphone_gives_sound_pressure_levels(install):
    (session,) = install.sessions(install.params(SEED), install.sweeps(("M+000",)))
    ((plain,), _) = read_spot([session], install.known)
    calibrated = replace(session, take=replace(session.take, full_scale_db=112.0))
    ((told,), _) = read_spot([calibrated], install.known)
    assert told.channels[0].level_unit == "dB SPL"
    assert told.channels[0].level_db == pytest.approx(plain.channels[0].level_db + 112.0)


def test_a_silent_channel_is_dead_and_not_noisy(install):
    from seatfield.model import FaultKind
    from seatfield.stages.takes.rehearsal import Planted

    faults = (Planted(FaultKind.DEAD, ("M+030",)),)
    (spot,) = install.read(install.params(SEED, faults=faults), install.sweeps(("M+000", "M+030")))
    assert spot.dead == ("M+030",)


def test_a_subwoofer_s_arrival_is_read_round_the_crossover_and_its_polarity_left_open(install):
    params = install.params(SEED, spells=(Spell("", (2.4, 2.5, 1.2)),))
    (session,) = install.sessions(params, install.sweeps(("M+000", "sub")))
    ((take,), spot) = read_spot([session], install.known)
    told = by_run(take)["sub"]
    assert spot.of("sub").low
    assert told.polarity == "unknown"
    assert told.arrival_ms > true_m(install, "sub", take.position) / SPEED * 1e3


def test_states_and_places_are_kept(install):
    sweeps = install.sweeps(("M+000",))
    spells = (Spell("", (2.4, 2.5, 1.4)),)
    (session,) = install.sessions(install.params(SEED, spells=spells, state=TakeState.AS_USED), sweeps)
    ((take,), spot) = read_spot([session], install.known)
    assert (take.state, spot.state, spot.position) == (TakeState.AS_USED, TakeState.AS_USED, (2.4, 2.5, 1.4))
