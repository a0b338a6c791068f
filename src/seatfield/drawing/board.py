"""A board to draw on: collects elements, remembers what letters must keep off, and places the labels last."""

import dataclasses
import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

from seatfield.drawing.lettering import CAPITAL, DESCENT, LINE, width_mm, wrap
from seatfield.drawing.parts import take_apart
from seatfield.drawing.placing import (
    Box,
    Ground,
    Label,
    beyond_mm,
    length_inside,
    overlap,
    place_labels,
    thin_labels,
)
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
HAIR_MM = 1e-6  # so that a word as wide as its line stays on it
# What it costs to leave a label out, and to leave out one of its further lines; weighed by looking, no source.
SPARE = {"label": 300.0, "name": 40.0, "count": 20.0, "faint name": 8.0, "azimuth": 40.0}
USUAL_SPARE, LINE_SPARE, NARROWER = 40.0, 9.0, 1.0
MOST_SHORTENED = 0.4  # of the labels of several lines
BEYOND = 100.0  # for each millimetre that letters stand out of the field
COVERED = 12.0  # for each square millimetre of letters or symbols that a label would cover


Lines = tuple[tuple[str, str], ...]
"""Lines of letters from the top, each with its style."""


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

    lines: Lines
    point: Point
    clear_mm: float = 3.0
    prefer_deg: float | None = None
    spots: tuple[Point, ...] = ()
    tied: bool = True
    ref: str = ""


@dataclass(slots=True)
class Board:
    """What has been drawn so far, at a scale.

    On paper every label is written. On a screen, where one can come closer, `thin` lets go of what finds no room.
    `field` is what letters should not leave [m]; None for no bounds.
    """

    mm_per_m: float
    thin: bool = False
    field: Box | None = None
    elements: list[Element] = dataclasses.field(default_factory=list)
    wishes: list[Wish] = dataclasses.field(default_factory=list)
    boxes: list[tuple[Box, float]] = dataclasses.field(default_factory=list)
    segments: list[tuple[Point, Point, float]] = dataclasses.field(default_factory=list)
    letters: list[Box] = dataclasses.field(default_factory=list)

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
        field_mm = (left, bottom, right, top)
        ground = Ground(field_mm, tuple(self.boxes), tuple(self.segments), inner, tuple(self.letters))
        if self.thin:
            self._write_some(ground)
        else:
            boxes = place_labels(tuple(self._label(wish) for wish in self.wishes), ground)
            for wish, box in zip(self.wishes, boxes, strict=True):
                self._letter(wish, box)
        self.wishes.clear()

    def _write_some(self, ground: Ground) -> None:
        """Write what finds room; where many names lose what stands below them, all do."""
        written = self._thinned(ground)
        more = [k for k, wish in enumerate(self.wishes) if _name_of(wish.lines) != wish.lines]
        lost = [k for k in more if written[k][0] != self.wishes[k].lines]
        if len(lost) > MOST_SHORTENED * len(more):
            self.wishes = [replace(wish, lines=_name_of(wish.lines)) for wish in self.wishes]
            written = self._thinned(ground)
        for wish, (lines, box) in zip(self.wishes, written, strict=True):
            if box is not None:
                self._letter(replace(wish, lines=lines), box)

    def _thinned(self, ground: Ground) -> list[tuple[Lines, Box | None]]:
        """Return what is written of every wish, and where; no box where it is left out."""
        forms = [_forms(wish.lines) for wish in self.wishes]
        labels = [self._label(wish, form) for wish, form in zip(self.wishes, forms, strict=True)]
        chosen = thin_labels(tuple(labels), ground)
        return [(form[one.form][0], one.box) for form, one in zip(forms, chosen, strict=True)]

    def _label(self, wish: Wish, forms: tuple[tuple[Lines, float], ...] = ()) -> Label:
        point = (wish.point[0] * self.mm_per_m, wish.point[1] * self.mm_per_m)
        spots = tuple((x * self.mm_per_m, y * self.mm_per_m) for x, y in wish.spots)
        shorter = tuple((letters_mm(lines), loss) for lines, loss in forms[1:])
        spare = SPARE.get(wish.lines[0][1], USUAL_SPARE)
        size = letters_mm(wish.lines)
        return Label(point, size, wish.clear_mm, wish.prefer_deg, spots, shorter, spare)

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
        self.keep_clear(box)

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
                self.keep_clear(text_box(piece, mm))

    def keep_clear(self, box: Box) -> None:
        """Keep labels off letters that stand in a box [mm]."""
        self.boxes.append((box, COVERED))
        self.letters.append(box)

    def _keep_off(self, points: tuple[Point, ...], cost: float) -> None:
        mm = self.mm_per_m
        for (x0, y0), (x1, y1) in pairwise(points):
            self.segments.append(((x0 * mm, y0 * mm), (x1 * mm, y1 * mm), cost))

    def _field_mm(self) -> Box:
        left, low, right, high = self.field or (-math.inf, -math.inf, math.inf, math.inf)
        return left * self.mm_per_m, low * self.mm_per_m, right * self.mm_per_m, high * self.mm_per_m

    def in_the_way(self, element: Element) -> float:
        """Add up what an element would cover: its letters and rings all that is drawn, its lines the letters.

        Letters and rings that leave the field cost more than any place inside it.
        """
        cost = 0.0
        for piece in take_apart(element, self.mm_per_m):
            if isinstance(piece, Text | Circle):
                box = (
                    text_box(piece, self.mm_per_m)
                    if isinstance(piece, Text)
                    else circle_box(piece, self.mm_per_m)
                )
                cost += sum(weight * overlap(box, other) for other, weight in self.boxes)
                cost += BEYOND * beyond_mm(box, self._field_mm())
                cost += sum(weight * length_inside(start, end, box) for start, end, weight in self.segments)
            elif isinstance(piece, Line):
                ends = [(x * self.mm_per_m, y * self.mm_per_m) for x, y in piece.points]
                for start, end in pairwise(ends):
                    cost += sum(2.0 * length_inside(start, end, other) for other, _ in self.boxes)
        return cost


def named(name: str, look: str, room_mm: float = NAME_MM) -> Lines:
    """Break a name that somebody typed into the lines of a label, and end it with … where it is too long for one.

    Words stay whole however little room there is, as long as they are no wider than any name may be.
    """
    widest = max((width_mm(word, style(look)) for word in name.split()), default=0.0)
    lines = wrap(name, style(look), max(room_mm, min(widest + HAIR_MM, NAME_MM)))
    if len(lines) > NAME_LINES:
        lines = (*lines[: NAME_LINES - 1], lines[NAME_LINES - 1][:-1] + "…")
    return tuple((line, look) for line in lines)


def _name_of(lines: Lines) -> Lines:
    """Return the lines that name a thing, without what is said of it in lesser letters below."""
    return tuple(line for line in lines if line[1] == lines[0][1])


def _forms(lines: Lines) -> tuple[tuple[Lines, float], ...]:
    """Return lines whole, then the name alone, then the name as narrow as its longest word, with what each costs."""
    name, look = _name_of(lines), lines[0][1]
    loss = LINE_SPARE * (len(lines) - len(name))
    words = " ".join(line for line, _ in name)
    narrow = named(words, look, 0.0)
    shorter = ((name, loss), (narrow, loss + NARROWER))
    # A name that is cut short in narrow lines is no form of it.
    return ((lines, 0.0), *(form for form in shorter if " ".join(line for line, _ in form[0]) == words))


def letters_mm(lines: Lines) -> Point:
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
