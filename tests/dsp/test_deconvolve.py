"""Sweep in, response out: a wire, a delay, a filter, two clocks, and harmonics in closed form."""

import numpy as np
import pytest
from scipy import signal

from seatfield.dsp.bands import band
from seatfield.dsp.deconvolve import deconvolved, deconvolver, harmonic_response, linear_response
from seatfield.dsp.distortion import distortion
from seatfield.dsp.sweep import sweep_signal, synchronised_sweep

RATE_HZ = 48000.0


def response_of(samples, rate_hz=RATE_HZ, tool_rate_hz=RATE_HZ, sweep=None, peak=1.0):
    sweep = sweep or synchronised_sweep()
    tool = deconvolver(sweep, tool_rate_hz, sweep.duration_s + 2.2, peak)
    padded = np.concatenate([np.zeros(round(0.2 * rate_hz)), samples, np.zeros(round(2.0 * rate_hz))])
    circle = deconvolved(tool, padded, round(0.2 * rate_hz) / rate_hz)
    return tool, circle, linear_response(tool, circle)


def test_a_wire_is_flat_within_the_sweep():
    """Gain 1 and no phase up to 20 kHz; the window's cut shows by a tenth of a decibel at 30 Hz only."""
    _, _, wire = response_of(0.25 * sweep_signal(synchronised_sweep(), RATE_HZ), peak=0.25)
    freq_hz = np.fft.rfftfreq(len(wire.samples), 1 / RATE_HZ)
    gain = np.fft.rfft(wire.samples) * np.exp(2j * np.pi * freq_hz * -wire.start_s)
    for low_hz, limit_db in ((30.0, 0.2), (100.0, 0.05)):
        inside = (freq_hz > low_hz) & (freq_hz < 20000.0)
        assert np.max(np.abs(20 * np.log10(np.abs(gain[inside])))) < limit_db
        assert np.max(np.abs(np.angle(gain[inside]))) < limit_db


def test_a_filter_comes_back_as_its_own_response():
    """Against scipy's frequency response of a second-order high-pass at 60 Hz."""
    sections = signal.butter(2, 60.0, "high", fs=RATE_HZ, output="sos")
    _, _, found = response_of(signal.sosfilt(sections, sweep_signal(synchronised_sweep(), RATE_HZ)))
    freq_hz = np.geomspace(30.0, 18000.0, 60)
    _, truth = signal.sosfreqz(sections, freq_hz, fs=RATE_HZ)
    time_s = found.start_s + np.arange(len(found.samples)) / RATE_HZ
    gain = np.array([np.exp(-2j * np.pi * one_hz * time_s) @ found.samples for one_hz in freq_hz])
    assert np.max(np.abs(gain / truth - 1.0)) < 5e-3


def test_a_recorder_that_runs_fast_gives_the_same_response_when_its_rate_is_known():
    """100 ppm smear a 10 s sweep over 1 ms; with the true rate the peak is back within 1 %."""
    true_hz = RATE_HZ * (1 + 100e-6)
    samples = sweep_signal(synchronised_sweep(), true_hz)
    _, _, smeared = response_of(samples, true_hz)
    _, _, mended = response_of(samples, true_hz, true_hz)
    _, _, wire = response_of(sweep_signal(synchronised_sweep(), RATE_HZ))
    top = np.max(wire.samples)
    assert np.max(np.abs(smeared.samples)) < 0.6 * top
    assert np.max(mended.samples) == pytest.approx(top, rel=0.01)


@pytest.mark.parametrize(("square", "cube"), [(0.02, 0.0), (0.0, 0.01), (0.05, 0.03)])
def test_harmonics_of_a_polynomial_have_their_closed_form(square, cube):
    """x + a x² + b x³ with a sine of peak A: second a A / 2, third b A² / 4, fundamental 1 + 3 b A² / 4."""
    peak, sweep = 0.5, synchronised_sweep()
    played = peak * sweep_signal(sweep, RATE_HZ)
    distorted = played + square * played**2 + cube * played**3
    tool, circle, found = response_of(distorted, peak=peak)
    base = 1 + 0.75 * cube * peak**2
    second, third = square * peak / 2 / base, cube * peak**2 / 4 / base
    (read,) = distortion(tool, circle, found, (band(500.0, 3),))
    for order_db, truth in zip(read.orders_db[:2], (second, third), strict=True):
        if truth:
            assert order_db == pytest.approx(20 * np.log10(truth), abs=0.3)
        else:
            assert order_db is None or order_db < -100.0
    assert read.level_db == pytest.approx(10 * np.log10(second**2 + third**2), abs=0.3)


def test_second_harmonic_sits_at_its_own_moment():
    played = sweep_signal(synchronised_sweep(), RATE_HZ)
    tool, circle, _ = response_of(played + 0.1 * played**2)
    second = harmonic_response(tool, circle, 2)
    assert second.time_s(int(np.argmax(np.abs(second.samples)))) == pytest.approx(0.0, abs=3e-4)


def test_distortion_under_the_noise_is_not_reported(lab):
    """-54 dB of second harmonic under noise 20 dB below the sweep: only an upper bound is given, and it holds."""
    rng = np.random.default_rng(20260711)
    played = 0.5 * sweep_signal(synchronised_sweep(), RATE_HZ)
    truth_db = 20 * np.log10(0.008 * 0.5 / 2)
    noisy = played + 0.008 * played**2 + lab.pink(rng, len(played)) * 0.35 * 10 ** (-20 / 20)
    tool, circle, found = response_of(noisy, peak=0.5)
    (read,) = distortion(tool, circle, found, (band(500.0, 3),))
    assert read.level_db is None
    assert read.at_most_db > truth_db - 1.0
