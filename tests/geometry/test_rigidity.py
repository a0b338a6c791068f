"""Which lengths fix an outline (Laman 1970) and what share of a slip its correction shows (Baarda 1968)."""

from itertools import combinations

import pytest

from seatfield.geometry.adjustment import adjust
from seatfield.geometry.rigidity import best_check, fixed, missing, redundancy_numbers

SQUARE = ((0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0))


def ring(count):
    return tuple((i, (i + 1) % count) for i in range(count))


@pytest.mark.parametrize("count", [3, 4, 5, 6, 9])
def test_a_polygon_lacks_three_diagonals_fewer_than_it_has_corners(count):
    assert len(missing(count, ring(count))) == count - 3
    assert fixed(count, (*ring(count), *missing(count, ring(count))))
    assert fixed(count, ring(count)) is (count == 3)


def test_as_many_lengths_as_needed_fix_nothing_where_they_say_the_same():
    """Six lengths among four of six corners are one too many there and one too few elsewhere (Laman 1970)."""
    twice_braced = (*ring(6), (0, 2), (1, 3), (0, 3))
    assert len(twice_braced) == 2 * 6 - 3
    assert not fixed(6, twice_braced)
    assert len(missing(6, twice_braced)) == 1


def test_redundancy_numbers_add_up_to_the_readings_beyond_need():
    """The trace of the residual projector is the redundancy (Baarda 1968)."""
    pairs = (*ring(4), (0, 2), (1, 3))
    numbers = redundancy_numbers(SQUARE, pairs)
    assert sum(numbers) == pytest.approx(1)
    # By symmetry and the one condition: sides weigh 1/8 each, diagonals, √2 times as long, 1/4 each.
    assert numbers == pytest.approx([1 / 8] * 4 + [1 / 4] * 2)


def test_the_diagonal_that_checks_most_is_the_best_of_all_that_were_not_read():
    outline = ((0.0, 0.0), (5.4, 0.0), (5.4, 3.4), (3.6, 3.4), (3.6, 4.8), (0.0, 4.8))
    pairs = (*ring(6), (0, 2), (0, 3), (3, 5))
    blind = tuple(range(len(pairs)))
    pair, gained = best_check(outline, pairs, blind, 0.04)
    others = {
        other: sum(number >= 0.04 for number in redundancy_numbers(outline, (*pairs, other))[: len(pairs)])
        for other in combinations(range(6), 2)
        if other not in pairs and other[::-1] not in pairs
    }
    assert gained == max(others.values()) == others[pair]


def test_contradictory_readings_that_flatten_a_triangle_still_count_as_fixing_it():
    readings = (4.0, 0.5, 4.0, 0.5)
    found = adjust(readings, (((0, 2), 4.8), ((1, 3), 4.03)), 0.01)
    assert found is None or not found.squared
