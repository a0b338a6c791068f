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
from dataclasses import dataclass

Point = tuple[float, float]
Box = tuple[float, float, float, float]

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
    """

    point: Point
    size: Point
    clear_mm: float = 3.0
    prefer_deg: float | None = None
    spots: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True)
class Ground:
    """What labels should keep off: boxes and segments with a cost each, and the field that they must stay in.

    `home` is an outline that labels would rather not leave; empty for none.
    """

    field: Box
    boxes: tuple[tuple[Box, float], ...] = ()
    segments: tuple[tuple[Point, Point, float], ...] = ()
    home: tuple[Point, ...] = ()


def place_labels(labels: tuple[Label, ...], ground: Ground, *, rounds: int = 8) -> tuple[Box, ...]:
    """Choose a place for every label.

    Returns
    -------
    tuple of boxes
        Left, bottom, right, top of each label [mm], in the order of `labels`.
    """
    options = [_options(label, ground) for label in labels]
    chosen: dict[int, Box] = {}
    cramped = sorted(
        range(len(labels)), key=lambda i: -sorted(cost for _, cost in options[i])[len(options[i]) // 4]
    )
    for _ in range(rounds):
        moved = False
        for i in cramped:
            others = [box for j, box in chosen.items() if j != i]
            best = min(
                options[i],
                key=lambda option: option[1] + sum(CROWDED * overlap(_widened(option[0]), o) for o in others),
            )
            moved |= chosen.get(i) != best[0]
            chosen[i] = best[0]
        if not moved:
            break
    return tuple(chosen[i] for i in range(len(labels)))


def _widened(box: Box) -> Box:
    return box[0] - APART_MM[0], box[1] - APART_MM[1], box[2] + APART_MM[0], box[3] + APART_MM[1]


def _options(label: Label, ground: Ground) -> list[tuple[Box, float]]:
    """Every candidate place of a label with what it costs before other labels are placed."""
    found = []
    (width, height), far_mm = label.size, max(label.clear_mm, 1.5)
    ground = _near(label, ground, label.clear_mm + (FAR[-1] - 1.0) * far_mm)
    for number, (x, y) in enumerate(label.spots):
        box = (x - width / 2, y - height / 2, x + width / 2, y + height / 2)
        found.append((box, 0.25 * number + _cost(box, ground)))
    for far in () if label.spots else FAR:
        for angle_deg, side in CANDIDATES:
            unwelcome = side
            if label.prefer_deg is not None:
                unwelcome = 1.2 * abs((angle_deg - label.prefer_deg + 180.0) % 360.0 - 180.0) / 180.0
            box = _candidate(label, angle_deg, label.clear_mm + (far - 1.0) * far_mm)
            found.append((box, 2.0 * unwelcome + 2.5 * (far - 1.0) + _cost(box, ground)))
    return found


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


def _cost(box: Box, ground: Ground) -> float:
    left, bottom, right, top = ground.field
    outside = (
        max(left - box[0], 0.0)
        + max(box[2] - right, 0.0)
        + max(bottom - box[1], 0.0)
        + max(box[3] - top, 0.0)
    )
    covered = sum(cost * overlap(box, other) for other, cost in ground.boxes)
    crossed = sum(cost * length_inside(start, end, box) for start, end, cost in ground.segments)
    away = (
        AWAY
        if ground.home and not _inside(((box[0] + box[2]) / 2, (box[1] + box[3]) / 2), ground.home)
        else 0.0
    )
    return 100.0 * outside + covered + crossed + away


def _inside(point: Point, ring: tuple[Point, ...]) -> bool:
    """Whether a point lies in a ring, by counting the edges to its right."""
    x, y = point
    crossed = [
        x < x0 + (y - y0) * (x1 - x0) / (y1 - y0)
        for (x0, y0), (x1, y1) in zip(ring, ring[1:] + ring[:1], strict=True)
        if (y0 <= y) != (y1 <= y)
    ]
    return sum(crossed) % 2 == 1


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
