"""Wall elevations: every wall from inside, as many beside each other as fit."""

import math

from seatfield.drawing.board import Board
from seatfield.drawing.scene import Scene
from seatfield.drawing.sheet import GAP_MM, STRIP_MM, Sheet, Title, fitting_scale, title_block, usual_scales
from seatfield.drawing.unrolled import Unrolled, ceiling_profile, draw_wall
from seatfield.model import LengthUnit, Project
from seatfield.stages.plan import Plan
from seatfield.stages.survey.result import Survey, WallFrame

SIDE_MM, ABOVE_MM, BELOW_MM = 13.0, 10.0, 17.0  # around one elevation
FEW = 2  # so many walls get no sheet of their own where a somewhat smaller scale joins them to the others
SMALLER = 1.6  # so much smaller such a scale may be
# On a screen: about as wide as a wall with what surrounds it is drawn, and the largest that it is drawn at all.
WALL_MM, LARGEST = 105.0, 20.0


def elevations(project: Project, plan: Plan, sheet: Sheet, title: Title) -> tuple[Scene, ...]:
    """Draw every wall from inside, as many to a sheet as fit at one scale.

    Parameters
    ----------
    project, plan
        The room and its kit, and what was found out about them.
    sheet
        Field of paper to fill; its column of notes is not used.
    title
        What the title block says.

    Returns
    -------
    tuple of Scene
        One or more sheets.
    """
    survey = plan.survey
    high_m = max(_height_m(wall, survey) for wall in survey.walls)
    wide_m = max(wall.length_m for wall in survey.walls)
    room_mm = (sheet.width_mm - 2 * SIDE_MM, (sheet.height_mm - STRIP_MM - GAP_MM) / 2 - ABOVE_MM - BELOW_MM)
    scale = fitting_scale(wide_m, high_m, room_mm, project.units)
    scenes = []
    pages = _pages(survey, scale, sheet)
    if len(pages) > 1 and len(pages[-1]) <= FEW:
        scale, pages = _joined(survey, (scale, pages), (sheet, project.units))
    for number, placed in enumerate(pages):
        board = Board(1000.0 / scale)
        mm = scale / 1000.0
        bounds = (0.0, -(sheet.height_mm) * mm, sheet.width_mm * mm, 0.0)
        for one in placed:
            draw_wall(board, one, project, plan)
        inside = (0.0, bounds[1] + (STRIP_MM + GAP_MM) * mm, bounds[2], 0.0)
        board.place(inside)
        name = title.sheet if len(pages) == 1 else f"{title.sheet}, {number + 1} of {len(pages)}"
        edge = 0.5 * mm
        strip = (edge, bounds[1] + edge, bounds[2] - edge, bounds[1] + STRIP_MM * mm)
        board.draw(
            *title_block(
                Title(title.project, name, title.revision, title.date),
                scale,
                strip,
                board.mm_per_m,
                project.units,
            )
        )
        about = f"Walls of {project.name} seen from inside at 1:{scale:g}."
        scenes.append(Scene(name, scale, bounds, tuple(board.elements), about))
    return tuple(scenes)


def walls_in_rows(project: Project, plan: Plan, width_mm: float, height_mm: float) -> Scene:
    """Draw every wall from inside in rows for a screen, at the scale at which the widest fill the width.

    Parameters
    ----------
    project, plan
        The room and its kit, and what was found out about them.
    width_mm, height_mm
        What the view has [mm]; a wall is never taller than that, the rows together may be.
    """
    walls = plan.survey.walls
    high_m = max(_height_m(wall, plan.survey) for wall in walls)
    beside = max(1, int(width_mm / WALL_MM))
    wide_m = sum(sorted(wall.length_m for wall in walls)[-beside:])
    across = 1000.0 * wide_m / max(width_mm - 2 * beside * SIDE_MM, 2 * SIDE_MM)
    up = 1000.0 * high_m / max(height_mm - ABOVE_MM - BELOW_MM, ABOVE_MM + BELOW_MM)
    scale = max(across, up, LARGEST)
    (placed,) = _pages(plan.survey, scale, Sheet(width_mm, math.inf))
    board = Board(1000.0 / scale, thin=True)
    for one in placed:
        draw_wall(board, one, project, plan)
    bounds = (0.0, min(one.y for one in placed) - BELOW_MM * scale / 1000.0, width_mm * scale / 1000.0, 0.0)
    board.place(bounds)
    about = f"Walls of {project.name} seen from inside at 1:{scale:.0f}."
    return Scene("Walls from inside", scale, bounds, tuple(board.elements), about)


def _joined(
    survey: Survey,
    loose: tuple[int, list[list[Unrolled]]],
    on: tuple[Sheet, LengthUnit],
) -> tuple[int, list[list[Unrolled]]]:
    """Return the first usual scale, not much smaller, that takes fewer sheets; what was given where there is none."""
    scale, pages = loose
    for smaller in usual_scales(on[1]):
        if scale < smaller <= SMALLER * scale:
            joined = _pages(survey, smaller, on[0])
            if len(joined) < len(pages):
                return smaller, joined
    return loose


def _pages(survey: Survey, scale: float, sheet: Sheet) -> list[list[Unrolled]]:
    """Set walls side by side, row under row, each row as high as its highest wall, page after page."""
    mm = scale / 1000.0
    side, above, below = SIDE_MM * mm, ABOVE_MM * mm, BELOW_MM * mm
    floor_limit = -(sheet.height_mm - STRIP_MM - GAP_MM) * mm
    pages: list[list[Unrolled]] = [[]]
    top = 0.0
    for row in _rows(survey.walls, sheet.width_mm * mm, side):
        high_m = max(_height_m(wall, survey) for wall in row)
        if top - above - high_m - below < floor_limit - 1e-9 and pages[-1]:
            pages.append([])
            top = 0.0
        x, y = side, top - above - high_m
        for wall in row:
            mirrored = wall.along[0] * wall.inward[1] - wall.along[1] * wall.inward[0] > 0.0
            pages[-1].append(Unrolled(wall, x, y, mirrored))
            x += wall.length_m + 2 * side
        top = y - below
    return pages


def _rows(walls: tuple[WallFrame, ...], width: float, side: float) -> list[list[WallFrame]]:
    """Part walls into rows no wider than the sheet [m], as long as one wall is not wider by itself."""
    rows: list[list[WallFrame]] = []
    left = 0.0
    for wall in walls:
        needed = wall.length_m + 2 * side
        if not rows or needed > left + 1e-9:
            rows.append([])
            left = width
        rows[-1].append(wall)
        left -= needed
    return rows


def _height_m(wall: WallFrame, survey: Survey) -> float:
    """Height of the ceiling over a wall where it is highest [m]."""
    return max(up for _, up in ceiling_profile(wall, survey))
