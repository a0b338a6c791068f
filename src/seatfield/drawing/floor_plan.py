"""The floor plan as an annotated survey drawing."""

from dataclasses import dataclass, replace

from seatfield.drawing.board import Board
from seatfield.drawing.fittings import draw_fittings, draw_seats
from seatfield.drawing.kit import draw_amplifiers, draw_loudspeakers, draw_paths, draw_runs, draw_subwoofers
from seatfield.drawing.legend import draw_legend
from seatfield.drawing.measures import draw_bearings, draw_corners, draw_wall_measures, length_text
from seatfield.drawing.scene import Area, Line, Point, Scene
from seatfield.drawing.sheet import (
    GAP_MM,
    STRIP_MM,
    Sheet,
    Title,
    draw_lines,
    draw_notes,
    fitting_scale,
    title_block,
)
from seatfield.drawing.slopes import draw_slopes
from seatfield.drawing.walls import drawn_thickness_m, offset_corners, on_wall, opening_in_plan, wall_solids
from seatfield.model import Finding, LengthUnit, OpeningKind, Point3, Project, Severity
from seatfield.stages.cable.result import Run
from seatfield.stages.plan import Plan

PAD_MM = 0.5
LIGHT = 3  # findings in the margin up to which mere notes may fill it
SKETCH_AROUND_M = 0.35
MEASURES_MM = 14.0  # beyond the walls' thickness, for measures


@dataclass(frozen=True, slots=True)
class Shown:
    """What a floor plan shows besides the room and what stands in it."""

    loudspeakers: bool = True
    runs: bool = False
    bearings: bool = True
    measures: bool = True
    findings: bool = True


@dataclass(frozen=True, slots=True)
class Field:
    """Where on the sheet the parts of a drawing lie [m], and the scale."""

    scale: float
    sheet: tuple[float, float, float, float]
    drawing: tuple[float, float, float, float]
    notes: tuple[float, float, float, float]
    strip: tuple[float, float, float, float]


def floor_plan(project: Project, plan: Plan, sheet: Sheet, title: Title, shown: Shown | None = None) -> Scene:
    """Draw the floor with what stands on it, at the largest usual scale that fits the sheet.

    Parameters
    ----------
    project, plan
        The room and its kit, and what was found out about them.
    sheet
        Field of paper to fill.
    title
        What the title block says.
    shown
        What to show besides the room.

    Returns
    -------
    Scene
        With margin notes, scale bar and title block.
    """
    shown = shown or Shown()
    field = lay_out(project, plan, sheet)
    board = Board(1000.0 / field.scale)
    draw_standing(board, project, plan)
    if shown.bearings and plan.layout is not None:
        pairs = tuple(
            (one.azimuth_deg, one.at[:2])
            for one in plan.layout.loudspeakers
            if one.at and one.azimuth_deg is not None
        )
        draw_bearings(board, project, pairs, field.drawing)
    if shown.runs and plan.cable is not None:
        draw_runs(board, plan.cable, plan.survey.walls)
    if shown.loudspeakers and plan.layout is not None:
        runs = plan.cable.runs if shown.runs and plan.cable is not None else ()
        draw_loudspeakers(board, project, plan.layout.loudspeakers, runs)
    draw_subwoofers(board, project)
    draw_amplifiers(board, project)
    draw_seats(board, project)
    # Leaders come before measures and letters, which keep off them and stand on a rim of paper.
    _margin(board, project, plan, field, shown)
    if shown.measures:
        draw_wall_measures(board, plan.survey.walls, plan.survey.room, project.units)
    draw_corners(board, plan.survey.walls)
    # The legend names the screen: its name would stand among those of the kit before it.
    board.wishes = [wish for wish in board.wishes if wish.ref != "screen"]
    board.place(field.drawing, plan.survey.room.floor)
    about = f"Floor plan of {project.name} at 1:{field.scale:g}."
    board.draw(*title_block(title, field.scale, field.strip, board.mm_per_m, project.units))
    return Scene(title.sheet, field.scale, field.sheet, tuple(board.elements), about)


def _margin(board: Board, project: Project, plan: Plan, field: Field, shown: Shown) -> None:
    """Write legend and findings, or the runs, beside the drawing."""
    left, bottom, right, top = field.notes
    height = draw_legend(board, field.notes)
    margin = (left, bottom + height + 5.0 / board.mm_per_m, right, top)
    if shown.findings:
        draw_notes(board, noted(project, plan), margin, len(plan.findings))
    elif shown.runs and plan.cable is not None:
        draw_lines(board, run_lines(plan.cable.runs, project.units), margin)


def floor_sketch(project: Project, plan: Plan, size_mm: Point) -> Scene:
    """Draw the floor in small without letters or measures, as large as a field [mm] allows, to no usual scale."""
    board, bounds, scale = _sketched(plan, size_mm)
    draw_walls(board, plan)
    draw_fittings(board, project, plan.survey.room, plan.survey.walls)
    draw_loudspeakers(board, project, plan.layout.loudspeakers if plan.layout else ())
    draw_subwoofers(board, project)
    draw_amplifiers(board, project)
    draw_seats(board, project)
    return Scene("Floor", scale, bounds, tuple(board.elements), f"The floor of {project.name} in small.")


def routes_sketch(
    project: Project, plan: Plan, routes: tuple[tuple[str, tuple[Point3, ...]], ...], size_mm: Point
) -> Scene:
    """Draw one set of routes over the bare floor in small, shared ways with the number of their cables.

    `routes` pairs each run with its path [m]; what lies above head height is dotted.
    """
    board, bounds, scale = _sketched(plan, size_mm)
    draw_walls(board, plan)
    for thing in plan.survey.room.furniture:
        board.draw(Area(thing.outline, "furniture", ref=f"furniture:{thing.name}"))
    draw_paths(board, routes, plan.survey.walls)
    draw_amplifiers(board, project)
    board.wishes = [wish for wish in board.wishes if not wish.ref]
    board.place(bounds)
    return Scene("Routes", scale, bounds, tuple(board.elements), f"routes over the floor of {project.name}.")


def _sketched(plan: Plan, size_mm: Point) -> tuple[Board, tuple[float, float, float, float], float]:
    """Make a board for the floor in small: with its bounds [m] and its scale."""
    corners = [wall.start for wall in plan.survey.walls]
    low, high = (
        (min(x for x, _ in corners), min(y for _, y in corners)),
        (max(x for x, _ in corners), max(y for _, y in corners)),
    )
    wide, tall = high[0] - low[0] + 2 * SKETCH_AROUND_M, high[1] - low[1] + 2 * SKETCH_AROUND_M
    scale = 1000.0 * max(wide / size_mm[0], tall / size_mm[1])
    cx, cy = (low[0] + high[0]) / 2, (low[1] + high[1]) / 2
    bounds = (cx - wide / 2, cy - tall / 2, cx + wide / 2, cy + tall / 2)
    return Board(1000.0 / scale), bounds, scale


def noted(project: Project, plan: Plan) -> tuple[Finding, ...]:
    """Return findings for the margin, each at its place: all that weigh, topped up by mere notes that have a place."""
    placed = tuple(replace(f, at=f.at or place_of(f.subject, project, plan)) for f in plan.findings)
    heavy = tuple(f for f in placed if f.severity is not Severity.NOTE)
    light = tuple(f for f in placed if f.severity is Severity.NOTE and f.at is not None)
    return heavy + light[: max(LIGHT - len(heavy), 0)]


def place_of(subject: str, project: Project, plan: Plan) -> Point3 | None:
    """Where the thing called `subject` stands, if it stands anywhere."""
    stands: dict[str, Point3 | None] = {one.name: one.at for one in project.amplifiers}
    stands |= {one.id: one.at for one in project.subwoofers}
    stands |= {one.id: one.at for one in plan.layout.loudspeakers} if plan.layout else {}
    if subject in stands:
        return stands[subject]
    for opening in plan.survey.room.openings:
        if opening.id == subject:
            return (*on_wall(plan.survey.walls[opening.wall], opening.start_m + opening.width_m / 2), 0.0)
    seat = next((one for one in project.seats if one.name == subject), None)
    return seat.head if seat else None


def draw_room(board: Board, project: Project, plan: Plan, *, measures: bool = True) -> None:
    """Draw walls, openings, what stands in the room, and its measures."""
    draw_standing(board, project, plan)
    if measures:
        draw_wall_measures(board, plan.survey.walls, plan.survey.room, project.units)


def draw_standing(board: Board, project: Project, plan: Plan) -> None:
    """Draw walls, openings and what stands in the room, without measures."""
    draw_walls(board, plan)
    draw_fittings(board, project, plan.survey.room, plan.survey.walls)
    draw_slopes(board, plan.survey, project.units)


def draw_walls(board: Board, plan: Plan) -> None:
    """Draw the walls, cut, with their openings."""
    room, walls = plan.survey.room, plan.survey.walls
    board.draw(*wall_solids(walls, room.openings))
    for opening in room.openings:
        board.draw(*opening_in_plan(opening, walls[opening.wall]))
        if opening.beyond:
            board.draw(Line(opening.beyond, "overhead", closed=True, ref=f"opening:{opening.id}"))


def run_lines(runs: tuple[Run, ...], unit: LengthUnit) -> tuple[tuple[str, str], ...]:
    """Write the runs for the margin: what to cut of what, and for which loudspeaker."""
    return tuple((f"{run.id}: {run.conductor}, cut {length_text(run.cut_m, unit)}", "note") for run in runs)


def lay_out(project: Project, plan: Plan, sheet: Sheet) -> Field:
    """Choose the scale and say where drawing, notes and title block lie."""
    left, low, right, high = _reach(plan)
    notes_mm = sheet.notes_mm + GAP_MM if sheet.notes_mm else 0.0
    wide_mm, high_mm = (
        sheet.width_mm - 2 * PAD_MM - notes_mm,
        sheet.height_mm - 2 * PAD_MM - STRIP_MM - GAP_MM,
    )
    room_mm = (wide_mm - 2 * MEASURES_MM, high_mm - 2 * MEASURES_MM)
    scale = fitting_scale(right - left, high - low, room_mm, project.units)
    mm = scale / 1000.0
    x = (left + right) / 2 - wide_mm / 2 * mm
    y = (low + high) / 2 - high_mm / 2 * mm
    top, foot = y + high_mm * mm, y - (STRIP_MM + GAP_MM) * mm
    edge, pad = x + (sheet.width_mm - 2 * PAD_MM) * mm, PAD_MM * mm
    return Field(
        scale,
        (x - pad, foot - pad, edge + pad, top + pad),
        (x, y, x + wide_mm * mm, top),
        (edge - sheet.notes_mm * mm, y, edge, top),
        (x, foot, edge, y - GAP_MM * mm),
    )


def _reach(plan: Plan) -> tuple[float, float, float, float]:
    """How far the drawn walls reach, and doors that open outward past the measures."""
    walls = plan.survey.walls
    points = list(offset_corners(walls, tuple(drawn_thickness_m(wall) for wall in walls)))
    for opening in plan.survey.room.openings:
        if opening.kind is OpeningKind.DOOR and opening.opens == "outward":
            wall = walls[opening.wall]
            # The measures take a part of the swing; what is beyond them needs room of its own.
            out = drawn_thickness_m(wall) + opening.width_m - MEASURES_MM / 1000.0 * 30.0
            points += [on_wall(wall, opening.start_m + share * opening.width_m, -out) for share in (0.0, 1.0)]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)
