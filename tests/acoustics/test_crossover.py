"""Filters and boxes against published points and a general library."""

import numpy as np
import pytest
from scipy import signal

from seatfield.acoustics import alignment_start, butterworth, linkwitz_riley, sealed_response, vented_response


def level(response):
    """Return levels [dB]."""
    return 20 * np.log10(np.abs(response))


@pytest.mark.parametrize("order", [1, 2, 3, 4, 6])
@pytest.mark.parametrize("side", ["low", "high"])
def test_butterworth_filters_are_those_of_a_general_library(order, side):
    """scipy's analogue prototypes have the same complex response."""
    freq = np.geomspace(10, 500, 40)
    _, theirs = signal.freqs(*signal.butter(order, 80, btype=side, analog=True), worN=freq)
    np.testing.assert_allclose(butterworth(freq, 80, order, side), theirs, rtol=1e-9)


def test_linkwitz_riley_has_its_published_points():
    """Fourth order at 80 Hz: each side 6.02 dB down in phase, a flat sum, −0.527 and −24.61 dB at 40 Hz (Linkwitz, J.
    Audio Eng. Soc. 24 (1976) 2, recomputed)."""
    low, high = (linkwitz_riley(np.array([40.0, 80.0, 160.0]), 80, 4, side) for side in ("low", "high"))
    np.testing.assert_allclose(level(low), [-0.527, -6.021, -24.61], atol=0.005)
    np.testing.assert_allclose(level(high), [-24.61, -6.021, -0.527], atol=0.005)
    np.testing.assert_allclose(np.abs(low + high), 1.0, rtol=1e-12)
    assert np.angle(low[1] / high[1]) == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(("delay_s", "expected_db"), [(0.001, -0.28), (0.002, -1.15), (0.003125, -3.01)])
def test_a_late_side_lowers_the_sum_at_the_crossover(delay_s, expected_db):
    """1, 2 and 3.125 ms late at 80 Hz: −0.28, −1.15, −3.01 dB, and a null at 6.25 ms (recomputed)."""
    freq = np.array([80.0])
    low, high = (linkwitz_riley(freq, 80, 4, side) for side in ("low", "high"))
    assert level(low + high * np.exp(-2j * np.pi * freq * delay_s))[0] == pytest.approx(
        expected_db, abs=0.005
    )
    assert np.abs(low + high * np.exp(-2j * np.pi * freq * 0.00625))[0] < 1e-12


def test_a_sealed_box_is_that_of_small():
    """fc 43.30 Hz with Q 0.6928 is 3 dB down at 44.21 Hz; Q 1 peaks by 1.249 dB and is 3 dB down at 0.786 fc (Small,
    J. Audio Eng. Soc. 20 (1972), recomputed)."""
    s = 1j * 60.0 / 43.30
    by_hand = s**2 / (s**2 + s / 0.6928 + 1)
    assert sealed_response(60.0, 44.21, 0.6928) == pytest.approx(by_hand, rel=3e-4)
    freq = np.linspace(10, 200, 20000)
    assert level(sealed_response(freq, 30.0, 1.0)).max() == pytest.approx(1.249, abs=0.001)
    for q in (0.5, 0.7071, 1.0):
        assert level(sealed_response(30.0, 30.0, q)) == pytest.approx(-3.01, abs=0.005)


def test_a_vented_box_is_a_fourth_order_butterworth():
    """B4: −3.01 dB at the tuning, −8.43 at 0.8 of it, −0.017 at twice (Small, J. Audio Eng. Soc. 21 (1973),
    recomputed)."""
    np.testing.assert_allclose(
        level(vented_response(np.array([24.0, 30.0, 60.0]), 30.0)), [-8.43, -3.01, -0.017], atol=0.005
    )


def test_alignment_finds_the_delay_that_was_lost():
    """A subwoofer 2.5 ms early and inverted is delayed by 2.5 ms and turned; the sum is then the best there is."""
    freq = np.geomspace(30, 200, 80)
    main = linkwitz_riley(freq, 80, 4, "high")[None]
    sub = -linkwitz_riley(freq, 80, 4, "low")[None] * np.exp(2j * np.pi * freq * 0.0025)
    delay, inverted, gained = alignment_start(main, sub, freq, 80.0)
    assert delay == pytest.approx(0.0025, abs=0.0004)
    assert inverted
    assert gained > 1.5


def test_an_odd_linkwitz_riley_is_refused():
    """Third order is no Linkwitz-Riley filter."""
    with pytest.raises(ValueError, match="its order is even"):
        linkwitz_riley([80.0], 80, 3, "low")
