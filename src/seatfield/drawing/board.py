"""A board to draw on: collects elements, remembers what letters must keep off, and places the labels last."""

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise

from seatfield.drawing.lettering import CAPITAL, DESCENT, LINE, width_mm, wrap
from seatfield.drawing.parts import take_apart
from seatfield.drawing.placing import Box, Ground, Label, length_inside, overlap, place_labels
from seatfield.drawing.scene import Arc, Area, Circle, Element, Line, Point, Text
from seatfield.drawing.style import style

# What it costs a label to cover a millimetre of a line; common practice of legible drawings, no source.
LINE_COST = {
    "wall": 4.0,
    "outline": 4.0,
    "floor line": 8.0,
    "tape": 0.3,
    "check tape": 0.2,
    "grid": 0.0,
    "opening": 2.0,
    "leaf": 2.0,
    "swing": 0.4,
    "screen": 4.0,
    "furniture": 0.7,
    "cloth": 0.15,
    "barred": 0.3,
    "aim": 0.3,
    "walkway": 0.3,
    "dimension": 2.0,
    "leader": 0.4,
    "note leader": 0.3,
    "loudspeaker": 5.0,
}
USUAL_COST = 1.5
NAME_MM, NAME_LINES = 40.0, 3  # the widest and tallest that a label's name may be
NAME_LEAST_MM = 9.0  # a thing narrower than this still has its name in pieces that can be read
COVERED = 12.0  # for each square millimetre of letters or symbols that a label would cover


@dataclass(frozen=True, slots=True)
class Wish:
    """Letters that want a place near a point.

    Parameters
    ----------
    lines
        Pairs of letters and style, from the top.
    point
        What they belong to [m].
    clear_mm
        Distance to keep from it; 0 to stand on it, as a name stands on a table.
    prefer_deg
        Direction that they would rather stand in [deg].
    spots
        Places to try instead of those around the point, the best first [m].
    tied
        Whether a thin line ties letters to their point when they had to go far.
    """

    lines: tuple[tuple[str, str], ...]
    point: Point
    clear_mm: float = 3.0
    prefer_deg: float | None = None
    spots: tuple[Point, ...] = ()
    tied: bool = True
    ref: str = ""


@dataclass(slots=True)
class Board:
    """What has been drawn so far, at a scale."""

    mm_per_m: float
    elements: list[Element] = field(default_factory=list)
    wishes: list[Wish] = field(default_factory=list)
    boxes: list[tuple[Box, float]] = field(default_factory=list)
    segments: list[tuple[Point, Point, float]] = field(default_factory=list)

    def draw(self, *elements: Element) -> None:
        """Add elements on top of those there, and keep labels off them."""
        for element in elements:
            self.elements.append(element)
            for piece in take_apart(element, self.mm_per_m):
                self._avoid(piece)

    def draw_all(self, elements: Iterable[Element]) -> None:
        """Add each of `elements`."""
        self.draw(*elements)

    def ask(self, wish: Wish) -> None:
        """Ask for a label; it is placed when all is drawn."""
        self.wishes.append(wish)

    def place(self, bounds: tuple[float, float, float, float], home: tuple[Point, ...] = ()) -> None:
        """Place all labels asked for within `bounds` [m], rather inside the outline `home`, and draw them."""
        mm = self.mm_per_m
        left, bottom, right, top = (edge * mm for edge in bounds)
        inner = tuple((x * mm, y * mm) for x, y in home)
        ground = Ground((left, bottom, right, top), tuple(self.boxes), tuple(self.segments), inner)
        labels = tuple(self._label(wish) for wish in self.wishes)
        for wish, box in zip(self.wishes, place_labels(labels, ground), strict=True):
            self._letter(wish, box)
        self.wishes.clear()

    def _label(self, wish: Wish) -> Label:
        point = (wish.point[0] * self.mm_per_m, wish.point[1] * self.mm_per_m)
        spots = tuple((x * self.mm_per_m, y * self.mm_per_m) for x, y in wish.spots)
        return Label(point, letters_mm(wish.lines), wish.clear_mm, wish.prefer_deg, spots)

    def _letter(self, wish: Wish, box: Box) -> None:
        left, bottom, right, top = (edge / self.mm_per_m for edge in box)
        px, py = wish.point
        middle = (left + right) / 2
        gap_mm = math.hypot(max(left - px, 0.0, px - right), max(bottom - py, 0.0, py - top)) * self.mm_per_m
        if wish.tied and gap_mm > wish.clear_mm + 2.0:
            near = (min(max(px, left), right), min(max(py, bottom), top))
            away = math.dist(near, wish.point)
            share = max(away - 0.85 * wish.clear_mm / self.mm_per_m, 0.0) / away
            end = (near[0] + (px - near[0]) * share, near[1] + (py - near[1]) * share)
            self.elements.append(Line((near, end), "leader", ref=wish.ref))
        anchor, x = "middle", middle
        if not wish.spots and wish.clear_mm:
            anchor, x = ("start", left) if px <= left else ("end", right) if px >= right else (anchor, middle)
        base = top
        for number, (text, name) in enumerate(wish.lines):
            size = style(name).text_mm / self.mm_per_m
            base -= size * (CAPITAL if number == 0 else LINE)
            self.elements.append(Text((x, base), text, name, anchor, ref=wish.ref))
        self.boxes.append((box, COVERED))

    def _avoid(self, piece: Line | Area | Circle | Arc | Text) -> None:
        mm = self.mm_per_m
        cost = LINE_COST.get(piece.style, USUAL_COST)
        match piece:
            case Line():
                points = (*piece.points, piece.points[0]) if piece.closed else piece.points
                self._keep_off(points, cost)
            case Area():
                for ring in (piece.outline, *piece.holes):
                    self._keep_off((*ring, ring[0]), cost)
                if piece.style in {"loudspeaker", "fill", "device", "corner"}:
                    xs, ys = [x * mm for x, _ in piece.outline], [y * mm for _, y in piece.outline]
                    self.boxes.append(((min(xs), min(ys), max(xs), max(ys)), COVERED))
            case Circle():
                self.boxes.append((circle_box(piece, mm), COVERED / 2))
            case Arc():
                self._keep_off(_chord_points(piece), cost)
            case Text():
                self.boxes.append((text_box(piece, mm), COVERED))

    def _keep_off(self, points: tuple[Point, ...], cost: float) -> None:
        mm = self.mm_per_m
        for (x0, y0), (x1, y1) in pairwise(points):
            self.segments.append(((x0 * mm, y0 * mm), (x1 * mm, y1 * mm), cost))

    def in_the_way(self, element: Element) -> float:
        """Add up what an element would cover: its letters and rings all that is drawn, its lines the letters."""
        cost = 0.0
        for piece in take_apart(element, self.mm_per_m):
            if isinstance(piece, Text | Circle):
                box = (
                    text_box(piece, self.mm_per_m)
                    if isinstance(piece, Text)
                    else circle_box(piece, self.mm_per_m)
                )
                cost += sum(weight * overlap(box, other) for other, weight in self.boxes)
                cost += sum(weight * length_inside(start, end, box) for start, end, weight in self.segments)
            elif isinstance(piece, Line):
                ends = [(x * self.mm_per_m, y * self.mm_per_m) for x, y in piece.points]
                for start, end in pairwise(ends):
                    cost += sum(2.0 * length_inside(start, end, other) for other, _ in self.boxes)
        return cost


def named(name: str, look: str, room_mm: float = NAME_MM) -> tuple[tuple[str, str], ...]:
    """Break a name that somebody typed into the lines of a label, and end it with … where it is too long for one."""
    lines = wrap(name, style(look), max(room_mm, NAME_LEAST_MM))
    if len(lines) > NAME_LINES:
        lines = (*lines[: NAME_LINES - 1], lines[NAME_LINES - 1][:-1] + "…")
    return tuple((line, look) for line in lines)


def letters_mm(lines: tuple[tuple[str, str], ...]) -> Point:
    """Width and height of lines of letters, the last with its descenders [mm]."""
    sizes = [style(name).text_mm for _, name in lines]
    height = sum(size * (CAPITAL if number == 0 else LINE) for number, size in enumerate(sizes))
    return max(width_mm(text, style(name)) for text, name in lines), height + sizes[-1] * DESCENT


def text_box(piece: Text, mm_per_m: float) -> Box:
    """Upright box around one line of letters at any angle [mm]."""
    one = style(piece.style)
    width, height = width_mm(piece.text, one), one.text_mm * CAPITAL
    left = {"start": 0.0, "middle": -width / 2, "end": -width}[piece.anchor]
    low = {"base": 0.0, "middle": -height / 2, "top": -height}[piece.rise]
    cos, sin = math.cos(math.radians(piece.angle_deg)), math.sin(math.radians(piece.angle_deg))
    corners = [(x, y) for x in (left, left + width) for y in (low, low + height)]
    xs = [piece.at[0] * mm_per_m + x * cos - y * sin for x, y in corners]
    ys = [piece.at[1] * mm_per_m + x * sin + y * cos for x, y in corners]
    return min(xs), min(ys), max(xs), max(ys)


def circle_box(piece: Circle, mm_per_m: float) -> Box:
    """Upright box around a circle [mm]."""
    x, y, r = piece.centre[0] * mm_per_m, piece.centre[1] * mm_per_m, piece.radius_m * mm_per_m
    return x - r, y - r, x + r, y + r


def _chord_points(arc: Arc) -> tuple[Point, ...]:
    steps = 8
    angles = [math.radians(arc.from_deg + arc.sweep_deg * step / steps) for step in range(steps + 1)]
    (x, y), r = arc.centre, arc.radius_m
    return tuple((x + r * math.cos(angle), y + r * math.sin(angle)) for angle in angles)
