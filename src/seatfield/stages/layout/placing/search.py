"""The search: the best place of every loudspeaker on the whole grid, pairs together, then polished off the grid.

Each group (a left-right pair, or a channel of its own) is solved exactly on the grid: places are taken in the order
of a lower bound of their cost, and the search ends only when no place left out could be part of a better pair.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import dist

import numpy as np

from seatfield.catalogue.systems import Channel
from seatfield.geometry.batch import Floats, Mask
from seatfield.model import Mount
from seatfield.stages.layout.placing.bounces import squared_distance
from seatfield.stages.layout.placing.carriers import Box
from seatfield.stages.layout.placing.ground import Ground
from seatfield.stages.layout.placing.merit import (
    SEPARATION_M,
    WEIGHTS,
    Directions,
    Indices,
    Spot,
    heard_from,
    pair_costs,
    place_costs,
    sight_costs,
    total,
    window_bound,
    window_costs,
)
from seatfield.stages.layout.placing.spots import SpotBook, Spots, settled

FIRST_LOOK = 700
"""Places per side that a pair is tried with at first."""

RUNNERS_UP, MOST_TOGETHER = 1.5, 1500
"""How much more than the best a pair may cost to be looked at too, unless that makes too many."""

TIE = 1e-6
"""Costs nearer to each other are equal, whatever rounding says."""

DIFFERENT_M = 0.5
"""Runners-up stand at least so far from the winner, or are carried differently [m]."""

POLISH_APART_M, POLISHED, WORTH_A_POLISH = 0.15, 8, 2.0
"""Starts of the polish: at least so far apart [m], so many, and costing at most so much more than the best."""

COARSE_STEPS_M, FINE_STEPS_M = (0.04, 0.015), (0.02, 0.01, 0.005, 0.0025, 0.001)
MOUNTS = tuple(Mount)

Ranked = list[tuple[tuple[Spot, ...], float]]


@dataclass(frozen=True, slots=True)
class Job:
    """A channel to place.

    Parameters
    ----------
    mounts
        What may carry it.
    fixed
        Where it is already; None where it is to be placed.
    """

    channel: Channel
    mounts: tuple[Mount, ...]
    box: Box
    fixed: Spot | None = None


@dataclass(frozen=True, slots=True)
class Pool:
    """Places for one channel, as arrays of one length.

    Parameters
    ----------
    channel
        The channel.
    bound
        Lower bound of the cost: the window is taken roughly, and what stands between is not looked at.
    fixed_cost
        The part of the cost that does not depend on the channel.
    """

    channel: Channel
    points: Floats
    mounts: Floats
    heard: Directions
    fixed_cost: Floats
    bound: Floats

    def at(self, where: Indices | Mask) -> "Pool":
        """Return the places at some indices."""
        heard = Directions(*(getattr(self.heard, name)[where] for name in Directions.__slots__))
        return Pool(
            self.channel,
            self.points[where],
            self.mounts[where],
            heard,
            self.fixed_cost[where],
            self.bound[where],
        )

    def cheapest(self, count: int) -> tuple["Pool", float]:
        """Return the places with the least bounds, equals of the last included, and the least bound left out."""
        if count >= len(self.points):
            return self, np.inf
        limit = np.partition(self.bound, count)[count] + TIE
        some = self.bound <= limit
        return self.at(np.flatnonzero(some)), float(self.bound[~some].min(initial=np.inf))


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
    """

    labels: tuple[str, ...]
    spots: tuple[Spot, ...]
    cost: float
    grid_cost: float
    tried: tuple[int, ...]
    others: tuple[tuple[tuple[Spot, ...], float], ...]


def pool_of(ground: Ground, book: SpotBook, job: Job, taken: Iterable[Spot]) -> Pool:
    """Gather every place open to a channel, cheapest first.

    Parameters
    ----------
    ground, book
        The room and its grids.
    job
        The channel.
    taken
        Places of loudspeakers that stand already.

    Returns
    -------
    Pool
        A fixed loudspeaker's pool is its one place.
    """
    if job.fixed is not None:
        return _one(ground, job, job.fixed)
    parts = [book.free(job.channel, mount, job.box) for mount in job.mounts]
    pool = _gathered(ground, job.channel, parts)
    inside = len(pool.points) and pool.bound.min() < WEIGHTS.outside
    if not inside:
        pool = _gathered(ground, job.channel, [*parts, *book.closer(job.channel, job.mounts, job.box)])
    open_ = np.ones(len(pool.points), bool)
    for spot in taken:
        open_ &= squared_distance(pool.points, spot.at) >= (SEPARATION_M - 1e-6) ** 2
    return pool if open_.all() else pool.at(np.flatnonzero(open_))


def _gathered(ground: Ground, channel: Channel, parts: list[Spots]) -> Pool:
    heard = Directions(
        *(np.concatenate([getattr(part.heard, name) for part in parts]) for name in Directions.__slots__)
    )
    fixed_cost = np.concatenate([part.cost for part in parts])
    return Pool(
        channel,
        np.concatenate([part.points for part in parts]),
        np.concatenate([np.full(len(part.points), MOUNTS.index(part.mount)) for part in parts]),
        heard,
        fixed_cost,
        fixed_cost + window_bound(ground, channel, heard),
    )


def _steadily_sorted(cost: Floats, heard: Directions) -> Indices:
    """Sort by cost; equals by what does not change when the room is moved, turned or mirrored."""
    around, lift = np.abs(heard.azimuth_deg), heard.elevation_deg
    return np.lexsort((lift.round(6), around.round(6), heard.distance_m.round(6), cost.round(6)))


def _one(ground: Ground, job: Job, spot: Spot) -> Pool:
    points = np.array([spot.at], float)
    heard = heard_from(ground, points, spot.mount)
    cost = total(place_costs(ground, points, spot.mount, job.box).values())
    return Pool(job.channel, points, np.array([MOUNTS.index(spot.mount)]), heard, cost, cost)


def _whole_cost(ground: Ground, pool: Pool) -> Floats:
    cost = pool.fixed_cost + total(window_costs(ground, pool.channel, pool.heard).values())
    for number in np.unique(pool.mounts):
        here = pool.mounts == number
        cost[here] += total(sight_costs(ground, pool.points[here], MOUNTS[int(number)]).values())
    return np.asarray(cost)


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
        cost = _whole_cost(ground, first)
        if beyond >= cost.min():
            order = _steadily_sorted(cost, first.heard)
            return first.at(order), cost[order]
        count *= 4


def best_pairs(ground: Ground, left: Pool, right: Pool) -> tuple[Pool, Pool, Floats]:
    """Return the left and right places that could make the best pair, and the cost of every combination.

    Parameters
    ----------
    ground
        The room.
    left, right
        Places by lower bound.

    Returns
    -------
    tuple
        Left places, right places, and costs of shape (left, right); the least is the best of all pairs.
    """
    count = FIRST_LOOK
    while True:
        sides, beyond = zip(*(pool.cheapest(count) for pool in (left, right)), strict=True)
        costs = [_whole_cost(ground, side) for side in sides]
        one, two, matrix = _combined(sides, costs)
        best = matrix.min()
        if beyond[0] + costs[1].min() >= best and beyond[1] + costs[0].min() >= best:
            return one, two, matrix
        count *= 4


def _combined(sides: tuple[Pool, ...], costs: list[Floats]) -> tuple[Pool, Pool, Floats]:
    """Add up the costs of all pairs, leaving out the places that cannot be part of the best."""
    best = _some_pair(sides, costs)
    keep = [
        np.flatnonzero(own + other.min() <= best + RUNNERS_UP)
        for own, other in zip(costs, costs[::-1], strict=True)
    ]
    if max(len(some) for some in keep) > MOST_TOGETHER:
        keep = [
            np.flatnonzero(own + other.min() <= best + 1e-9)
            for own, other in zip(costs, costs[::-1], strict=True)
        ]
    left, right = (side.at(some) for side, some in zip(sides, keep, strict=True))
    return left, right, _matrix(left, right, costs[0][keep[0]], costs[1][keep[1]])


def _some_pair(sides: tuple[Pool, ...], costs: list[Floats]) -> float:
    """Return the cost of a good pair: the best partners of each side's cheapest places."""
    left, right = sides
    few = [np.argsort(cost, kind="stable")[:20] for cost in costs]
    one = _matrix(left.at(few[0]), right, costs[0][few[0]], costs[1]).min()
    two = _matrix(left, right.at(few[1]), costs[0], costs[1][few[1]]).min()
    return float(min(one, two))


def _matrix(left: Pool, right: Pool, left_cost: Floats, right_cost: Floats) -> Floats:
    heard = (
        Directions(*(getattr(left.heard, name)[:, None] for name in Directions.__slots__)),
        Directions(*(getattr(right.heard, name)[None] for name in Directions.__slots__)),
    )
    same = (left.mounts[:, None] == right.mounts[None]).astype(float)
    whole = left_cost[:, None] + right_cost[None] + pair_costs(*heard, same)
    gaps = ((left.points[:, None, :] - right.points[None]) ** 2).sum(axis=2)
    return np.where(gaps < (SEPARATION_M - 1e-6) ** 2, np.inf, whole)


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
        None where a channel has no open place at all.
    """
    pools = tuple(pool_of(ground, book, job, taken) for job in jobs)
    if not all(len(pool.points) for pool in pools):
        return None
    starts = _starts(ground, pools)
    grid_cost = starts[0][1]
    near = [spots for spots, cost in starts if cost < grid_cost + WORTH_A_POLISH][:POLISHED]
    rough = _ranked([polish(ground, jobs, spots, taken, COARSE_STEPS_M) for spots in near])
    fine = _ranked([polish(ground, jobs, spots, taken, FINE_STEPS_M) for spots, _ in rough[:2]])
    spots, cost = fine[0]
    others = tuple((o, c) for o, c in _distinct(starts, DIFFERENT_M) if _differ(o, spots, DIFFERENT_M))
    labels = tuple(job.channel.label for job in jobs)
    return Found(labels, spots, cost, grid_cost, tuple(len(pool.points) for pool in pools), others[:3])


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
    left, right, matrix = best_pairs(ground, *pools)
    flat = matrix.ravel()
    count = min(200, int(np.isfinite(flat).sum()))
    if not count:
        return []
    least = np.flatnonzero(flat <= np.partition(flat, count - 1)[count - 1] + TIE)
    rows, columns = np.unravel_index(least, matrix.shape)
    order = _steadily_sorted(flat[least], _both(left.heard, rows, right.heard, columns))
    rows, columns = rows[order], columns[order]
    return [
        ((_spots(left, i), _spots(right, j)), float(matrix[i, j])) for i, j in zip(rows, columns, strict=True)
    ]


def _both(left: Directions, rows: Indices, right: Directions, columns: Indices) -> Directions:
    """Return directions and distances of pairs added up without sides, to tell equals apart in any frame."""
    turn = np.abs(left.azimuth_deg[rows]) + np.abs(right.azimuth_deg[columns])
    lift = left.elevation_deg[rows] + right.elevation_deg[columns]
    return Directions(turn, lift, left.distance_m[rows] + right.distance_m[columns])


def _distinct(ranked: Ranked, apart_m: float, limit: int = 6) -> Ranked:
    kept: Ranked = []
    for spots, cost in ranked:
        if all(_differ(spots, other, apart_m) for other, _ in kept):
            kept.append((spots, cost))
        if len(kept) == limit:
            break
    return kept


def spots_cost(
    ground: Ground, job: Job, points: Floats, mount: Mount, taken: Iterable[Spot]
) -> tuple[Floats, Directions]:
    """Return the whole cost of places for a channel, infinite where forbidden, and their directions.

    Parameters
    ----------
    ground
        The room.
    job
        The channel.
    points
        Acoustic centres, shape (n, 3) [m].
    mount
        What carries them.
    taken
        Places of other loudspeakers.

    Returns
    -------
    tuple
        Costs, shape (n,), and directions.
    """
    heard = heard_from(ground, points, mount)
    parts = (
        place_costs(ground, points, mount, job.box),
        window_costs(ground, job.channel, heard),
        sight_costs(ground, points, mount),
    )
    cost = total(value for part in parts for value in part.values())
    barred = ground.violations(points, mount, job.box) != 0
    for spot in taken:
        barred |= squared_distance(points, spot.at) < (SEPARATION_M - 1e-6) ** 2
    return np.where(barred, np.inf, cost), heard


def polish(
    ground: Ground,
    jobs: tuple[Job, ...],
    spots: tuple[Spot, ...],
    taken: tuple[Spot, ...],
    steps_m: tuple[float, ...],
) -> tuple[tuple[Spot, ...], float]:
    """Move a group's places off the grid as long as that helps.

    Parameters
    ----------
    ground
        The room.
    jobs, spots
        Channels and where they are.
    taken
        Places of other loudspeakers.
    steps_m
        Steps, the widest first [m].

    Returns
    -------
    tuple
        Places, and what they cost together; never more than before.

    References
    ----------
    Compass search: Kolda, Lewis and Torczon, SIAM Review 45 (2003), 385-482.
    """
    here = np.array([spot.at for spot in spots], float)
    best = _state_costs(ground, jobs, spots, here[None], taken)[0]
    for step in steps_m:
        for _ in range(40):
            tries = _moves(ground, jobs, spots, here, step)
            costs = _state_costs(ground, jobs, spots, tries, taken)
            winner = int(np.lexsort((np.arange(len(costs)), costs.round(6)))[0])
            if not costs[winner] < best - 2e-6:
                break
            here, best = tries[winner], costs[winner]
    moved = tuple(
        Spot((float(p[0]), float(p[1]), float(p[2])), s.mount) for p, s in zip(here, spots, strict=True)
    )
    return moved, float(best)


def _moves(
    ground: Ground, jobs: tuple[Job, ...], spots: tuple[Spot, ...], here: Floats, step: float
) -> Floats:
    """Return states a step away, shape (m, group, 3): each alone and, of a pair, both as mirror images."""
    free = [index for index, job in enumerate(jobs) if job.fixed is None]
    steps = [(fore, left, up) for fore, left, up in _COMPASS]
    ways = np.array([_way(ground, fore, left, up) for fore, left, up in steps])
    states = []
    if len(free) == 2:  # first, so that of equals the even move is taken
        mirrored = np.array([_way(ground, fore, -left, up) for fore, left, up in steps])
        states.append(here + step * np.stack((ways, mirrored), axis=1))
        states.append(here + step * _polar(ground, here))
    for index in free:
        alone = np.repeat(here[None], len(ways), axis=0)
        alone[:, index] += step * ways
        states.append(alone)
    tries = np.concatenate(states)
    for index in free:
        tries[:, index] = settled(ground, tries[:, index], spots[index].mount, jobs[index].box)
    return tries


_COMPASS = (
    *((fore, left, 0.0) for fore in (-1.0, 0.0, 1.0) for left in (-1.0, 0.0, 1.0) if fore or left),
    (0.0, 0.0, 1.0),
    (0.0, 0.0, -1.0),
)


def _polar(ground: Ground, here: Floats) -> Floats:
    """Return steps of a pair that keep it even: both outwards or inwards, both forwards or back round the head."""
    out = here[:, :2] - ground.head[:2]
    out = out / np.maximum(np.hypot(*out.T), 1e-9)[:, None]
    around = np.column_stack((-out[:, 1], out[:, 0])) * np.array([[1.0], [-1.0]])
    level = np.zeros((2, 1))
    return np.array([np.hstack((sign * way, level)) for way in (out, around) for sign in (1.0, -1.0)])


def _way(ground: Ground, fore: float, left: float, up: float) -> Floats:
    return np.append(fore * ground.ahead + left * ground.left, up)


def _state_costs(
    ground: Ground, jobs: tuple[Job, ...], spots: tuple[Spot, ...], states: Floats, taken: tuple[Spot, ...]
) -> Floats:
    cost, heard = np.zeros(len(states)), []
    for index, (job, spot) in enumerate(zip(jobs, spots, strict=True)):
        if job.fixed is not None:
            pool = _one(ground, job, job.fixed)
            cost = cost + _whole_cost(ground, pool)[0]
            heard.append(pool.heard)
            continue
        own, directions = spots_cost(ground, job, states[:, index], spot.mount, taken)
        cost = cost + own
        heard.append(directions)
    if len(jobs) == 2:
        same = np.array(float(spots[0].mount is spots[1].mount))
        cost = cost + pair_costs(heard[0], heard[1], same)
        gaps = ((states[:, 0] - states[:, 1]) ** 2).sum(axis=1)
        cost = np.where(gaps < (SEPARATION_M - 1e-6) ** 2, np.inf, cost)
    return cost
