"""A scene: what is drawn, in metres, each piece with a named style.

x to the right and y up, as on the floor plan. Letters, symbols of fixed size, ticks and gaps are millimetres on paper,
so a scene knows its scale. `ref` names the thing that a piece stands for (``seat:middle``), for handles and tests.
"""

import math
from dataclasses import dataclass, replace

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Line:
    """A polyline; closed where its end joins its start."""

    points: tuple[Point, ...]
    style: str
    closed: bool = False
    ref: str = ""


@dataclass(frozen=True, slots=True)
class Area:
    """A polygon with holes, filled and hatched as its style says."""

    outline: tuple[Point, ...]
    style: str
    holes: tuple[tuple[Point, ...], ...] = ()
    ref: str = ""


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle; radius [m]."""

    centre: Point
    radius_m: float
    style: str
    ref: str = ""


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular arc from `from_deg` through `sweep_deg`, counter-clockwise positive [deg]; radius [m]."""

    centre: Point
    radius_m: float
    from_deg: float
    sweep_deg: float
    style: str
    ref: str = ""


@dataclass(frozen=True, slots=True)
class Text:
    """One line of letters.

    Parameters
    ----------
    anchor
        Which end of the line stands at `at`: ``start``, ``middle`` or ``end``.
    rise
        What stands at the height of `at`: the ``base`` line, the ``middle`` or the ``top`` of capitals.
    angle_deg
        Counter-clockwise from the x axis [deg].
    """

    at: Point
    text: str
    style: str
    anchor: str = "start"
    rise: str = "base"
    angle_deg: float = 0.0
    ref: str = ""


@dataclass(frozen=True, slots=True)
class Dimension:
    """A measured distance from `start` to `end`, drawn `offset_m` to the left of that direction.

    `text` stands on the line; `key` is the place in the project file that the value comes from, for typing it anew.
    `text_shift_m` and `text_out_m` move the letters along and off the line, where something is in the way.
    """

    start: Point
    end: Point
    offset_m: float
    text: str
    style: str = "dimension"
    ref: str = ""
    key: str = ""
    text_shift_m: float = 0.0
    text_out_m: float = 0.0


@dataclass(frozen=True, slots=True)
class Note:
    """A note in the margin: lines of letters from `at` (top left) down, and a thin leader to `target`.

    Each line pairs letters and style; `leader` is the style of the leader's line.
    """

    at: Point
    lines: tuple[tuple[str, str], ...]
    target: Point | None = None
    leader: str = "leader"
    ref: str = ""


@dataclass(frozen=True, slots=True)
class Symbol:
    """A symbol of the legend by name, turned so that its front looks towards `angle_deg`; unit size [m]."""

    name: str
    at: Point
    size_m: float
    angle_deg: float = 0.0
    style: str = "device"
    ref: str = ""


Plain = Line | Area | Circle | Arc | Text
Element = Plain | Dimension | Note | Symbol


@dataclass(frozen=True, slots=True)
class Scene:
    """A drawing.

    Parameters
    ----------
    name
        What the sheet is called.
    scale
        n of the scale 1:n at which letters and symbols were placed.
    bounds
        Left, bottom, right, top of the sheet's field [m].
    elements
        In order of drawing: what comes later covers what came before.
    about
        What the drawing shows, in one sentence, for those who cannot see it.
    """

    name: str
    scale: float
    bounds: tuple[float, float, float, float]
    elements: tuple[Element, ...]
    about: str = ""

    @property
    def mm_per_m(self) -> float:
        """Millimetres on paper per metre of the room."""
        return 1000.0 / self.scale

    @property
    def size_mm(self) -> Point:
        """Width and height on paper [mm]."""
        left, bottom, right, top = self.bounds
        return (right - left) * self.mm_per_m, (top - bottom) * self.mm_per_m


def turned(point: Point, angle_deg: float, about: Point = (0.0, 0.0)) -> Point:
    """Turn a point counter-clockwise about another."""
    cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    x, y = point[0] - about[0], point[1] - about[1]
    return about[0] + cos * x - sin * y, about[1] + sin * x + cos * y


def moved(element: Plain, at: Point, size: float, angle_deg: float) -> Plain:
    """Scale an element by `size`, turn it by `angle_deg` about the origin and carry the origin to `at`."""

    def place(point: Point) -> Point:
        x, y = turned((point[0] * size, point[1] * size), angle_deg)
        return x + at[0], y + at[1]

    match element:
        case Line():
            return replace(element, points=tuple(map(place, element.points)))
        case Area():
            holes = tuple(tuple(map(place, hole)) for hole in element.holes)
            return replace(element, outline=tuple(map(place, element.outline)), holes=holes)
        case Circle():
            return replace(element, centre=place(element.centre), radius_m=element.radius_m * size)
        case Arc():
            return replace(
                element,
                centre=place(element.centre),
                radius_m=element.radius_m * size,
                from_deg=element.from_deg + angle_deg,
            )
        case Text():
            return replace(element, at=place(element.at))


def rectangle(left: float, bottom: float, right: float, top: float) -> tuple[Point, ...]:
    """Corners of an upright rectangle, counter-clockwise from the lower left."""
    return (left, bottom), (right, bottom), (right, top), (left, top)
