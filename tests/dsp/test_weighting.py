"""Weightings against IEC 61672-1:2013, Table 3, and ITU-R BS.1770."""

import numpy as np
import pytest

from seatfield.dsp.biquad import biquad_response
from seatfield.dsp.weighting import a_weighting_db, c_weighting_db, k_weighted_level_db, loudness_weighting

A_TABLE = {
    20: -50.5, 31.5: -39.4, 63: -26.2, 100: -19.1, 125: -16.1, 250: -8.6, 500: -3.2, 1000: 0.0, 2000: 1.2,
    2500: 1.3, 4000: 1.0, 8000: -1.1, 16000: -6.6,
}  # fmt: skip
C_TABLE = {20: -6.2, 31.5: -3.0, 63: -0.8, 125: -0.2, 1000: 0.0, 4000: -0.8, 8000: -3.0, 16000: -8.5}


def exact_hz(nominal_hz):
    return 1000 * 10 ** (round(10 * np.log10(nominal_hz / 1000)) / 10)


@pytest.mark.parametrize(("weighting", "table"), [(a_weighting_db, A_TABLE), (c_weighting_db, C_TABLE)])
def test_table_of_the_standard(weighting, table):
    """IEC 61672-1:2013, Table 3, printed to a tenth of a decibel at nominal names of exact base-ten frequencies."""
    for nominal_hz, level_db in table.items():
        assert float(weighting(np.array([exact_hz(nominal_hz)]))[0]) == pytest.approx(level_db, abs=0.0501)


def test_second_decimals_at_31_5_hertz():
    """-39.44 and -3.01 dB at exactly 31.623 Hz, worked by hand."""
    f = np.array([31.6228])
    assert (a_weighting_db(f)[0], c_weighting_db(f)[0]) == pytest.approx((-39.44, -3.01), abs=0.01)


def test_a_full_scale_sine_of_997_hertz_in_front_reads_minus_3_01():
    """ITU-R BS.1770-5, Annex 1: a 0 dBFS sine at 997 Hz in left, centre or right indicates -3.01 LKFS."""
    time_s = np.arange(5 * 48000) / 48000
    channels = np.zeros((len(time_s), 3))
    channels[:, 2] = np.sin(2 * np.pi * 997.0 * time_s)
    assert k_weighted_level_db(channels, (1.0, 1.0, 1.0)) == pytest.approx(-3.01, abs=0.01)


def test_k_weighting_lifts_the_treble_and_drops_the_deep_bass():
    gains_db = 20 * np.log10(
        np.abs(biquad_response(loudness_weighting(), np.array([20.0, 997.0, 15000.0]), 48000.0))
    )
    assert gains_db[1] == pytest.approx(0.691, abs=0.01)
    assert gains_db[2] == pytest.approx(4.0, abs=0.2)
    assert gains_db[0] < -10.0
