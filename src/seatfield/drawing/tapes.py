"""Marking out: the room as a bare outline with the tapes that find one loudspeaker's place."""

import math

from seatfield.drawing.board import Board, Wish, letters_mm
from seatfield.drawing.measures import length_text
from seatfield.drawing.scene import Circle, Dimension, Line, Point, Scene, Symbol, Text
from seatfield.drawing.walls import offset_corners, on_wall
from seatfield.model import Project
from seatfield.stages.layout.result import Mark, Tape
from seatfield.stages.plan import Plan
from seatfield.stages.survey.naming import corner_name
from seatfield.stages.survey.result import WallFrame

AROUND_MM = 7.0


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
        Outline, corners' letters, tapes with their distances, and the place.
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
        _tape(board, project, tape, at, check=number > 1)
    if mark.wall is not None and mark.along_m is not None:
        _wall_tape(board, project, walls[mark.wall], mark)
    _letters(board, walls, mark)
    board.draw(Circle(at, 1.3 / board.mm_per_m, "main seat"))
    board.draw(Circle(at, 0.35 / board.mm_per_m, "fill"))
    seat = project.main_seat.at
    board.draw(
        Symbol(
            "main seat", seat, 3.2 / board.mm_per_m, _towards(seat, project.screen.centre[:2]), "main seat"
        )
    )
    board.place(bounds)
    return Scene(
        f"Place of {mark.channel}",
        scale,
        bounds,
        tuple(board.elements),
        f"How to find the place of {mark.channel}.",
    )


def _tape(board: Board, project: Project, tape: Tape, at: Point, *, check: bool) -> None:
    """One tape with its distance on it, beside it where a wall is too near, without it where the tape is short."""
    name = "check tape" if check else "tape"
    board.draw(Line((tape.at, at), name))
    dx, dy = at[0] - tape.at[0], at[1] - tape.at[1]
    length = math.hypot(dx, dy) or 1.0
    aside = 2.6 / board.mm_per_m
    spots = tuple(
        (tape.at[0] + dx * share - dy / length * off, tape.at[1] + dy * share + dx / length * off)
        for off in (0.0, aside, -aside)
        for share in (0.45, 0.35, 0.6, 0.25)
    )
    text = ((length_text(tape.distance_m, project.units), name),)
    if length * board.mm_per_m < letters_mm(text)[0] + 3.0:
        return
    board.ask(Wish(text, spots[0], 0.0, spots=spots, tied=False))


def _wall_tape(board: Board, project: Project, wall: WallFrame, mark: Mark) -> None:
    """Draw the distance along the wall, drawn just inside it, from the corner that it is measured from."""
    along = mark.along_m or 0.0
    from_start = mark.from_corner == corner_name(wall.wall.number)
    start = on_wall(wall, 0.0 if from_start else wall.length_m)
    end = on_wall(wall, along if from_start else wall.length_m - along)
    side = wall.along[0] * wall.inward[1] - wall.along[1] * wall.inward[0]
    offset = math.copysign(3.5 / board.mm_per_m, side if from_start else -side)
    board.draw(Dimension(start, end, offset, length_text(along, project.units), "tape"))


def _letters(board: Board, walls: tuple[WallFrame, ...], mark: Mark) -> None:
    """Letters of the corners that are measured from, outside the outline; the others small."""
    used = {tape.corner for tape in mark.tapes} | {mark.from_corner}
    for i, place in enumerate(offset_corners(walls, tuple(3.8 / board.mm_per_m for _ in walls))):
        name = corner_name(i)
        if name in used:
            board.draw(Circle(place, 2.6 / board.mm_per_m, "corner"))
        board.draw(Text(place, name, "corner" if name in used else "faint name", "middle", "middle"))


def _towards(point: Point, other: Point) -> float:
    return math.degrees(math.atan2(other[1] - point[1], other[0] - point[0]))
