"""Equaliser: planted peaks found, caps hard, nulls left alone, seats that were not fitted judged; exports."""

import numpy as np
import pytest
from scipy import signal

from seatfield.dsp.biquad import Filter, biquad, sections_array
from seatfield.dsp.equalise import EqualiserLimits, Steps, equalise, filters_db, in_steps, sloped_target_db
from seatfield.dsp.fir import minimum_phase_fir, sections_fir
from seatfield.dsp.level import log_axis

AXIS_HZ = log_axis(20.0, 500.0, 48)
FLAT = np.zeros_like(AXIS_HZ)


def test_a_planted_peak_is_taken_out():
    """The inverse of a peaking filter is the same filter with the gain's sign turned (cookbook)."""
    planted = (Filter("peak", 60.0, 4.0, 8.0),)
    found = equalise(AXIS_HZ, filters_db(planted, AXIS_HZ, 48000.0)[None], FLAT, EqualiserLimits(fraction=48))
    first = max(found.filters, key=lambda one: abs(one.gain_db))
    assert first.freq_hz == pytest.approx(60.0, rel=0.01)
    assert first.gain_db == pytest.approx(-8.0, abs=0.6)
    assert found.deviation_after_db < 0.15


@pytest.mark.parametrize("seed", [20260811, 20260812, 20260813])
def test_three_planted_peaks_leave_little(seed):
    rng = np.random.default_rng(seed)
    planted = tuple(
        Filter("peak", float(freq_hz), float(rng.uniform(2, 6)), float(rng.uniform(4, 9)))
        for freq_hz in (rng.uniform(30, 45), rng.uniform(60, 100), rng.uniform(140, 240))
    )
    found = equalise(AXIS_HZ, filters_db(planted, AXIS_HZ, 48000.0)[None], FLAT, EqualiserLimits(fraction=48))
    assert len(found.filters) <= 5
    assert found.deviation_after_db < 0.25 * found.deviation_before_db


def rooms_levels(rng, seats):
    """Bass at several seats: peaks that all share, ripple of their own, and a null here and there."""
    shared = sum(
        filters_db((Filter("peak", float(f), float(rng.uniform(2, 8)), float(g)),), AXIS_HZ, 48000.0)
        for f, g in zip(rng.uniform(28, 280, 6), rng.uniform(-14, 9, 6), strict=True)
    )
    own = [
        sum(
            filters_db((Filter("peak", float(f), 5.0, float(g)),), AXIS_HZ, 48000.0)
            for f, g in zip(rng.uniform(30, 400, 6), rng.normal(0, 4, 6), strict=True)
        )
        for _ in range(seats)
    ]
    return np.array([shared + one for one in own])


@pytest.mark.parametrize("seed", range(20260821, 20260829))
def test_caps_are_hard_and_nulls_are_not_filled(seed):
    rng = np.random.default_rng(seed)
    levels_db, limits = rooms_levels(rng, 4), EqualiserLimits(boost_db=3.0, cut_db=9.0)
    found = equalise(AXIS_HZ, levels_db, FLAT, limits)
    fine_hz = np.geomspace(5, 20000, 4000)
    assert np.max(filters_db(found.filters, fine_hz, 48000.0)) <= 3.0 + 1e-3
    assert all(-9.0 <= one.gain_db <= 3.0 for one in found.filters)
    assert all(25.0 <= one.freq_hz <= 300.0 for one in found.filters)
    assert len(found.filters) <= 5
    assert found.deviation_after_db <= found.deviation_before_db


def test_a_narrow_null_gets_no_boost():
    null_db = filters_db((Filter("peak", 80.0, 3.0, -18.0),), AXIS_HZ, 48000.0)
    found = equalise(AXIS_HZ, null_db[None], FLAT, EqualiserLimits(boost_db=6.0))
    assert np.max(filters_db(found.filters, np.array([80.0]), 48000.0), initial=0.0) <= 0.5


def test_seats_that_were_not_fitted_gain_too():
    """Fitted on four positions of pyroomacoustics rooms, judged on four others; the median room gains."""
    rng = np.random.default_rng(20260831)
    gains_db = []
    for _ in range(5):
        levels_db = _pra_levels(rng, 8)
        limits = EqualiserLimits()
        found = equalise(AXIS_HZ, levels_db[:4], FLAT, limits)
        inside = (limits.low_hz <= AXIS_HZ) & (limits.high_hz >= AXIS_HZ)
        before, after = (
            np.mean(np.std((levels_db[4:] + gain)[:, inside], axis=1)) for gain in (0.0, found.gain_db)
        )
        gains_db.append(before - after)
    assert np.median(gains_db) > 0.2
    assert np.min(gains_db) > -0.3


def _pra_levels(rng, seats):
    import pyroomacoustics as pra

    size_m = rng.uniform([3.5, 3.0, 2.3], [5.5, 4.5, 2.7])
    room = pra.ShoeBox(size_m, fs=2000, materials=pra.Material(0.2), max_order=20)
    room.add_source([0.3, 0.3, 0.3])
    middle = np.array([0.5 * size_m[0], 0.65 * size_m[1], 1.1])
    room.add_microphone_array((middle + rng.uniform(-0.4, 0.4, (seats, 3)) * [1, 1, 0.3]).T)
    room.compute_rir()
    rows = []
    for seat in range(seats):
        impulse = room.rir[seat][0]
        spectrum = np.fft.rfft(impulse, 4000)
        power = np.interp(AXIS_HZ, np.fft.rfftfreq(4000, 1 / 2000), np.abs(spectrum) ** 2)
        rows.append(10 * np.log10(power))
    return np.array(rows)


def test_a_flat_response_is_left_alone():
    assert equalise(AXIS_HZ, FLAT[None] - 7.0, FLAT, EqualiserLimits()).filters == ()


def test_a_sloped_target_is_followed():
    target_db = sloped_target_db(AXIS_HZ, -1.5, 100.0)
    assert target_db[0] - target_db[48] == pytest.approx(1.5)
    assert equalise(AXIS_HZ, target_db[None], target_db, EqualiserLimits()).filters == ()


def test_prediction_is_level_plus_gain_and_verifies_through_the_filters():
    """Predicted and verified within 0.5 dB: the filters' impulse response, transformed by numpy."""
    rng = np.random.default_rng(20260832)
    found = equalise(AXIS_HZ, rooms_levels(rng, 3), FLAT, EqualiserLimits())
    fir = sections_fir(tuple(biquad(one, 48000.0) for one in found.filters), 96000)
    spectrum = np.fft.rfft(fir)
    verified_db = np.interp(AXIS_HZ, np.fft.rfftfreq(96000, 1 / 48000), 20 * np.log10(np.abs(spectrum)))
    assert verified_db == pytest.approx(found.gain_db, abs=0.02)


def test_steps_round_boosts_down_and_keep_the_cap():
    filters = (
        Filter("peak", 61.3, 3.37, 2.9),
        Filter("peak", 66.0, 2.2, 0.9),
        Filter("peak", 120.0, 4.4, -5.3),
    )
    typed = in_steps(filters, Steps((63.0, 125.0), (2.0, 3.0, 4.0), 0.5), EqualiserLimits(boost_db=3.0))
    assert {one.freq_hz for one in typed} <= {63.0, 125.0}
    assert all(one.gain_db % 0.5 == 0.0 for one in typed)
    assert np.max(filters_db(typed, np.geomspace(20, 500, 2000), 48000.0)) <= 3.0
    assert typed[-1] == Filter("peak", 125.0, 4.0, -5.5)


def test_minimum_phase_of_a_filters_gain_is_the_filter():
    """A cascade of such filters is of minimum phase itself, so the cepstral filter must equal its impulse response."""
    sections = tuple(
        biquad(one, 48000.0) for one in (Filter("peak", 400.0, 2.0, -6.0), Filter("peak", 2000.0, 1.0, 3.0))
    )
    freq_hz = np.linspace(1.0, 24000.0, 20000)
    _, truth = signal.sosfreqz(sections_array(sections), freq_hz, fs=48000.0)
    found = minimum_phase_fir(freq_hz, 20 * np.log10(np.abs(truth)), 4096, 48000.0)
    assert found[:2000] == pytest.approx(sections_fir(sections, 2000), abs=2e-4)
