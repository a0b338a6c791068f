"""One wall unrolled as seen from inside the room, with what stands against it and its measures."""

import math
from dataclasses import dataclass

from seatfield.drawing.board import Board, Wish, named
from seatfield.drawing.fittings import name_thing, off_wall_m, screen_axis
from seatfield.drawing.kit import leg_style
from seatfield.drawing.measures import draw_chain, length_text
from seatfield.drawing.runs import Way, draw_ways
from seatfield.drawing.scene import Area, Circle, Dimension, Line, Point, Symbol, Text, rectangle
from seatfield.drawing.walls import on_wall
from seatfield.geometry.ceiling import height
from seatfield.model import CoverKind, LengthUnit, Mount, Opening, OpeningKind, Point3, Project, Subwoofer
from seatfield.stages.plan import Plan
from seatfield.stages.survey.naming import corner_name, wall_name
from seatfield.stages.survey.result import Survey, WallFrame

NEAR_M = 0.9  # loudspeakers this close to a wall are shown on it; common practice, no source
AGAINST_M = 0.45  # what stands this close to a wall is shown on its elevation; common practice, no source
ON_WALL_M = 0.10  # runs this close to a wall are shown on it
NARROW_MM = 40.0  # the caption of a wall narrower than this goes below its corners' letters
CORNER_OUT_MM = 4.2  # from a corner to its letter, which so leaves the measures of openings between
CHAIN_MM = 4.2  # from the floor to the measures of openings
# Heights stand beside an opening where the wall leaves room there, or else inside it: its side, the offset from there,
# and how far out of the opening they reach.
UPRIGHT_MM = ((0, 2.4, 6.0), (1, -5.2, 6.0), (0, -5.2, -math.inf), (1, 2.4, -math.inf))
# Heights that nobody measures: drawn for the eye only.
RADIATOR_M = (0.12, 0.72)
SOCKET_M = 0.30
EYE_M = 1.2
RUN_CLEAR_MM = 1.0  # from floor and ceiling line, so that runs on them are seen
HEIGHT_SAMPLE = "0.00 m"  # as wide as most heights, to see where one finds room
MOST_STEPS = 2000
IN_CEILING_M = 0.10


@dataclass(frozen=True, slots=True)
class Unrolled:
    """A wall laid flat: `x` of the sheet at its left end as seen from inside, and the floor's `y` [m]."""

    wall: WallFrame
    x: float
    y: float
    mirrored: bool

    @property
    def middle_x(self) -> float:
        """Middle of the wall across the sheet [m]."""
        return self.x + self.wall.length_m / 2

    def at(self, along_m: float, up_m: float) -> Point:
        """Place on the sheet of a point of the wall."""
        across = self.wall.length_m - along_m if self.mirrored else along_m
        return self.x + across, self.y + up_m


def draw_wall(board: Board, one: Unrolled, project: Project, plan: Plan) -> None:
    """Draw one wall and all that stands against it; its names are asked for."""
    survey, wall = plan.survey, one.wall
    openings = tuple(each for each in survey.room.openings if each.wall == wall.wall.number)
    _surface(board, one, survey, project, opened=bool(openings))
    for opening in openings:
        _opening(board, one, opening)
    _furniture(board, one, survey)
    _fixtures(board, one, survey)
    _screen(board, one, project, survey)
    _runs(board, one, plan)
    _loudspeakers(board, one, project, plan)
    _opening_measures(board, one, openings, project.units)
    beyond = 5.0 / board.mm_per_m
    board.draw(Line(((one.x - beyond, one.y), (one.x + wall.length_m + beyond, one.y)), "floor line"))


def _surface(board: Board, one: Unrolled, survey: Survey, project: Project, *, opened: bool) -> None:
    """Outline under the ceiling, floor line, corners' letters, name and heights."""
    wall, mm = one.wall, 1.0 / board.mm_per_m
    profile = ceiling_profile(wall, survey)
    outline = (one.at(0.0, 0.0), *(one.at(s, z) for s, z in profile), one.at(wall.length_m, 0.0))
    board.draw(Line(outline, "outline", closed=True, ref=f"wall:{wall.wall.number}"))
    count = len(survey.walls)
    ends = (wall.wall.number, (wall.wall.number + 1) % count)
    for along, corner in ((0.0, ends[0]), (wall.length_m, ends[1])):
        x, y = one.at(along, 0.0)
        centre = (x + math.copysign(CORNER_OUT_MM, x - one.middle_x) * mm, y - 5.5 * mm)
        board.draw(
            Circle(centre, 2.4 * mm, "corner"),
            Text(centre, corner_name(corner), "corner", "middle", "middle"),
        )
    drop = 9.0 if opened or wall.length_m * board.mm_per_m < NARROW_MM else 4.0
    middle = (one.middle_x, one.y - drop * mm)
    board.draw(Text(middle, f"Wall {wall_name(wall.wall.number, count)}", "label", "middle", "top"))
    under = (middle[0], middle[1] - 3.8 * mm)
    board.draw(Text(under, length_text(wall.length_m, project.units), "name", "middle", "top"))
    left_first = one.mirrored
    heights = (profile[-1][1], profile[0][1]) if left_first else (profile[0][1], profile[-1][1])
    left, right = (one.x, one.y), (one.x + wall.length_m, one.y)
    board.draw(
        Dimension(left, (left[0], left[1] + heights[0]), 5.0 * mm, length_text(heights[0], project.units))
    )
    if abs(heights[1] - heights[0]) > 0.01:
        board.draw(
            Dimension(
                right, (right[0], right[1] + heights[1]), -5.0 * mm, length_text(heights[1], project.units)
            )
        )


def ceiling_profile(wall: WallFrame, survey: Survey) -> tuple[Point, ...]:
    """Corners of the ceiling line over a wall: distance along it and height [m]."""
    steps = min(max(2, math.ceil(wall.length_m / 0.02)), MOST_STEPS)
    line = []
    for step in range(steps + 1):
        s = wall.length_m * step / steps
        x, y = wall.start[0] + s * wall.along[0], wall.start[1] + s * wall.along[1]
        line.append((s, height(survey.ceiling, x, y)))
    kept = [line[0]]
    for before, here, after in zip(line, line[1:], line[2:], strict=False):
        if abs(before[1] - 2 * here[1] + after[1]) > 1e-6:
            kept.append(here)
    return (*kept, line[-1])


def _opening(board: Board, one: Unrolled, opening: Opening) -> None:
    """Draw a door with its hinge side, a window with its light, an archway."""
    start, end = opening.start_m, opening.start_m + opening.width_m
    low, high = opening.sill_m, opening.sill_m + opening.height_m
    box = tuple(one.at(s, z) for s, z in ((start, low), (end, low), (end, high), (start, high)))
    board.draw(Area(box, "opening", ref=f"opening:{opening.id}"))
    if opening.kind is OpeningKind.DOOR:
        hinge, latch = (start, end) if opening.hinge == "start" else (end, start)
        corner = (one.at(latch, high), one.at(hinge, (low + high) / 2), one.at(latch, low))
        board.draw(Line(corner, "swing"))
    if opening.kind is OpeningKind.WINDOW:
        inset = min(0.06, opening.width_m / 4, opening.height_m / 4)
        pane = (
            (start + inset, low + inset),
            (end - inset, low + inset),
            (end - inset, high - inset),
            (start + inset, high - inset),
        )
        board.draw(Line(tuple(one.at(s, z) for s, z in pane), "swing", closed=True))
    middle = one.at((start + end) / 2, low + (high - low) * 0.8)
    board.ask(
        Wish(
            ((opening.kind.value, "name"),),
            middle,
            0.0,
            spots=(middle, one.at((start + end) / 2, low + (high - low) * 0.35)),
            tied=False,
        )
    )


def _opening_measures(board: Board, one: Unrolled, openings: tuple[Opening, ...], unit: LengthUnit) -> None:
    """Measure openings along the floor below it, and their sills and heads beside them where least is in the way."""
    if not openings:
        return
    wall = one.wall.wall.number
    sides = {at for each in openings for at in (each.start_m, each.start_m + each.width_m)}
    ends = sorted({0.0, one.wall.length_m} | {min(at, one.wall.length_m) for at in sides})
    floor = sorted(one.at(along, 0.0) for along in ends)
    draw_chain(board, tuple(floor), -CHAIN_MM, unit, f"wall:{wall}")
    for each in openings:
        points, out_mm = _heights_beside(board, one, each)
        draw_chain(board, points, out_mm, unit, f"opening:{each.id}")


def _heights_beside(board: Board, one: Unrolled, opening: Opening) -> tuple[tuple[Point, ...], float]:
    """Choose where the heights of an opening stand: foot, sill and head, and the offset of their line [mm]."""
    mm = board.mm_per_m
    heights = sorted({0.0, opening.sill_m, opening.sill_m + opening.height_m})
    left, right = sorted(one.at(opening.start_m + share * opening.width_m, 0.0)[0] for share in (0.0, 1.0))
    spare_mm = ((left - one.x) * mm, (one.x + one.wall.length_m - right) * mm)
    columns = [
        (tuple(((left, right)[side], one.y + up) for up in heights), out)
        for side, out, beyond in UPRIGHT_MM
        if spare_mm[side] >= beyond
    ]
    lines = [Dimension(points[0], points[-1], out / mm, HEIGHT_SAMPLE) for points, out in columns]
    costs = [board.in_the_way(line) for line in lines]
    return columns[costs.index(min(costs))]


def _span(one: Unrolled, outline: tuple[Point, ...]) -> tuple[float, float] | None:
    """Stretch of the wall that an outline stands against, if it does."""
    wall = one.wall
    near = min(
        (x - wall.start[0]) * wall.inward[0] + (y - wall.start[1]) * wall.inward[1] for x, y in outline
    )
    along = [(x - wall.start[0]) * wall.along[0] + (y - wall.start[1]) * wall.along[1] for x, y in outline]
    start, end = max(min(along), 0.0), min(max(along), wall.length_m)
    return (start, end) if -0.05 <= near <= AGAINST_M and end - start > 0.05 else None


def _furniture(board: Board, one: Unrolled, survey: Survey) -> None:
    for thing in survey.room.furniture:
        span = _span(one, thing.outline)
        if span is None:
            continue
        low, high = thing.base_m, thing.base_m + thing.height_m
        corners = tuple(
            one.at(s, z) for s, z in ((span[0], low), (span[1], low), (span[1], high), (span[0], high))
        )
        board.draw(Area(corners, "furniture", ref=f"furniture:{thing.name}"))
        name_thing(board, thing.name, corners, f"furniture:{thing.name}")


def _fixtures(board: Board, one: Unrolled, survey: Survey) -> None:
    number, size = one.wall.wall.number, 4.5 / board.mm_per_m
    for radiator in survey.room.radiators:
        if radiator.wall == number:
            a, b = one.at(radiator.from_m, RADIATOR_M[0]), one.at(radiator.to_m, RADIATOR_M[1])
            box = rectangle(min(a[0], b[0]), a[1], max(a[0], b[0]), b[1])
            board.draw(Area(box, "opening"))
            middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
            board.ask(Wish((("radiator", "faint name"),), middle, 0.0, spots=(middle,), tied=False))
    for socket in survey.room.sockets:
        if socket.wall == number:
            board.draw(Symbol("socket", one.at(socket.at_m, SOCKET_M), size, 90.0, "leaf", socket.key))
    for cover in survey.room.covers:
        if (
            cover.kind is CoverKind.RACEWAY
            and cover.wall == number
            and cover.from_m is not None
            and cover.to_m is not None
        ):
            a, b = one.at(cover.from_m, cover.height_m), one.at(cover.to_m, cover.height_m + 0.02)
            board.draw(Area(rectangle(min(a[0], b[0]), a[1], max(a[0], b[0]), b[1]), "raceway"))


def _along(one: Unrolled, point: Point) -> float:
    wall = one.wall
    return (point[0] - wall.start[0]) * wall.along[0] + (point[1] - wall.start[1]) * wall.along[1]


def _screen(board: Board, one: Unrolled, project: Project, survey: Survey) -> None:
    x, y, z = project.screen.centre
    axis = screen_axis(project, survey.walls)
    faces = axis[0] * one.wall.inward[0] + axis[1] * one.wall.inward[1]
    if off_wall_m(one.wall, (x, y)) > AGAINST_M or faces < 0.7:
        return
    s, half, up = _along(one, (x, y)), project.screen.width_m / 2, project.screen.height_m / 2
    corners = tuple(
        one.at(*p) for p in ((s - half, z - up), (s + half, z - up), (s + half, z + up), (s - half, z + up))
    )
    board.draw(Line(corners, "device", closed=True, ref="screen"))
    board.ask(
        Wish(
            (("screen", "name"),), one.at(s, z), 0.0, spots=(one.at(s, z), one.at(s, z + up / 2)), tied=False
        )
    )


def _runs(board: Board, one: Unrolled, plan: Plan) -> None:
    if plan.cable is None:
        return
    ways = []
    for run in plan.cable.runs:
        for leg in run.legs:
            flat = [p for p in leg.path if off_wall_m(one.wall, p[:2]) < ON_WALL_M]
            if len(flat) > 1 and len(flat) == len(leg.path):
                ways.append(
                    Way(run.id, leg_style(leg), tuple(one.at(_along(one, p[:2]), p[2]) for p in flat))
                )
    clear = RUN_CLEAR_MM / board.mm_per_m

    def place(point: Point, _: str) -> Point:
        return point[0], point[1] + (clear if point[1] - one.y < EYE_M else -clear)

    draw_ways(board, tuple(ways), place)


def _loudspeakers(board: Board, one: Unrolled, project: Project, plan: Plan) -> None:
    """Loudspeakers near the wall, seen from the front, each with its height over the floor."""
    sizes = {m.name: m.size_m for m in project.models if m.size_m}
    for placed in plan.layout.loudspeakers if plan.layout else ():
        if placed.at is None or not _shown_on(one, plan, placed.at):
            continue
        width, _, tall = sizes.get(placed.model, (0.17, 0.2, 0.28))
        s, z = _along(one, placed.at[:2]), placed.at[2]
        if placed.mount is Mount.CEILING:
            # Seen from the side it is flat, and hangs from the ceiling line.
            tall = IN_CEILING_M
            z = min(z, height(plan.survey.ceiling, *placed.at[:2]) - tall / 2)
        _box(board, one.at(s, z), width, tall, f"loudspeaker:{placed.id}")
        text = ((placed.channel, "label"), (length_text(placed.at[2], project.units), "name"))
        board.ask(Wish(text, one.at(s, z), 3.4, ref=f"loudspeaker:{placed.id}"))
        board.draw(Line((one.at(s, 0.0), one.at(s, max(z - tall / 2, 0.0))), "aim"))
    for sub in project.subwoofers:
        if sub.at is not None and _shown_on(one, plan, sub.at):
            width, tall = _subwoofer_front(project, sub)
            _box(board, one.at(_along(one, sub.at[:2]), sub.at[2]), width, tall, f"subwoofer:{sub.id}")
            board.ask(Wish(named(sub.id, "label"), one.at(_along(one, sub.at[:2]), sub.at[2]), 4.5))


def _shown_on(one: Unrolled, plan: Plan, at: Point3) -> bool:
    """Whether this is the nearest wall to a point that stands near it, and high enough for it."""
    walls = plan.survey.walls
    nearest = min(walls, key=lambda wall: off_wall_m(wall, at[:2]))
    along = min(max(_along(one, at[:2]), 0.0), one.wall.length_m)
    foot = on_wall(one.wall, along)
    under = at[2] <= height(plan.survey.ceiling, *foot) - 0.05
    return nearest == one.wall and off_wall_m(one.wall, at[:2]) <= NEAR_M and under


def _subwoofer_front(project: Project, sub: Subwoofer) -> tuple[float, float]:
    size = next((m.size_m for m in project.subwoofer_models if m.name == sub.model), None)
    return (size[0], size[2]) if size else (0.35, 0.35)


def _box(board: Board, centre: Point, width: float, tall: float, ref: str) -> None:
    x, y = centre
    board.draw(
        Area(rectangle(x - width / 2, y - tall / 2, x + width / 2, y + tall / 2), "loudspeaker", ref=ref)
    )
    radius = 0.36 * min(width, tall)
    board.draw(Circle(centre, radius, "swing", ref=ref))
    board.draw(Circle(centre, 0.25 * radius, "swing", ref=ref))
