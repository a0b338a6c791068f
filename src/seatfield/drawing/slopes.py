"""A sloping ceiling in plan: where it folds, and where it is as low as a person, dotted like all that is overhead."""

import math

from seatfield.drawing.board import Board, Wish
from seatfield.drawing.measures import length_text
from seatfield.drawing.scene import Line, Point
from seatfield.geometry.ceiling import Slope
from seatfield.model import LengthUnit
from seatfield.stages.survey.result import Survey

LEVELS_M = (1.0, 1.5, 2.0)  # heights that matter to heads and furniture; common practice, no source
Coefficients = tuple[float, float, float]


def draw_slopes(board: Board, survey: Survey, unit: LengthUnit) -> None:
    """Draw folds and lines of equal height of a ceiling that slopes; nothing for a flat one."""
    planes = survey.ceiling
    for i, (a, b, c) in enumerate(planes):
        others = [plane for j, plane in enumerate(planes) if j != i]
        if math.hypot(a, b) > 1e-6:
            for level in LEVELS_M:
                for piece in _pieces((a, b, c - level), others, level, survey.room.floor):
                    board.draw(Line(piece, "overhead", ref="ceiling"))
                    spots = tuple(_between(piece, share) for share in (0.5, 0.25, 0.75, 0.12, 0.88))
                    text = ((f"ceiling {length_text(level, unit)}", "faint name"),)
                    board.ask(Wish(text, spots[0], 0.0, spots=spots, tied=False, ref="ceiling"))
        for j in range(i + 1, len(planes)):
            fold = (a - planes[j][0], b - planes[j][1], c - planes[j][2])
            if math.hypot(fold[0], fold[1]) > 1e-6:
                rest = [plane for k, plane in enumerate(planes) if k not in {i, j}]
                for piece in _pieces(fold, rest, None, survey.room.floor, planes[i]):
                    board.draw(Line(piece, "overhead", ref="ceiling"))


def _pieces(
    line: Coefficients,
    others: list[Slope],
    level: float | None,
    floor: tuple[Point, ...],
    own: Slope = (0.0, 0.0, 0.0),
) -> list[tuple[Point, Point]]:
    """Cut the line a·x + b·y + c = 0 to the floor and to where no other plane is lower than `level` (or `own`)."""
    a, b, c = line
    square = a * a + b * b
    x0, y0 = -a * c / square, -b * c / square
    ux, uy = -b / math.sqrt(square), a / math.sqrt(square)
    low, high = -math.inf, math.inf
    for plane in others:
        height = (own[0] * x0 + own[1] * y0 + own[2]) if level is None else level
        rise = (plane[0] - own[0]) * ux + (plane[1] - own[1]) * uy
        spare = plane[0] * x0 + plane[1] * y0 + plane[2] - height
        if abs(rise) < 1e-9:
            if spare < 0.0:
                return []
        elif rise > 0.0:
            low = max(low, -spare / rise)
        else:
            high = min(high, -spare / rise)
    crossings = sorted(_crossings((x0, y0), (ux, uy), floor))
    found = []
    for start, end in zip(crossings[::2], crossings[1::2], strict=False):
        first, last = max(start, low), min(end, high)
        if last - first > 0.05:
            found.append(((x0 + first * ux, y0 + first * uy), (x0 + last * ux, y0 + last * uy)))
    return found


def _crossings(at: Point, along: Point, floor: tuple[Point, ...]) -> list[float]:
    """How far along a line it crosses the outline."""
    found = []
    for (x0, y0), (x1, y1) in zip(floor, floor[1:] + floor[:1], strict=True):
        side0 = along[0] * (y0 - at[1]) - along[1] * (x0 - at[0])
        side1 = along[0] * (y1 - at[1]) - along[1] * (x1 - at[0])
        if (side0 <= 0.0) != (side1 <= 0.0):
            t = side0 / (side0 - side1)
            found.append((x0 + t * (x1 - x0) - at[0]) * along[0] + (y0 + t * (y1 - y0) - at[1]) * along[1])
    return found


def _between(piece: tuple[Point, Point], share: float) -> Point:
    (x0, y0), (x1, y1) = piece
    return x0 + (x1 - x0) * share, y0 + (y1 - y0) * share
