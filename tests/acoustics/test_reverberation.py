"""Reverberation formulas against worked numbers."""

import numpy as np
import pytest

from seatfield.acoustics import (
    critical_distance,
    eyring_time,
    level_below_power,
    mode_count,
    room_constant,
    sabine_time,
    schroeder_frequency,
)

VOLUME, SURFACE = 50.0, 85.0  # 5 × 4 × 2.5 m


def test_sabine_and_eyring_times_of_a_box():
    """Mean absorption 0.1, 0.2, 0.3, 0.5: 0.947, 0.474, 0.316, 0.189 s and 0.899, 0.424, 0.266, 0.137 s (formulas
    with 0.161, recomputed)."""
    mean = np.array([0.1, 0.2, 0.3, 0.5])
    np.testing.assert_allclose(sabine_time(VOLUME, SURFACE * mean), [0.947, 0.474, 0.316, 0.189], atol=0.0008)
    np.testing.assert_allclose(eyring_time(VOLUME, SURFACE, mean), [0.899, 0.424, 0.266, 0.137], atol=0.0008)


def test_the_constant_is_0_161():
    """24 ln 10 / c is 0.1610 at 343.2 m/s and 0.1611 at 343.0 m/s."""
    assert sabine_time(1.0, 1.0) == pytest.approx(0.1610, abs=5e-5)
    assert sabine_time(1.0, 1.0, speed_of_sound_m_s=343.0) == pytest.approx(0.1611, abs=5e-5)


def test_total_absorption_ends_eyring_and_not_sabine():
    """At absorption 1 Eyring gives zero, Sabine 0.161 V/S (a known limit)."""
    assert eyring_time(VOLUME, SURFACE, 1.0) == 0.0
    assert sabine_time(VOLUME, SURFACE) == pytest.approx(0.161 * VOLUME / SURFACE, rel=1e-3)


def test_air_shortens_the_time_at_high_frequencies():
    """Mean absorption 0.2 at 4 kHz, 20 °C, 50 % (29.4 dB/km, ISO 9613-1): 0.439 s in place of 0.474 s."""
    assert sabine_time(VOLUME, SURFACE * 0.2, air_per_m=0.0294 / 4.343) == pytest.approx(0.439, abs=0.0015)


def test_schroeder_frequency_of_a_small_room():
    """T 0.4 s in 50 m³: 2000 √(T/V) is 178.9 Hz; the exact constant at 343 m/s is 2093."""
    exact = schroeder_frequency(50.0, 0.4, speed_of_sound_m_s=343.0)
    assert exact == pytest.approx(178.9 * 2093 / 2000, rel=1e-3)


def test_room_constant_levels_and_distance():
    """Q 1, r 3 m, A 20 m²: −6.80 dB re power in all, −20.53 dB direct; √(A/16π) of 50 m³ at 0.4 s is 0.633 m."""
    assert level_below_power(3.0, 20.0) == pytest.approx(-6.80, abs=0.005)
    assert level_below_power(3.0, 1e12) == pytest.approx(-20.53, abs=0.005)
    area = 0.161 * VOLUME / 0.4
    assert critical_distance(area) == pytest.approx(0.633, abs=0.001)
    assert room_constant(SURFACE, 0.2) == pytest.approx(21.25)


def test_mode_count_of_a_box():
    """5 × 4 × 2.5 m at 343 m/s: 12.54 to 100 Hz and 67.57 to 200 Hz (Bolt's formula, recomputed)."""
    np.testing.assert_allclose(
        mode_count((5, 4, 2.5), [100, 200], speed_of_sound_m_s=343.0), [12.54, 67.57], atol=0.01
    )
