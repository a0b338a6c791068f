"""The search: the best place of every loudspeaker on the whole grid, pairs together, then polished off the grid.

Each group (a left-right pair, or a channel of its own) is solved exactly on the grid: places are taken in the order
of a lower bound of their cost, and the search ends only when no place left out could be part of a better pair.
"""

from dataclasses import dataclass
from math import dist

import numpy as np

from seatfield.stages.layout.placing.best import best_pairs, best_single
from seatfield.stages.layout.placing.ground import Ground
from seatfield.stages.layout.placing.merit import Spot
from seatfield.stages.layout.placing.polishing import polish
from seatfield.stages.layout.placing.pools import MOUNTS, TIE, Job, Pool, Ranked, pool_of
from seatfield.stages.layout.placing.spots import SpotBook

DIFFERENT_M = 0.5
"""Runners-up stand at least so far from the winner, or are carried differently [m]."""

POLISH_APART_M, POLISHED, WORTH_A_POLISH = 0.15, 8, 2.0
"""Starts of the polish: at least so far apart [m], so many, and costing at most so much more than the best."""

MOST_STARTS = 1000
"""Pairs of the grid, the best first, among which really different ones are looked for."""

COARSE_STEPS_M, FINE_STEPS_M = (0.04, 0.015), (0.02, 0.01, 0.005, 0.0025, 0.001)


@dataclass(frozen=True, slots=True)
class Found:
    """The places found for a group.

    Parameters
    ----------
    spots
        By the group's order.
    cost
        What they cost together, polished.
    grid_cost
        What the best of the grid cost.
    tried
        Places of the grid that were open to each.
    others
        Really different places, with their costs, the best first.
    gap
        By how much the best of the grid could cost less if no loudspeaker placed before took a place away, at most.
    """

    labels: tuple[str, ...]
    spots: tuple[Spot, ...]
    cost: float
    grid_cost: float
    tried: tuple[int, ...]
    others: tuple[tuple[tuple[Spot, ...], float], ...]
    gap: float


def place_group(
    ground: Ground, book: SpotBook, jobs: tuple[Job, ...], taken: tuple[Spot, ...]
) -> Found | None:
    """Place a channel, or a left-right pair together.

    Parameters
    ----------
    ground, book
        The room and its grids.
    jobs
        One or two channels; of two, at least one without a place.
    taken
        Places of other loudspeakers.

    Returns
    -------
    Found or None
        None where a channel has no open place at all, or no two are far enough apart.
    """
    pools = tuple(pool_of(ground, book, job, taken) for job in jobs)
    if not all(len(pool.points) for pool in pools):
        return None
    starts = _starts(ground, pools)
    if not starts:
        return None
    grid_cost = starts[0][1]
    near = [spots for spots, cost in starts if cost < grid_cost + WORTH_A_POLISH][:POLISHED]
    rough = _ranked(polish(ground, jobs, near, taken, COARSE_STEPS_M))
    fine = _ranked(polish(ground, jobs, [spots for spots, _ in rough[:2]], taken, FINE_STEPS_M))
    spots, cost = fine[0]
    others = tuple((o, c) for o, c in _distinct(starts, DIFFERENT_M) if _differ(o, spots, DIFFERENT_M))
    labels = tuple(job.channel.label for job in jobs)
    tried = tuple(len(pool.points) for pool in pools)
    return Found(labels, spots, cost, grid_cost, tried, others[:3], max(0.0, cost - _least(pools)))


def _least(pools: tuple[Pool, ...]) -> float:
    """Return a lower bound of what a group costs that uses a place taken away by a loudspeaker placed before."""
    bounds = [min(pool.lost, float(pool.bound.min(initial=np.inf))) for pool in pools]
    return min(pool.lost + sum(bounds) - own for pool, own in zip(pools, bounds, strict=True))


def _ranked(found: Ranked) -> Ranked:
    return sorted(found, key=lambda entry: round(entry[1], 6))


def _spots(pool: Pool, index: int) -> Spot:
    x, y, z = (float(value) for value in pool.points[index])
    return Spot((x, y, z), MOUNTS[int(pool.mounts[index])])


def _differ(one: tuple[Spot, ...], two: tuple[Spot, ...], apart_m: float) -> bool:
    """Tell whether two placings of a group are carried differently or stand apart."""
    return any(
        a.mount is not b.mount or dist(a.at, b.at) > apart_m + TIE for a, b in zip(one, two, strict=True)
    )


def _starts(ground: Ground, pools: tuple[Pool, ...]) -> Ranked:
    """Return the best of the grid and the best really different ones, by cost."""
    if len(pools) == 1:
        pool, cost = best_single(ground, pools[0])
        ranked: Ranked = [((_spots(pool, i),), float(cost[i])) for i in range(len(cost))]
        return _spread(ranked)
    found = _pair_starts(ground, pools)
    for number in range(len(MOUNTS)):
        same = tuple(pool.at(np.flatnonzero(pool.mounts == number)) for pool in pools)
        if all(len(pool.points) for pool in same):
            found.extend(_pair_starts(ground, tuple(pool.cheapest(120)[0] for pool in same))[:1])
    return _spread(sorted(found, key=lambda entry: round(entry[1], 6)))


def _spread(ranked: Ranked) -> Ranked:
    """Keep the best of places near each other, and enough of those far apart for the runners-up."""
    near, far = _distinct(ranked, POLISH_APART_M), _distinct(ranked, DIFFERENT_M)
    return _ranked(near + [start for start in far if start not in near])


def _pair_starts(ground: Ground, pools: tuple[Pool, ...]) -> Ranked:
    pairs = best_pairs(ground, *pools)
    return [
        ((_spots(pairs.left, i), _spots(pairs.right, i)), float(pairs.cost[i]))
        for i in range(min(MOST_STARTS, len(pairs.cost)))
    ]


def _distinct(ranked: Ranked, apart_m: float, limit: int = 6) -> Ranked:
    kept: Ranked = []
    for spots, cost in ranked:
        if all(_differ(spots, other, apart_m) for other, _ in kept):
            kept.append((spots, cost))
        if len(kept) == limit:
            break
    return kept
