"""A scene as SVG in millimetres, with the named styles as classes and one style sheet."""

import math
from collections.abc import Iterator
from html import escape
from itertools import groupby

from seatfield.drawing.hatching import hatch_lines
from seatfield.drawing.lettering import CAPITAL, primed
from seatfield.drawing.parts import take_apart
from seatfield.drawing.scene import Arc, Area, Circle, Element, Line, Plain, Point, Scene, Text
from seatfield.drawing.style import Style, colours, dash_mm, hatches, style, styles, tokens


def svg(scene: Scene, *, theme: str = "paper", sheet: bool = True) -> str:
    """Write a scene as an SVG document at its own scale.

    Parameters
    ----------
    scene
        What to draw.
    theme
        ``paper``, ``print`` (black on white) or ``blueprint``.
    sheet
        Whether the field is filled with the theme's paper colour first.

    Returns
    -------
    str
        An SVG 1.1 document; width and height in millimetres, so that it prints at 1:scale.
    """
    width, height = scene.size_mm
    colour = colours(theme)
    body = "\n".join(_element(element, scene) for element in scene.elements)
    ground = f'<rect width="{_n(width)}" height="{_n(height)}" fill="{colour["paper"]}"/>\n' if sheet else ""
    about = f"<desc>{escape(scene.about)}</desc>\n" if scene.about else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(width)}mm" height="{_n(height)}mm" '
        f'viewBox="0 0 {_n(width)} {_n(height)}" role="img">\n<title>{escape(scene.name)}</title>\n{about}'
        f"<style>{style_sheet(theme, used_styles(scene))}</style>\n{ground}{body}\n</svg>\n"
    )


def used_styles(scene: Scene) -> tuple[str, ...]:
    """Names of the styles that a scene draws with, in the order of the token file."""
    used = {piece.style for element in scene.elements for piece in take_apart(element, scene.mm_per_m)}
    return tuple(name for name in styles() if name in used)


def style_sheet(theme: str, names: tuple[str, ...] = ()) -> str:
    """CSS rules of the named styles (all where none is named): lines, areas and letters of a theme."""
    colour = colours(theme)
    family = f"'{tokens()['letters']['family']}',{tokens()['letters']['fallback']}"
    rules = [f"text{{font-family:{family}}}"]
    chosen = [styles()[name] for name in names or styles()]
    rules += [f".{css_class(one.name)}{{{_line_rule(one, colour)}}}" for one in chosen]
    rules += [f"text.{css_class(one.name)}{{{_text_rule(one, colour)}}}" for one in chosen if one.text_pt]
    for name, hatch in hatches().items():
        rules.append(
            f".hatch-{name}{{fill:none;stroke:{colour[hatch.stroke]};stroke-width:{hatch.width_mm}}}"
        )
    return "".join(rules)


def css_class(name: str) -> str:
    """Class of a style in SVG and CSS."""
    return "s-" + name.replace(" ", "-")


def _line_rule(one: Style, colour: dict[str, str]) -> str:
    rule = f"fill:{colour[one.fill] if one.fill else 'none'}"
    if not one.stroke:
        return rule
    rule += f";stroke:{colour[one.stroke]};stroke-width:{one.width_mm};stroke-linejoin:round"
    if one.cap != "butt":
        rule += f";stroke-linecap:{one.cap}"
    dashes = dash_mm(one)
    return rule + (f";stroke-dasharray:{' '.join(map(_n, dashes))}" if dashes else "")


def _text_rule(one: Style, colour: dict[str, str]) -> str:
    rule = f"fill:{colour[one.ink]};font-size:{_n(one.text_mm)}px;stroke-dasharray:none"
    rule += ";font-weight:700" if one.weight == "bold" else ""
    rule += ";font-style:italic" if one.slant == "italic" else ""
    if one.halo:
        return rule + f";stroke:{colour['paper']};stroke-width:0.9;stroke-linejoin:round;paint-order:stroke"
    return rule + ";stroke:none"


def _element(element: Element, scene: Scene) -> str:
    pieces = take_apart(element, scene.mm_per_m)
    inside = "".join(part for piece in pieces for part in _piece(piece, scene))
    if not element.ref:
        return inside
    kind = type(element).__name__.lower()
    return f'<g data-ref="{escape(element.ref)}" data-kind="{kind}">{inside}</g>'


def _piece(piece: Plain, scene: Scene) -> Iterator[str]:
    name = css_class(piece.style)
    match piece:
        case Line():
            yield f'<path class="{name}" d="{_path(piece.points, scene, closed=piece.closed)}"/>'
        case Area():
            rings = (piece.outline, *piece.holes)
            d = "".join(_path(ring, scene, closed=True) for ring in rings)
            hatch = style(piece.style).hatch
            if not hatch:
                yield f'<path class="{name}" fill-rule="evenodd" d="{d}"/>'
                return
            yield f'<path class="{name}" fill-rule="evenodd" style="stroke:none" d="{d}"/>'
            lines = hatch_lines(
                rings, hatches()[hatch].angle_deg, hatches()[hatch].spacing_mm / scene.mm_per_m
            )
            yield f'<path class="hatch-{hatch}" d="{"".join(_path(ends, scene) for ends in lines)}"/>'
            yield f'<path class="{name}" style="fill:none" d="{d}"/>'
        case Circle():
            x, y = _at(piece.centre, scene)
            yield f'<circle class="{name}" cx="{_n(x)}" cy="{_n(y)}" r="{_n(piece.radius_m * scene.mm_per_m)}"/>'
        case Arc():
            yield f'<path class="{name}" d="{_arc(piece, scene)}"/>'
        case Text():
            yield _text(piece, scene, name)


def _text(piece: Text, scene: Scene, name: str) -> str:
    drop = {"base": 0.0, "middle": CAPITAL / 2, "top": CAPITAL}[piece.rise] * style(piece.style).text_mm
    x, y = _at(piece.at, scene)
    turn = f' transform="rotate({_n(-piece.angle_deg)} {_n(x)} {_n(y)})"' if piece.angle_deg else ""
    anchor = f' text-anchor="{piece.anchor}"' if piece.anchor != "start" else ""
    letters = escape(primed(piece.text.replace("mm2", "mm²")))
    return f'<text class="{name}" x="{_n(x)}" y="{_n(y + drop)}"{anchor}{turn}>{letters}</text>'


def _arc(piece: Arc, scene: Scene) -> str:
    def end(angle_deg: float) -> str:
        angle = math.radians(angle_deg)
        x = piece.centre[0] + piece.radius_m * math.cos(angle)
        y = piece.centre[1] + piece.radius_m * math.sin(angle)
        return " ".join(map(_n, _at((x, y), scene)))

    radius = _n(piece.radius_m * scene.mm_per_m)
    large = int(abs(piece.sweep_deg) > 180.0)
    # y points down in SVG, so counter-clockwise on the plan is sweep 0.
    sweep = int(piece.sweep_deg < 0)
    return (
        f"M{end(piece.from_deg)}A{radius} {radius} 0 {large} {sweep} {end(piece.from_deg + piece.sweep_deg)}"
    )


def _path(points: tuple[Point, ...], scene: Scene, *, closed: bool = False) -> str:
    placed = [tuple(map(_n, _at(point, scene))) for point in points]
    distinct = [place for place, _ in groupby(placed)]
    return "M" + "L".join(" ".join(place) for place in distinct) + ("Z" if closed else "")


def _at(point: Point, scene: Scene) -> Point:
    left, _, _, top = scene.bounds
    return (point[0] - left) * scene.mm_per_m, (top - point[1]) * scene.mm_per_m


def _n(value: float) -> str:
    """Write a number to the hundredth of a millimetre, short."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text
