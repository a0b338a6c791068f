"""Measures of the room: wall lengths and where openings sit, outside the walls; bearings at the paper's edge."""

import math
from dataclasses import replace
from itertools import pairwise

from seatfield.drawing.board import Board, Wish
from seatfield.drawing.lettering import primed, width_mm
from seatfield.drawing.scene import Circle, Dimension, Line, Point, Text
from seatfield.drawing.style import style
from seatfield.drawing.walls import drawn_thickness_m, offset_corners, on_wall
from seatfield.model import LengthUnit, Project, Room
from seatfield.stages.survey.naming import corner_name
from seatfield.stages.survey.result import WallFrame
from seatfield.units import format_length

CHAIN_MM = 4.2  # from the outside of the wall to the chain of openings
OVERALL_MM = 9.2  # to the length of the whole wall
OUT_COST = (
    0.0,
    4.0,
    40.0,
    60.0,
)  # how unwelcome each distance of a whole length is; the last two are inside the room
CORNER_IN_MM = (5.0, 7.5, 10.0, 12.5)  # from the walls to the letter of a corner that juts into the room
INSIDE_COST, FAR_IN_COST = (
    20.0,
    6.0,
)  # what it costs a corner's letter to stand inside the room, and each mm further
CHAIN_SPARE = 30.0  # what it costs, on a screen, to leave the value of a stretch unwritten
SHORTEST_M = 0.05  # stretches below this are not written


def length_text(length_m: float, unit: LengthUnit) -> str:
    """Write a length in the project's unit, with typographic primes for feet and inches."""
    return primed(format_length(length_m, unit.value))


def draw_wall_measures(board: Board, walls: tuple[WallFrame, ...], room: Room, unit: LengthUnit) -> None:
    """Draw the chain of openings where a wall has any, and the wall's whole length beyond it."""
    for i, wall in enumerate(walls):
        breaks = sorted(
            {0.0, wall.length_m}
            | {
                at
                for o in room.openings
                if o.wall == i
                for at in (o.start_m, min(o.start_m + o.width_m, wall.length_m))
            }
        )
        if len(breaks) > 2:
            out_mm = drawn_thickness_m(wall) * board.mm_per_m + CHAIN_MM
            points = tuple(on_wall(wall, at) for at in breaks)
            draw_chain(board, points, _out_side(wall) * out_mm, unit, f"wall:{i}")
    for i, wall in enumerate(walls):
        _overall(board, wall, unit, chained=any(o.wall == i for o in room.openings))


def _overall(board: Board, wall: WallFrame, unit: LengthUnit, *, chained: bool) -> None:
    """Draw the wall's whole length, at the first distance where neither letters nor lines are in its way."""
    first_mm = drawn_thickness_m(wall) * board.mm_per_m + (OVERALL_MM if chained else CHAIN_MM)
    best, least = None, math.inf
    for place, out_mm in enumerate((first_mm, first_mm + 5.5, -6.0, -11.0)):
        for shift in (0.0, 0.25, -0.25):
            off = OUT_COST[place] + 2.0 * abs(shift)
            if off >= least:
                continue  # with nothing in its way it would be no better
            line = Dimension(
                wall.start,
                wall.end,
                _out_side(wall) * out_mm / board.mm_per_m,
                length_text(wall.length_m, unit),
                ref=f"wall:{wall.wall.number}",
                key=f"room.floor[{wall.wall.number}]",
                text_shift_m=shift * wall.length_m,
            )
            if (cost := board.in_the_way(line) + off) < least:
                best, least = line, cost
    assert best is not None
    board.draw(best)


def _out_side(wall: WallFrame) -> float:
    """Sign of an offset that leads out of the room."""
    return -1.0 if wall.along[0] * wall.inward[1] - wall.along[1] * wall.inward[0] > 0.0 else 1.0


def draw_chain(
    board: Board, points: tuple[Point, ...], out_mm: float, unit: LengthUnit, ref: str = ""
) -> None:
    """Draw the stretches between points of a straight line; `out_mm` as a dimension's offset.

    A value wider than its stretch moves off the line to where least is in its way.
    """
    for start, end in pairwise(points):
        length_m = math.dist(start, end)
        if length_m < SHORTEST_M:
            continue
        text = length_text(length_m, unit)
        narrow = width_mm(text, style("dimension")) > length_m * board.mm_per_m - 1.0
        choices: list[tuple[float, int, Dimension]] = []
        for off_mm in (-3.6, 3.2) if narrow else (0.0,):
            off_m = math.copysign(1.0, out_mm) * off_mm / board.mm_per_m
            line = Dimension(start, end, out_mm / board.mm_per_m, text, ref=ref, text_out_m=off_m)
            choices.append((board.in_the_way(line), len(choices), line))
        cost, _, line = min(choices)
        board.draw(replace(line, text="") if narrow and board.thin and cost > CHAIN_SPARE else line)


def draw_corners(board: Board, walls: tuple[WallFrame, ...]) -> None:
    """Letter every corner in a ring outside the room; one that juts in, where least is in the way."""
    outside = offset_corners(walls, tuple(drawn_thickness_m(wall) + 3.0 / board.mm_per_m for wall in walls))
    inside = [offset_corners(walls, tuple(-mm / board.mm_per_m for _ in walls)) for mm in CORNER_IN_MM]
    for i in range(len(walls)):
        name = corner_name(i)
        juts = _juts_in(walls[i - 1], walls[i])
        places = [outside[i], *(ring[i] for ring in inside)] if juts else [outside[i]]
        far = [0.0, *(INSIDE_COST + FAR_IN_COST * (mm - CORNER_IN_MM[0]) for mm in CORNER_IN_MM)]
        rings = [Circle(at, 2.4 / board.mm_per_m, "corner", ref=f"corner:{name}") for at in places]
        costs = [board.in_the_way(ring) + more for ring, more in zip(rings, far, strict=False)]
        ring = rings[costs.index(min(costs))]
        board.draw(ring)
        board.draw(Text(ring.centre, name, "corner", "middle", "middle", ref=f"corner:{name}"))


def _juts_in(before: WallFrame, after: WallFrame) -> bool:
    """Whether the corner between two walls points into the room."""
    return after.along[0] * before.inward[0] + after.along[1] * before.inward[1] < 0.0


def draw_bearings(
    board: Board,
    project: Project,
    azimuths: tuple[tuple[float, Point], ...],
    edge: tuple[float, float, float, float],
) -> None:
    """Mark on the edge of the drawn field where each loudspeaker lies as seen from the main seat.

    `azimuths` pairs a bearing in the screen's frame [deg] with the loudspeaker's place; `edge` is the field [m].
    """
    left, bottom, right, top = edge
    mm = board.mm_per_m
    board.draw(Line(((left, bottom), (right, bottom), (right, top), (left, top)), "azimuth", closed=True))
    seat = project.main_seat.at
    done: list[Point] = []
    for azimuth_deg, at in azimuths:
        meet = _edge_point(seat, at, edge)
        if meet is None or any(math.dist(meet, other) * mm < 6.0 for other in done):
            continue
        done.append(meet)
        ux, uy = (seat[0] - meet[0]), (seat[1] - meet[1])
        length = math.hypot(ux, uy)
        inner = (meet[0] + ux / length * 3.0 / mm, meet[1] + uy / length * 3.0 / mm)
        board.draw(Line((meet, inner), "azimuth"))
        facing = math.degrees(math.atan2(uy, ux))
        board.ask(Wish(((bearing_text(azimuth_deg), "azimuth"),), inner, 0.8, facing, tied=False))


def bearing_text(azimuth_deg: float) -> str:
    """Write a bearing to the degree, with its sign where it has one."""
    whole = round(azimuth_deg)
    return f"{whole:+d}°".replace("-", "−") if whole else "0°"


def _edge_point(seat: Point, at: Point, edge: tuple[float, float, float, float]) -> Point | None:
    """Where the ray from the seat through a point leaves the field."""
    dx, dy = at[0] - seat[0], at[1] - seat[1]
    if math.hypot(dx, dy) < 0.05:
        return None
    left, bottom, right, top = edge
    steps = [(right - seat[0]) / dx if dx > 0 else (left - seat[0]) / dx if dx < 0 else math.inf]
    steps.append((top - seat[1]) / dy if dy > 0 else (bottom - seat[1]) / dy if dy < 0 else math.inf)
    step = min(steps)
    return seat[0] + step * dx, seat[1] + step * dy
