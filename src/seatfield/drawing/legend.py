"""The legend: what the symbols and lines of a sheet mean, for those that it uses."""

import math

from seatfield.drawing.board import Board
from seatfield.drawing.lettering import wrap
from seatfield.drawing.scene import Area, Element, Line, Symbol, Text, rectangle
from seatfield.drawing.style import style
from seatfield.drawing.symbols import SHAPES

LINE_MEANINGS = {
    "wall": "wall, cut; its thickness is drawn, not measured",
    "screen": "screen",
    "run seen": "cable in sight",
    "run hidden": "cable hidden",
    "run overhead": "cable overhead",
    "overhead": "overhead",
    "aim": "axis to the main seat",
    "walkway": "way people walk",
    "barred": "keep clear",
    "mains": "mains cable, as far as known",
    "tape": "tape distance on the floor",
    "check tape": "tape distance to check with",
    "azimuth": "bearing from the main seat, left is +",
}
AREAS = {"wall", "barred"}
SAMPLE_MM, ROW_MM, GAP_MM = 8.0, 1.8, 2.5


def legend_rows(elements: tuple[Element, ...]) -> tuple[tuple[str, str, str], ...]:
    """Kind (``symbol`` or ``line``), name and meaning of everything in a drawing that wants explaining."""
    symbols = dict.fromkeys(e.name for e in elements if isinstance(e, Symbol))
    lines = {e.style for e in elements if isinstance(e, Line | Area)}
    rows = [("symbol", name, SHAPES[name].caption) for name in SHAPES if name in symbols]
    rows += [("line", name, meaning) for name, meaning in LINE_MEANINGS.items() if name in lines]
    return tuple(rows)


def draw_legend(board: Board, box: tuple[float, float, float, float], columns: int = 2) -> float:
    """Draw the legend of what is on the board into the lower end of `box` [m]; give its height [m]."""
    rows = legend_rows(tuple(board.elements))
    mm = 1.0 / board.mm_per_m
    column_mm = (box[2] - box[0]) * board.mm_per_m / columns
    letters_mm = column_mm - SAMPLE_MM - GAP_MM - 2.0
    wrapped = [(kind, name, wrap(meaning, style("small"), letters_mm)) for kind, name, meaning in rows]
    split = [
        wrapped[math.ceil(len(rows) / columns) * k : math.ceil(len(rows) / columns) * (k + 1)]
        for k in range(columns)
    ]
    heights = [sum(_row_mm(words) for _, _, words in column) for column in split]
    top = box[1] + max(heights, default=0.0) * mm
    for k, column in enumerate(split):
        x, y = box[0] + k * column_mm * mm, top
        for kind, name, words in column:
            _row(board, (kind, name), words, x, y)
            y -= _row_mm(words) * mm
    return top - box[1]


def _row_mm(words: tuple[str, ...]) -> float:
    return max(len(words) * style("small").text_mm * 1.15, 4.2) + ROW_MM


def _row(board: Board, what: tuple[str, str], words: tuple[str, ...], x: float, y: float) -> None:
    mm = 1.0 / board.mm_per_m
    middle = y - (_row_mm(words) - ROW_MM) / 2 * mm
    kind, name = what
    if kind == "symbol":
        board.draw(Symbol(name, (x + SAMPLE_MM / 2 * mm, middle), 4.6 * mm, 0.0))
    elif name in AREAS:
        board.draw(Area(rectangle(x, middle - 1.6 * mm, x + SAMPLE_MM * mm, middle + 1.6 * mm), name))
    else:
        board.draw(Line(((x, middle), (x + SAMPLE_MM * mm, middle)), name))
    pitch = style("small").text_mm * 1.15
    for number, text in enumerate(words):
        at = middle + ((len(words) - 1) / 2 - number) * pitch * mm
        board.draw(Text((x + (SAMPLE_MM + GAP_MM) * mm, at), text, "small", rise="middle"))
