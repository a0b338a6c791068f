"""Symbols: what they look like, what they are called on the legend, and where their shape comes from.

Each is drawn in a unit square about the origin with its front towards +x. Loudspeaker, microphone and socket outlet
follow IEC 60617 (loudspeaker 09-09-01, microphone 09-06-01, socket outlet 11-13-01; numbers from memory); the others
are drawn for these sheets.
"""

from dataclasses import dataclass

from seatfield.drawing.scene import Arc, Area, Circle, Line, Plain, rectangle

STANDARD = "IEC 60617"
OURS = "drawn for these sheets"


@dataclass(frozen=True, slots=True)
class Shape:
    """A symbol: the words of the legend, the origin of its form, and its pieces in a unit square."""

    caption: str
    source: str
    pieces: tuple[Plain, ...]


def _circle(x: float, y: float, radius: float, style: str) -> Circle:
    return Circle((x, y), radius, style)


_HORN = ((0.05, 0.25), (0.5, 0.5), (0.5, -0.5), (0.05, -0.25))
_BOX = rectangle(-0.35, -0.25, 0.05, 0.25)

SHAPES: dict[str, Shape] = {
    "loudspeaker": Shape(
        "loudspeaker, front to the open side",
        STANDARD,
        (Area(_HORN, "loudspeaker"), Area(_BOX, "loudspeaker")),
    ),
    "loudspeaker overhead": Shape(
        "loudspeaker above head height",
        f"{STANDARD}, ring added",
        (
            _circle(0, 0, 0.62, "overhead"),
            Line(tuple((x * 0.72 - 0.05, y * 0.72) for x, y in _HORN), "loudspeaker line", closed=True),
            Line(tuple((x * 0.72 - 0.05, y * 0.72) for x, y in _BOX), "loudspeaker line", closed=True),
        ),
    ),
    "loudspeaker upward": Shape(
        "loudspeaker that plays against the ceiling",
        f"{STANDARD}, arrow added",
        (
            Area(rectangle(-0.5, -0.5, 0.5, 0.5), "loudspeaker"),
            Line(((-0.35, -0.35), (0.3, 0.3)), "loudspeaker"),
            Area(((0.38, 0.38), (0.08, 0.26), (0.26, 0.08)), "fill"),
        ),
    ),
    "subwoofer": Shape(
        "subwoofer",
        f"{STANDARD}, box added",
        (
            Area(rectangle(-0.5, -0.5, 0.5, 0.5), "loudspeaker"),
            Area(tuple((x * 0.7, y * 0.7) for x, y in _HORN), "fill"),
            Area(tuple((x * 0.7, y * 0.7) for x, y in _BOX), "loudspeaker"),
        ),
    ),
    "microphone": Shape(
        "microphone position",
        STANDARD,
        (_circle(0, 0, 0.35, "device"), Line(((0.35, -0.4), (0.35, 0.4)), "leaf")),
    ),
    "cables": Shape(
        "so many cables in one line",
        STANDARD,
        (Line(((-0.3, -0.45), (0.3, 0.45)), "leaf"),),
    ),
    "socket": Shape(
        "mains socket",
        STANDARD,
        (
            Arc((0.5, 0), 0.4, 90, 180, "leaf"),
            Line(((0.1, 0), (-0.35, 0)), "leaf"),
            Line(((0.5, 0.4), (0.5, -0.4)), "leaf"),
        ),
    ),
    "amplifier": Shape(
        "amplifier or receiver",
        f"{STANDARD}, box added",
        (
            Area(rectangle(-0.5, -0.5, 0.5, 0.5), "device"),
            Line(((-0.25, -0.3), (-0.25, 0.3), (0.3, 0)), "leaf", closed=True),
        ),
    ),
    "seat": Shape(
        "seat, looking to the notch",
        OURS,
        (
            _circle(0, 0, 0.4, "seat"),
            Line(((-0.14, 0), (0.14, 0)), "dimension"),
            Line(((0, -0.14), (0, 0.14)), "dimension"),
            Area(((0.58, 0), (0.38, 0.13), (0.38, -0.13)), "fill"),
        ),
    ),
    "main seat": Shape(
        "main seat",
        OURS,
        (
            _circle(0, 0, 0.4, "main seat"),
            _circle(0, 0, 0.27, "dimension"),
            Line(((-0.14, 0), (0.14, 0)), "dimension"),
            Line(((0, -0.14), (0, 0.14)), "dimension"),
            Area(((0.62, 0), (0.38, 0.15), (0.38, -0.15)), "fill"),
        ),
    ),
    "radiator": Shape(
        "radiator",
        OURS,
        (
            Area(rectangle(-0.5, -0.2, 0.5, 0.2), "opening"),
            *(Line(((x / 10, -0.2), (x / 10, 0.2)), "dimension") for x in range(-4, 5, 2)),
        ),
    ),
    "lamp": Shape(
        "lamp under the ceiling",
        OURS,
        (
            _circle(0, 0, 0.4, "overhead"),
            Line(((-0.28, -0.28), (0.28, 0.28)), "overhead"),
            Line(((-0.28, 0.28), (0.28, -0.28)), "overhead"),
        ),
    ),
}
