"""Placing labels so that they cover neither each other nor what is drawn.

Each label may stand at several places around its point. A first choice is made label by label, the most cramped
first; then every label in turn moves to its cheapest place until none wants to move. Coordinates are millimetres
on paper. The outcome is the same for the same input; it is a good arrangement, not a proven best.

References
----------
Christensen, Marks and Shieber, An empirical study of algorithms for point-feature label placement, ACM Transactions
on Graphics 14 (1995): candidate places about a point and local search over them; the costs here are ours.
"""

import math
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]
Box = tuple[float, float, float, float]
Floats = NDArray[np.float64]

CANDIDATES = (
    # direction of the label from its point [deg], and how unwelcome that side is
    (0.0, 0.0),
    (180.0, 0.1),
    (90.0, 0.2),
    (270.0, 0.2),
    (45.0, 0.3),
    (315.0, 0.3),
    (135.0, 0.4),
    (225.0, 0.4),
    *((22.5 + 45.0 * k, 0.5) for k in range(8)),
)
FAR = (1.0, 1.6, 2.4, 3.4, 4.6)  # distances tried, in multiples of the label's own clearance
CROWDED = 40.0  # for each square millimetre of another label that one would cover
APART_MM = (1.2, 0.3)  # kept free beside and between labels, so that two do not read as one
AWAY = 10.0  # what it costs a label to stand outside the outline that it belongs to


@dataclass(frozen=True, slots=True)
class Label:
    """A rectangle of letters that belongs to a point.

    Parameters
    ----------
    point
        Where it belongs [mm].
    size
        Width and height [mm].
    clear_mm
        Distance from the point to the label's edge at the nearest place [mm].
    prefer_deg
        Direction that it would rather stand in, where there is one [deg].
    spots
        Middles to try instead of the places around the point, the best first [mm].
    shorter
        Shorter forms of the label: width and height [mm], and what it costs to say so much less.
    spare
        What it costs to leave the label out.
    """

    point: Point
    size: Point
    clear_mm: float = 3.0
    prefer_deg: float | None = None
    spots: tuple[Point, ...] = ()
    shorter: tuple[tuple[Point, float], ...] = ()
    spare: float = math.inf


@dataclass(frozen=True, slots=True)
class Ground:
    """What labels should keep off: boxes and segments with a cost each, and the field that they must stay in.

    `home` is an outline that labels would rather not leave; empty for none. `letters` stand already: labels that may be
    left out never cover them.
    """

    field: Box
    boxes: tuple[tuple[Box, float], ...] = ()
    segments: tuple[tuple[Point, Point, float], ...] = ()
    home: tuple[Point, ...] = ()
    letters: tuple[Box, ...] = ()


class Choice(NamedTuple):
    """A way to write a label: where, in which form (0 is the whole label), and what it costs; no box leaves it out."""

    box: Box | None
    cost: float
    form: int = 0


def place_labels(labels: tuple[Label, ...], ground: Ground, *, rounds: int = 8) -> tuple[Box, ...]:
    """Choose a place for every label.

    Returns
    -------
    tuple of boxes
        Left, bottom, right, top of each label [mm], in the order of `labels`.
    """
    chosen = _arranged([_options(label, ground) for label in labels], rounds)
    return tuple(choice.box for choice in chosen if choice.box is not None)


def thin_labels(labels: tuple[Label, ...], ground: Ground, *, rounds: int = 8) -> tuple[Choice, ...]:
    """Choose a place and a form for every label, or leave it out where it would cost more than it is worth.

    Returns
    -------
    tuple of Choice
        In the order of `labels`. No box covers another, nor letters that stand already; where two cannot both stand,
        the one that is worth more does.
    """
    options = [_thinned(label, ground) for label in labels]
    chosen = _arranged(options, rounds)
    taken = list(ground.letters)
    kept: dict[int, Choice] = {}
    for i in sorted(range(len(labels)), key=lambda i: -labels[i].spare):
        first = () if chosen[i].box is None else (chosen[i],)
        kept[i] = next(one for one in (*first, *options[i]) if _clear(one.box, taken))
        taken += [box for box in (kept[i].box,) if box is not None]
    return tuple(kept[i] for i in range(len(labels)))


def _arranged(options: list[list[Choice]], rounds: int) -> list[Choice]:
    """Choose among the options of each label, which come by rising cost, until none would rather move."""
    chosen: dict[int, Choice] = {}
    cramped = sorted(range(len(options)), key=lambda i: -options[i][len(options[i]) // 4].cost)
    for _ in range(rounds):
        moved = False
        for i in cramped:
            others = [one.box for j, one in chosen.items() if j != i and one.box is not None]
            best = _cheapest(options[i], others)
            moved |= chosen.get(i) != best
            chosen[i] = best
        if not moved:
            break
    return [chosen[i] for i in range(len(options))]


def _cheapest(options: list[Choice], others: list[Box]) -> Choice:
    """Return the option that costs least together with what it covers of others; `options` come by rising cost."""
    best, least = options[0], math.inf
    for one in options:
        if one.cost >= least:
            break
        cost = one.cost
        if one.box is not None:
            wide = _widened(one.box)
            cost += sum(CROWDED * overlap(wide, other) for other in others)
        if cost < least:
            best, least = one, cost
    return best


def _thinned(label: Label, ground: Ground) -> list[Choice]:
    """Every place of every form that costs less than to leave the label out, and that last, by rising cost."""
    found = [Choice(None, label.spare)]
    for form, (size, loss) in enumerate(((label.size, 0.0), *label.shorter)):
        for box, cost, _ in _options(replace(label, size=size), ground):
            if cost + loss < label.spare:
                found.append(Choice(box, cost + loss, form))
    return sorted(found, key=lambda one: one.cost)


def _clear(box: Box | None, taken: list[Box]) -> bool:
    """Whether a label there reads as one of its own; left out, it always does."""
    return box is None or not any(overlap(_widened(box), other) for other in taken)


def _widened(box: Box) -> Box:
    return box[0] - APART_MM[0], box[1] - APART_MM[1], box[2] + APART_MM[0], box[3] + APART_MM[1]


def _options(label: Label, ground: Ground) -> list[Choice]:
    """Every candidate place of a label with what it costs before other labels are placed, by rising cost."""
    (width, height), far_mm = label.size, max(label.clear_mm, 1.5)
    places: list[tuple[Box, float]] = []
    for number, (x, y) in enumerate(label.spots):
        places.append(((x - width / 2, y - height / 2, x + width / 2, y + height / 2), 0.25 * number))
    for far in () if label.spots else FAR:
        for angle_deg, side in CANDIDATES:
            unwelcome = side
            if label.prefer_deg is not None:
                unwelcome = 1.2 * abs((angle_deg - label.prefer_deg + 180.0) % 360.0 - 180.0) / 180.0
            box = _candidate(label, angle_deg, label.clear_mm + (far - 1.0) * far_mm)
            places.append((box, 2.0 * unwelcome + 2.5 * (far - 1.0)))
    near = _near(label, ground, label.clear_mm + (FAR[-1] - 1.0) * far_mm)
    costs = _costs([box for box, _ in places], near)
    found = [Choice(box, more + cost) for (box, more), cost in zip(places, costs, strict=True)]
    return sorted(found, key=lambda one: one.cost)


def _near(label: Label, ground: Ground, reach_mm: float) -> Ground:
    """Only what a label could meet at any of its candidate places."""
    points = (label.point, *label.spots)
    xs, ys = [x for x, _ in points], [y for _, y in points]
    wide, high = label.size[0] + reach_mm, label.size[1] + reach_mm
    left, low, right, top = min(xs) - wide, min(ys) - high, max(xs) + wide, max(ys) + high

    def meets(x0: float, y0: float, x1: float, y1: float) -> bool:
        return min(x0, x1) < right and max(x0, x1) > left and min(y0, y1) < top and max(y0, y1) > low

    return Ground(
        ground.field,
        tuple(one for one in ground.boxes if meets(*one[0])),
        tuple(one for one in ground.segments if meets(*one[0], *one[1])),
        ground.home,
    )


def _candidate(label: Label, angle_deg: float, clear_mm: float) -> Box:
    """Return the box whose edge is `clear_mm` from the point in a direction."""
    (x, y), (width, height) = label.point, label.size
    cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    cx = x + cos * clear_mm + width / 2 * (0.0 if abs(cos) < 0.1 else math.copysign(1.0, cos))
    cy = y + sin * clear_mm + height / 2 * (0.0 if abs(sin) < 0.1 else math.copysign(1.0, sin))
    return cx - width / 2, cy - height / 2, cx + width / 2, cy + height / 2


def _costs(places: list[Box], ground: Ground) -> list[float]:
    """Tell what a label costs at each of its places: outside the field or its home, and over what is drawn."""
    boxes = np.array(places)
    left, low, right, high = boxes.T
    x0, y0, x1, y1 = ground.field
    costs = 100.0 * sum(np.maximum(out, 0.0) for out in (x0 - left, y0 - low, right - x1, high - y1))
    if ground.boxes:
        others = np.array([box for box, _ in ground.boxes])
        wide = np.minimum(right[:, None], others[:, 2]) - np.maximum(left[:, None], others[:, 0])
        tall = np.minimum(high[:, None], others[:, 3]) - np.maximum(low[:, None], others[:, 1])
        covered = np.maximum(wide, 0.0) * np.maximum(tall, 0.0)
        costs = costs + covered @ np.array([cost for _, cost in ground.boxes])
    if ground.segments:
        costs = costs + _crossed_mm(boxes, ground.segments) @ np.array([cost for *_, cost in ground.segments])
    middles = zip(((left + right) / 2).tolist(), ((low + high) / 2).tolist(), strict=True)
    away = [AWAY if ground.home and not _inside(middle, ground.home) else 0.0 for middle in middles]
    return [float(cost) for cost in costs + np.array(away)]


def _crossed_mm(boxes: Floats, segments: tuple[tuple[Point, Point, float], ...]) -> Floats:
    """Return `length_inside` of every segment in every box: a row for each box [mm]."""
    ends = np.array([(*start, *end) for start, end, _ in segments])
    start, along = ends[:, :2], ends[:, 2:] - ends[:, :2]
    with np.errstate(divide="ignore", invalid="ignore"):
        one = (boxes[:, None, :2] - start) / along
        other = (boxes[:, None, 2:] - start) / along
    # A segment along an axis is between the box's sides for all of its length, or for none of it.
    beside = (start < boxes[:, None, :2]) | (start > boxes[:, None, 2:])
    still = along == 0.0
    first = np.where(still, np.where(beside, np.inf, -np.inf), np.minimum(one, other)).max(axis=2)
    last = np.where(still, np.inf, np.maximum(one, other)).min(axis=2)
    shares = np.maximum(np.minimum(last, 1.0) - np.maximum(first, 0.0), 0.0)
    return np.asarray(shares * np.hypot(along[:, 0], along[:, 1]))


def _inside(point: Point, ring: tuple[Point, ...]) -> bool:
    """Whether a point lies in a ring, by counting the edges to its right."""
    x, y = point
    crossed = [
        x < x0 + (y - y0) * (x1 - x0) / (y1 - y0)
        for (x0, y0), (x1, y1) in zip(ring, ring[1:] + ring[:1], strict=True)
        if (y0 <= y) != (y1 <= y)
    ]
    return sum(crossed) % 2 == 1


def beyond_mm(box: Box, field: Box) -> float:
    """How far a box stands out of a field, all sides added up [mm]."""
    out = (field[0] - box[0], field[1] - box[1], box[2] - field[2], box[3] - field[3])
    return sum(max(side, 0.0) for side in out)


def overlap(one: Box, other: Box) -> float:
    """Area that two boxes share [mm²]."""
    width = min(one[2], other[2]) - max(one[0], other[0])
    height = min(one[3], other[3]) - max(one[1], other[1])
    return width * height if width > 0.0 and height > 0.0 else 0.0


def length_inside(start: Point, end: Point, box: Box) -> float:
    """Length of the part of a segment that lies in a box [mm].

    References
    ----------
    Liang and Barsky, A new concept and method for line clipping, ACM Transactions on Graphics 3 (1984).
    """
    if (
        max(start[0], end[0]) < box[0]
        or min(start[0], end[0]) > box[2]
        or max(start[1], end[1]) < box[1]
        or min(start[1], end[1]) > box[3]
    ):
        return 0.0
    dx, dy = end[0] - start[0], end[1] - start[1]
    first, last = 0.0, 1.0
    for step, room in (
        (-dx, start[0] - box[0]),
        (dx, box[2] - start[0]),
        (-dy, start[1] - box[1]),
        (dy, box[3] - start[1]),
    ):
        if step == 0.0:
            if room < 0.0:
                return 0.0
        elif step < 0.0:
            first = max(first, room / step)
        else:
            last = min(last, room / step)
    return max(last - first, 0.0) * math.hypot(dx, dy)
