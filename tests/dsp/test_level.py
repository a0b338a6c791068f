"""Levels: energy of a known response, the noise taken out, smoothing that keeps a flat line flat."""

import numpy as np
import pytest

from seatfield.dsp.bands import Band, band, bands
from seatfield.dsp.impulse import ImpulseResponse
from seatfield.dsp.level import band_levels, log_axis, response_curve, smoothed, transfer_at

MIDDLE = Band(1000.0, 500.0, 2000.0)


def test_a_pulse_of_one_reads_zero_decibels_in_every_band(lab):
    levels = band_levels(lab.pulse(0.01), bands(63, 8000, 3), 0.01)
    assert [one.level_db for one in levels] == pytest.approx([0.0] * len(levels), abs=0.01)


def test_half_the_gain_is_six_decibels_less(lab):
    half = lab.pulse(0.01)
    (level,) = band_levels(ImpulseResponse(0.5 * half.samples, 48000, half.start_s), (MIDDLE,), 0.01)
    assert level.level_db == pytest.approx(-6.0206, abs=0.01)


@pytest.mark.parametrize(("snr_db", "limit_db"), [(20.0, 0.05), (0.0, 0.1), (-10.0, 0.3)])
def test_noise_is_taken_out_of_a_level(lab, snr_db, limit_db):
    """500 Hz to 2 kHz in rooms of a general library, against the response without noise."""
    errors_db = []
    for room in lab.ordinary:
        path, clean, _ = room
        noisy, truth = (
            band_levels(one, (MIDDLE,), path.flight_s)[0] for one in (lab.at_snr(room, snr_db), clean)
        )
        errors_db.append(noisy.level_db - truth.level_db)
    assert np.percentile(np.abs(errors_db), 90) < limit_db


def test_a_level_under_the_noise_is_refused():
    noise = np.random.default_rng(6).normal(size=96000)
    (level,) = band_levels(ImpulseResponse(noise, 48000, -0.1), (band(1000),), 0.0)
    assert level.level_db is None
    assert level.snr_db <= 0.0


def test_a_flat_response_is_a_flat_curve(lab):
    curve = response_curve(lab.pulse(0.01), 0.01, log_axis(50.0, 9000.0))
    assert np.max(np.abs(curve.level_db)) < 0.02
    with pytest.raises(ValueError, match="read-only"):
        curve.level_db[0] = 0.0


def test_smoothing_keeps_a_constant_and_spreads_a_line():
    freq_hz = log_axis(20.0, 20000.0, 48)
    assert smoothed(freq_hz, np.ones_like(freq_hz), 3) == pytest.approx(1.0)
    spike = np.zeros_like(freq_hz)
    spike[200] = 1.0
    spread = smoothed(freq_hz, spike, 3)
    assert np.count_nonzero(spread > 1e-3 * spread.max()) == pytest.approx(48 / 3, abs=2)


def test_transfer_of_a_delay_turns_with_frequency(lab):
    """e^(-2πift) for a pulse at t."""
    freq_hz = np.array([40.0, 80.0, 150.0])
    gain = transfer_at(lab.pulse(0.012), freq_hz, -0.02, 0.5)
    assert gain == pytest.approx(np.exp(-2j * np.pi * freq_hz * 0.012), abs=1e-3)
