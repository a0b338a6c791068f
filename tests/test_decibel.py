"""Decibels, held against sums that every acoustics primer prints."""

from math import inf

import pytest

from seatfield.decibel import (
    amplitude_db,
    amplitude_ratio,
    coherent_sum_db,
    distance_loss_db,
    power_db,
    power_ratio,
    sum_db,
)


def test_two_equal_sounds_add_3_db_apart_and_6_db_in_step():
    assert sum_db([80, 80]) == pytest.approx(83.01, abs=0.005)
    assert coherent_sum_db([80, 80]) == pytest.approx(86.02, abs=0.005)


def test_four_subwoofers_add_12_db_in_step_and_6_db_apart():
    assert coherent_sum_db([0] * 4) == pytest.approx(12.04, abs=0.005)
    assert sum_db([0] * 4) == pytest.approx(6.02, abs=0.005)


def test_doubling_the_distance_costs_6_db():
    assert distance_loss_db(2) == pytest.approx(6.02, abs=0.005)
    assert distance_loss_db(3, 3) == 0


def test_levels_and_ratios_turn_into_each_other():
    for level in (-40.0, -3.0, 0.0, 12.5):
        assert power_db(power_ratio(level)) == pytest.approx(level)
        assert amplitude_db(amplitude_ratio(level)) == pytest.approx(level)


def test_nothing_is_minus_infinity():
    assert power_db(0) == -inf
    assert sum_db([]) == -inf
