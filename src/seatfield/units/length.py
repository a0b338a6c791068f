"""Lengths as people write them, into metres, and back.

The international foot is 0.3048 m and the inch 0.0254 m exactly (NIST Special Publication 811, Appendix B).
"""

import re
from math import ceil, floor
from typing import Literal

from seatfield.units.errors import AmbiguousQuantityError, QuantityError, UnreadableQuantityError
from seatfield.units.spelling import NUMBER, number_of, plain_spelling

FOOT_M = 0.3048
INCH_M = 0.0254

LengthUnitName = Literal["m", "ft"]

LENGTH_WANTED = """a length such as 2.40 m, 178 cm, 11 ft 6 in or 5' 10 1/2\""""

_UNITS_M = {"m": 1.0, "cm": 0.01, "mm": 0.001, "ft": FOOT_M, "in": INCH_M, "yd": 3 * FOOT_M}
_NAMES = {
    "m": ("m", "metre", "metres", "meter", "meters"),
    "cm": ("cm", "centimetre", "centimetres", "centimeter", "centimeters"),
    "mm": ("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
    "ft": ("'", "ft", "ft.", "foot", "feet"),
    "in": ('"', "in", "in.", "inch", "inches"),
    "yd": ("yd", "yard", "yards"),
}
_UNIT_OF = {name: unit for unit, names in _NAMES.items() for name in names}
# Before exactly three digits these may part thousands; a metre reading with three decimals is a millimetre's.
_THOUSANDS = {"mm": ",.", "cm": ",", "in": ",", "ft": ",", "yd": ",", "m": ""}
_WORD = r"(?:'|\"|[A-Za-z]+\.?)"
_ONE = re.compile(rf"(?P<number>{NUMBER}) ?(?P<unit>{_WORD})?")
_TWO = re.compile(
    rf"(?P<big>{NUMBER}) ?(?P<big_unit>{_WORD})[ ,-]*(?P<small>{NUMBER}) ?(?P<small_unit>{_WORD})?",
)
_PAIRS = {"ft": ("in", 12), "m": ("cm", 100), "yd": ("ft", 3)}


def parse_length(text: str, plain: LengthUnitName | None = None) -> float:
    r"""Read a length as people write it.

    Parameters
    ----------
    text : str
        Such as ``5' 10 1/2"``, ``11 ft 6 in``, ``2,40 m``, ``178 cm`` or, where `plain` is given, ``2.4``.
    plain : {"m", "ft"}, optional
        The unit of a number without one; where None, such a number is refused.

    Returns
    -------
    float
        The length [m].

    Raises
    ------
    AmbiguousQuantityError
        If the text can mean two lengths, as 5.10 ft can: 5 ft 10 in, or 5 ft 1.2 in.
    UnreadableQuantityError
        If the text is no length.

    Notes
    -----
    Of decimal feet .10 and .11 are asked about, and in text with its unit also one decimal but .5: 6.8 ft is how people
    write 6 ft 8 in, and how they write 6 ft 9.6 in.
    A comma (in millimetres also a point) before exactly three digits is asked about, except in metres.

    Examples
    --------
    >>> round(parse_length("5' 10 1/2\""), 4)
    1.7907
    >>> parse_length("2,40 m")
    2.4
    """
    spelt = plain_spelling(text)
    sign, body = (
        (-1.0, spelt[1:].strip()) if spelt.startswith("-") else (1.0, spelt.removeprefix("+").strip())
    )
    if match := _ONE.fullmatch(body):
        return sign * _single(match, text, plain)
    if match := _TWO.fullmatch(body):
        return sign * _pair(match, text)
    raise UnreadableQuantityError(text, LENGTH_WANTED)


_WHOLE_INCHES = re.compile(r"""\s*\d+\s*(?:"|″|”|''|in|in\.|inch|inches)\s*""", re.IGNORECASE)


def is_whole_inches(text: str) -> bool:
    """Tell whether a length is written as whole inches alone, such as 55 in: so people write a picture's diagonal."""
    return _WHOLE_INCHES.fullmatch(text) is not None


def _unit(name: str, given: str) -> str:
    unit = _UNIT_OF.get(name.lower())
    if unit is None:
        raise UnreadableQuantityError(
            given, f"{LENGTH_WANTED}; {name!r} is no unit of length that is known here"
        )
    return unit


def _single(match: re.Match[str], given: str, plain: LengthUnitName | None) -> float:
    name = match["unit"] or plain
    if name is None:
        raise UnreadableQuantityError(given, f"{LENGTH_WANTED}, with its unit")
    unit = _unit(name, given)
    if unit == "ft":
        ask_about_decimal_feet(match["number"], given, told=match["unit"] is not None)
    return number_of(match["number"], given, thousands=_THOUSANDS[unit]) * _UNITS_M[unit]


def ask_about_decimal_feet(number: str, given: str, *, told: bool = False) -> None:
    """Ask about decimal feet that look like feet and inches.

    Parameters
    ----------
    number : str
        The number of feet as it was written, such as ``5.10``.
    given : str
        The whole quantity as it was written, for the question.
    told : bool
        True where the unit stands beside the number: coordinates in plain decimal feet are too many to ask about.

    Raises
    ------
    AmbiguousQuantityError
        If the decimals are exactly 10 or 11, or with the unit beside them 1 to 9 but not 5, which is a half.
    """
    if match := re.fullmatch(rf"(\d+)[.,](10|11{'|[1-46-9]' if told else ''})", number):
        feet, inches = match.groups()
        decimals = float(f"0.{inches}") * 12
        raise AmbiguousQuantityError(given, (f"{feet} ft {inches} in", f"{feet} ft {decimals:g} in"))


def _pair(match: re.Match[str], given: str) -> float:
    big_unit = _unit(match["big_unit"], given)
    if big_unit not in _PAIRS:
        raise UnreadableQuantityError(given, LENGTH_WANTED)
    small_unit, ratio = _PAIRS[big_unit]
    big, small = number_of(match["big"], given), number_of(match["small"], given)
    bare_centimetres = big_unit == "m" and match["small_unit"] is None and len(match["small"]) != 2
    if _unit(match["small_unit"] or small_unit, given) != small_unit or big != floor(big) or bare_centimetres:
        raise UnreadableQuantityError(given, LENGTH_WANTED)
    if small >= ratio:
        raise UnreadableQuantityError(given, f"fewer than {ratio} {small_unit} beside the {big_unit}")
    return big * _UNITS_M[big_unit] + small * _UNITS_M[small_unit]


def format_metres(length_m: float) -> str:
    """Write a length in metres to the centimetre.

    Parameters
    ----------
    length_m : float
        Length [m].

    Returns
    -------
    str
        Such as ``2.40 m``; halves of a centimetre are rounded away from zero.
    """
    centimetres = _nearest(abs(length_m) * 100)
    return f"{_minus(length_m, centimetres)}{centimetres // 100}.{centimetres % 100:02d} m"


def format_feet(length_m: float) -> str:
    """Write a length in feet and inches to the nearest eighth of an inch.

    Parameters
    ----------
    length_m : float
        Length [m].

    Returns
    -------
    str
        Such as ``5' 10 1/2"`` or ``5' 0 1/2"``; below one foot inches alone, such as ``3/8"``.
    """
    eighths = _nearest(abs(length_m) / INCH_M * 8)
    feet, rest = divmod(eighths, 96)
    inches = _inches(rest)
    between = "0 " if 0 < rest < 8 else ""
    return _minus(length_m, eighths) + (f"{feet}' {between}{inches}" if feet else inches)


def format_length(length_m: float, unit: LengthUnitName) -> str:
    """Write a length for people in the unit that they work in.

    Parameters
    ----------
    length_m : float
        Length [m].
    unit : {"m", "ft"}
        Metres to the centimetre, or feet and inches to the eighth.

    Returns
    -------
    str
        Text that `parse_length` reads back.
    """
    return format_feet(length_m) if unit == "ft" else format_metres(length_m)


def format_amount(length_m: float, unit: LengthUnitName, *, up: bool = False) -> str:
    """Write a length of goods or a rough length, without needless decimals.

    Parameters
    ----------
    length_m : float
        Length [m], not negative.
    unit : {"m", "ft"}
        Metres to the decimetre and whole centimetres below one metre, or feet with whole inches.
    up : bool
        True to round up, as for what must be bought.

    Returns
    -------
    str
        Such as ``50 m``, ``7.5 m``, ``30 cm``, ``100 ft`` or ``24' 7"``.
    """
    whole = (lambda count: ceil(count - 1e-6)) if up else _nearest
    if unit == "m":
        if whole(length_m * 100) < 100:
            return f"{whole(length_m * 100)} cm"
        return f"{whole(length_m * 10) / 10:g} m" if length_m < 1e5 else f"{length_m:.3g} m"
    feet, inches = divmod(whole(length_m / INCH_M), 12)
    if not feet:
        return f'{inches}"'
    return f"{feet}' {inches}\"" if inches else f"{feet} ft"


def _inches(eighths: int) -> str:
    whole, part = divmod(eighths, 8)
    fraction = {0: "", 1: "1/8", 2: "1/4", 3: "3/8", 4: "1/2", 5: "5/8", 6: "3/4", 7: "7/8"}[part]
    return " ".join(filter(None, [str(whole) if whole or not part else "", fraction])) + '"'


def _nearest(count: float) -> int:
    # A tape reads halves up; the small amount undoes binary noise such as 240.49999999999997 for 2.405 m.
    return floor(count + 0.5 + 1e-9)


def _minus(length_m: float, steps: int) -> str:
    return "−" if length_m < 0 and steps else ""


__all__ = [
    "FOOT_M",
    "INCH_M",
    "LENGTH_WANTED",
    "AmbiguousQuantityError",
    "LengthUnitName",
    "QuantityError",
    "UnreadableQuantityError",
    "ask_about_decimal_feet",
    "format_amount",
    "format_feet",
    "format_length",
    "format_metres",
    "parse_length",
]
