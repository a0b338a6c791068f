"""Metres beside mains: closed forms, and no matter how a way is parted."""

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatfield.stages.cable.mains import beside_m
from seatfield.stages.cable.surfaces import Stretch

MAINS = ((1.0, 0.0, 0.2), (3.0, 0.0, 0.2))


def test_a_parallel_run_counts_its_length_and_what_reaches_past_the_ends():
    # 0.2 m above the run, the reach of 0.3 m spans √(0.3² − 0.2²) = 0.2236 m past either end.
    beside = beside_m(Stretch((0, 0, 0), (5, 0, 0)), *MAINS)
    assert beside == pytest.approx(2 + 2 * sqrt(0.3**2 - 0.2**2))


def test_direction_does_not_matter():
    there, back = Stretch((0, 0, 0), (5, 0, 0)), Stretch((5, 0, 0), (0, 0, 0))
    assert beside_m(there, *MAINS) == pytest.approx(beside_m(back, *MAINS))
    assert beside_m(there, *MAINS) == pytest.approx(beside_m(there, *MAINS[::-1]))


def test_a_square_crossing_counts_for_nothing():
    assert beside_m(Stretch((2, -1, 0.2), (2, 1, 0.2)), *MAINS) == 0


def test_out_of_reach_counts_for_nothing():
    assert beside_m(Stretch((0, 0.31, 0.2), (5, 0.31, 0.2)), *MAINS) == 0


def test_a_slanting_run_counts_while_it_is_near():
    # A slope of 0.1: |y| ≤ 0.3 for 3 m either side of the middle, √1.01 longer along the run; the cable ends first.
    run = Stretch((0, -0.2, 0.2), (4, 0.2, 0.2))
    sampled = 0
    steps = 40_000
    for k in range(steps):
        share = (k + 0.5) / steps
        x, y = 4 * share, -0.2 + 0.4 * share
        gap = max(1 - x, 0, x - 3)
        sampled += gap**2 + y**2 <= 0.3**2
    assert beside_m(run, *MAINS) == pytest.approx(sampled / steps * run.length_m, abs=1e-3)


@given(st.floats(0.05, 0.95), st.floats(-0.3, 0.3), st.floats(-0.3, 0.3))
def test_parting_a_stretch_changes_nothing(share, low, high):
    start, end = (0.2, low, 0.0), (4.1, high, 0.1)
    middle = tuple(p + share * (q - p) for p, q in zip(start, end, strict=True))
    parted = beside_m(Stretch(start, middle), *MAINS) + beside_m(Stretch(middle, end), *MAINS)
    assert parted == pytest.approx(beside_m(Stretch(start, end), *MAINS), abs=1e-9)
