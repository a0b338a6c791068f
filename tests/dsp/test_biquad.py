"""Filters against the cookbook's worked values and scipy's transfer functions."""

import numpy as np
import pytest
from scipy import signal

from seatfield.dsp.biquad import (
    Filter,
    FilterLimitsError,
    biquad,
    biquad_response,
    filtered,
    sections_array,
)

SHAPES = ["peak", "low-shelf", "high-shelf", "low-pass", "high-pass", "all-pass"]


@pytest.mark.parametrize(
    ("one", "b", "a"),
    [
        (
            Filter("peak", 1000.0, 1.0, 6.0),
            (1.0439530870, -1.8953207239, 0.8677222848),
            (-1.8953207239, 0.9116753718),
        ),
        (
            Filter("peak", 50.0, 5.0, -8.0),
            (0.9993763019, -1.9978847520, 0.9985512424),
            (-1.9978847520, 0.9979275442),
        ),
        (
            Filter("low-pass", 80.0, 0.5**0.5),
            (2.72138080e-5, 5.44276160e-5, 2.72138080e-5),
            (-1.9851906579, 0.9852995131),
        ),
    ],
)
def test_coefficients_at_48_kilohertz(one, b, a):
    """Worked by hand from the cookbook's formulas (W3C Note, 2021)."""
    found = biquad(one, 48000.0)
    assert (found.b0, found.b1, found.b2) == pytest.approx(b, abs=6e-11)
    assert (found.a1, found.a2) == pytest.approx(a, abs=6e-11)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("freq_hz", [20.0, 350.0, 9000.0])
def test_response_equals_the_formula_of_the_analogue_prototype(shape, freq_hz):
    """Cookbook: H(s) at s = j tan(w/2) / tan(w0/2), the bilinear transform; to 1e-9."""
    q, gain_db, rate_hz = 1.7, 4.5, 48000.0
    A = 10 ** (gain_db / 40)
    f = np.geomspace(10.0, 20000.0, 200)
    s = 1j * np.tan(np.pi * f / rate_hz) / np.tan(np.pi * freq_hz / rate_hz)
    root = np.sqrt(A)
    truth = {
        "peak": (s**2 + s * A / q + 1) / (s**2 + s / (A * q) + 1),
        "low-shelf": A * (s**2 + root / q * s + A) / (A * s**2 + root / q * s + 1),
        "high-shelf": A * (A * s**2 + root / q * s + 1) / (s**2 + root / q * s + A),
        "low-pass": 1 / (s**2 + s / q + 1),
        "high-pass": s**2 / (s**2 + s / q + 1),
        "all-pass": (s**2 - s / q + 1) / (s**2 + s / q + 1),
    }[shape]
    found = biquad_response((biquad(Filter(shape, freq_hz, q, gain_db), rate_hz),), f, rate_hz)
    assert np.max(np.abs(found - truth) / np.abs(truth)) < 1e-9


def test_response_agrees_with_scipy_and_with_samples():
    sections = tuple(
        biquad(one, 48000.0) for one in (Filter("peak", 60.0, 4.0, -7.0), Filter("high-pass", 30.0, 0.7))
    )
    freq_hz = np.geomspace(15.0, 20000.0, 300)
    _, truth = signal.sosfreqz(sections_array(sections), freq_hz, fs=48000.0)
    assert np.max(np.abs(biquad_response(sections, freq_hz, 48000.0) / truth - 1.0)) < 1e-6
    impulse = np.zeros(96000)
    impulse[0] = 1.0
    heard = np.fft.rfft(filtered(sections, impulse))[::200]
    bins_hz = np.fft.rfftfreq(96000, 1 / 48000)[::200]
    assert heard[1:] == pytest.approx(biquad_response(sections, bins_hz[1:], 48000.0), abs=1e-9)


def test_boost_and_cut_of_one_q_cancel():
    """Cookbook: the peaking filter's Q is such that equal boost and cut are each other's inverse."""
    pair = tuple(biquad(Filter("peak", 100.0, 3.0, gain_db), 48000.0) for gain_db in (5.0, -5.0))
    assert np.abs(biquad_response(pair, np.geomspace(20, 20000, 100), 48000.0)) == pytest.approx(
        1.0, abs=1e-9
    )


def test_an_all_pass_passes_everything():
    one = (biquad(Filter("all-pass", 80.0, 0.7), 48000.0),)
    assert np.abs(biquad_response(one, np.geomspace(20, 20000, 100), 48000.0)) == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize(("freq_hz", "q"), [(0.0, 1.0), (24000.0, 1.0), (100.0, 0.0)])
def test_impossible_filters_are_refused_in_words(freq_hz, q):
    with pytest.raises(FilterLimitsError, match="between 0 and half the rate and Q above 0"):
        biquad(Filter("peak", freq_hz, q, 1.0), 48000.0)
