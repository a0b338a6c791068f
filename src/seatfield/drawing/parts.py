"""Taking elements apart: dimensions, notes and symbols as plain lines and letters."""

import math
from collections.abc import Iterator

from seatfield.drawing.lettering import CAPITAL, LINE
from seatfield.drawing.scene import (
    Circle,
    Dimension,
    Element,
    Line,
    Note,
    Plain,
    Point,
    Scene,
    Symbol,
    Text,
    moved,
)
from seatfield.drawing.style import style
from seatfield.drawing.symbols import SHAPES

TICK_MM = 1.2  # half length of the oblique stroke that ends a dimension line: common practice, no source
GAP_MM = 0.8  # from the thing measured to the extension line, and from the line to its value
BEYOND_MM = 1.2  # the extension line runs past the dimension line


def plain(scene: Scene) -> Iterator[Plain]:
    """Every element of a scene taken apart, in order of drawing."""
    for element in scene.elements:
        yield from take_apart(element, scene.mm_per_m)


def take_apart(element: Element, mm_per_m: float) -> tuple[Plain, ...]:
    """Give the lines, areas, circles, arcs and letters that an element is made of."""
    match element:
        case Dimension():
            return _dimension(element, mm_per_m)
        case Note():
            return _note(element, mm_per_m)
        case Symbol():
            return tuple(
                moved(piece, element.at, element.size_m, element.angle_deg)
                for piece in SHAPES[element.name].pieces
            )
        case _:
            return (element,)


def _dimension(element: Dimension, mm_per_m: float) -> tuple[Plain, ...]:
    """Extension lines, the dimension line with oblique strokes, and the value upright or read from the right.

    References
    ----------
    ISO 129-1: values above the line, read from the bottom or the right of the sheet; from memory.
    """
    (x0, y0), (x1, y1) = element.start, element.end
    length = math.hypot(x1 - x0, y1 - y0) or 1.0
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    nx, ny = -uy, ux
    tick, gap, beyond = TICK_MM / mm_per_m, GAP_MM / mm_per_m, BEYOND_MM / mm_per_m
    side = math.copysign(1.0, element.offset_m)
    off = element.offset_m

    def at(point: Point, along: float, out: float) -> Point:
        return point[0] + along * ux + out * nx, point[1] + along * uy + out * ny

    pieces: list[Plain] = [Line((at(element.start, 0, off), at(element.end, 0, off)), element.style)]
    for end in (element.start, element.end):
        if abs(off) > gap + beyond:
            pieces.append(Line((at(end, 0, side * gap), at(end, 0, off + side * beyond)), element.style))
        # The stroke leans 45° to the line.
        pieces.append(
            Line((at(end, -tick / 2, off - tick / 2), at(end, tick / 2, off + tick / 2)), element.style)
        )
    if not element.text:
        return tuple(pieces)
    angle = math.degrees(math.atan2(uy, ux))
    readable = _readable(angle)
    above = gap if readable == angle else -gap
    middle = at(element.start, length / 2 + element.text_shift_m, off + above + element.text_out_m)
    pieces.append(Text(middle, element.text, element.style, "middle", "base", readable, element.ref))
    return tuple(pieces)


def _readable(angle_deg: float) -> float:
    """Turn letters by half a turn where they would stand on their heads."""
    folded = (angle_deg + 180.0) % 360.0 - 180.0
    if folded > 90.0 + 1e-6:
        return folded - 180.0
    if folded <= -90.0 + 1e-6:
        return folded + 180.0
    return angle_deg


def _note(element: Note, mm_per_m: float) -> tuple[Plain, ...]:
    """Letters line by line, and a leader from the first line to the target with a dot at its end."""
    x, top = element.at
    pieces: list[Plain] = []
    base = top
    for number, (text, name) in enumerate(element.lines):
        size = style(name).text_mm / mm_per_m
        base -= size * (CAPITAL if number == 0 else LINE)
        pieces.append(Text((x, base), text, name, ref=element.ref))
    if element.target is not None and element.lines:
        first = style(element.lines[0][1]).text_mm / mm_per_m
        from_x = x - 1.5 / mm_per_m
        from_y = top - first * CAPITAL / 2
        pieces.append(
            Line(
                ((from_x, from_y), (from_x - 3 / mm_per_m, from_y), element.target),
                element.leader,
                ref=element.ref,
            )
        )
        pieces.append(Circle(element.target, 0.7 / mm_per_m, element.leader, ref=element.ref))
    return tuple(pieces)


def note_height_mm(element: Note) -> float:
    """Height of a note's letters on paper [mm]."""
    sizes = [style(name).text_mm for _, name in element.lines]
    return sum(size * (CAPITAL if number == 0 else LINE) for number, size in enumerate(sizes))
