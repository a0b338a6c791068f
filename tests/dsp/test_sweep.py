"""The sweep and its harmonics' times, against Farina (AES 2000) and Novak (JAES 63, 2015)."""

import numpy as np
import pytest

from seatfield.dsp.sweep import (
    Sweep,
    SweepRangeError,
    harmonic_lead_s,
    passing_time_s,
    sweep_rate_s,
    sweep_signal,
    synchronised_sweep,
)


def test_rate_and_leads_of_a_five_second_sweep():
    """L = T / ln(f2 / f1) and L ln n for 20 Hz to 20 kHz in 5 s, worked by hand from Farina's formula."""
    rate_s = sweep_rate_s(20.0, 20000.0, 5.0)
    assert rate_s == pytest.approx(0.72382, abs=5e-6)
    sweep = Sweep(20.0, 20000.0, rate_s)
    leads = [harmonic_lead_s(sweep, order) for order in (2, 3, 4, 5)]
    assert leads == pytest.approx([0.5017, 0.7952, 1.0034, 1.1650], abs=5e-5)


def test_one_octave_lasts_as_long_as_the_second_harmonic_leads():
    sweep = synchronised_sweep()
    assert sweep.octave_s == pytest.approx(harmonic_lead_s(sweep, 2), rel=1e-12)
    assert passing_time_s(sweep, 2000.0) - passing_time_s(sweep, 1000.0) == pytest.approx(
        sweep.octave_s, rel=1e-12
    )


@pytest.mark.parametrize(
    ("low_hz", "high_hz", "duration_s"), [(15, 22000, 10), (20, 20000, 5), (10, 300, 7.3)]
)
def test_synchronised_sweep_has_a_whole_number_of_cycles_in_its_rate(low_hz, high_hz, duration_s):
    """Novak's condition, f1 L a whole number, and a length within half a step of what was asked."""
    sweep = synchronised_sweep(low_hz, high_hz, duration_s)
    assert sweep.low_hz * sweep.rate_s == pytest.approx(round(sweep.low_hz * sweep.rate_s), abs=1e-9)
    assert abs(sweep.duration_s - duration_s) <= np.log(high_hz / low_hz) / low_hz / 2 + 1e-9


def test_harmonic_of_the_sweep_is_the_sweep_shifted_by_its_lead():
    """Doubling the phase gives the sweep at a time L ln 2 later: the reason why harmonics separate (Novak 2015)."""
    rate_hz = 48000.0
    sweep = Sweep(20.0, 20000.0, synchronised_sweep(20.0, 20000.0, 5.0).rate_s, 0.0, 0.0)
    time_s = np.arange(round(2.0 * rate_hz)) / rate_hz
    doubled = np.sin(2 * 2 * np.pi * sweep.low_hz * sweep.rate_s * np.expm1(time_s / sweep.rate_s))
    lead_s = harmonic_lead_s(sweep, 2)
    later = np.sin(2 * np.pi * sweep.low_hz * sweep.rate_s * np.expm1((time_s + lead_s) / sweep.rate_s))
    assert np.max(np.abs(doubled - later)) < 1e-6


def test_samples_pass_each_frequency_when_they_should():
    """The count of cycles up to a moment is the integral of f1 e^(t/L)."""
    rate_hz, sweep = 48000.0, synchronised_sweep()
    samples = sweep_signal(sweep, rate_hz)
    moment_s = passing_time_s(sweep, 1000.0)
    around = samples[round((moment_s - 0.05) * rate_hz) : round((moment_s + 0.05) * rate_hz)]
    spectrum = np.abs(np.fft.rfft(around * np.hanning(len(around)), 1 << 18))
    assert np.argmax(spectrum) * rate_hz / (1 << 18) == pytest.approx(1000.0, rel=0.02)
    assert np.max(np.abs(samples)) <= 1.0
    assert samples[0] == 0.0
    assert abs(samples[-1]) < 1e-3


def test_a_fast_clock_takes_more_samples_of_the_same_sweep():
    sweep = synchronised_sweep()
    slow, fast = sweep_signal(sweep, 48000.0), sweep_signal(sweep, 48000.0 * 1.0001)
    assert len(fast) - len(slow) == pytest.approx(1e-4 * len(slow), abs=1.0)


@pytest.mark.parametrize(("low_hz", "high_hz", "duration_s"), [(0, 100, 1), (200, 100, 1), (10, 100, 0.05)])
def test_impossible_sweeps_are_refused_in_words(low_hz, high_hz, duration_s):
    with pytest.raises(SweepRangeError, match=r"needs 0 < low < high .* Change the limits or the length"):
        synchronised_sweep(low_hz, high_hz, duration_s)
