"""The merit of a placing, as published: what each place costs, in degrees of direction that one would give for it.

Merit is minus the sum of the costs of every loudspeaker and of every left-right pair; a place that something forbids
has no merit at all. The weights are common practice, no source; they are meant to be argued with.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from math import inf
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seatfield.catalogue.systems import Channel, SoundSystem, Window
from seatfield.geometry.batch import (
    EDGE_M,
    Floats,
    blocked_by_ball,
    blocked_by_block,
    boundary_distance_many,
    edge_distances,
)
from seatfield.geometry.direction import outside_window_deg
from seatfield.model import Mount, Point3, WallBuild
from seatfield.stages.layout.placing.bounces import bounce_directions, squared_distance
from seatfield.stages.layout.placing.carriers import Box
from seatfield.stages.layout.placing.ground import Ground
from seatfield.stages.layout.windows import mirrored_label, widened
from seatfield.stages.survey import top_m

Indices = NDArray[np.signedinteger[Any]]
COMMON = "common practice, no source"
HEAD_RADIUS_M = 0.12
NEAR_SURFACE_M = 0.5 - EDGE_M
"""A surface nearer than half a metre lifts the bass; what is just there does not count [m]."""

SEPARATION_M = 0.25
"""Two loudspeakers stand at least so far apart, centre to centre [m]."""

CEILING_CLEAR_M = 0.10
"""Acoustic centre of a loudspeaker on the ceiling, below it [m]."""


@dataclass(frozen=True, slots=True)
class Weights:
    """What a place costs.

    Parameters
    ----------
    outside, outside_deg
        For lying outside the window at all, and per degree: the first outweighs everything below.
    off_nominal_deg
        Per degree from the nominal direction.
    centre_aside_deg
        Per degree of azimuth that the centre lies beside the picture: under or over it is where it belongs.
    unsure_deg
        Per degree by which the tape's tolerance reaches over the window's edge.
    near_m
        Per metre that the nearest head lies within 1.5 m.
    shadow, head_shadow
        For furniture, and for each other head, between the main seat and the loudspeaker.
    stand, shelf, wall, ceiling, upward
        For what carries it: a hole is worth more than a degree.
    tall_m
        Per metre that a stand is taller than 1.3 m.
    open_m
        Per metre that a stand is further than 0.6 m from every wall and from all furniture.
    build_up
        For each surface within 0.5 m beyond the first: bass piles up.
    cable_m
        Per metre of cable along the walls to the amplifier.
    services, off_stud, panel
        For a stretch of wall that may hide services, for missing the stud, for a panel wall.
    before_window
        For a stand before a window.
    children
        For a stand where children or pets live.
    unnatural_m
        Per metre from the box's natural distance to its wall, ceiling or shelf.
    pair_azimuth_deg, pair_elevation_deg, pair_distance_m, pair_mount
        For a left-right pair: per degree and metre of difference, and for two kinds of mount.
    """

    outside: float = 100.0
    outside_deg: float = 2.0
    off_nominal_deg: float = 0.2
    centre_aside_deg: float = 5.0
    unsure_deg: float = 0.5
    near_m: float = 10.0
    shadow: float = 10.0
    head_shadow: float = 3.0
    stand: float = 1.0
    shelf: float = 0.0
    wall: float = 2.0
    ceiling: float = 3.0
    upward: float = 6.0
    tall_m: float = 6.0
    open_m: float = 4.0
    build_up: float = 0.7
    cable_m: float = 0.1
    services: float = 8.0
    off_stud: float = 1.0
    panel: float = 2.0
    before_window: float = 2.0
    children: float = 1.0
    unnatural_m: float = 4.0
    pair_azimuth_deg: float = 0.5
    pair_elevation_deg: float = 0.3
    pair_distance_m: float = 4.0
    pair_mount: float = 2.0


WEIGHTS = Weights()

CABLE_FORMULA = "way to the nearest wall + shorter way along the walls + height of both ends"


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


@dataclass(frozen=True, slots=True)
class Directions:
    """Points as the main seat hears them: azimuth, elevation [deg], distance [m], each of shape (n,)."""

    azimuth_deg: Floats
    elevation_deg: Floats
    distance_m: Floats


def heard_from(ground: Ground, points: Floats, mount: Mount) -> Directions:
    """Return the directions from which the main seat hears loudspeakers.

    Parameters
    ----------
    ground
        The room.
    points
        Acoustic centres, shape (n, 3) [m].
    mount
        What carries them; an upward-firing one is heard from its image in the ceiling.

    Returns
    -------
    Directions
        In the screen's frame.
    """
    sources = bounce_directions(points, ground.head, ground.slopes)[0] if mount is Mount.UPWARD else points
    gaps = sources - ground.head
    ahead, left = gaps[:, :2] @ ground.ahead, gaps[:, :2] @ ground.left
    flat = np.hypot(ahead, left)
    azimuth = np.where(flat > 1e-9, np.degrees(np.arctan2(left, ahead)), 0.0)
    return Directions(azimuth, np.degrees(np.arctan2(gaps[:, 2], flat)), np.hypot(flat, gaps[:, 2]))


def place_costs(ground: Ground, points: Floats, mount: Mount, box: Box) -> dict[str, Floats]:
    """Return what places cost whatever channel plays there.

    Parameters
    ----------
    ground
        The room.
    points
        Acoustic centres, shape (n, 3) [m].
    mount, box
        What carries them, and their size.

    Returns
    -------
    dict
        Cost by name, each of shape (n,).
    """
    away = np.sqrt(np.min([squared_distance(points, seat.head) for seat in ground.project.seats], axis=0))
    to_walls, along = edge_distances(ground.floor, points[:, :2])
    costs = {
        "near a head": WEIGHTS.near_m * np.maximum(0, 1.5 - away),
        "mount": np.full(len(points), getattr(WEIGHTS, mount.value)),
        "bass build-up": WEIGHTS.build_up * np.maximum(0, _surfaces_near(ground, points, to_walls) - 1),
        "cable": WEIGHTS.cable_m * cable_metres(ground, points, to_walls, along),
    }
    if mount in (Mount.STAND, Mount.UPWARD):
        costs["mount"] = costs["mount"] + WEIGHTS.tall_m * np.maximum(0, points[:, 2] - 1.3)
        costs["in the open"] = WEIGHTS.open_m * np.maximum(0, _to_something(ground, points, to_walls) - 0.6)
        costs["before a window"] = WEIGHTS.before_window * _before_window(ground, to_walls, along)
        if ground.project.limits.children or ground.project.limits.pets:
            costs["children or pets"] = np.full(len(points), WEIGHTS.children)
    if mount is Mount.WALL:
        costs["wall"] = _wall_costs(ground, carrying_wall(to_walls, box), along)
        costs["bracket"] = WEIGHTS.unnatural_m * np.abs(to_walls - box.off_wall_m).min(axis=0)
    if mount is Mount.CEILING:
        drop = ground.ceiling(points[:, :2]) - points[:, 2]
        costs["bracket"] = WEIGHTS.unnatural_m * np.abs(drop - CEILING_CLEAR_M)
    if mount is Mount.SHELF:
        costs["riser"] = WEIGHTS.unnatural_m * _over_shelf(ground, points, box)
    return costs


def cable_metres(ground: Ground, points: Floats, to_walls: Floats, along: Floats) -> Floats:
    """Return roughly how much cable a place takes: along the walls, with a drop at both ends.

    Parameters
    ----------
    ground
        The room.
    points
        Acoustic centres, shape (n, 3) [m].
    to_walls, along
        Distances to every wall and along it, shape (walls, n) [m].

    Returns
    -------
    ndarray
        Shape (n,) [m]; from the first amplifier, or from the screen where none has a place.
    """
    lengths = np.array([wall.length_m for wall in ground.survey.walls])
    before = np.concatenate(([0.0], np.cumsum(lengths)[:-1]))
    start = next((amp.at for amp in ground.project.amplifiers if amp.at), ground.project.screen.centre)
    source_to, source_along = edge_distances(ground.floor, np.array([start[:2]]))
    nearest = to_walls.round(6).argmin(axis=0)
    columns = np.arange(len(points))
    here = before[nearest] + along[nearest, columns]
    closest = int(source_to[:, 0].round(6).argmin())
    there = before[closest] + source_along[closest, 0]
    way = np.abs(here - there)
    round_ = np.minimum(way, lengths.sum() - way) + source_to.min()
    return np.asarray(to_walls[nearest, columns] + round_ + points[:, 2] + start[2])


def _surfaces_near(ground: Ground, points: Floats, to_walls: Floats) -> Floats:
    near = (to_walls < NEAR_SURFACE_M).sum(axis=0) + (points[:, 2] < NEAR_SURFACE_M)
    return np.asarray(near + (ground.ceiling(points[:, :2]) - points[:, 2] < NEAR_SURFACE_M), float)


def _to_something(ground: Ground, points: Floats, to_walls: Floats) -> Floats:
    nearest = to_walls.min(axis=0)
    for piece in ground.survey.room.furniture:
        if len(piece.outline) > 2 and top_m(piece) > 0.3:
            nearest = np.minimum(nearest, boundary_distance_many(piece.outline, points[:, :2]))
    return np.asarray(nearest)


def _before_window(ground: Ground, to_walls: Floats, along: Floats) -> Floats:
    hidden = np.zeros(to_walls.shape[1])
    for opening in ground.survey.room.openings:
        if opening.kind == "window" and 0 <= opening.wall < len(to_walls):
            reach = along[opening.wall]
            beside = (reach > opening.start_m + EDGE_M) & (reach < opening.start_m + opening.width_m - EDGE_M)
            hidden[beside & (to_walls[opening.wall] < NEAR_SURFACE_M)] = 1.0
    return hidden


def carrying_wall(to_walls: Floats, box: Box) -> Indices:
    """Return the wall that each place hangs on: the one whose distance is most natural for the box.

    Parameters
    ----------
    to_walls
        Distances to every wall, shape (walls, n) [m].
    box
        The loudspeaker's size.

    Returns
    -------
    ndarray
        Numbers of walls, shape (n,); the lower of equals.
    """
    return np.asarray(np.abs(to_walls - box.off_wall_m).round(6).argmin(axis=0))


def _wall_costs(ground: Ground, carrying: Indices, along: Floats) -> Floats:
    cost = np.zeros(len(carrying))
    for number, frame in enumerate(ground.survey.walls):
        here, wall = carrying == number, frame.wall
        if not here.any():
            continue
        reach = along[number, here]
        extra = np.zeros(len(reach))
        for low, high in wall.services:
            extra = np.maximum(extra, WEIGHTS.services * ((reach > low + EDGE_M) & (reach < high - EDGE_M)))
        if wall.build is WallBuild.PANEL:
            extra = extra + WEIGHTS.panel
        if wall.build is WallBuild.STUD and wall.stud_spacing_m:
            phase = np.remainder(reach - (wall.first_stud_m or 0.0), wall.stud_spacing_m)
            off = np.minimum(phase, wall.stud_spacing_m - phase)
            extra = extra + WEIGHTS.off_stud * np.clip(off / 0.1, 0, 1)
        cost[here] = extra
    return cost


def _over_shelf(ground: Ground, points: Floats, box: Box) -> Floats:
    best = np.full(len(points), 0.6)
    for piece in ground.survey.room.furniture:
        if len(piece.outline) > 2:
            best = np.minimum(best, np.abs(points[:, 2] - top_m(piece) - box.height_m / 2))
    return best


def window_costs(ground: Ground, channel: Channel, heard: Directions) -> dict[str, Floats]:
    """Return what directions cost for a channel.

    Parameters
    ----------
    ground
        The room.
    channel
        The channel, with a window.
    heard
        Directions of the places.

    Returns
    -------
    dict
        Cost by name, each of the directions' shape.
    """
    azimuths, elevations = widened(channel.azimuth_window or ()), widened(channel.elevation_window or ())
    outside = outside_window_deg(heard.azimuth_deg, heard.elevation_deg, azimuths, elevations)
    nominal = (channel.azimuth_deg or 0.0, channel.elevation_deg or 0.0)
    off = outside_window_deg(
        heard.azimuth_deg, heard.elevation_deg, ((nominal[0], nominal[0]),), ((nominal[1], nominal[1]),)
    )
    out = outside > 1e-6
    unsure = np.where(out, 0.0, _unsure(ground, heard, azimuths, elevations))
    return {
        "outside its window": np.where(out, WEIGHTS.outside + WEIGHTS.outside_deg * outside, 0.0),
        "off the nominal direction": WEIGHTS.off_nominal_deg * off,
        "beside the picture": _aside(channel, heard),
        "unsure by tape": WEIGHTS.unsure_deg * unsure,
    }


def _aside(channel: Channel, heard: Directions) -> Floats:
    """Return what it costs the centre to be beside the picture; nothing for other channels."""
    weight = WEIGHTS.centre_aside_deg if channel.label == "M+000" else 0.0
    return weight * np.abs(heard.azimuth_deg)


def window_bound(ground: Ground, channel: Channel, heard: Directions) -> Floats:
    """Return a quick lower bound of what directions cost for a channel.

    Parameters
    ----------
    ground
        The room.
    channel
        The channel, with a window.
    heard
        Directions of the places.

    Returns
    -------
    ndarray
        Never more than the sum of `window_costs`, of the directions' shape.

    Notes
    -----
    The angle to a window is at least the difference to its parallels and at least the angle to its meridians'
    whole great circles.
    """
    azimuths, elevations = widened(channel.azimuth_window or ()), widened(channel.elevation_window or ())
    level = np.cos(np.radians(heard.elevation_deg))
    lift = np.min(
        [np.maximum(low - heard.elevation_deg, heard.elevation_deg - high) for low, high in elevations],
        axis=0,
    )
    turn = np.full(heard.azimuth_deg.shape, 180.0)
    for low, high in azimuths:
        middle, half = (low + high) / 2, (high - low) / 2
        over = np.abs(np.remainder(heard.azimuth_deg - middle + 180, 360) - 180) - half
        np.minimum(turn, over, out=turn)
    circle = np.degrees(np.arcsin(np.clip(level * np.sin(np.radians(np.clip(turn, 0, 90))), 0, 1)))
    outside = np.maximum(np.maximum(lift, circle) - 1e-6, 0)
    nominal = np.radians(channel.azimuth_deg or 0.0), np.radians(channel.elevation_deg or 0.0)
    cosine = level * np.cos(nominal[1]) * np.cos(np.radians(heard.azimuth_deg) - nominal[0])
    cosine = cosine + np.sin(np.radians(heard.elevation_deg)) * np.sin(nominal[1])
    off = np.maximum(np.degrees(np.arccos(np.clip(cosine, -1, 1))) - 1e-4, 0)
    beyond = (turn > 1e-6) | (lift > 1e-6)
    cost = WEIGHTS.outside * beyond + WEIGHTS.outside_deg * outside + WEIGHTS.off_nominal_deg * off
    cost = cost + _aside(channel, heard)
    within = np.flatnonzero((turn < -1e-6) & (lift < -1e-6))
    some = Directions(heard.azimuth_deg[within], heard.elevation_deg[within], heard.distance_m[within])
    cost[within] += WEIGHTS.unsure_deg * _unsure(ground, some, azimuths, elevations)
    return np.asarray(cost)


def _unsure(ground: Ground, heard: Directions, azimuths: Window, elevations: Window) -> Floats:
    """Return by how much the tape's tolerance reaches over the window's edges [deg]."""
    screen = np.array(ground.project.screen.centre[:2]) - ground.head[:2]
    both = np.sqrt(2) * ground.survey.room.tolerance_m
    flat = np.maximum(heard.distance_m * np.cos(np.radians(heard.elevation_deg)), 0.05)
    turn = np.degrees(np.hypot(both / flat, both / np.hypot(*screen)))
    lift = np.degrees(both / np.maximum(heard.distance_m, 0.05))
    over = np.full(heard.azimuth_deg.shape, np.inf)
    for low, high in azimuths:
        middle, half = (low + high) / 2, (high - low) / 2
        off = np.abs(np.remainder(heard.azimuth_deg - middle + 180, 360) - 180)
        over = np.minimum(over, np.maximum(0, turn - (half - off)))
    rise = np.full(heard.azimuth_deg.shape, np.inf)
    for low, high in elevations:
        margin = np.minimum(heard.elevation_deg - low, high - heard.elevation_deg)
        rise = np.minimum(rise, np.maximum(0, lift - margin))
    return np.asarray(np.minimum(over + rise, 20.0))


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


def total(costs: Iterable[Floats]) -> Floats:
    """Return the sum of cost arrays."""
    return np.asarray(sum(costs))


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


def weights_table() -> tuple[tuple[str, float], ...]:
    """Return the published weights by name."""
    return tuple((field.name, getattr(WEIGHTS, field.name)) for field in fields(WEIGHTS))


__all__ = [
    "CEILING_CLEAR_M",
    "COMMON",
    "SEPARATION_M",
    "WEIGHTS",
    "Cost",
    "Directions",
    "Merit",
    "Spot",
    "Weights",
    "cable_metres",
    "heard_from",
    "merit",
    "pair_costs",
    "place_costs",
    "sight_costs",
    "weights_table",
    "window_costs",
]
