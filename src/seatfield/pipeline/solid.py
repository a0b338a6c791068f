"""The room as solids in metres, for the view in the round: walls with their openings, ceiling, blocks, runs."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from seatfield.model import Point, Point3, Project
from seatfield.stages.plan import Plan
from seatfield.stages.survey import Survey, WallFrame, height_at

BOX_M = (0.17, 0.2, 0.28)
"""Width, depth and height of a loudspeaker whose model tells no size."""


@dataclass(frozen=True, slots=True)
class Face:
    """A wall: its first corner, its direction, its profile and its openings as (along, up) [m]."""

    ref: str
    start: Point
    along: Point
    inward: Point
    profile: tuple[Point, ...]
    holes: tuple[tuple[Point, ...], ...]


@dataclass(frozen=True, slots=True)
class Block:
    """An outline between two heights [m]."""

    ref: str
    kind: str
    outline: tuple[Point, ...]
    base_m: float
    top_m: float


@dataclass(frozen=True, slots=True)
class Box:
    """A box by its centre, its width, depth and height [m], turned so that its front looks towards `yaw_deg`."""

    ref: str
    kind: str
    at: Point3
    size_m: Point3
    yaw_deg: float


@dataclass(frozen=True, slots=True)
class Way:
    """A run as a line through the room [m]."""

    ref: str
    path: tuple[Point3, ...]
    hidden: bool


@dataclass(frozen=True, slots=True)
class Solid:
    """The room in the round."""

    floor: tuple[Point, ...]
    ceiling: tuple[Point3, ...]
    walls: tuple[Face, ...]
    blocks: tuple[Block, ...]
    boxes: tuple[Box, ...]
    ways: tuple[Way, ...]
    ears: tuple[Point3, ...]


def solid(project: Project, plan: Plan) -> Solid:
    """Return the room and what stands in it as solids."""
    survey = plan.survey
    floor = survey.room.floor
    return Solid(
        floor,
        tuple((x, y, height_at(survey, (x, y))) for x, y in floor),
        tuple(_face(wall, survey) for wall in survey.walls),
        tuple(_blocks(project, survey)),
        tuple(_boxes(project, plan)),
        tuple(
            Way(f"run:{run.id}", leg.path, leg.hidden)
            for run in (plan.cable.runs if plan.cable else ())
            for leg in run.legs
        ),
        tuple(seat.head for seat in project.seats),
    )


def _face(wall: WallFrame, survey: Survey) -> Face:
    number = wall.wall.number
    holes = tuple(
        (
            (one.start_m, one.sill_m),
            (one.start_m + one.width_m, one.sill_m),
            (one.start_m + one.width_m, one.sill_m + one.height_m),
            (one.start_m, one.sill_m + one.height_m),
        )
        for one in survey.room.openings
        if one.wall == number
    )
    return Face(f"wall:{number}", wall.start, wall.along, wall.inward, _profile(wall, survey), holes)


def _profile(wall: WallFrame, survey: Survey) -> tuple[Point, ...]:
    """Outline of a wall: along its foot, and back under the ceiling with its bends."""
    steps = max(2, math.ceil(wall.length_m / 0.05))
    line = []
    for step in range(steps + 1):
        along = wall.length_m * step / steps
        point = (wall.start[0] + along * wall.along[0], wall.start[1] + along * wall.along[1])
        line.append((along, height_at(survey, point)))
    bends = [
        here
        for before, here, after in zip(line, line[1:], line[2:], strict=False)
        if abs(before[1] - 2 * here[1] + after[1]) > 1e-6
    ]
    return (0.0, 0.0), (wall.length_m, 0.0), line[-1], *reversed(bends), line[0]


def _blocks(project: Project, survey: Survey) -> Iterator[Block]:
    for one in project.room.furniture:
        yield Block(f"furniture:{one.name}", "furniture", one.outline, one.base_m, one.base_m + one.height_m)
    for cover in project.room.covers:
        if cover.outline:
            yield Block(f"cover:{cover.id}", "cloth", cover.outline, 0.0, 0.01)
    for thing in project.room.ceiling_things:
        top = min(height_at(survey, corner) for corner in thing.outline)
        yield Block(f"ceiling:{thing.name}", "overhead", thing.outline, top - thing.drop_m, top)
    for area in project.limits.keep_out:
        yield Block(f"keep-out:{area.name}", "barred", area.outline, 0.0, 0.005)


def _boxes(project: Project, plan: Plan) -> Iterator[Box]:
    seat = project.main_seat.at
    sizes = {model.name: model.size_m for model in project.models}
    sizes |= {model.name: model.size_m for model in project.subwoofer_models}
    for one in plan.layout.loudspeakers if plan.layout else ():
        if one.at is not None:
            size = sizes.get(one.model) or BOX_M
            yield Box(f"loudspeaker:{one.id}", "loudspeaker", one.at, size, _yaw(one.at, seat))
    for sub in project.subwoofers:
        if sub.at is not None:
            size = sizes.get(sub.model) or (0.35, 0.35, 0.35)
            square = round(_yaw(sub.at, seat) / 90.0) * 90.0
            yield Box(f"subwoofer:{sub.id}", "loudspeaker", sub.at, size, square)
    for amplifier in project.amplifiers:
        if amplifier.at is not None:
            yield Box(f"amplifier:{amplifier.name}", "device", amplifier.at, (0.43, 0.38, 0.16), 90.0)
    x, y, _ = project.screen.centre
    yield Box(
        "screen",
        "screen",
        project.screen.centre,
        (project.screen.width_m, 0.04, project.screen.height_m),
        _yaw((x, y, 0.0), seat),
    )


def _yaw(at: Point3, seat: Point) -> float:
    return math.degrees(math.atan2(seat[1] - at[1], seat[0] - at[0]))
