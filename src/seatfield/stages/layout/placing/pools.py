"""The places open to one channel, with a lower bound of what each costs."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from seatfield.catalogue.systems import Channel
from seatfield.geometry.batch import Floats, Mask
from seatfield.model import Mount
from seatfield.stages.layout.placing.bounces import squared_distance
from seatfield.stages.layout.placing.carriers import Box
from seatfield.stages.layout.placing.carrying import place_costs, total
from seatfield.stages.layout.placing.facing import window_bound, window_costs
from seatfield.stages.layout.placing.ground import Ground
from seatfield.stages.layout.placing.hearing import Directions, Indices, heard_from
from seatfield.stages.layout.placing.merit import SEPARATION_M, Spot, sight_costs
from seatfield.stages.layout.placing.spots import ON_FLOOR, SpotBook, Spots
from seatfield.stages.layout.placing.weights import WEIGHTS

TIE = 1e-6
"""Costs nearer to each other are equal, whatever rounding says."""

MOUNTS = tuple(Mount)

Ranked = list[tuple[tuple[Spot, ...], float]]
"""Placings of a group with their costs."""


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
    lost
        The least bound of the places that loudspeakers placed before take away.
    """

    channel: Channel
    points: Floats
    mounts: Floats
    heard: Directions
    fixed_cost: Floats
    bound: Floats
    lost: float = np.inf

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
            self.lost,
        )

    def cheapest(self, count: int) -> tuple["Pool", float]:
        """Return the places with the least bounds, equals of the last included, and the least bound left out."""
        if count >= len(self.points):
            return self, np.inf
        limit = np.partition(self.bound, count)[count] + TIE
        some = self.bound <= limit
        return self.at(np.flatnonzero(some)), float(self.bound[~some].min(initial=np.inf))


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
        return place_of(ground, job, job.fixed)
    parts = [book.free(job.channel, mount, job.box) for mount in job.mounts]
    parts += [book.of_every_height(job.channel, mount, job.box) for mount in ON_FLOOR if mount in job.mounts]
    pool = _open(_gathered(ground, job.channel, parts), taken)
    if pool.bound.min(initial=np.inf) < WEIGHTS.outside:
        return pool
    closer = book.closer(job.channel, job.mounts, job.box)
    return _open(_gathered(ground, job.channel, [*parts, *closer]), taken)


def _open(pool: Pool, taken: Iterable[Spot]) -> Pool:
    """Leave out the places too near to loudspeakers that stand already."""
    open_ = np.ones(len(pool.points), bool)
    for spot in taken:
        open_ &= squared_distance(pool.points, spot.at) >= (SEPARATION_M - 1e-6) ** 2
    if open_.all():
        return pool
    return replace(pool.at(np.flatnonzero(open_)), lost=float(pool.bound[~open_].min()))


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


def place_of(ground: Ground, job: Job, spot: Spot) -> Pool:
    """Return one place as a pool.

    Parameters
    ----------
    ground
        The room.
    job
        The channel.
    spot
        The place.

    Returns
    -------
    Pool
        Of one place, forbidden or not.
    """
    points = np.array([spot.at], float)
    heard = heard_from(ground, points, spot.mount)
    cost = total(place_costs(ground, points, spot.mount, job.box).values())
    return Pool(job.channel, points, np.array([MOUNTS.index(spot.mount)]), heard, cost, cost)


def whole_cost(ground: Ground, pool: Pool) -> Floats:
    """Return what the places of a pool cost for its channel.

    Parameters
    ----------
    ground
        The room.
    pool
        The places.

    Returns
    -------
    ndarray
        Shape (n,), never less than the pool's bound.
    """
    cost = pool.fixed_cost + total(window_costs(ground, pool.channel, pool.heard).values())
    for number in np.unique(pool.mounts):
        here = pool.mounts == number
        cost[here] += total(sight_costs(ground, pool.points[here], MOUNTS[int(number)]).values())
    return np.asarray(cost)
