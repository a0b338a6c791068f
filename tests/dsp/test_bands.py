"""Band edges of IEC 61260-1:2014 (base ten)."""

import itertools

import pytest

from seatfield.dsp.bands import band, bands, nominal_hz


@pytest.mark.parametrize(
    ("nominal_hz", "fraction", "mid_hz", "low_hz", "high_hz"),
    [
        (31.5, 1, 31.623, 22.387, 44.668),
        (63, 1, 63.096, 44.668, 89.125),
        (1000, 1, 1000.0, 707.95, 1412.54),
        (80, 3, 79.433, 70.795, 89.125),
        (125, 3, 125.893, 112.202, 141.254),
        (16000, 3, 15848.93, 14125.4, 17782.8),
    ],
)
def test_exact_frequencies_of_nominal_bands(nominal_hz, fraction, mid_hz, low_hz, high_hz):
    """IEC 61260-1:2014: fm = 1000 G^(k/b) with G = 10^0.3, edges at G^(±1/2b)."""
    one = band(nominal_hz, fraction)
    assert (one.mid_hz, one.low_hz, one.high_hz) == pytest.approx((mid_hz, low_hz, high_hz), rel=2e-5)


@pytest.mark.parametrize(("fraction", "count"), [(1, 10), (3, 28), (6, 56)])
def test_bands_follow_each_other_without_gap(fraction, count):
    row = bands(31.5, 16000, fraction)
    assert len(row) == count
    for left, right in itertools.pairwise(row):
        assert left.high_hz == pytest.approx(right.low_hz, rel=1e-12)


def test_even_fractions_have_their_middles_beside_a_kilohertz():
    """IEC 61260-1:2014, formula for even b: fm = 1000 G^((2k + 1) / 2b)."""
    assert band(1000, 2).mid_hz == pytest.approx(1000 * 10 ** (0.3 / 4), rel=1e-9) or band(
        1000, 2
    ).mid_hz == pytest.approx(1000 * 10 ** (-0.3 / 4), rel=1e-9)


def test_bands_are_known_by_the_preferred_frequencies():
    """ISO 266:1997, third octaves from 20 Hz to 20 kHz (from memory)."""
    preferred = [
        20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500,
        3150, 4000, 5000, 6300, 8000, 10000, 12500, 16000, 20000,
    ]  # fmt: skip
    assert [nominal_hz(one.mid_hz) for one in bands(20, 20000, 3)] == pytest.approx(preferred)
