"""What each seat hears of the subwoofers: level over frequency with its band, now and at the best places."""

import math
from collections.abc import Callable

from seatfield.drawing.lettering import width_mm
from seatfield.drawing.scene import Area, Element, Line, Point, Scene, Text, rectangle
from seatfield.drawing.style import style
from seatfield.stages.bass.result import Curve

MM = 1000.0
"""Scale at which a metre of the scene is a millimetre on paper."""
LEFT_MM, RIGHT_MM, TOP_MM, FOOT_MM = 12.0, 4.0, 12.0, 9.0
TICKS_HZ = (20, 25, 30, 40, 50, 60, 80, 100, 120, 150)
STEP_DB, SPAN_DB = 10.0, 50.0
WORDS = {"now": "where they stand now", "best": "at the best places"}


def bass_curves(curves: tuple[Curve, ...], size_mm: Point) -> Scene:
    """Draw one graph per seat, one below the other.

    Parameters
    ----------
    curves
        Of every seat, as they stand now, at the best places, or both.
    size_mm
        Field to fill [mm].

    Returns
    -------
    Scene
        Line: at the best places, with the band of what is not known of the room; broken line: as they stand now.

    Raises
    ------
    ValueError
        If there are no curves.
    """
    if not curves:
        raise ValueError(
            "There are no curves of the bass: no subwoofer stands or was placed, or nobody listens."
        )
    seats = tuple(dict.fromkeys(curve.seat for curve in curves))
    high_mm = size_mm[1] / len(seats)
    drawn: list[Element] = []
    for number, seat in enumerate(seats):
        own = tuple(curve for curve in curves if curve.seat == seat)
        box = (LEFT_MM, size_mm[1] - (number + 1) * high_mm + FOOT_MM, size_mm[0] - RIGHT_MM, 0.0)
        drawn += _graph(own, seat, (*box[:3], size_mm[1] - number * high_mm - TOP_MM))
    about = "Level of the subwoofers over frequency at each seat, now and at the best places, with its band."
    return Scene("Bass at the seats", MM, (0.0, 0.0, *size_mm), tuple(drawn), about)


def _graph(curves: tuple[Curve, ...], seat: str, box: tuple[float, float, float, float]) -> list[Element]:
    left, bottom, right, top = box
    first = curves[0].freq_hz
    top_db = math.ceil(max(max(curve.level_db) for curve in curves) / STEP_DB) * STEP_DB

    def at(freq_hz: float, level_db: float) -> Point:
        across = math.log(freq_hz / first[0]) / math.log(first[-1] / first[0])
        up = min(max((level_db - top_db) / SPAN_DB + 1.0, 0.0), 1.0)
        return left + across * (right - left), bottom + up * (top - bottom)

    drawn: list[Element] = []
    shown = max(curves, key=lambda curve: curve.which == "best")
    upper = [at(f, level) for f, level in zip(shown.freq_hz, shown.high_db, strict=True)]
    lower = [at(f, level) for f, level in zip(shown.freq_hz, shown.low_db, strict=True)]
    drawn.append(Area((*upper, *lower[::-1]), "band"))
    drawn += _axes(at, (first[0], first[-1]), top_db, box)
    for curve in curves:
        name = "curve" if curve.which == shown.which else "curve now"
        points = tuple(at(f, level) for f, level in zip(curve.freq_hz, curve.level_db, strict=True))
        drawn.append(Line(points, name, ref=f"curve:{curve.which}:{seat}"))
    drawn.append(Text((left, top + 6.4), seat, "label"))
    drawn += _names(curves, shown, (right, top + 2.2))
    return drawn


def _names(curves: tuple[Curve, ...], shown: Curve, at: Point) -> list[Element]:
    """Say which line is which, from the right."""
    drawn: list[Element] = []
    x, y = at
    for curve in sorted(curves, key=lambda one: one.which):
        drawn.append(Text((x, y), WORDS[curve.which], "small", "end"))
        x -= width_mm(WORDS[curve.which], style("small")) + 9.0
        drawn.append(Line(((x, y + 0.9), (x + 7.0, y + 0.9)), "curve" if curve is shown else "curve now"))
        x -= 6.0
    return drawn


def _axes(
    at: Callable[[float, float], Point],
    span_hz: tuple[float, float],
    top_db: float,
    box: tuple[float, float, float, float],
) -> list[Element]:
    left, bottom, right, top = box
    drawn: list[Element] = []
    for freq in TICKS_HZ:
        if span_hz[0] * 0.999 <= freq <= span_hz[1] * 1.001:
            x = at(freq, top_db)[0]
            drawn.append(Line(((x, bottom), (x, top)), "grid"))
            drawn.append(Text((x, bottom - 1.2), str(freq), "small", "middle", "top"))
    for k in range(int(SPAN_DB / STEP_DB) + 1):
        level = top_db - k * STEP_DB
        y = at(span_hz[0], level)[1]
        drawn.append(Line(((left, y), (right, y)), "grid"))
        drawn.append(
            Text(
                (left - 1.2, y), f"{level:+.0f}".replace("-", "−") if level else "0", "small", "end", "middle"
            )
        )
    drawn.append(Line(rectangle(*box), "rule", closed=True))
    drawn.append(
        Text(
            (right, bottom - 4.6),
            "Hz; levels in dB against one subwoofer at 1 m in the open",
            "small",
            "end",
            "top",
        )
    )
    return drawn
