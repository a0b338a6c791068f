"""What surfaces take out of the bass, where tables end: absorption in four octaves from 31.5 to 250 Hz."""

from math import log

import numpy as np

from seatfield.acoustics import admittance_from_absorption
from seatfield.catalogue.absorption import surface
from seatfield.model import Finish, Furniture
from seatfield.stages.survey import is_one_of

Row = tuple[float, ...]

BANDS_HZ = (31.5, 63.0, 125.0, 250.0)
UNKNOWN = 0.10
"""Absorption of a surface that the file says nothing about: between masonry and plasterboard; common practice, no
source [-]."""
HARDEST = 0.05
"""No surface of the table is believed to absorb less below 125 Hz. Tables are of heavy slabs in laboratories; furnished
dwellings of masonry decay in about 0.7 s at 125 Hz (C. Díaz, A. Pedrero, Applied Acoustics 66 (2005) 945, from memory),
which asks for twice this on average. A prior; the bands that a file gives stand as they are [-]."""
SOFT = 1.25
"""A finish that absorbs this much more an octave higher is porous, and loses half an octave by octave downward; others,
panels and masonry, keep their value. A prior, uncertain by a factor of two either way; no source [-]."""
WOODEN_FURNITURE = 0.10
"""Absorption of the free faces of cabinets, shelves and tables: common practice, no source [-]."""
SHARE_OF_SIDES = 0.5
"""Share of a piece's sides that sound reaches; the others stand near a wall: common practice, no source [-]."""
SEAT_EDGE_M = 0.5
"""Upholstery counts with a strip of this width round it: L. L. Beranek, Music, Acoustics and Architecture (1962), from
memory [m]."""
UPHOLSTERED = frozenset(
    {
        "sofa", "couch", "settee", "loveseat", "armchair", "recliner", "bed", "daybed", "pouf", "pouffe", "ottoman",
        "cushion", "mattress", "beanbag", "bag", "futon", "divan", "lounger",
    }
)  # fmt: skip
OPEN = 1.0
"""Specific admittance of an opening into a large space [-]."""


def absorption_row(finish: Finish) -> Row:
    """Return the absorption of a finish at `BANDS_HZ`.

    Parameters
    ----------
    finish
        Its own bands count as they stand; what lies below the lowest of them is the prior.

    Returns
    -------
    tuple
        Absorption coefficients [-].
    """
    if not finish.freq_hz:
        return (UNKNOWN,) * len(BANDS_HZ)
    order = np.argsort(finish.freq_hz)
    freq, alpha = np.array(finish.freq_hz)[order], np.array(finish.absorption)[order]
    soft = len(alpha) > 1 and alpha[1] > SOFT * alpha[0] * log(freq[1] / freq[0]) / log(2)
    least = HARDEST if surface(finish.name) is not None else 0.0
    row = np.interp(np.log(BANDS_HZ), np.log(freq), alpha)
    return tuple(
        float(value)
        if band >= 0.99 * freq[0]
        else float(max(alpha[0] * (band / freq[0] if soft else 1.0), least))
        for band, value in zip(BANDS_HZ, row, strict=True)
    )


def named_row(name: str) -> Row:
    """Return the absorption of a surface of the built-in table at `BANDS_HZ` [-]."""
    from seatfield.catalogue.absorption import OCTAVE_BANDS_HZ

    found = surface(name)
    return absorption_row(Finish(name, OCTAVE_BANDS_HZ, found.absorption if found else (UNKNOWN,) * 6))


def admittances(row: Row) -> Row:
    """Return the specific admittance that goes with absorption, about an eighth of it [-]."""
    return tuple(float(value) for value in admittance_from_absorption(np.clip(row, 0.0, None)))


def is_upholstered(piece: Furniture) -> bool:
    """Tell whether a piece of furniture is thickly upholstered, by its kind or name."""
    return is_one_of(piece, UPHOLSTERED) or "easy chair" in f"{piece.kind} {piece.name}".lower()


def sheet_admittances(piece: Furniture) -> Row:
    """Return what a piece of furniture takes out of the bass, as the admittance of a sheet over its outline.

    Parameters
    ----------
    piece
        The piece; an outline of three corners or more.

    Returns
    -------
    tuple
        Specific admittance at `BANDS_HZ`: an eighth of the equivalent absorption area over the outline's area [-].
    """
    from shapely import Polygon

    outline = Polygon(piece.outline)
    if is_upholstered(piece):
        row, area = named_row("cloth upholstery"), outline.buffer(SEAT_EDGE_M, join_style="mitre").area
    else:
        row = (WOODEN_FURNITURE,) * len(BANDS_HZ)
        area = outline.area + SHARE_OF_SIDES * outline.length * piece.height_m
    return tuple(min(value * area / (8 * outline.area), OPEN) for value in row)
