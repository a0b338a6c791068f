"""The rehearsal: repeatable, and its room agrees with a general library and with Eyring."""

from dataclasses import replace

import numpy as np
import pytest

from seatfield.dsp.bands import band
from seatfield.dsp.decay import decay
from seatfield.dsp.impulse import ImpulseResponse
from seatfield.model import FaultKind, Finish, TakeState
from seatfield.stages import survey
from seatfield.stages.alignment import fit_room
from seatfield.stages.takes.rehearsal import (
    NoSuchFaultError,
    Planted,
    Spell,
    planted,
    random_faults,
    rehearse,
    renderer,
    shell_of,
)
from seatfield.stages.takes.rehearsal.boxes import box_of, box_response, joint_response
from seatfield.stages.takes.rehearsal.rooms import SCATTERED, Shell

SPEED = 343.0
CORNERED = """
format = 1
name = "Room with a corner cut out"
[room]
floor = [[0,0],[5,0],[5,3],[3.5,3],[3.5,4],[0,4]]
ceiling = 2.5
[[seat]]
name = "middle"
at = [2.5, 2.5]
ear = 1.1
main = true
[screen]
centre = [2.5, 0.1, 1.0]
width = 1.3
[system]
layout = "0+5+0"
"""


def plain_shell(install, absorption):
    whole = shell_of(install.survey, SPEED)
    finish = Finish("flat", (125.0, 8000.0), (absorption, absorption))
    return replace(whole, facets=tuple((plane, finish) for plane, _ in whole.facets))


def test_the_same_seed_gives_the_same_samples_and_another_seed_others(install):
    sweeps = install.sweeps(("M+000",))

    def made(seed):
        params = install.params(seed)
        return next(rehearse(install.project, install.survey, install.layout, sweeps, params)).samples

    assert np.array_equal(made(5), made(5))
    assert made(5).shape != made(6).shape or not np.array_equal(made(5), made(6))


def test_early_reflections_agree_with_the_image_sources_of_a_general_library(install):
    """pyroomacoustics (image sources after Allen and Berkley) in the same box with the same absorption."""
    import pyroomacoustics as pra

    absorption = 0.3
    source, microphone = (1.2, 0.8, 1.0), (2.9, 2.7, 1.3)
    effective = 1.0 - (1.0 - absorption) * (1.0 - SCATTERED)
    room = pra.ShoeBox([5, 4, 2.5], fs=48000, materials=pra.Material(effective), max_order=3)
    room.add_source(list(source))
    room.add_microphone(list(microphone))
    room.compute_rir()
    theirs = np.zeros(4096)
    theirs[:1460] = np.asarray(room.rir[0][0])[40:1500]  # its filters delay all by 40 samples
    ours = renderer(plain_shell(install, absorption), 48000)(source, microphone)[:4096]
    one, other = (banded(part)[:900] for part in (theirs, ours))  # until 19 ms, before the fourth order
    assert np.linalg.norm(one - other) < 0.05 * np.linalg.norm(one)


def banded(samples):
    """From 300 Hz to 8 kHz: theirs has a high-pass of its own, and both differ in their fractional delays on top."""
    spectrum = np.fft.rfft(samples)
    freq_hz = np.fft.rfftfreq(len(samples), 1 / 48000)
    return np.fft.irfft(spectrum * ((freq_hz > 300) & (freq_hz < 8000)))


def test_the_room_dies_away_as_eyring_says(install):
    shell = shell_of(install.survey, SPEED)
    response = ImpulseResponse(renderer(shell, 48000)((1.2, 0.8, 1.0), (2.9, 2.7, 1.3)), 48000.0)
    padded = ImpulseResponse(
        np.concatenate([response.samples, np.zeros(24000)])
        + 1e-7 * np.random.default_rng(1).normal(size=len(response.samples) + 24000),
        48000.0,
    )
    read = decay(padded, band(1000.0), 0.007)
    assert read.time_s == pytest.approx(shell.decay_s[3], rel=0.12)


def test_a_room_with_corners_still_has_direct_sound_first_reflections_and_decay(described, install):
    surveyed = survey.plan(described(CORNERED))
    shell = shell_of(surveyed, SPEED)
    assert shell.box_m is None
    response = renderer(shell, 48000)((1.0, 1.0, 1.0), (3.0, 2.0, 1.2))
    direct = round(np.linalg.norm([2.0, 1.0, 0.2]) / SPEED * 48000)
    assert np.argmax(np.abs(response)) == pytest.approx(direct, abs=2)
    assert np.sqrt(np.mean(response[24000:26400] ** 2)) < 0.1 * np.sqrt(np.mean(response[2400:4800] ** 2))


@pytest.mark.parametrize(
    ("source", "microphone"),
    [
        ((4.2, 0.4, 1.0), (2.5, 2.5, 1.1)),  # either side of the plane of the wall that juts into the room
        ((0.8, 0.4, 1.0), (2.5, 2.5, 1.1)),
        ((4.5, 2.6, 1.0), (1.0, 3.6, 1.1)),
    ],
)
def test_nothing_is_heard_before_the_direct_sound(described, source, microphone):
    """A wall that juts into a room mirrors nothing to its other side."""
    shell = shell_of(survey.plan(described(CORNERED)), SPEED)
    response = renderer(shell, 48000)(source, microphone)
    direct = round(np.linalg.norm(np.subtract(source, microphone)) / SPEED * 48000)
    peak = np.max(np.abs(response[direct - 2 : direct + 3]))
    assert peak > 0.1
    assert np.max(np.abs(response[: direct - 34])) < 1e-3 * peak  # half the taps of a pulse between samples


def test_sound_from_behind_a_corner_is_weaker_than_in_the_open(described):
    shell = shell_of(survey.plan(described(CORNERED.replace("[3.5,3],[3.5,4]", "[1.5,3],[1.5,4]"))), SPEED)
    render = renderer(shell, 48000)
    hidden, seen = (render(source, (1.2, 3.7, 1.1)) for source in ((4.5, 2.0, 1.1), (1.2, 0.2, 1.1)))
    direct = round(np.linalg.norm([3.3, 1.7]) / SPEED * 48000)
    assert 0 < np.max(np.abs(hidden[direct - 2 : direct + 3])) < 0.5 * np.max(np.abs(seen))


def test_a_joint_takes_least_where_the_impedance_is_highest(install):
    box = box_of(install.project.models[0])
    freq_hz = np.geomspace(200, 10000, 200)
    loss_db = -20 * np.log10(np.abs(joint_response(box, 4.0, freq_hz)))
    # Ohm: a pure resistance of the lowest impedance would lose 20 lg (1 + 4 / 5.5)
    assert loss_db.max() < 20 * np.log10(1 + 4 / 5.5) + 1e-9
    assert loss_db.max() > 4.0
    assert loss_db[np.argmin(np.abs(freq_hz - 0.7 * box.crossing_hz))] < 0.6 * loss_db.max()


def test_a_silent_tweeter_leaves_the_woofer_as_it_was(install):
    box = box_of(install.project.models[0])
    freq_hz = np.array([200.0, 9600.0])
    whole, dull = (np.abs(box_response(box, freq_hz, tweeter=on)) for on in (True, False))
    assert dull[0] == pytest.approx(whole[0], rel=0.01)
    assert dull[1] < 0.01 * whole[1]


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("inverted M+030", Planted(FaultKind.INVERTED, ("M+030",))),
        ("swapped M+110 M-110", Planted(FaultKind.SWAPPED, ("M+110", "M-110"))),
        ("high-resistance joint M-030", Planted(FaultKind.JOINT, ("M-030",), 4.0)),
    ],
)
def test_faults_are_asked_for_in_words(install, words, expected):
    assert planted(words, install.project, install.layout) == expected


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ("humming M+030", "the kinds are dead, swapped"),
        ("swapped M+030", "it takes 2 of the runs"),
        ("dead M+999", "it takes 1 of the runs M.030"),
    ],
)
def test_a_fault_that_cannot_be_planted_is_refused_with_what_can(install, words, message):
    with pytest.raises(NoSuchFaultError, match=message):
        planted(words, install.project, install.layout)


def test_chance_faults_are_the_same_for_the_same_seed_and_share_no_run(install):
    for seed in range(12):
        one, again = (
            random_faults(install.project, install.layout, 3, TakeState.AS_USED, seed) for _ in range(2)
        )
        assert one == again
        runs = [run for fault in one for run in fault.runs]
        assert len(runs) == len(set(runs))


def test_shells_keep_their_volume(install):
    shell = shell_of(install.survey, SPEED)
    assert isinstance(shell, Shell)
    assert shell.volume_m3 == pytest.approx(50.0)
    assert shell.box_m == ((0, 0, 0), (5, 4, 2.5))


def test_the_room_fitted_to_its_own_rehearsal_is_the_room_as_described(install):
    """What is rendered in the bass is what the plan holds: nothing is taken from the modes a second time."""
    spells = tuple(Spell("", at) for at in ((1.6, 2.6, 1.1), (2.5, 3.0, 1.1)))
    spots = install.read(install.params(spells=spells), install.sweeps(("M+000", "sub")))
    fitted = fit_room(install.project, install.survey, install.known, spots).bass
    assert fitted.off_before_db < 1.5
    assert 0.5 < fitted.absorption < 2.0
    assert fitted.size == pytest.approx(1.0, abs=0.01)
