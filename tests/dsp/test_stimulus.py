"""What is played: events in their order, and a beginning from quiet."""

import numpy as np
import pytest

from seatfield.dsp.stimulus import Stimulus, approach_track, marker_signal, marker_track, sweep_track


def test_events_follow_each_other_without_overlap():
    stimulus = Stimulus()
    assert stimulus.first_marker_s + stimulus.marker.duration_s < stimulus.sweep_start_s
    assert stimulus.second_marker_s + stimulus.marker.duration_s < stimulus.duration_s
    assert stimulus.spacing_s == pytest.approx(stimulus.gap_s + stimulus.sweep.duration_s + stimulus.tail_s)


@pytest.mark.parametrize("rate_hz", [44100, 48000, 96000, 48002.4])
def test_tracks_hold_their_part_at_the_stated_level_and_silence_elsewhere(rate_hz):
    stimulus = Stimulus(level_db=-20.0)
    sweep, chirps = sweep_track(stimulus, rate_hz), marker_track(stimulus, rate_hz)
    assert len(sweep) == len(chirps)
    assert np.max(np.abs(sweep)) == pytest.approx(0.1, rel=1e-3)
    assert np.max(np.abs(chirps)) == pytest.approx(0.1, rel=0.02)
    starts = round(stimulus.sweep_start_s * rate_hz)
    assert not np.any(sweep[: starts - 1])
    assert not np.any(chirps[starts : round(stimulus.second_marker_s * rate_hz) - 1])


def test_the_two_chirps_are_the_same_to_a_fraction_of_a_sample():
    """Also at a rate at which the second begins between two samples: both correlate with one spectrum's phase."""
    stimulus, rate_hz = Stimulus(), 48002.4
    chirps = marker_track(stimulus, rate_hz)
    freq_hz = np.linspace(4500.0, 8500.0, 41)
    phases = []
    for start_s in (stimulus.first_marker_s, stimulus.second_marker_s):
        first = int(start_s * rate_hz) - 10
        piece = chirps[first : first + round(0.2 * rate_hz)]
        time_s = (first + np.arange(len(piece))) / rate_hz - start_s
        phases.append(np.exp(-2j * np.pi * np.outer(freq_hz, time_s)) @ piece)
    assert np.max(np.abs(np.angle(phases[0] / phases[1]))) < 1e-3


def test_chirp_sweeps_its_band_and_little_else():
    marker = Stimulus().marker
    power = np.abs(np.fft.rfft(marker_signal(marker, 48000.0), 48000)) ** 2
    assert np.sum(power[4000:9001]) > 0.98 * np.sum(power)


def test_loudness_grows_from_quiet_in_small_steps_up_to_the_sweeps_level():
    track = approach_track(48000.0, -12.0)
    steps = np.abs(track).reshape(-1, round(0.8 * 48000)).max(axis=1)
    levels_db = 20 * np.log10(steps)
    assert levels_db[0] <= -60.0 + 0.01
    assert levels_db[-1] == pytest.approx(-12.0, abs=0.01)
    assert np.diff(levels_db) == pytest.approx(6.0, abs=0.01)
