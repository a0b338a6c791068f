"""The polish: a group's places moved off the grid as long as that helps, from several starts side by side."""

from collections.abc import Iterable, Sequence
from itertools import product

import numpy as np

from seatfield.geometry.batch import Floats
from seatfield.model import Mount
from seatfield.stages.layout.placing.bounces import squared_distance
from seatfield.stages.layout.placing.carrying import place_costs, total
from seatfield.stages.layout.placing.facing import window_costs
from seatfield.stages.layout.placing.ground import Ground
from seatfield.stages.layout.placing.hearing import Directions, Indices, heard_from
from seatfield.stages.layout.placing.merit import SEPARATION_M, Spot, pair_costs, sight_costs
from seatfield.stages.layout.placing.pools import Job, Ranked, place_of, whole_cost
from seatfield.stages.layout.placing.spots import settled

WORTH_A_MOVE = 1e-5
"""What a move must save, in the merit's degrees."""

MOST_MOVES = 100
AGAIN = np.array([1.0, 2.0, 4.0, 8.0])
"""Multiples of the last move that are tried too, so that a valley is run along and not crept along."""


def polish(
    ground: Ground,
    jobs: tuple[Job, ...],
    starts: Sequence[tuple[Spot, ...]],
    taken: tuple[Spot, ...],
    steps_m: tuple[float, ...],
) -> Ranked:
    """Move a group's places off the grid as long as that helps.

    Parameters
    ----------
    ground
        The room.
    jobs
        Channels of the group.
    starts
        Where they are, by start.
    taken
        Places of other loudspeakers.
    steps_m
        Lengths of the moves that are tried, the widest first [m].

    Returns
    -------
    list
        By start, places and what they cost together; never more than before.

    References
    ----------
    Compass search: Kolda, Lewis and Torczon, SIAM Review 45 (2003), 385-482; here with every step's length at once.
    Moving on the same way: Hooke and Jeeves, Journal of the ACM 8 (1961), 212-229, from memory.
    """
    mounts = [tuple(spot.mount for spot in spots) for spots in starts]
    here = np.array([[spot.at for spot in spots] for spots in starts], float)
    best = _costs(ground, jobs, mounts, here[:, None], taken)[:, 0]
    ways = _ways(ground, jobs)
    going, last = np.arange(len(starts)), np.zeros_like(here)
    for _ in range(MOST_MOVES):
        carried = [mounts[index] for index in going]
        tries = _moves(ground, jobs, here[going], ways, np.array(steps_m))
        onward = here[going][:, None] + AGAIN[:, None, None] * last[going][:, None]
        tries = np.concatenate((tries, onward), axis=1)
        tries = _settled(ground, jobs, carried, tries)
        costs = _costs(ground, jobs, carried, tries, taken)
        winners = costs.round(6).argmin(axis=1)
        rows = np.arange(len(going))
        better = costs[rows, winners] < best[going] - WORTH_A_MOVE
        last[going] = tries[rows, winners] - here[going]
        here[going[better]] = tries[rows, winners][better]
        best[going[better]] = costs[rows, winners][better]
        going = going[better]
        if not len(going):
            break
    return [
        (
            tuple(Spot((float(x), float(y), float(z)), m) for (x, y, z), m in zip(at, kinds, strict=True)),
            float(cost),
        )
        for at, kinds, cost in zip(here, mounts, best, strict=True)
    ]


_COMPASS = np.array(
    [(fore, left, 0.0) for fore, left in product((-1.0, 0.0, 1.0), repeat=2) if fore or left]
    + [(0.0, 0.0, 1.0), (0.0, 0.0, -1.0)]
)
_MIRROR = np.array([1.0, -1.0, 1.0])


def _ways(ground: Ground, jobs: tuple[Job, ...]) -> Floats:
    """Return unit moves, shape (moves, group, 3): of a pair both as mirror images, and each alone."""
    free = [index for index, job in enumerate(jobs) if job.fixed is None]
    frame = np.zeros((3, 3))
    frame[0, :2], frame[1, :2], frame[2, 2] = ground.ahead, ground.left, 1.0
    single = _COMPASS @ frame
    parts = []
    if len(free) == 2:  # first, so that of equals the even move is taken
        parts.append(np.stack((single, _COMPASS * _MIRROR @ frame), axis=1))
    for index in free:
        alone = np.zeros((len(single), len(jobs), 3))
        alone[:, index] = single
        parts.append(alone)
    return np.concatenate(parts)


def _moves(ground: Ground, jobs: tuple[Job, ...], here: Floats, ways: Floats, steps_m: Floats) -> Floats:
    """Return states a step away from some, shape (starts, group, 3): shape (starts, tries, group, 3)."""
    every = np.broadcast_to(ways, (len(here), *ways.shape))
    if len(jobs) == 2 and all(job.fixed is None for job in jobs):
        every = np.concatenate((_polar(ground, here), every), axis=1)
    scaled = steps_m[:, None, None, None] * every[:, None]
    return np.asarray(here[:, None] + scaled.reshape(len(here), -1, *here.shape[1:]))


def _polar(ground: Ground, here: Floats) -> Floats:
    """Return moves of a pair that keep it even: both outwards or inwards, both forwards or back round the head."""
    out = here[..., :2] - ground.head[:2]
    out = out / np.maximum(np.hypot(out[..., 0], out[..., 1]), 1e-9)[..., None]
    around = np.stack((-out[..., 1], out[..., 0]), axis=-1) * np.array([[1.0], [-1.0]])
    plan = np.stack((out, -out, around, -around), axis=1)
    return np.concatenate((plan, np.zeros((*plan.shape[:-1], 1))), axis=-1)


def _by_mount(mounts: Sequence[Mount]) -> Iterable[tuple[Mount, Indices]]:
    for mount in dict.fromkeys(mounts):
        yield mount, np.flatnonzero([one is mount for one in mounts])


def _settled(
    ground: Ground, jobs: tuple[Job, ...], mounts: Sequence[tuple[Mount, ...]], states: Floats
) -> Floats:
    for side, job in enumerate(jobs):
        if job.fixed is None:
            for mount, rows in _by_mount([kinds[side] for kinds in mounts]):
                points = states[rows, :, side]
                states[rows, :, side] = settled(ground, points.reshape(-1, 3), mount, job.box).reshape(
                    points.shape
                )
    return states


def _costs(
    ground: Ground,
    jobs: tuple[Job, ...],
    mounts: Sequence[tuple[Mount, ...]],
    states: Floats,
    taken: tuple[Spot, ...],
) -> Floats:
    """Return what states, shape (starts, tries, group, 3), cost: shape (starts, tries)."""
    cost, heard = np.zeros(states.shape[:2]), []
    for side, job in enumerate(jobs):
        own, directions = _side(ground, job, [kinds[side] for kinds in mounts], states[:, :, side], taken)
        cost = cost + own
        heard.append(directions)
    if len(jobs) == 2:
        same = np.array([[float(one is two)] for one, two in mounts])
        cost = cost + pair_costs(heard[0], heard[1], same)
        gaps = ((states[:, :, 0] - states[:, :, 1]) ** 2).sum(axis=-1)
        cost = np.where(gaps < (SEPARATION_M - 1e-6) ** 2, np.inf, cost)
    return cost


def _side(
    ground: Ground, job: Job, mounts: Sequence[Mount], points: Floats, taken: tuple[Spot, ...]
) -> tuple[Floats, Directions]:
    """Return the costs and directions of one channel's places, shape (starts, tries, 3)."""
    if job.fixed is not None:
        pool = place_of(ground, job, job.fixed)
        return whole_cost(ground, pool), pool.heard
    cost, seen = np.empty(points.shape[:2]), np.empty((3, *points.shape[:2]))
    for mount, rows in _by_mount(mounts):
        own, heard = spots_cost(ground, job, points[rows].reshape(-1, 3), mount, taken)
        cost[rows] = own.reshape(len(rows), -1)
        directions = (heard.azimuth_deg, heard.elevation_deg, heard.distance_m)
        seen[:, rows] = np.reshape(directions, (3, len(rows), -1))
    return cost, Directions(*seen)


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
