"""Random-incidence absorption of surfaces in living rooms, octave bands 125 Hz to 4 kHz.

The coefficients are those of [1]_ unless a surface says otherwise. The tables stop at 125 Hz; below it nothing is
claimed here, and the bass stage treats absorption as uncertain by a factor of two either way.

References
----------
.. [1] M. Vorländer, Auralization, Springer 2008, appendix (as transcribed in open data).
"""

from dataclasses import dataclass
from difflib import get_close_matches

OCTAVE_BANDS_HZ = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0)
VORLAENDER = "Vorländer, Auralization (2008), appendix"


@dataclass(frozen=True, slots=True)
class Surface:
    """A surface and its Sabine absorption coefficients at `OCTAVE_BANDS_HZ` [-].

    Parameters
    ----------
    row
        The row of the source that it was taken from, where its name differs.
    also
        Everyday words that mean this surface and no other of the table.
    """

    name: str
    absorption: tuple[float, ...]
    row: str
    source: str = VORLAENDER
    also: tuple[str, ...] = ()


def _surface(
    name: str, coefficients: str, row: str, source: str = VORLAENDER, *, also: tuple[str, ...] = ()
) -> Surface:
    return Surface(name, tuple(float(value) for value in coefficients.split()), row, source, also)


_MEMORY = "from memory of handbook tables, no source at hand"

SURFACES = (
    _surface(
        "plastered masonry",
        ".01 .02 .02 .03 .03 .04",
        "rendered brick",
        also=(
            "plaster",
            "plastered brick",
            "plastered wall",
            "painted plaster",
            "wallpaper on masonry",
            "render",
        ),
    ),
    _surface(
        "bare masonry",
        ".02 .02 .03 .03 .04 .05",
        "brick, average of hard surfaces",
        also=("brick", "bricks", "bare brick", "exposed brick"),
    ),
    _surface(
        "concrete",
        ".01 .01 .02 .02 .02 .05",
        "smooth concrete",
        _MEMORY,
        also=("bare concrete", "painted concrete", "screed"),
    ),
    _surface(
        "plasterboard on studs",
        ".15 .10 .06 .04 .04 .05",
        "2 × 13 mm plasterboard, 50 mm wool cavity",
        also=("drywall on studs", "gypsum board on studs", "stud wall", "wallpaper on plasterboard"),
    ),
    _surface(
        "plasterboard on battens",
        ".20 .15 .10 .08 .04 .02",
        "plasterboard ceiling, large void",
        also=("plasterboard ceiling", "drywall ceiling", "suspended plasterboard"),
    ),
    _surface(
        "wood panelling",
        ".18 .12 .10 .09 .08 .07",
        "wood 16 mm on studs",
        also=("wood panels", "wooden panelling", "wood panel", "tongue and groove"),
    ),
    _surface(
        "wood floor on joists",
        ".15 .11 .10 .07 .06 .07",
        "wood floor on joists",
        _MEMORY,
        also=("floorboards", "wooden floor on joists", "boards on joists"),
    ),
    _surface(
        "parquet on concrete",
        ".04 .04 .07 .06 .06 .07",
        "parquet glued to concrete",
        _MEMORY,
        also=(
            "parquet",
            "laminate",
            "laminate floor",
            "laminate on concrete",
            "engineered wood on concrete",
            "wood on concrete",
        ),
    ),
    _surface(
        "linoleum on concrete",
        ".02 .03 .03 .03 .03 .02",
        "linoleum or cork on concrete",
        also=("linoleum", "lino", "cork", "cork floor", "vinyl", "vinyl floor"),
    ),
    _surface(
        "tiles",
        ".01 .01 .02 .02 .02 .02",
        "ceramic tiles on masonry",
        _MEMORY,
        also=("tile", "ceramic tiles", "tiled", "stone tiles", "marble"),
    ),
    _surface(
        "thin carpet",
        ".02 .04 .08 .20 .35 .40",
        "thin carpet on concrete",
        also=("needle felt", "carpet tiles"),
    ),
    _surface("carpet on closed-cell underlay", ".03 .09 .25 .31 .33 .44", "6 mm pile, closed-cell underlay"),
    _surface("carpet on open-cell underlay", ".03 .09 .20 .54 .70 .72", "6 mm pile, open-cell underlay"),
    _surface(
        "thick carpet on felt",
        ".08 .08 .30 .60 .75 .80",
        "9 mm tufted carpet on felt",
        also=("thick carpet", "deep-pile carpet"),
    ),
    _surface(
        "single glass",
        ".08 .04 .03 .03 .02 .02",
        "3 mm single glass",
        also=("single glazing", "single-glazed window"),
    ),
    _surface(
        "double glazing",
        ".10 .07 .05 .03 .02 .02",
        "double glazing, 10 mm gap",
        also=("double-glazed window", "double glass"),
    ),
    _surface("double glazing, wide gap", ".15 .05 .03 .03 .02 .02", "double glazing, more than 30 mm gap"),
    _surface("wooden door", ".14 .10 .06 .08 .10 .10", "wooden door", also=("door", "wood door")),
    _surface("light curtain", ".05 .06 .39 .63 .70 .73", "curtain 0.2 kg/m², 90 mm off the wall"),
    _surface("cotton curtain", ".30 .45 .65 .56 .59 .71", "cotton 0.5 kg/m², three-quarter drape, 130 mm"),
    _surface("velvet curtain", ".05 .12 .35 .45 .38 .36", "tight velvet"),
    _surface("cloth upholstery", ".44 .60 .77 .89 .82 .70", "upholstered chairs, empty, cloth"),
    _surface("leather upholstery", ".40 .50 .58 .61 .58 .50", "upholstered chairs, empty, leather"),
    _surface("mineral wool panel", ".23 .59 .86 .86 .86 .86", "mineral wool 50 mm, 40 kg/m³"),
)

_BY_NAME = {name: surface for surface in SURFACES for name in (surface.name, *surface.also)}


def surface(name: str) -> Surface | None:
    """Return the surface with this name, or that an everyday word means; None where there is none."""
    return _BY_NAME.get(name.strip().lower())


def nearest_surface(name: str) -> str:
    """Return the name of the surface closest to what was given; empty where none is close."""
    close = get_close_matches(name.strip().lower(), _BY_NAME, n=1, cutoff=0.4)
    return _BY_NAME[close[0]].name if close else ""
