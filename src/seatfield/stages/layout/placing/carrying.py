"""What places cost whatever channel plays there: what carries them, what is near, and the cable to them."""

from collections.abc import Iterable

import numpy as np

from seatfield.geometry.batch import EDGE_M, Floats, boundary_distance_many, edge_distances
from seatfield.model import Mount, WallBuild
from seatfield.stages.layout.placing.bounces import squared_distance
from seatfield.stages.layout.placing.carriers import TALL_STAND_M, Box
from seatfield.stages.layout.placing.ground import Ground
from seatfield.stages.layout.placing.hearing import Indices
from seatfield.stages.layout.placing.weights import WEIGHTS
from seatfield.stages.survey import top_m

NEAR_SURFACE_M = 0.5 - EDGE_M
"""A surface nearer than half a metre lifts the bass; what is just there does not count [m]."""

CEILING_CLEAR_M = 0.10
"""Acoustic centre of a loudspeaker on the ceiling, below it [m]."""


def total(costs: Iterable[Floats]) -> Floats:
    """Return the sum of cost arrays."""
    return np.asarray(sum(costs))


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
        costs["mount"] = costs["mount"] + WEIGHTS.tall_m * np.maximum(0, points[:, 2] - TALL_STAND_M)
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
