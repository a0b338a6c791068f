"""Crossovers against Linkwitz (JAES 24, 1976), Butterworth's definition and scipy."""

import numpy as np
import pytest
from scipy import signal

from seatfield.dsp.biquad import biquad_response
from seatfield.dsp.crossover import CrossoverOrderError, crossover, crossover_response, pole_qualities


def db(value):
    return 20 * np.log10(np.abs(value))


def test_levels_of_a_fourth_order_pair_at_80_hertz():
    """Linkwitz-Riley 4 at 80 Hz: -6.02 dB at the corner, -0.527 and -24.61 dB an octave off, worked by hand."""
    low = db(crossover_response("low", "linkwitz-riley", 4, 80.0, np.array([40.0, 80.0, 160.0])))
    high = db(crossover_response("high", "linkwitz-riley", 4, 80.0, np.array([40.0, 80.0, 160.0])))
    assert low == pytest.approx([-0.527, -6.021, -24.61], abs=5e-3)
    assert high == pytest.approx(low[::-1], abs=1e-9)


def test_a_fourth_order_pair_sums_flat_and_nulls_when_one_side_is_inverted():
    freq_hz = np.geomspace(10, 1000, 400)
    low, high = (crossover_response(side, "linkwitz-riley", 4, 80.0, freq_hz) for side in ("low", "high"))
    assert np.abs(low + high) == pytest.approx(1.0, abs=1e-12)
    corner = np.array([80.0])
    pair = [crossover_response(side, "linkwitz-riley", 4, 80.0, corner)[0] for side in ("low", "high")]
    assert abs(pair[0] - pair[1]) < 1e-12
    assert np.angle(pair[0] + pair[1]) == pytest.approx(np.pi, abs=1e-9) or np.angle(
        pair[0] + pair[1]
    ) == pytest.approx(-np.pi, abs=1e-9)


@pytest.mark.parametrize(("delay_ms", "loss_db"), [(1.0, -0.28), (2.0, -1.15), (3.125, -3.01)])
def test_loss_of_a_late_side_at_the_corner(delay_ms, loss_db):
    """Two equal sides ω t apart: 20 lg cos(ω t / 2) at 80 Hz; 6.25 ms is a null."""
    pair = [
        crossover_response(side, "linkwitz-riley", 4, 80.0, np.array([80.0]))[0] for side in ("low", "high")
    ]
    late = pair[1] * np.exp(-2j * np.pi * 80.0 * delay_ms * 1e-3)
    assert db(pair[0] + late) == pytest.approx(loss_db, abs=5e-3)
    assert abs(pair[0] + pair[1] * np.exp(-2j * np.pi * 80.0 * 6.25e-3)) < 1e-12


@pytest.mark.parametrize("side", ["low", "high"])
@pytest.mark.parametrize("order", [1, 2, 3, 4, 5, 8])
def test_butterworth_of_any_order_equals_scipys(side, order):
    freq_hz = np.geomspace(10, 2000, 60)
    _, truth = signal.freqs(*signal.butter(order, 2 * np.pi * 80.0, side, analog=True), 2 * np.pi * freq_hz)
    assert crossover_response(side, "butterworth", order, 80.0, freq_hz) == pytest.approx(truth, rel=1e-6)
    sections = crossover(side, "butterworth", order, 80.0, 48000.0)
    _, digital = signal.sosfreqz(
        signal.butter(order, 80.0, side, fs=48000.0, output="sos"), freq_hz, fs=48000.0
    )
    assert biquad_response(sections, freq_hz, 48000.0) == pytest.approx(digital, rel=1e-5, abs=1e-9)


@pytest.mark.parametrize("order", [2, 4, 6, 8])
def test_linkwitz_riley_is_a_butterworth_of_half_the_order_twice(order):
    freq_hz = np.geomspace(10, 2000, 60)
    once = crossover_response("low", "butterworth", order // 2, 80.0, freq_hz)
    assert crossover_response("low", "linkwitz-riley", order, 80.0, freq_hz) == pytest.approx(
        once**2, rel=1e-12
    )
    assert len([q for q in pole_qualities("linkwitz-riley", order) if q is not None]) == order // 2


@pytest.mark.parametrize(("family", "order"), [("linkwitz-riley", 3), ("butterworth", 0)])
def test_orders_that_do_not_exist_are_refused_in_words(family, order):
    with pytest.raises(CrossoverOrderError, match=r"Change the order or the family"):
        pole_qualities(family, order)
