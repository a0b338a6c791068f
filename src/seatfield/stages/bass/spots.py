"""Where a subwoofer may stand: along the walls and on the free floor, and what forbids a place."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import dist, sqrt

import numpy as np
from numpy.typing import NDArray

from seatfield.catalogue.systems import Channel, system
from seatfield.geometry.batch import (
    boundary_distance_many,
    corners_of,
    crossed_many,
    encloses_many,
    segment_distance_many,
    within_many,
)
from seatfield.geometry.ceiling import height
from seatfield.geometry.direction import outside_window_deg
from seatfield.model import Mount, OpeningKind, Outline, Point3, Project, SubwooferModel
from seatfield.stages.bass.params import BassParams
from seatfield.stages.bass.priors import is_upholstered
from seatfield.stages.layout import Layout
from seatfield.stages.survey import Survey, WallFrame, swept, top_m

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

CORD = "no socket within {cord_m:.1f} m"
DIRECTIONS = "a direction that {system} does not give its low-frequency channels"

USUAL_BOX_M = (0.35, 0.38, 0.37)
BEHIND_M = 0.03
"""Room for plugs behind the box: common practice, no source [m]."""
HEAD_M = 0.5
PASSAGE_M = 0.6
RADIATOR_M = 0.25
WALKWAY_M = 0.3
BESIDE_M = 0.15
"""Kept free round the foot of a loudspeaker's stand. These five as for the loudspeakers: common practice, no source
[m]."""
FLAT_M = 0.03
OFF_WALL_M, OFF_SOFA_M = 0.6, 0.6
"""Nobody leaves a box in the middle of the floor: its centre is this near a wall, or stands beside or behind a sofa;
common practice, no source [m]."""
CLOSE_M = 0.12
"""Places nearer together than this are one [m]."""
MOST = 2
FINEST_M = 0.15
"""Places are tried no nearer together: nobody puts a subwoofer down more exactly [m]."""


@dataclass(frozen=True, slots=True)
class Ban:
    """Something that forbids places.

    Parameters
    ----------
    name
        What it is.
    hit
        Test of plan points, shape (n, 2) to (n,).
    where
        What is said after "stands where", if it is another thing than that this is in the way.
    """

    name: str
    hit: Callable[[Floats], Mask]
    where: str = ""

    @property
    def says(self) -> str:
        """What is wrong with a place that it forbids, after "stands where"."""
        return self.where or f"{self.name} is in the way"


@dataclass(frozen=True, slots=True)
class Floor:
    """Where subwoofers may stand.

    Parameters
    ----------
    places
        Allowed acoustic centres, shape (places, 3) [m].
    socket_m
        Distance to the nearest socket, shape (places,) [m]; infinite where there is none.
    bans
        What forbids places.
    height_m
        Of the acoustic centre [m].
    let_go
        Wishes that no place keeps to, so that they do not count.
    sides
        For each low-frequency channel with a prescribed direction, which places lie in it, shape (places,).
    """

    places: Floats
    socket_m: Floats
    bans: tuple[Ban, ...]
    height_m: float
    let_go: tuple[str, ...] = ()
    sides: tuple[Mask, ...] = ()

    def why_not(self, at: Point3) -> str:
        """Return what forbids a place, after "stands where"; empty where nothing does."""
        point = np.array([at[:2]])
        return next((ban.says for ban in self.bans if ban.hit(point)[0]), "")


def box_of(model: SubwooferModel | None) -> Point3:
    """Return width, depth and height of a subwoofer; a usual one where the file gives none [m]."""
    size = None if model is None else model.size_m
    return size if size is not None and min(size) > 0.05 and max(size) < 1.5 else USUAL_BOX_M


def floor_of(project: Project, survey: Survey, layout: Layout, params: BassParams) -> Floor:
    """Find the places where a subwoofer may stand.

    Parameters
    ----------
    project, survey, layout
        What is there.
    params
        How many places, and how far from a socket.

    Returns
    -------
    Floor
        Places along the walls first, then those of a grid over the free floor.
    """
    box = _largest(project)
    radius = max(box[0], box[1]) / 2
    bans = tuple(_bans(project, survey, layout, box))
    if params.spots == 0:
        return Floor(np.empty((0, 3)), np.empty(0), bans, box[2] / 2)
    wishes = tuple(_wishes(project, survey, layout, params.cord_m))
    step = min(max(sqrt(survey.area_m2 / max(params.spots, 20)), FINEST_M), 2.0)
    free, held = _free(survey, bans, wishes, (radius, step))
    if held and step > FINEST_M and len(free) < params.spots / 2:
        step = max(step * sqrt(len(free) / params.spots), FINEST_M)
        free, held = _free(survey, bans, wishes, (radius, step))
    free = free[: MOST * params.spots]
    height_m = box[2] / 2
    places = np.round(np.column_stack([free, np.full(len(free), height_m)]), 4)
    let_go = tuple(wish.name for wish in wishes if wish not in held)
    sides = tuple(_inside(project, channel, places) for channel in directed(layout.system))
    return Floor(places, socket_distances(survey, free), (*bans, *held), height_m, let_go, sides)


def directed(name: str) -> tuple[Channel, ...]:
    """Return the low-frequency channels of a sound system for which its standard prescribes a direction."""
    found = system(name)
    return tuple(c for c in found.channels if c.low_frequency and c.azimuth_window) if found else ()


def _inside(project: Project, channel: Channel, places: Floats) -> Mask:
    """Tell which acoustic centres the main seat sees inside a channel's window."""
    head = np.array(project.main_seat.head)
    gaps, way = places - head, np.array(project.screen.centre[:2]) - head[:2]
    ahead, left = gaps[:, :2] @ way, gaps[:, :2] @ np.array([-way[1], way[0]])
    azimuth = np.degrees(np.arctan2(left, ahead))
    elevation = np.degrees(np.arctan2(gaps[:, 2], np.hypot(gaps[:, 0], gaps[:, 1])))
    windows = channel.azimuth_window or (), channel.elevation_window or ()
    return np.asarray(outside_window_deg(azimuth, elevation, *windows) < 1e-6)


def _wishes(project: Project, survey: Survey, layout: Layout, cord_m: float) -> Iterator[Ban]:
    """Yield what is kept to as long as that leaves a place: prescribed directions, then the reach of a cord."""
    channels, height_m = directed(layout.system), _largest(project)[2] / 2
    if channels:

        def outside(at: Floats) -> Mask:
            places = np.column_stack([at, np.full(len(at), height_m)])
            return np.asarray(~np.any([_inside(project, channel, places) for channel in channels], axis=0))

        where = f"{layout.system} wants no low-frequency channel"
        yield Ban(DIRECTIONS.format(system=layout.system), outside, where)
    if survey.room.sockets:
        name = CORD.format(cord_m=cord_m)
        yield Ban(name, lambda at: socket_distances(survey, at) > cord_m, f"there is {name}")


def _largest(project: Project) -> Point3:
    used = {one.model for one in project.subwoofers}
    boxes = [box_of(model) for model in project.subwoofer_models if model.name in used] or [USUAL_BOX_M]
    return max(boxes, key=lambda box: (box[0] * box[1], box))


def _any(bans: tuple[Ban, ...], points: Floats) -> Mask:
    return np.asarray(np.any([ban.hit(points) for ban in bans], axis=0))


def _free(
    survey: Survey, bans: tuple[Ban, ...], wishes: tuple[Ban, ...], scale: tuple[float, float]
) -> tuple[Floats, tuple[Ban, ...]]:
    """Return the free places at a half width and a step, and the wishes that they keep to."""
    points = _candidates(survey, *scale)
    free, held = _thinned(points[~_any(bans, points)]), []
    for wish in wishes:
        kept = free[~wish.hit(free)]
        if len(kept):
            free = kept
            held.append(wish)
    return free, tuple(held)


def _candidates(survey: Survey, radius_m: float, step: float) -> Floats:
    """Return places along the walls, corners first, then a grid along the longest wall over the floor, (n, 2) [m]."""
    rows = [_along(wall, radius_m + BEHIND_M, step) for wall in survey.walls]
    longest = max(survey.walls, key=lambda wall: round(wall.length_m, 6))
    frame = np.array([longest.along, longest.inward])
    corners = np.array(survey.room.floor) @ frame.T
    middle, half = (corners.min(axis=0) + corners.max(axis=0)) / 2, np.ptp(corners, axis=0) / 2
    along, inward = (
        centre + (np.arange(-count, count) + 0.5) * step
        for centre, count in zip(middle, np.floor(half / step + 0.5), strict=True)
    )
    grid = np.stack(np.meshgrid(along, inward), axis=-1).reshape(-1, 2) @ frame
    return np.concatenate([*rows, grid])


def _along(wall: WallFrame, off_m: float, step_m: float) -> Floats:
    """Return places along a wall from corner to corner [m]."""
    room = wall.length_m - 2 * off_m
    if room < 0:
        return np.empty((0, 2))
    along = off_m + np.linspace(0.0, room, int(room / step_m) + 2)
    return np.array(wall.start) + along[:, None] * wall.along + off_m * np.array(wall.inward)


def _thinned(points: Floats) -> Floats:
    """Leave out places that lie close to an earlier one."""
    kept: list[int] = []
    for number, point in enumerate(points):
        if not kept or np.hypot(*(points[kept] - point).T).min() >= CLOSE_M:
            kept.append(number)
    return points[kept]


def socket_distances(survey: Survey, points: Floats) -> Floats:
    """Return the distance to the nearest socket that no wall hides [m]; infinite where there is none."""
    floor, nearest = survey.room.floor, np.full(len(points), np.inf)
    for socket in survey.room.sockets:
        if not 0 <= socket.wall < len(survey.walls):
            continue
        wall = survey.walls[socket.wall]
        plug = np.array(wall.start) + socket.at_m * np.array(wall.along) + 0.01 * np.array(wall.inward)
        away = np.hypot(*(points - plug).T)
        hidden = crossed_many(plug, points, corners_of(floor))
        nearest = np.minimum(nearest, np.where(hidden, np.inf, away))
    return nearest


def _bans(project: Project, survey: Survey, layout: Layout, box: Point3) -> Iterator[Ban]:
    radius = max(box[0], box[1]) / 2
    floor = survey.room.floor
    yield Ban(
        "a wall", lambda at: ~encloses_many(floor, at) | (boundary_distance_many(floor, at) < radius - 1e-6)
    )
    yield Ban("the slope of the ceiling", lambda at: _heights(survey, at) < box[2] + 0.02)
    yield Ban("the open floor", _in_the_open(survey), "neither a wall nor a sofa is near it")
    for area in project.limits.keep_out:
        if len(area.outline) > 2:
            yield Ban(area.name, _within(area.outline, radius))
    for line in project.limits.walkways:
        yield Ban("a walkway", _walked(line, radius))
    for seat in project.seats:
        yield Ban(f"seat {seat.name}", _near(seat.at, HEAD_M))
    for piece in survey.room.furniture:
        if len(piece.outline) > 2 and top_m(piece) > FLAT_M and piece.base_m < box[2]:
            yield Ban(piece.name, _within(piece.outline, radius))
    yield from _fixtures(survey, radius)
    for one in layout.loudspeakers:
        if one.at is not None and (one.mount is Mount.STAND or one.at[2] < box[2]):
            yield Ban(f"loudspeaker {one.id}", _near(one.at[:2], radius + BESIDE_M))


def _fixtures(survey: Survey, radius: float) -> Iterator[Ban]:
    for door, area in swept(survey):
        yield Ban(f"the swing of {door.id}", _within(area, radius))
    for opening in survey.room.openings:
        passage = opening.kind is not OpeningKind.WINDOW
        if passage and 0 <= opening.wall < len(survey.walls):
            span = (opening.start_m, opening.start_m + opening.width_m)
            way = _strip(survey.walls[opening.wall], span, PASSAGE_M)
            yield Ban(f"the way through {opening.id}", _within(way, radius))
    for radiator in survey.room.radiators:
        if 0 <= radiator.wall < len(survey.walls):
            strip = _strip(survey.walls[radiator.wall], (radiator.from_m, radiator.to_m), RADIATOR_M)
            yield Ban("a radiator", _within(strip, radius))


def _in_the_open(survey: Survey) -> Callable[[Floats], Mask]:
    pieces = [p.outline for p in survey.room.furniture if len(p.outline) > 2 and is_upholstered(p)]

    def hit(at: Floats) -> Mask:
        beside = boundary_distance_many(survey.room.floor, at) <= OFF_WALL_M
        for outline in pieces:
            beside |= within_many(outline, at, OFF_SOFA_M)
        return ~beside

    return hit


def _heights(survey: Survey, points: Floats) -> Floats:
    return np.array([height(survey.ceiling, float(x), float(y)) for x, y in points])


def _within(outline: Outline, margin_m: float) -> Callable[[Floats], Mask]:
    return lambda at: within_many(outline, at, margin_m - 1e-6)


def _near(spot: tuple[float, float], reach_m: float) -> Callable[[Floats], Mask]:
    return lambda at: np.hypot(at[:, 0] - spot[0], at[:, 1] - spot[1]) < reach_m - 1e-6


def _walked(line: tuple[tuple[float, float], ...], radius_m: float) -> Callable[[Floats], Mask]:
    sides = [(np.array(a), np.array(b)) for a, b in pairwise(line) if dist(a, b) > 1e-9]

    def hit(at: Floats) -> Mask:
        near = np.zeros(len(at), bool)
        for start, end in sides:
            near |= segment_distance_many(start, end, at) < WALKWAY_M + radius_m - 1e-6
        return near

    return hit


def _strip(wall: WallFrame, span: tuple[float, float], depth_m: float) -> Outline:
    """Return a strip of floor along a stretch of a wall [m]."""
    corners = ((span[0], 0.0), (span[1], 0.0), (span[1], depth_m), (span[0], depth_m))
    return tuple(
        (
            wall.start[0] + along * wall.along[0] + off * wall.inward[0],
            wall.start[1] + along * wall.along[1] + off * wall.inward[1],
        )
        for along, off in corners
    )
