"""Tape readings adjusted by least squares, held against exact rooms and the algebra of adjustment."""

from math import dist

import numpy as np
import pytest

from seatfield.geometry.adjustment import adjust
from seatfield.geometry.polygon import area

BAKERY = ((0.0, 0.0), (5.4, 0.0), (5.4, 3.4), (3.6, 3.4), (3.6, 4.8), (0.0, 4.8))
BAY = ((0.0, 0.0), (5.0, 0.0), (6.0, 2.0), (5.0, 4.0), (0.0, 4.0))
SKEW = ((0.0, 0.0), (5.1, 0.0), (4.7, 3.9), (0.2, 4.2))


def read(room, diagonals, errors=()):
    walls = [dist(a, b) for a, b in zip(room, (*room[1:], room[0]), strict=True)]
    across = [dist(room[i], room[j]) for i, j in diagonals]
    readings = [*walls, *across]
    for number, error in errors:
        readings[number] += error
    return tuple(readings[: len(walls)]), tuple(zip(diagonals, readings[len(walls) :], strict=True))


@pytest.mark.parametrize(
    ("room", "diagonals"),
    [
        (BAKERY, ((0, 2), (0, 3), (3, 5), (1, 3), (1, 5))),
        (BAKERY, ((0, 2), (0, 3), (3, 5))),
        (BAY, ((0, 2), (0, 3))),
        (SKEW, ((0, 2), (1, 3))),
        (SKEW, ((1, 3),)),
    ],
)
def test_exact_readings_give_back_the_room(room, diagonals):
    found = adjust(*read(room, diagonals), 0.01)
    for corner, expected in zip(found.outline, room, strict=True):
        assert corner == pytest.approx(expected, abs=1e-6)
    assert max(map(abs, found.corrections_m)) < 1e-7
    assert found.redundancy == len(room) + len(diagonals) - (2 * len(room) - 3)


def test_corrections_are_square_to_every_change_of_the_outline():
    """At the least squares the corrections obey the normal equations: Aᵀv = 0."""
    walls, diagonals = read(SKEW, ((0, 2), (1, 3)), [(0, 0.04), (2, -0.03), (5, 0.02)])
    found = adjust(walls, diagonals, 0.01)
    readings = np.array([*walls, *(length for _, length in diagonals)])
    pairs = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)]
    corners = np.array(found.outline)

    def misfit(points):
        return sum(
            (np.hypot(*(points[j] - points[i])) - r) ** 2 for (i, j), r in zip(pairs, readings, strict=True)
        )

    best = misfit(corners)
    for corner, axis, step in np.ndindex(4, 2, 2):
        moved = corners.copy()
        moved[corner, axis] += 1e-3 * (1 if step else -1)
        assert misfit(moved) > best


def test_a_gross_error_is_traced_to_its_reading():
    """With two checks or more the largest standardised correction names the bad reading (Baarda 1968)."""
    diagonals = ((0, 2), (0, 3), (3, 5), (1, 3), (1, 5), (0, 4), (2, 5))
    for bad in (0, 1, 4, 7):
        found = adjust(*read(BAKERY, diagonals, [(bad, 0.25)]), 0.01)
        assert int(np.argmax(found.standardised)) == bad


def test_too_few_diagonals_take_corners_to_be_square_and_say_so():
    found = adjust(*read(BAKERY, ()), 0.01)
    assert found.squared
    assert found.redundancy == 0
    assert area(found.outline) == pytest.approx(area(BAKERY))
    assert not adjust(*read(SKEW, ((0, 2),)), 0.01).squared


@pytest.mark.parametrize(
    ("walls", "diagonals"),
    [
        ((9.0, 1.0, 1.0), ()),
        ((1.0, 2.0), ()),
        ((3.0, float("nan"), 4.0), ()),
        ((3.0, 4.0, 3.0, 4.0), (((1, 1), 2.0),)),
    ],
)
def test_readings_that_make_no_room_give_none(walls, diagonals):
    assert adjust(walls, diagonals, 0.01) is None
