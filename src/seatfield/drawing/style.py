"""The style tokens: colours, line widths, dashes, hatches and letter sizes, read from one data file.

Paper, exports and browser take the same file, ``style.json``; nothing else in the program names a colour.
"""

import json
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

MM_PER_PT = 25.4 / 72.0


@dataclass(frozen=True, slots=True)
class Style:
    """How one kind of thing is drawn.

    Parameters
    ----------
    name
        What the scene calls it; also the layer's name in an export.
    stroke, fill, ink
        Colour roles of line, area and letters; empty for none.
    width_mm
        Line width on paper [mm].
    dash
        Name of the dash pattern.
    hatch
        Name of the hatch; empty for none.
    cap
        ``butt`` or ``round``.
    text_pt
        Letter size [pt].
    weight, slant
        ``normal`` or ``bold``; ``normal`` or ``italic``.
    halo
        Whether letters stand on a rim of paper, so that lines below do not cross them.
    """

    name: str
    stroke: str = ""
    width_mm: float = 0.0
    dash: str = "solid"
    fill: str = ""
    hatch: str = ""
    cap: str = "butt"
    text_pt: float = 0.0
    ink: str = "ink"
    weight: str = "normal"
    slant: str = "normal"
    halo: bool = False

    @property
    def text_mm(self) -> float:
        """Letter size [mm]."""
        return self.text_pt * MM_PER_PT


@dataclass(frozen=True, slots=True)
class Hatch:
    """Parallel lines that fill an area: angle [deg], distance and width [mm], colour role."""

    angle_deg: float
    spacing_mm: float
    width_mm: float
    stroke: str


@lru_cache(maxsize=1)
def tokens() -> dict[str, Any]:
    """Read the token file as it stands, for faces that make their own style sheet of it."""
    return dict(json.loads(files("seatfield.drawing").joinpath("style.json").read_text("utf-8")))


@lru_cache(maxsize=1)
def styles() -> dict[str, Style]:
    """All styles by name."""
    return {name: Style(name=name, **values) for name, values in tokens()["styles"].items()}


@lru_cache(maxsize=1)
def hatches() -> dict[str, Hatch]:
    """All hatches by name."""
    return {name: Hatch(**values) for name, values in tokens()["hatches"].items()}


def style(name: str) -> Style:
    """Look up the style called `name`.

    Raises
    ------
    KeyError
        If no style is called so; the message lists those that exist.
    """
    try:
        return styles()[name]
    except KeyError:
        known = ", ".join(styles())
        message = f"No style is called {name!r}. Known styles: {known}. Add it to drawing/style.json first."
        raise KeyError(message) from None


def colours(theme: str) -> dict[str, str]:
    """Colour of each role in a theme: ``paper``, ``print`` (black on white) or ``blueprint`` (dark).

    Raises
    ------
    KeyError
        If there is no such theme.
    """
    themes = tokens()["themes"]
    if theme not in themes:
        raise KeyError(f"No theme is called {theme!r}. There are: {', '.join(themes)}.")
    return dict(themes[theme])


def dash_mm(line: Style) -> tuple[float, ...]:
    """Dash and gap lengths of a style on paper [mm]; empty for a solid line.

    References
    ----------
    ISO 128-2, line types 01, 02, 04 and 07, lengths in multiples of the line width; from memory.
    """
    return tuple(round(part * line.width_mm, 3) for part in tokens()["dashes"][line.dash])
