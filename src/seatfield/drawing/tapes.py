"""Marking out: the room as a bare outline with the tapes that find one loudspeaker's place."""

import math
from itertools import combinations

from seatfield.drawing.board import Board
from seatfield.drawing.scene import Circle, Line, Point, Scene, Symbol, Text
from seatfield.drawing.walls import offset_corners, on_wall
from seatfield.model import Project
from seatfield.stages.layout.result import Mark
from seatfield.stages.plan import Plan
from seatfield.stages.survey.naming import corner_name
from seatfield.stages.survey.result import WallFrame

AROUND_MM = 7.5
OUT_MM, RING_MM = 3.8, 2.6  # of a corner's letter from the outline, and the ring around it
CLEAR_MM = 4.6  # between a ring and a small letter
LANE_MM = 0.9  # of a way along a wall from that wall
ROUNDS = 20


def marking_sketch(project: Project, plan: Plan, mark: Mark, at: Point, size_mm: Point) -> Scene:
    """Draw how one place is found on the floor or on the wall: a sketch beside the numbers, not to a usual scale.

    Parameters
    ----------
    project, plan
        The room, and what was found out about it.
    mark
        The tape distances to draw.
    at
        Plumb point of the place [m].
    size_mm
        Field to fill [mm].

    Returns
    -------
    Scene
        Outline, corners' letters, tapes, and the place. The distances stand beside the sketch, where they can be read.
    """
    walls = plan.survey.walls
    xs, ys = [w.start[0] for w in walls], [w.start[1] for w in walls]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    scale = 1000.0 * max(wide / (size_mm[0] - 2 * AROUND_MM), high / (size_mm[1] - 2 * AROUND_MM), 1e-3)
    mm = scale / 1000.0
    cx, cy = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    bounds = (
        cx - size_mm[0] / 2 * mm,
        cy - size_mm[1] / 2 * mm,
        cx + size_mm[0] / 2 * mm,
        cy + size_mm[1] / 2 * mm,
    )
    board = Board(1.0 / mm)
    for thing in plan.survey.room.furniture:
        board.draw(Line(thing.outline, "grid", closed=True))
    board.draw(Line(tuple(w.start for w in walls), "outline", closed=True))
    for number, tape in enumerate(mark.tapes):
        board.draw(Line((tape.at, at), "check tape" if number > 1 else "tape"))
    if mark.wall is not None and mark.along_m is not None:
        _wall_way(board, walls[mark.wall], mark, at)
    _letters(board, walls, mark)
    board.draw(Circle(at, 1.3 / board.mm_per_m, "main seat"))
    board.draw(Circle(at, 0.35 / board.mm_per_m, "fill"))
    seat = project.main_seat.at
    board.draw(
        Symbol(
            "main seat", seat, 3.2 / board.mm_per_m, _towards(seat, project.screen.centre[:2]), "main seat"
        )
    )
    return Scene(
        f"Place of {mark.channel}",
        scale,
        bounds,
        tuple(board.elements),
        f"How to find the place of {mark.channel}.",
    )


def _wall_way(board: Board, wall: WallFrame, mark: Mark, at: Point) -> None:
    """Draw the way along the wall from the corner that it is measured from, and out to the place."""
    along = mark.along_m or 0.0
    from_start = mark.from_corner == corner_name(wall.wall.number)
    start = on_wall(wall, 0.0 if from_start else wall.length_m, LANE_MM / board.mm_per_m)
    turn = on_wall(wall, along if from_start else wall.length_m - along, LANE_MM / board.mm_per_m)
    board.draw(Line((start, turn, at), "tape"))


def _letters(board: Board, walls: tuple[WallFrame, ...], mark: Mark) -> None:
    """Letter the corners that are measured from, outside the outline; the others small where there is room."""
    mm = 1.0 / board.mm_per_m
    used = {tape.corner for tape in mark.tapes} | {mark.from_corner}
    if mark.check_from.startswith("corner "):
        used.add(mark.check_from.removeprefix("corner ").split(",")[0])
    places = offset_corners(walls, tuple(OUT_MM * mm for _ in walls))
    ringed = [i for i in range(len(walls)) if corner_name(i) in used]
    spread = _apart([places[i] for i in ringed], 2 * RING_MM * mm + 0.4 * mm)
    for i, place in zip(ringed, spread, strict=True):
        board.draw(Circle(place, RING_MM * mm, "corner"))
        board.draw(Text(place, corner_name(i), "corner", "middle", "middle"))
    taken = list(spread)
    for i, place in enumerate(places):
        if i not in ringed and all(math.dist(place, other) > CLEAR_MM * mm for other in taken):
            taken.append(place)
            board.draw(Text(place, corner_name(i), "faint name", "middle", "middle"))


def _apart(places: list[Point], least: float) -> list[Point]:
    """Push places apart until each two are a distance from each other, or nearly so."""
    moved = list(places)
    for _ in range(ROUNDS):
        for i, j in combinations(range(len(moved)), 2):
            (ax, ay), (bx, by) = moved[i], moved[j]
            gap = math.dist(moved[i], moved[j])
            if gap >= least:
                continue
            ux, uy = ((bx - ax) / gap, (by - ay) / gap) if gap > 1e-9 else (0.0, 1.0)
            push = (least - gap) / 2
            moved[i], moved[j] = (ax - ux * push, ay - uy * push), (bx + ux * push, by + uy * push)
    return moved


def _towards(point: Point, other: Point) -> float:
    return math.degrees(math.atan2(other[1] - point[1], other[0] - point[0]))
