"""Scenes for the screen: the same drawing as on paper, at the scale of the view, with no sheet around it."""

from dataclasses import dataclass, fields, replace
from typing import Any, Literal

from seatfield.drawing import (
    Arc,
    Area,
    Circle,
    Dimension,
    Element,
    Line,
    Plain,
    Scene,
    Sheet,
    Text,
    Title,
    elevations,
)
from seatfield.drawing.bass_curves import bass_curves
from seatfield.drawing.board import Board, Wish
from seatfield.drawing.contours import FINER, contour_map, even_levels
from seatfield.drawing.fittings import draw_seats
from seatfield.drawing.floor_plan import draw_room
from seatfield.drawing.kit import draw_amplifiers, draw_loudspeakers, draw_runs, draw_subwoofers
from seatfield.drawing.measures import draw_bearings
from seatfield.drawing.parts import take_apart
from seatfield.drawing.sheet import STRIP_MM
from seatfield.drawing.walls import drawn_thickness_m, offset_corners
from seatfield.model import OpeningKind, Project
from seatfield.stages.plan import Plan
from seatfield.stages.survey import corner_name

AROUND_MM = 14.0
"""Room around the walls, for measures and corners' letters."""
BEARINGS_MM = 5.0
"""Room beyond that for bearings, where the paper has it."""

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


def field_scene(plan: Plan, look: Look) -> Scene | None:
    """Draw the field over the floor by itself: tints and contour lines; None where none is asked for or known."""
    tints, lines = _field(plan, look, 1000.0 / look.scale, finer=MOVING_FINER)
    if not tints:
        return None
    return Scene("Bass over the floor", look.scale, _bounds(plan, look), (*tints, *lines))


def wall_scenes(project: Project, plan: Plan, *, sheet: Sheet, revision: int) -> tuple[Scene, ...]:
    """Draw every wall from inside, on sheets of the view's size; the page has a title block of its own."""
    if plan.layout is None:
        return ()
    drawn = elevations(project, plan, sheet, Title(project.name, "Walls from inside", str(revision), ""))
    return tuple(_without_strip(scene) for scene in drawn)


def _without_strip(scene: Scene) -> Scene:
    """Cut the title block off the foot of a sheet, and what paper is left empty above it."""
    left, bottom, right, top = scene.bounds
    strip = bottom + STRIP_MM / scene.mm_per_m
    pieces = [piece for element in scene.elements for piece in take_apart(element, scene.mm_per_m)]
    kept = tuple(piece for piece in pieces if max(_heights(piece)) > strip)
    lowest = min((low for piece in kept for low in _heights(piece)), default=bottom)
    return replace(scene, elements=kept, bounds=(left, lowest - 6.0 / scene.mm_per_m, right, top))


def _heights(piece: Plain) -> list[float]:
    match piece:
        case Line():
            return [y for _, y in piece.points]
        case Area():
            return [y for _, y in piece.outline]
        case Text():
            return [piece.at[1]]
        case Circle() | Arc():
            return [piece.centre[1] - piece.radius_m, piece.centre[1] + piece.radius_m]


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
    board = Board(1000.0 / look.scale)
    bounds = _bounds(plan, look)
    if not plan.survey.walls:
        _draw_unfit(board, plan)
    else:
        tints, lines = _field(plan, look, board.mm_per_m)
        board.elements += tints
        draw_room(board, project, plan, measures=measures)
        board.draw_all(lines)
    placed = plan.layout.loudspeakers if plan.layout else ()
    pairs = tuple((one.azimuth_deg, one.at[:2]) for one in placed if one.at and one.azimuth_deg is not None)
    if plan.layout is not None and not look.over:
        draw_bearings(board, project, pairs, bounds)
    laid = plan.cable if look.over == "runs" else None
    if laid is not None:
        draw_runs(board, laid, plan.survey.walls)
    if look.over in {"", "runs"}:
        draw_loudspeakers(board, project, placed, laid.runs if laid else ())
    draw_subwoofers(board, project)
    draw_amplifiers(board, project)
    draw_seats(board, project)
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
    around = (AROUND_MM + BEARINGS_MM) * mm
    half = (
        max((right - left) / 2 + around, look.width_mm * mm / 2),
        max((high - low) / 2 + around, look.height_mm * mm / 2),
    )
    x, y = (left + right) / 2, (low + high) / 2
    return x - half[0], y - half[1], x + half[0], y + half[1]
