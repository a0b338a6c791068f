"""What forbids a loudspeaker: every obstacle of the room as a test on many points at once."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import dist, inf

import numpy as np

from seatfield.geometry.batch import (
    EDGE_M,
    Floats,
    Mask,
    boundary_distance_many,
    corners_of,
    covers_many,
    crossed_many,
    edge_distances,
    encloses_many,
    segment_distance_many,
    within_many,
)
from seatfield.geometry.polygon import Outline
from seatfield.model import CeilingThing, Furniture, Holes, Mount, Opening, OpeningKind, Point, Project, Seat
from seatfield.stages.layout.placing.bounces import absorbs, bounce_directions, ceiling_over, squared_distance
from seatfield.stages.layout.placing.carriers import (
    AGAINST_WALL_M,
    AT_SCREEN_M,
    BEFORE_HEAD_M,
    BOUNCE_HEIGHT_M,
    BRACKET_M,
    CEILING_DROP_M,
    FLAT_M,
    HIGH_M,
    HIGH_STAND_M,
    IN_FRONT_M,
    LOWEST_ON_WALL_M,
    NEAREST_HEAD_M,
    PASSAGE_M,
    RADIATOR_M,
    WALKWAY_M,
    Box,
    carries,
)
from seatfield.stages.survey import Survey, WallFrame, swept, top_m

Frame = tuple[Floats, Floats, Floats]
Hit = Callable[[Floats, Mount, Box], Mask]


@dataclass(frozen=True, slots=True)
class Obstacle:
    """Something that forbids places.

    Parameters
    ----------
    name
        What it is, for a person.
    change
        What would lift it, as an imperative sentence without its full stop.
    burden
        How much that asks of the household, small for little; infinite where nothing lifts it.
    hit
        Test of points, shape (n, 3) [m], for a mount and a box: true where forbidden.
    """

    name: str
    change: str
    burden: float
    hit: Callable[[Floats, Mount, Box], Mask]


def together(rest: tuple[Obstacle, ...]) -> Obstacle:
    """Return several obstacles as one, for rooms that have more than bits."""

    def hit(points: Floats, mount: Mount, box: Box) -> Mask:
        return np.asarray(np.any([one.hit(points, mount, box) for one in rest], axis=0))

    return Obstacle("other things in the room", "Clear the room", 20.0, hit)


def _none(points: Floats) -> Mask:
    return np.zeros(len(points), bool)


def _all(points: Floats) -> Mask:
    return np.ones(len(points), bool)


def obstacles_of(project: Project, survey: Survey, frame: Frame, slopes: Floats) -> Iterator[Obstacle]:
    """Yield everything in a room that forbids places.

    Parameters
    ----------
    project
        Everything that the person wrote.
    survey
        The room as surveyed.
    frame
        Main seat's head [m], unit vectors ahead and to the left.
    slopes
        Ceiling planes, shape (k, 3).

    Yields
    ------
    Obstacle
        First what nothing lifts, then limits, seats, furniture, and what is fixed to walls and ceiling.
    """
    yield Obstacle("the room's walls", "", inf, _outside(survey, frame[0]))
    yield Obstacle("the ceiling", "", inf, _over(slopes))
    yield Obstacle("the reach of its mount", "", inf, _reach(survey))
    picture = "Hang the picture higher or lower, or use one that lets sound through"
    yield Obstacle("the picture", picture, 2.5, hides_picture(project, frame))
    yield Obstacle("the floor before the seats", "", inf, _before_seats(project, survey.room.floor, frame))
    yield Obstacle("a ceiling that throws no sound back", "", inf, _no_bounce(survey, frame[0], slopes))
    yield from _limits(project)
    yield from _furnishings(survey)
    yield from _fixtures(survey, slopes)


def _limits(project: Project) -> Iterator[Obstacle]:
    limits = project.limits
    if limits.holes is Holes.NONE:
        yield Obstacle("no holes in walls", "Allow holes in the walls", 3.0, _only(Mount.WALL))
    if limits.holes is not Holes.WALLS_AND_CEILING:
        yield Obstacle("no holes in the ceiling", "Allow holes in the ceiling", 5.0, _only(Mount.CEILING))
    for seat in project.seats:
        yield Obstacle(f"seat {seat.name}", f"Move seat {seat.name} away from there", 5.0, _near(seat))
    for area in limits.keep_out:
        if len(area.outline) > 2:
            yield Obstacle(area.name, f"Give up the keep-out “{area.name}”", 3.0, _plan_area(area.outline))
    for line in limits.walkways:
        yield Obstacle("a walkway", "Let people walk another way", 4.0, _walkway(line))


def _furnishings(survey: Survey) -> Iterator[Obstacle]:
    for piece in survey.room.furniture:
        if len(piece.outline) > 2 and top_m(piece) > FLAT_M:
            yield Obstacle(piece.name, f"Move {piece.name}", 2.0, _inside_furniture(piece))
    for door, area in swept(survey):
        change = f"Hang {door.id} so that it opens the other way"
        yield Obstacle(f"the swing of {door.id}", change, 6.0, _swing(door, area))


def _fixtures(survey: Survey, slopes: Floats) -> Iterator[Obstacle]:
    room, walls = survey.room, survey.walls
    for opening in room.openings:
        if 0 <= opening.wall < len(walls):
            yield from _opening(opening, walls[opening.wall])
    for radiator in room.radiators:
        if 0 <= radiator.wall < len(walls):
            stretch = _strip(walls[radiator.wall], (radiator.from_m, radiator.to_m), RADIATOR_M)
            yield Obstacle("a radiator", "Have the radiator moved", 12.0, _radiator(stretch))
    for thing in room.ceiling_things:
        if len(thing.outline) > 2:
            yield Obstacle(thing.name, f"Move {thing.name}", 4.0, _hanging(thing, slopes))


def _outside(survey: Survey, head: Floats) -> Hit:
    floor = survey.room.floor
    edges = corners_of(floor)
    inward = np.array([wall.inward for wall in survey.walls])

    def hit(points: Floats, mount: Mount, box: Box) -> Mask:
        plan = points[:, :2]
        to_walls, _ = edge_distances(floor, plan)
        away = to_walls.min(axis=0)
        out = ~encloses_many(floor, plan) & (away > EDGE_M)
        if mount in (Mount.STAND, Mount.UPWARD, Mount.CEILING):
            out |= away < box.radius_m - 1e-6
        if mount in (Mount.STAND, Mount.UPWARD, Mount.SHELF):
            out |= _sticks_into_wall(to_walls, inward, plan - head[:2], box)
        if mount is Mount.WALL:
            out |= away < box.width_m / 2 - 1e-6
        # Drawn in a little, so that a place on a wall is not cut off by that wall itself.
        nearly = head[:2] + (plan - head[:2]) * (1 - 1e-6)
        return np.asarray(out | crossed_many(head[:2], nearly, edges))

    return hit


def _sticks_into_wall(to_walls: Floats, inward: Floats, gaps: Floats, box: Box) -> Mask:
    """Tell which boxes, their fronts turned to the seat, reach into the wall behind or beside them."""
    away = gaps / np.maximum(np.hypot(*gaps.T), 1e-9)[:, None]
    backs_onto = -(inward @ away.T) > 0.5 + 1e-6
    return np.asarray((to_walls < np.where(backs_onto, box.depth_m, box.width_m / 2) - 1e-6).any(axis=0))


def _before_seats(project: Project, floor: Outline, frame: Frame) -> Hit:
    """Return the test whether a stand is close in front of a head, over it in the open, or before the screen."""
    head, ahead, left = frame
    heads = np.array([seat.head[:2] for seat in project.seats])
    far = float((np.array(project.screen.centre[:2]) - head[:2]) @ ahead)
    aside = np.abs((heads - head[:2]) @ left).max()
    nearest = min(BEFORE_HEAD_M, far / 2)

    def hit(points: Floats, mount: Mount, box: Box) -> Mask:
        close = _none(points)
        if mount not in (Mount.STAND, Mount.UPWARD):
            return close
        plan = points[:, :2] - head[:2]
        depth, across = plan @ ahead, np.abs(plan @ left)
        for one in heads - head[:2]:
            gaps = plan - one
            close |= (gaps @ ahead > IN_FRONT_M) & ((gaps**2).sum(axis=1) < (nearest - 1e-6) ** 2)
        if mount is Mount.STAND:
            over = (points[:, 2] > head[2] + HIGH_M) & ((plan**2).sum(axis=1) < (HIGH_STAND_M - 1e-6) ** 2)
            some = np.flatnonzero(over)
            away = boundary_distance_many(floor, points[some, :2])
            close[some] |= away > box.depth_m + AGAINST_WALL_M + 1e-6
        share = np.clip(depth / max(far, 1e-6), 0, 1)
        wide = aside + (project.screen.width_m / 2 - aside) * share
        between = (depth > IN_FRONT_M) & (depth < far - AT_SCREEN_M - 1e-6) & (across < wide - 1e-6)
        return np.asarray(close | between)

    return hit


def _over(slopes: Floats) -> Hit:
    def hit(points: Floats, mount: Mount, box: Box) -> Mask:
        ceiling = ceiling_over(slopes, points[:, :2])
        if mount is Mount.CEILING:
            over = points[:, 2] > ceiling + 1e-6
            return np.asarray(over | (points[:, 2] < ceiling - CEILING_DROP_M - 1e-6))
        return np.asarray(points[:, 2] > ceiling - box.headroom_m + 1e-6)

    return hit


def _reach(survey: Survey) -> Hit:
    floor = survey.room.floor
    tops = [piece for piece in survey.room.furniture if carries(piece)]

    def on_furniture(points: Floats) -> Mask:
        held = _none(points)
        for piece in tops:
            rise = points[:, 2] - top_m(piece)
            held |= (rise > 0.02) & (rise < 0.6) & covers_many(piece.outline, points[:, :2])
        return held

    def hit(points: Floats, mount: Mount, box: Box) -> Mask:
        height = points[:, 2]
        lowest, highest = box.stand_m
        on_stand = (height >= lowest - 1e-6) & (height <= max(highest, box.height_m) + 1e-6)
        if mount is Mount.STAND:
            return ~on_stand
        if mount is Mount.SHELF:
            return ~on_furniture(points)
        if mount is Mount.UPWARD:
            return ~(on_stand | on_furniture(points))
        if mount is Mount.WALL:
            away = boundary_distance_many(floor, points[:, :2])
            return (height < max(LOWEST_ON_WALL_M, box.height_m / 2) - 1e-6) | (away > BRACKET_M + 1e-6)
        return _none(points)

    return hit


def hides_picture(project: Project, frame: Frame) -> Hit:
    """Return the test whether a loudspeaker, or the stand under it, hides part of the picture from the main seat."""
    head, ahead, left = frame
    screen = project.screen
    away = dist(screen.centre[:2], (float(head[0]), float(head[1])))

    def hit(points: Floats, mount: Mount, box: Box) -> Mask:
        gaps = points[:, :2] - head[:2]
        depth = gaps @ ahead
        scale = away / np.maximum(depth, 0.1)
        across = np.abs(gaps @ left) * scale
        up = (points[:, 2] - head[2]) * scale - (screen.centre[2] - head[2])
        wide = across < screen.width_m / 2 + box.width_m / 2 * scale - 1e-6
        reach = screen.height_m / 2 + box.height_m / 2 * scale - 1e-6
        high = (up > -reach) & ((up < reach) | (mount is Mount.STAND))
        return np.asarray((depth > 0.1) & wide & high)

    return hit


def _only(forbidden: Mount) -> Hit:
    def hit(points: Floats, mount: Mount, box: Box) -> Mask:
        del box
        return _all(points) if mount is forbidden else _none(points)

    return hit


def _near(seat: Seat) -> Hit:
    head = seat.head

    def hit(points: Floats, mount: Mount, box: Box) -> Mask:
        del mount, box
        return squared_distance(points, head) < (NEAREST_HEAD_M - 1e-6) ** 2

    return hit


def _plan_area(outline: Outline) -> Hit:
    def hit(points: Floats, mount: Mount, box: Box) -> Mask:
        margin = box.radius_m if mount in (Mount.STAND, Mount.UPWARD) else 0.0
        return within_many(outline, points[:, :2], margin)

    return hit


def _walkway(line: tuple[Point, ...]) -> Hit:
    def hit(points: Floats, mount: Mount, box: Box) -> Mask:
        near = _none(points)
        if mount is Mount.CEILING:
            return near
        for start, end in pairwise(line):
            away = segment_distance_many(np.array(start), np.array(end), points[:, :2])
            near |= away < WALKWAY_M + box.radius_m - 1e-6
        return near & (points[:, 2] < 2.0)

    return hit


def _inside_furniture(piece: Furniture) -> Hit:
    base, top = piece.base_m, top_m(piece)

    def hit(points: Floats, mount: Mount, box: Box) -> Mask:
        height = points[:, 2]
        if mount in (Mount.STAND, Mount.UPWARD):
            meets = height > base - box.height_m / 2
            if mount is Mount.UPWARD and carries(piece):
                meets &= height < top + 0.02
        elif mount is Mount.WALL:
            meets = (height > base - box.height_m / 2 + 1e-6) & (height < top + box.height_m / 2 - 1e-6)
        else:
            meets = (height > base - 0.05) & (height < top + 0.02)
        if not meets.any():
            return meets
        margin = 0.0 if mount is Mount.SHELF else box.radius_m
        return meets & within_many(piece.outline, points[:, :2], margin)

    return hit


def _swing(door: Opening, area: Outline) -> Hit:
    def hit(points: Floats, mount: Mount, box: Box) -> Mask:
        low = points[:, 2] < door.sill_m + door.height_m + box.height_m / 2
        if mount is Mount.CEILING or not low.any():
            return _none(points)
        return np.asarray(low & within_many(area, points[:, :2], box.radius_m + box.door_clear_m))

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


def _opening(opening: Opening, wall: WallFrame) -> Iterator[Obstacle]:
    span = (opening.start_m, opening.start_m + opening.width_m)
    passage = opening.kind is not OpeningKind.WINDOW or opening.sill_m < 0.1
    if passage:
        area = _strip(wall, span, PASSAGE_M)
        yield Obstacle(f"the way through {opening.id}", f"Do without {opening.id}", 15.0, _way(area, opening))
    yield Obstacle(opening.id, f"Cover {opening.id}", 14.0, _gap(wall, span, opening))


def _way(area: Outline, opening: Opening) -> Hit:
    def hit(points: Floats, mount: Mount, box: Box) -> Mask:
        if mount is Mount.CEILING:
            return _none(points)
        low = points[:, 2] < opening.sill_m + opening.height_m
        margin = 0.0 if mount is Mount.WALL else box.radius_m + box.door_clear_m
        return low & within_many(area, points[:, :2], margin)

    return hit


def _gap(wall: WallFrame, span: tuple[float, float], opening: Opening) -> Hit:
    start, along, inward = np.array(wall.start), np.array(wall.along), np.array(wall.inward)
    passage = opening.kind is not OpeningKind.WINDOW or opening.sill_m < 0.1

    def hit(points: Floats, mount: Mount, box: Box) -> Mask:
        if mount is not Mount.WALL:
            return _none(points)
        gaps = points[:, :2] - start
        reach, off = gaps @ along, gaps @ inward
        clear = box.door_clear_m if passage else 0.0
        wide, tall = box.width_m / 2 + clear, box.height_m / 2 + clear
        beside = (reach > span[0] - wide + 1e-6) & (reach < span[1] + wide - 1e-6)
        low, high = opening.sill_m - tall, opening.sill_m + opening.height_m + tall
        over = (points[:, 2] > low + 1e-6) & (points[:, 2] < high - 1e-6)
        return np.asarray(beside & over & (off > -1e-6) & (off < BRACKET_M + 1e-6))

    return hit


def _radiator(strip: Outline) -> Hit:
    def hit(points: Floats, mount: Mount, box: Box) -> Mask:
        if mount in (Mount.CEILING, Mount.SHELF):
            return _none(points)
        low = points[:, 2] < 1.6
        return low & within_many(strip, points[:, :2], box.radius_m)

    return hit


def _hanging(thing: CeilingThing, slopes: Floats) -> Hit:
    def hit(points: Floats, mount: Mount, box: Box) -> Mask:
        reach = points[:, 2] > ceiling_over(slopes, points[:, :2]) - thing.drop_m - 0.05
        if not reach.any() or mount not in (Mount.CEILING, Mount.WALL):
            return _none(points)
        return reach & within_many(thing.outline, points[:, :2], box.radius_m)

    return hit


def _no_bounce(survey: Survey, head: Floats, slopes: Floats) -> Hit:
    room = survey.room
    soft = absorbs(room.ceiling_finish.freq_hz, room.ceiling_finish.absorption)

    def hit(points: Floats, mount: Mount, box: Box) -> Mask:
        del box
        if mount is not Mount.UPWARD:
            return _none(points)
        if soft:
            return _all(points)
        _, bounces, which = bounce_directions(points, head, slopes)
        plan = bounces[:, :2]
        low, high = BOUNCE_HEIGHT_M
        bad = (which < 0) | ~covers_many(room.floor, plan) | (bounces[:, 2] < low) | (bounces[:, 2] > high)
        for thing in room.ceiling_things:
            if len(thing.outline) > 2:
                bad |= within_many(thing.outline, plan, 0.15)
        for panel in room.treatments:
            if len(panel.outline) > 2 and absorbs(panel.finish.freq_hz, panel.finish.absorption):
                bad |= within_many(panel.outline, plan, 0.15)
        return bad

    return hit
