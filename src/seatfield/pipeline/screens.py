"""Scenes for the screen: the same drawing as on paper, at the scale of the view, with no sheet around it."""

from dataclasses import dataclass, fields
from typing import Any, Literal

from seatfield.drawing import (
    Area,
    Dimension,
    Element,
    Line,
    Plain,
    Scene,
)
from seatfield.drawing.bass_curves import bass_curves
from seatfield.drawing.board import Board, Wish
from seatfield.drawing.contours import FINER, contour_map, even_levels
from seatfield.drawing.elevations import walls_in_rows
from seatfield.drawing.fittings import draw_seats
from seatfield.drawing.floor_plan import draw_room
from seatfield.drawing.kit import draw_amplifiers, draw_loudspeakers, draw_runs, draw_subwoofers
from seatfield.drawing.measures import draw_bearings, draw_corners
from seatfield.drawing.parts import take_apart
from seatfield.drawing.walls import drawn_thickness_m, offset_corners
from seatfield.model import OpeningKind, Point3, Project, Severity
from seatfield.stages.plan import Plan
from seatfield.stages.survey import corner_name

AROUND_MM = 12.5
"""Room around the walls, for measures and corners' letters."""
BEARINGS_MM = 6.5
"""Room beyond that for bearings, where the paper has it on all sides."""
MARK_MM = (1.2, 5.8)
"""From where a finding lies to the near and the far edge of its number, which the page draws up and to the right."""

MEASURES_M = 0.4
"""What measures take anyway of the room that an outward door needs; at the usual scales."""

MOVING_FINER = 2
"""How finely a field is drawn while something moves; it is drawn anew once the hand has let go."""

Bounds = tuple[float, float, float, float]
Over = Literal["", "runs", "bass", "listener"]


@dataclass(frozen=True, slots=True)
class Look:
    """How the floor is shown.

    Parameters
    ----------
    scale
        n of 1:n, so that letters keep their size on the screen at any zoom.
    width_mm, height_mm
        Paper that the view has; bearings stand at its edge.
    over
        What is shown besides the loudspeakers' axes, which it replaces: ``runs`` of cable, or how even the ``bass`` is
        with one subwoofer at each place, or for one ``listener`` there.
    """

    scale: float
    width_mm: float = 0.0
    height_mm: float = 0.0
    over: Over = ""


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
    for finding in plan.findings:
        if finding.at is not None and finding.severity is not Severity.NOTE:
            board.keep_clear(_mark(finding.at, board.mm_per_m))
    board.place(bounds, plan.survey.room.floor)
    return _scene(project, board, look.scale, bounds)


def _mark(at: Point3, mm_per_m: float) -> tuple[float, float, float, float]:
    """Box of the number that a finding has on the page [mm]."""
    x, y = at[0] * mm_per_m, at[1] * mm_per_m
    return x + MARK_MM[0], y + MARK_MM[0], x + MARK_MM[1], y + MARK_MM[1]


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


def field_scene(plan: Plan, look: Look) -> Scene | None:
    """Draw the field over the floor by itself: tints and contour lines; None where none is asked for or known."""
    tints, lines = _field(plan, look, 1000.0 / look.scale, finer=MOVING_FINER)
    if not tints:
        return None
    return Scene("Bass over the floor", look.scale, _bounds(plan, look), (*tints, *lines))


def wall_scenes(project: Project, plan: Plan, width_mm: float, height_mm: float) -> tuple[Scene, ...]:
    """Draw every wall from inside for a view of a size [mm]; nothing where the room is not sound."""
    return () if plan.layout is None else (walls_in_rows(project, plan, width_mm, height_mm),)


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
        {"kind": type(piece).__name__.lower()} | _plain(piece) | ref | more
        for piece in take_apart(element, mm_per_m)
    ]


def _plain(piece: Plain) -> dict[str, Any]:
    """Return a piece's fields, which are texts, numbers and coordinates, just as they are."""
    return {field.name: getattr(piece, field.name) for field in fields(piece)}


def bass_scene(plan: Plan, size_mm: tuple[float, float]) -> Scene | None:
    """Draw what each seat hears of the subwoofers; None where nothing is known of it."""
    if plan.bass is None or not plan.bass.curves:
        return None
    return bass_curves(plan.bass.curves, size_mm)


def _drawn(project: Project, plan: Plan, look: Look, *, measures: bool = True) -> tuple[Board, Bounds]:
    bounds = _bounds(plan, look)
    board = Board(1000.0 / look.scale, thin=True, field=bounds)
    if not plan.survey.walls:
        _draw_unfit(board, plan)
    else:
        tints, lines = _field(plan, look, board.mm_per_m)
        board.elements += tints
        draw_room(board, project, plan, measures=measures)
        board.draw_all(lines)
    placed = plan.layout.loudspeakers if plan.layout else ()
    pairs = tuple((one.azimuth_deg, one.at[:2]) for one in placed if one.at and one.azimuth_deg is not None)
    if plan.layout is not None and not look.over and _spacious(plan, look):
        draw_bearings(board, project, pairs, bounds)
    laid = plan.cable if look.over == "runs" else None
    if laid is not None:
        draw_runs(board, laid, plan.survey.walls)
    if look.over in {"", "runs"}:
        draw_loudspeakers(board, project, placed, laid.runs if laid else ())
    draw_subwoofers(board, project)
    draw_amplifiers(board, project)
    draw_seats(board, project)
    if measures and plan.survey.walls:
        draw_corners(board, plan.survey.walls)
    return board, bounds


def _field(
    plan: Plan, look: Look, mm_per_m: float, *, finer: int = FINER
) -> tuple[list[Element], list[Element]]:
    """Return tints and contour lines of the bass over the floor, where they are asked for and known."""
    bass = plan.bass if look.over in {"bass", "listener"} else None
    field = None if bass is None else bass.map if look.over == "bass" else bass.seat_map
    if field is None:
        return [], []
    return contour_map(field, even_levels(field), plan.survey.room.floor, mm_per_m, finer=finer)


def _draw_unfit(board: Board, plan: Plan) -> None:
    """Draw an outline that nothing can be computed with yet, so that it can be mended by hand."""
    corners = plan.survey.room.floor
    board.draw(Line(corners, "outline", closed=True))
    for thing in plan.survey.room.furniture:
        board.draw(Area(thing.outline, "furniture", ref=f"furniture:{thing.name}"))
    for number, corner in enumerate(corners):
        name = corner_name(number)
        board.ask(Wish(((name, "corner"),), corner, 2.0, ref=f"corner:{name}"))


def _scene(project: Project, board: Board, scale: float, bounds: Bounds) -> Scene:
    about = f"Floor plan of {project.name} at 1:{scale:g}."
    return Scene("Floor plan", scale, bounds, tuple(board.elements), about)


def reach(plan: Plan) -> Bounds:
    """How far the drawn walls and outward doors reach: left, low, right, high [m]."""
    walls = plan.survey.walls
    outer = offset_corners(walls, tuple(drawn_thickness_m(wall) for wall in walls))
    points = [*(plan.survey.room.floor or ((0.0, 0.0), (1.0, 1.0))), *outer]
    for opening in plan.survey.room.openings if walls else ():
        points += opening.beyond
        if opening.kind is OpeningKind.DOOR and opening.opens == "outward":
            wall = walls[opening.wall]
            out = opening.width_m + drawn_thickness_m(wall) - MEASURES_M
            x, y = wall.start[0] - out * wall.inward[0], wall.start[1] - out * wall.inward[1]
            points.append((x + opening.start_m * wall.along[0], y + opening.start_m * wall.along[1]))
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def _bounds(plan: Plan, look: Look) -> Bounds:
    """How far the paper reaches: the view's, or what the drawing and its measures need [m]."""
    mm = look.scale / 1000.0
    left, low, right, high = reach(plan)
    half = (
        max((right - left) / 2 + AROUND_MM * mm, look.width_mm * mm / 2),
        max((high - low) / 2 + AROUND_MM * mm, look.height_mm * mm / 2),
    )
    x, y = (left + right) / 2, (low + high) / 2
    return x - half[0], y - half[1], x + half[0], y + half[1]


def _spacious(plan: Plan, look: Look) -> bool:
    """Whether the paper has room for bearings on all sides."""
    left, low, *_ = reach(plan)
    bounds = _bounds(plan, look)
    spare_mm = min(left - bounds[0], low - bounds[1]) * 1000.0 / look.scale
    return spare_mm >= AROUND_MM + BEARINGS_MM
