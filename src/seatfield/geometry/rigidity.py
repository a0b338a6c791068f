"""Which readings fix an outline, which are missing, and which one more would check the rest."""

from itertools import combinations
from math import cos, hypot, pi, sin

import numpy as np
from numpy.typing import NDArray

from seatfield.geometry.polygon import Outline

Pair = tuple[int, int]
Floats = NDArray[np.float64]


def fixed(count: int, pairs: tuple[Pair, ...]) -> bool:
    """Tell whether lengths between these corners can fix an outline at all.

    Parameters
    ----------
    count
        Corners.
    pairs
        Corner numbers between which a length was read, walls among them.

    Returns
    -------
    bool
        Whether the pairs leave no corner free to move, whatever their lengths.

    References
    ----------
    Laman, On graphs and rigidity of plane skeletal structures, Journal of Engineering Mathematics 4 (1970):
    2n − 3 independent lengths fix n points of a plane.
    """
    return _rank(_any_shape(count), pairs) == 2 * count - 3


def missing(count: int, pairs: tuple[Pair, ...]) -> tuple[Pair, ...]:
    """Return the fewest further pairs of corners whose lengths fix the outline, those across one corner first.

    Parameters
    ----------
    count, pairs
        As for `fixed`.

    Returns
    -------
    tuple
        Pairs; empty where the outline is fixed.
    """
    shape, had, wanted = _any_shape(count), pairs, []
    rank = _rank(shape, had)
    for pair in sorted(combinations(range(count), 2), key=lambda p: (p[0], p[1])):
        if rank == 2 * count - 3:
            break
        reached = _rank(shape, (*had, pair))
        if reached > rank:
            had, rank = (*had, pair), reached
            wanted.append(pair)
    return tuple(wanted)


def redundancy_numbers(outline: Outline, pairs: tuple[Pair, ...]) -> tuple[float, ...]:
    """Return the share of each reading's error that its own correction shows.

    Parameters
    ----------
    outline
        The corners [m].
    pairs
        Corner numbers between which a length was read.

    Returns
    -------
    tuple
        One number from 0 (nothing checks it) to 1 for each pair.

    References
    ----------
    Baarda, A testing procedure for use in geodetic networks, Netherlands Geodetic Commission (1968).
    """
    rows = _rows(np.array(outline, float), pairs)
    hat = rows @ np.linalg.pinv(rows, rcond=1e-6)
    return tuple(float(max(0.0, value)) for value in 1 - np.diag(hat))


def best_check(
    outline: Outline, pairs: tuple[Pair, ...], unchecked: tuple[int, ...], least: float
) -> tuple[Pair, int] | None:
    """Return the further diagonal that would check most of the readings that nothing checks.

    Parameters
    ----------
    outline, pairs
        As for `redundancy_numbers`.
    unchecked
        Places in `pairs` of the readings in question.
    least
        Redundancy number from which a reading counts as checked.

    Returns
    -------
    tuple or None
        The pair and how many of them it would check; None where no diagonal checks any.
    """
    had = {frozenset(pair) for pair in pairs}
    best: tuple[Pair, int] | None = None
    for pair in combinations(range(len(outline)), 2):
        if frozenset(pair) in had:
            continue
        numbers = redundancy_numbers(outline, (*pairs, pair))
        gained = sum(numbers[place] >= least for place in unchecked)
        if gained > (best[1] if best else 0):
            best = pair, gained
    return best


def _any_shape(count: int) -> Floats:
    """Corners of no special shape, so that a rank found on them holds for all but special rooms."""
    angles = [2 * pi * (i + 0.3 * sin(2.4 * i)) / count for i in range(count)]
    return np.array([((1 + 0.2 * cos(1.7 * i)) * cos(a), sin(a)) for i, a in enumerate(angles)])


def _rank(points: Floats, pairs: tuple[Pair, ...]) -> int:
    return int(np.linalg.matrix_rank(_rows(points, pairs), tol=1e-6))


def _rows(points: Floats, pairs: tuple[Pair, ...]) -> Floats:
    """Differentiate the lengths by the corners, shape (pairs, 2 · corners)."""
    rows = np.zeros((len(pairs), points.size))
    for row, (i, j) in enumerate(pairs):
        gap = points[j] - points[i]
        towards = gap / max(hypot(*gap), 1e-12)
        rows[row, 2 * j : 2 * j + 2] += towards
        rows[row, 2 * i : 2 * i + 2] -= towards
    return rows
