"""Lengths in the words of the person who wrote the file."""

from math import isfinite

from seatfield.model import LengthUnit
from seatfield.units import FOOT_M, format_amount, format_length


def tell(length_m: float, units: LengthUnit) -> str:
    """Write a length in the project's units.

    Parameters
    ----------
    length_m
        Length [m].
    units
        Unit of the project.

    Returns
    -------
    str
        Such as ``2.40 m`` or ``7' 10 1/2"``; for lengths past any building, in rounded metres.
    """
    if not isfinite(length_m) or abs(length_m) > 1e5:
        return f"{length_m:.3g} m"
    return format_length(length_m, "ft" if units is LengthUnit.FOOT else "m")


def tell_roughly(length_m: float, units: LengthUnit, *, up: bool = False) -> str:
    """Write a length of goods, or a rough one, in the project's units.

    Parameters
    ----------
    length_m
        Length [m].
    units
        Unit of the project.
    up
        True to round up, as for what must be bought.

    Returns
    -------
    str
        Such as ``50 m`` or ``100 ft``.
    """
    return format_amount(length_m, "ft" if units is LengthUnit.FOOT else "m", up=up)


def tell_area(area_m2: float, units: LengthUnit) -> str:
    """Write an area in the project's units.

    Parameters
    ----------
    area_m2
        Area [m²].
    units
        Unit of the project.

    Returns
    -------
    str
        Such as ``20.0 m²`` or ``215.3 sq ft``; below one, with two decimals.
    """
    area, word = (area_m2, "m²") if units is LengthUnit.METRE else (area_m2 / FOOT_M**2, "sq ft")
    return f"{area:.1f} {word}" if area >= 1 else f"{area:.2f} {word}"


def tell_volume(volume_m3: float, units: LengthUnit) -> str:
    """Write a volume in the project's units.

    Parameters
    ----------
    volume_m3
        Volume [m³].
    units
        Unit of the project.

    Returns
    -------
    str
        Such as ``50.0 m³`` or ``1766 cu ft``.
    """
    return f"{volume_m3:.1f} m³" if units is LengthUnit.METRE else f"{volume_m3 / FOOT_M**3:.0f} cu ft"
