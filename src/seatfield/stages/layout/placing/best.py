"""The best of the grid, proven: a place for one channel, or a pair of places that go together.

Places are taken in the order of a lower bound of their cost, and the search ends only when no place left out could be
part of a better one.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from seatfield.geometry.batch import Floats
from seatfield.stages.layout.placing.ground import Ground
from seatfield.stages.layout.placing.hearing import Directions, Indices
from seatfield.stages.layout.placing.merit import SEPARATION_M
from seatfield.stages.layout.placing.pools import MOUNTS, Pool, whole_cost
from seatfield.stages.layout.placing.weights import WEIGHTS

if TYPE_CHECKING:
    from scipy.spatial import cKDTree

FIRST_LOOK = 700
"""Places per side that are weighed at first."""

RUNNERS_UP, MOST_TOGETHER = 1.5, 1500
"""How much more than the best a pair may cost to be looked at too, unless that makes too many."""


ALIKE = 8
"""So many lots of places of about one cost, each of which is paired within one reach."""


@dataclass(frozen=True, slots=True)
class Pairs:
    """Pairs of places, as arrays of one length, the best first.

    Parameters
    ----------
    left, right
        The places.
    cost
        What each pair costs together.
    """

    left: Pool
    right: Pool
    cost: Floats


def best_single(ground: Ground, pool: Pool) -> tuple[Pool, Floats]:
    """Return the places of a pool that could be best, with their whole costs, the best first.

    Parameters
    ----------
    ground
        The room.
    pool
        Places by lower bound.

    Returns
    -------
    tuple
        Places and costs; the first is the best of the whole pool.
    """
    count = FIRST_LOOK
    while True:
        first, beyond = pool.cheapest(count)
        cost = whole_cost(ground, first)
        if beyond >= cost.min():
            order = _steadily_sorted(cost, first.heard)
            return first.at(order), cost[order]
        count *= 4


def best_pairs(ground: Ground, left: Pool, right: Pool) -> Pairs:
    """Return pairs of left and right places, the best of all of them among them.

    Parameters
    ----------
    ground
        The room.
    left, right
        Places by lower bound.

    Returns
    -------
    Pairs
        Empty where no two places are far enough apart.
    """
    best = np.inf
    for count in (FIRST_LOOK, 4 * FIRST_LOOK):
        (one, one_beyond), (two, two_beyond) = left.cheapest(count), right.cheapest(count)
        costs = [whole_cost(ground, one), whole_cost(ground, two)]
        pairs = _paired((one, two), costs, best)
        best = min(best, float(pairs.cost.min(initial=np.inf)))
        if one_beyond + costs[1].min() >= best and two_beyond + costs[0].min() >= best:
            return pairs
    hopeful = (
        left.at(left.bound + right.bound.min() <= best),
        right.at(right.bound + left.bound.min() <= best),
    )
    return _paired(hopeful, [whole_cost(ground, side) for side in hopeful], best)


def _paired(sides: Sequence[Pool], costs: Sequence[Floats], best: float) -> Pairs:
    """Pair places, leaving out those that cannot be part of a pair as good as the best so far."""
    if not np.isfinite(best):
        best = min(_some_pair(sides, costs), _some_pair(sides[::-1], costs[::-1]))
    for slack in (RUNNERS_UP, 1e-9):
        keep = [
            np.flatnonzero(own + other.min() <= best + slack)
            for own, other in zip(costs, costs[::-1], strict=True)
        ]
        if max(len(some) for some in keep) <= MOST_TOGETHER:
            break
    one, two = (side.at(some) for side, some in zip(sides, keep, strict=True))
    own = [cost[some] for cost, some in zip(costs, keep, strict=True)]
    rows, columns = _partners((one, two), own, best + RUNNERS_UP)
    back_columns, back_rows = _partners((two, one), own[::-1], best + RUNNERS_UP)
    numbers = np.concatenate((rows * len(own[1]) + columns, back_rows * len(own[1]) + back_columns))
    rows, columns = np.divmod(np.unique(numbers), max(len(own[1]), 1))
    apart = np.abs(_as_points(one, own[0])[rows] - _as_points(two, -own[1])[columns]).sum(axis=1)
    order = _steadily_sorted(apart, _together(one.heard, rows, two.heard, columns))
    return Pairs(one.at(rows[order]), two.at(columns[order]), apart[order])


def _some_pair(sides: Sequence[Pool], costs: Sequence[Floats]) -> float:
    """Return the cost of a good pair: the best partner of any of one side's cheapest places."""
    few = np.argsort(costs[0], kind="stable")[:20]
    one, two = _as_points(sides[0].at(few), costs[0][few]), _as_points(sides[1], costs[1])
    apart = ((sides[0].points[few][:, None] - sides[1].points[None]) ** 2).sum(axis=2)
    cost = np.abs(one[:, None, :-1] - two[None, :, :-1]).sum(axis=2) + one[:, None, -1] + two[None, :, -1]
    return float(np.where(apart < (SEPARATION_M - 1e-6) ** 2, np.inf, cost).min(initial=np.inf))


def _partners(sides: Sequence[Pool], costs: Sequence[Floats], most: float) -> tuple[Indices, Indices]:
    """Return the best partner of each place of one side, if the pair costs no more than something: indices of both.

    Notes
    -----
    What a pair costs is a sum of absolute differences, so the best partner is the nearest point by that measure, with
    the partner's own cost as one more coordinate: a k-d tree finds it without looking at every pair. The dearer a
    place is by itself, the less far its partner may lie, which ends most of the looking at once.
    """
    from scipy.spatial import cKDTree

    least = float(costs[1].min(initial=np.inf))
    tree = cKDTree(_as_points(sides[1], costs[1]), leafsize=40, balanced_tree=False, compact_nodes=False)
    wanted = _as_points(sides[0], np.full(len(costs[0]), least))
    found = [np.zeros((2, 0), np.int64)]
    order = np.argsort(costs[0], kind="stable")
    lots = np.array_split(order, min(ALIKE, len(order))) if len(order) and tree.n else []
    for rows in lots:
        reach = most - float(costs[0][rows[0]]) - least
        if reach >= 0:
            columns = _apart(sides, (rows, wanted[rows]), tree, reach)
            some = columns < len(costs[1])
            found.append(np.stack((rows[some], columns[some])))
    both = np.concatenate(found, axis=1)
    return both[0], both[1]


def _apart(sides: Sequence[Pool], wanted: tuple[Indices, Floats], tree: "cKDTree", reach: float) -> Indices:
    """Return the nearest partner that is far enough away, the number of places where none is within reach."""
    rows, points = wanted
    count = 1
    while True:
        _, columns = tree.query(points, k=np.arange(1, count + 1), p=1, distance_upper_bound=reach + 1e-6)
        there = columns < tree.n
        away = sides[0].points[rows][:, None] - sides[1].points[np.where(there, columns, 0)]
        fits = ~there | ((away**2).sum(axis=2) >= (SEPARATION_M - 1e-6) ** 2)
        if count == tree.n or fits.any(axis=1).all():
            first = fits.argmax(axis=1)
            return np.asarray(np.where(fits.any(axis=1), columns[np.arange(len(rows)), first], tree.n))
        count = min(4 * count, tree.n)


def _as_points(pool: Pool, cost: Floats) -> Floats:
    """Return places as points whose distance by absolute differences is what a pair of them costs."""
    carried = pool.mounts[:, None] == np.arange(len(MOUNTS))
    return np.column_stack(
        (
            WEIGHTS.pair_azimuth_deg * np.abs(pool.heard.azimuth_deg),
            WEIGHTS.pair_elevation_deg * pool.heard.elevation_deg,
            WEIGHTS.pair_distance_m * pool.heard.distance_m,
            WEIGHTS.pair_mount / 2 * carried,
            cost,
        )
    )


def _steadily_sorted(cost: Floats, heard: Directions) -> Indices:
    """Sort by cost; equals by what does not change when the room is moved, turned or mirrored."""
    around, lift = np.abs(heard.azimuth_deg), heard.elevation_deg
    return np.lexsort((lift.round(6), around.round(6), heard.distance_m.round(6), cost.round(6)))


def _together(left: Directions, rows: Indices, right: Directions, columns: Indices) -> Directions:
    """Return directions and distances of pairs added up without sides, to tell equals apart in any frame."""
    turn = np.abs(left.azimuth_deg[rows]) + np.abs(right.azimuth_deg[columns])
    lift = left.elevation_deg[rows] + right.elevation_deg[columns]
    return Directions(turn, lift, left.distance_m[rows] + right.distance_m[columns])
