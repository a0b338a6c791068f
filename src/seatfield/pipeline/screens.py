"""Scenes for the screen: the same drawing as on paper, at the scale of the view, with no sheet around it."""

from dataclasses import dataclass
from typing import Any

from seatfield.drawing import Dimension, Element, Scene, Sheet, Title, elevations
from seatfield.drawing.board import Board
from seatfield.drawing.fittings import draw_seats
from seatfield.drawing.floor_plan import draw_room
from seatfield.drawing.kit import draw_amplifiers, draw_loudspeakers, draw_runs, draw_subwoofers
from seatfield.drawing.measures import draw_bearings
from seatfield.drawing.parts import take_apart
from seatfield.drawing.walls import drawn_thickness_m, offset_corners
from seatfield.model import OpeningKind, Project
from seatfield.pipeline.encoding import encode
from seatfield.stages.plan import Plan

AROUND_MM = 15.0
"""Room around the walls, for measures and corners' letters."""
BEARINGS_MM = 6.0
"""Room beyond that for bearings, where the paper has it."""

Bounds = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Look:
    """How the floor is shown.

    Parameters
    ----------
    scale
        n of 1:n, so that letters keep their size on the screen at any zoom.
    width_mm, height_mm
        Paper that the view has; bearings stand at its edge.
    runs
        Whether cable is shown, in place of the loudspeakers' axes.
    """

    scale: float
    width_mm: float = 0.0
    height_mm: float = 0.0
    runs: bool = False


def plan_scene(project: Project, plan: Plan, look: Look) -> Scene:
    """Draw the floor for the screen, with every label placed.

    Parameters
    ----------
    project, plan
        The room and its kit, and what was found out about them.
    look
        How it is shown.
    """
    board, bounds = _drawn(project, plan, look)
    board.place(bounds, plan.survey.room.floor)
    return _scene(project, board, look.scale, bounds)


def moving_scene(project: Project, plan: Plan, look: Look, *, measures: bool) -> Scene:
    """Draw the floor while something moves: everything but the labels, which need time to find their places.

    Parameters
    ----------
    project, plan, look
        As for `plan_scene`.
    measures
        Whether walls are measured anew, which only a change of the outline needs.
    """
    board, bounds = _drawn(project, plan, look, measures=measures)
    return _scene(project, board, look.scale, bounds)


def wall_scenes(project: Project, plan: Plan, *, sheet: Sheet, revision: int) -> tuple[Scene, ...]:
    """Draw every wall from inside, on sheets of the view's size."""
    if plan.layout is None:
        return ()
    return elevations(project, plan, sheet, Title(project.name, "Walls from inside", str(revision), ""))


def pieces_of(scene: Scene) -> dict[str, Any]:
    """Return a scene as plain values: lines, areas, circles, arcs and letters in the order of drawing.

    Returns
    -------
    dict
        `name`, `about`, `scale`, `bounds` [m] and `pieces`; a dimension's pieces carry the `key` of what they measure.
    """
    return {
        "name": scene.name,
        "about": scene.about,
        "scale": scene.scale,
        "bounds": list(scene.bounds),
        "pieces": [piece for element in scene.elements for piece in _pieces(element, scene.mm_per_m)],
    }


def _pieces(element: Element, mm_per_m: float) -> list[dict[str, Any]]:
    more = {"key": element.key} if isinstance(element, Dimension) and element.key else {}
    ref = {"ref": element.ref} if element.ref else {}
    return [
        {"kind": type(piece).__name__.lower()} | encode(piece) | ref | more
        for piece in take_apart(element, mm_per_m)
    ]


def _drawn(project: Project, plan: Plan, look: Look, *, measures: bool = True) -> tuple[Board, Bounds]:
    board = Board(1000.0 / look.scale)
    bounds = _bounds(plan, look)
    draw_room(board, project, plan, measures=measures)
    placed = plan.layout.loudspeakers if plan.layout else ()
    pairs = tuple((one.azimuth_deg, one.at[:2]) for one in placed if one.at and one.azimuth_deg is not None)
    if plan.layout is not None and not look.runs:
        draw_bearings(board, project, pairs, bounds)
    laid = plan.cable if look.runs else None
    if laid is not None:
        draw_runs(board, laid, plan.survey.walls)
    draw_loudspeakers(board, project, placed, laid.runs if laid else ())
    draw_subwoofers(board, project)
    draw_amplifiers(board, project)
    draw_seats(board, project)
    return board, bounds


def _scene(project: Project, board: Board, scale: float, bounds: Bounds) -> Scene:
    about = f"Floor plan of {project.name} at 1:{scale:g}."
    return Scene("Floor plan", scale, bounds, tuple(board.elements), about)


def _bounds(plan: Plan, look: Look) -> Bounds:
    """How far the paper reaches: the view's, or what walls, outward doors and measures need [m]."""
    mm = look.scale / 1000.0
    walls = plan.survey.walls
    points = list(offset_corners(walls, tuple(drawn_thickness_m(wall) for wall in walls)))
    for opening in plan.survey.room.openings:
        points += opening.beyond
        if opening.kind is OpeningKind.DOOR and opening.opens == "outward":
            wall = walls[opening.wall]
            out = opening.width_m + drawn_thickness_m(wall) - AROUND_MM * mm
            x, y = wall.start[0] - out * wall.inward[0], wall.start[1] - out * wall.inward[1]
            points.append((x + opening.start_m * wall.along[0], y + opening.start_m * wall.along[1]))
    left, right = min(x for x, _ in points), max(x for x, _ in points)
    low, high = min(y for _, y in points), max(y for _, y in points)
    around = (AROUND_MM + BEARINGS_MM) * mm
    half = (
        max((right - left) / 2 + around, look.width_mm * mm / 2),
        max((high - low) / 2 + around, look.height_mm * mm / 2),
    )
    corners = plan.survey.room.floor
    x = (min(x for x, _ in corners) + max(x for x, _ in corners)) / 2
    y = (min(y for _, y in corners) + max(y for _, y in corners)) / 2
    return x - half[0], y - half[1], x + half[0], y + half[1]
