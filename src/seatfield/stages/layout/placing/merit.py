"""The merit of a placing, as published: what each place costs, in degrees of direction that one would give for it.

Merit is minus the sum of the costs of every loudspeaker and of every left-right pair; a place that something forbids
has no merit at all.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import inf

import numpy as np

from seatfield.catalogue.systems import SoundSystem
from seatfield.geometry.batch import Floats, blocked_by_ball, blocked_by_block
from seatfield.model import Mount, Point3
from seatfield.stages.layout.placing.carriers import Box
from seatfield.stages.layout.placing.carrying import place_costs
from seatfield.stages.layout.placing.facing import window_costs
from seatfield.stages.layout.placing.ground import Ground
from seatfield.stages.layout.placing.hearing import Directions, heard_from
from seatfield.stages.layout.placing.weights import WEIGHTS
from seatfield.stages.layout.windows import mirrored_label
from seatfield.stages.survey import top_m

HEAD_RADIUS_M = 0.12
SEPARATION_M = 0.25
"""Two loudspeakers stand at least so far apart, centre to centre [m]."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place for a loudspeaker: its acoustic centre [m] and what carries it."""

    at: Point3
    mount: Mount


@dataclass(frozen=True, slots=True)
class Cost:
    """One cost of a placing: whose it is, what for, and how much."""

    channel: str
    what: str
    cost: float


@dataclass(frozen=True, slots=True)
class Merit:
    """The merit of a whole placing.

    Parameters
    ----------
    total
        Minus the sum of the costs; minus infinity where a place is forbidden.
    costs
        What it is made of.
    forbidden
        Channel and what forbids its place.
    """

    total: float
    costs: tuple[Cost, ...]
    forbidden: tuple[tuple[str, str], ...]


def sight_costs(ground: Ground, points: Floats, mount: Mount) -> dict[str, Floats]:
    """Return what stands between the main seat and places.

    Parameters
    ----------
    ground
        The room.
    points
        Acoustic centres, shape (n, 3) [m].
    mount
        What carries them; an upward-firing one is not looked at.

    Returns
    -------
    dict
        Cost by name, each of shape (n,).
    """
    shadow, heads = np.zeros(len(points)), np.zeros(len(points))
    if mount is not Mount.UPWARD:
        for piece in ground.survey.room.furniture:
            if len(piece.outline) > 2 and _could_shade(ground, piece.base_m, top_m(piece)):
                block = (piece.outline, piece.base_m, top_m(piece))
                shadow[blocked_by_block(ground.head, points, *block)] = WEIGHTS.shadow
        for seat in ground.project.seats:
            if not seat.main:
                over = blocked_by_ball(ground.head, points, np.array(seat.head), HEAD_RADIUS_M)
                heads = heads + WEIGHTS.head_shadow * over
    return {"behind furniture": shadow, "behind a head": heads}


def _could_shade(ground: Ground, base_m: float, top: float) -> bool:
    return top > 0.05 and top > base_m and not base_m < ground.head[2] < top <= base_m


def pair_costs(left: Directions, right: Directions, same_mount: Floats) -> Floats:
    """Return what the differences of a left-right pair cost.

    Parameters
    ----------
    left, right
        Directions of both, of shapes that broadcast.
    same_mount
        1 where both have one kind of mount, else 0.

    Returns
    -------
    ndarray
        Cost, of the broadcast shape.
    """
    turn = np.abs(np.abs(left.azimuth_deg) - np.abs(right.azimuth_deg))
    lift = np.abs(left.elevation_deg - right.elevation_deg)
    apart = np.abs(left.distance_m - right.distance_m)
    return np.asarray(
        WEIGHTS.pair_azimuth_deg * turn
        + WEIGHTS.pair_elevation_deg * lift
        + WEIGHTS.pair_distance_m * apart
        + WEIGHTS.pair_mount * (1 - same_mount)
    )


def merit(
    ground: Ground, system: SoundSystem, spots: Mapping[str, Spot], boxes: Mapping[str, Box] | None = None
) -> Merit:
    """Return the merit of a whole placing.

    Parameters
    ----------
    ground
        The room.
    system
        The sound system.
    spots
        Places by channel label; channels without a window are left out.
    boxes
        Sizes by channel label; a small loudspeaker where missing.

    Returns
    -------
    Merit
        With every cost by channel, those of a pair under its left label.
    """
    costs: list[Cost] = []
    forbidden: list[tuple[str, str]] = []
    heard: dict[str, Directions] = {}
    for label, spot in spots.items():
        channel = system.channel(label)
        if channel is None or channel.azimuth_window is None:
            continue
        box, point = (boxes or {}).get(label, Box()), np.array([spot.at], float)
        bits = int(ground.violations(point, spot.mount, box)[0])
        forbidden.extend((label, o.name) for i, o in enumerate(ground.obstacles) if bits >> i & 1)
        heard[label] = heard_from(ground, point, spot.mount)
        parts = (
            place_costs(ground, point, spot.mount, box),
            window_costs(ground, channel, heard[label]),
            sight_costs(ground, point, spot.mount),
        )
        costs.extend(Cost(label, what, float(v[0])) for part in parts for what, v in part.items() if v[0])
    costs.extend(_all_pairs(heard, spots))
    forbidden.extend(_too_close(spots))
    whole = -inf if forbidden else -sum(cost.cost for cost in costs)
    return Merit(whole, tuple(costs), tuple(forbidden))


def _all_pairs(heard: Mapping[str, Directions], spots: Mapping[str, Spot]) -> Iterable[Cost]:
    for label, left in heard.items():
        right = mirrored_label(label)
        if "+" in label and right != label and right in heard:
            same = np.array([float(spots[label].mount is spots[right].mount)])
            yield Cost(label, "unlike its pair", float(pair_costs(left, heard[right], same)[0]))


def _too_close(spots: Mapping[str, Spot]) -> Iterable[tuple[str, str]]:
    labels = list(spots)
    for i, one in enumerate(labels):
        for two in labels[i + 1 :]:
            gap = np.subtract(spots[one].at, spots[two].at)
            if float(gap @ gap) < (SEPARATION_M - 1e-6) ** 2:
                yield two, f"loudspeaker {one}"
