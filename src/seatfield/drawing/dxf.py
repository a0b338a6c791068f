r"""A scene as DXF for drawing programs: release 12 entities in ASCII, metres, one layer per style.

Lines, polylines, circles, arcs and letters only; hatches become lines. Letters outside ASCII are written as
``\U+XXXX``, the degree and diameter signs as ``%%d`` and ``%%c``.

References
----------
DXF Reference, release 12 (AC1009): group codes of HEADER, TABLES and ENTITIES; from memory.
"""

from collections.abc import Iterator

from seatfield.drawing.hatching import hatch_lines
from seatfield.drawing.lettering import CAPITAL
from seatfield.drawing.parts import plain
from seatfield.drawing.scene import Arc, Area, Circle, Line, Plain, Point, Scene, Text
from seatfield.drawing.style import hatches, style, tokens
from seatfield.drawing.svg import used_styles

Pair = tuple[int, str | float | int]


def dxf(scene: Scene) -> str:
    """Write a scene as a DXF document in metres, letters sized for the scene's scale."""
    pairs = [*_header(scene), *_tables(scene), (0, "SECTION"), (2, "ENTITIES")]
    for piece in plain(scene):
        pairs += _entities(piece, scene)
    pairs += [(0, "ENDSEC"), (0, "EOF")]
    return "".join(f"{code:>3}\n{_value(value)}\n" for code, value in pairs)


def layer_name(style_name: str) -> str:
    """Layer of a style: upper case, no spaces, as release 12 asks."""
    return style_name.upper().replace(" ", "_")


def _header(scene: Scene) -> Iterator[Pair]:
    left, bottom, right, top = scene.bounds
    yield from ((0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1009"))
    yield from ((9, "$EXTMIN"), (10, left), (20, bottom), (9, "$EXTMAX"), (10, right), (20, top))
    yield from ((9, "$LTSCALE"), (40, 1.0), (0, "ENDSEC"))


def _tables(scene: Scene) -> Iterator[Pair]:
    names = used_styles(scene)
    dashes = [
        dash for dash in tokens()["dashes"] if dash == "solid" or any(style(n).dash == dash for n in names)
    ]
    yield from ((0, "SECTION"), (2, "TABLES"), (0, "TABLE"), (2, "LTYPE"), (70, len(dashes)))
    for dash in dashes:
        yield from _line_type(dash, scene)
    yield from ((0, "ENDTAB"), (0, "TABLE"), (2, "LAYER"), (70, len(names) + 1))
    yield from _layer("0", "solid")
    for name in names:
        yield from _layer(layer_name(name), style(name).dash)
    yield from ((0, "ENDTAB"), (0, "TABLE"), (2, "STYLE"), (70, 1))
    yield from ((0, "STYLE"), (2, "STANDARD"), (70, 0), (40, 0.0), (41, 1.0), (50, 0.0), (71, 0), (42, 0.1))
    yield from ((3, "txt"), (4, ""), (0, "ENDTAB"), (0, "ENDSEC"))


def _layer(name: str, dash: str) -> Iterator[Pair]:
    yield from ((0, "LAYER"), (2, name), (70, 0), (62, 7), (6, _line_type_name(dash)))


def _line_type_name(dash: str) -> str:
    return "CONTINUOUS" if dash == "solid" else dash.upper()


def _line_type(dash: str, scene: Scene) -> Iterator[Pair]:
    """One line type; the pattern is that of a line 0.25 mm wide at the scene's scale."""
    parts = [width * 0.25 for width in tokens()["dashes"][dash]]
    metres = [part / scene.mm_per_m for part in parts]
    yield from ((0, "LTYPE"), (2, _line_type_name(dash)), (70, 0), (3, dash), (72, 65))
    yield from ((73, len(metres)), (40, sum(metres)))
    for number, part in enumerate(metres):
        yield (49, -part if number % 2 else part)


def _entities(piece: Plain, scene: Scene) -> list[Pair]:
    layer = layer_name(piece.style)
    match piece:
        case Line():
            return list(_polyline(piece.points, layer, closed=piece.closed))
        case Area():
            rings = (piece.outline, *piece.holes)
            pairs = [pair for ring in rings for pair in _polyline(ring, layer, closed=True)]
            hatch = style(piece.style).hatch
            if hatch:
                spacing = hatches()[hatch].spacing_mm / scene.mm_per_m
                for ends in hatch_lines(rings, hatches()[hatch].angle_deg, spacing):
                    pairs += _segment(ends, layer)
            return pairs
        case Circle():
            return [(0, "CIRCLE"), (8, layer), *_point(piece.centre), (40, piece.radius_m)]
        case Arc():
            first, last = sorted((piece.from_deg, piece.from_deg + piece.sweep_deg))
            angles: list[Pair] = [(50, first % 360.0), (51, last % 360.0)]
            return [(0, "ARC"), (8, layer), *_point(piece.centre), (40, piece.radius_m), *angles]
        case Text():
            return _text(piece, layer, scene)


def _segment(ends: tuple[Point, Point], layer: str) -> list[Pair]:
    return [(0, "LINE"), (8, layer), *_point(ends[0]), *_point(ends[1], 11)]


def _polyline(points: tuple[Point, ...], layer: str, *, closed: bool) -> Iterator[Pair]:
    if len(points) == 2 and not closed:
        yield from _segment((points[0], points[1]), layer)
        return
    head: list[Pair] = [(0, "POLYLINE"), (8, layer), (66, 1), *_point((0.0, 0.0)), (70, int(closed))]
    yield from head
    for point in points:
        yield from ((0, "VERTEX"), (8, layer), *_point(point))
    yield from ((0, "SEQEND"), (8, layer))


def _text(piece: Text, layer: str, scene: Scene) -> list[Pair]:
    """TEXT with its height that of the capitals, aligned by codes 72 (across) and 73 (up)."""
    across = {"start": 0, "middle": 1, "end": 2}[piece.anchor]
    up = {"base": 0, "middle": 2, "top": 3}[piece.rise]
    height = style(piece.style).text_mm * CAPITAL / scene.mm_per_m
    pairs: list[Pair] = [(0, "TEXT"), (8, layer), *_point(piece.at), (40, height), (1, _ascii(piece.text))]
    pairs += [(50, piece.angle_deg), (72, across), *_point(piece.at, 11), (73, up)]
    return pairs


def _point(point: Point, code: int = 10) -> list[Pair]:
    return [(code, point[0]), (code + 10, point[1]), (code + 20, 0.0)]


def _ascii(text: str) -> str:
    signs = {"°": "%%d", "⌀": "%%c"}
    return "".join(signs.get(c, c if " " <= c <= "~" else f"\\U+{ord(c):04X}") for c in text)


def _value(value: str | float) -> str:
    return f"{value:.6f}" if isinstance(value, float) else str(value)
