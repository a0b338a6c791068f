"""One spelling for the many ways in which people and keyboards write numbers, primes and fractions."""

import re
from fractions import Fraction

from seatfield.units.errors import AmbiguousQuantityError, UnreadableQuantityError

# Unicode's vulgar fractions, block "Number Forms" and Latin-1.
_FRACTIONS = {
    "¼": "1/4", "½": "1/2", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6",
}  # fmt: skip
_SIGNS = str.maketrans(
    {
        **dict.fromkeys("′’‘ʹʼ´`", "'"),
        **dict.fromkeys("″”“ʺ", '"'),
        **dict.fromkeys("−–—‐‑", "-"),
        **dict.fromkeys("\u00a0\u2009\u202f\u2007\t", " "),
        **dict.fromkeys("×✕∙·", "x"),
        "⁄": "/",
        "²": "2",
        "Ω": "ohm",
        "\u2126": "ohm",
        "µ": "u",
        "μ": "u",
        "℃": "°C",
        "℉": "°F",
    },
)
LONGEST = 60
"""Characters; no quantity that a person writes is longer."""

NUMBER = r"(?:\d+[ -]+\d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?|[.,]\d+)"
"""A number as a pattern: 2.40, 2,40, 10 1/2, 10-1/2 or 1/2."""


def plain_spelling(text: str) -> str:
    """Write primes, quotation marks, fractions, dashes and spaces in one way.

    Parameters
    ----------
    text : str
        As a person wrote it.

    Returns
    -------
    str
        The same with ``'``, ``"``, ``1/2``, ``-``, single spaces and ``x``, stripped.

    Raises
    ------
    UnreadableQuantityError
        If the text is longer than any quantity.
    """
    if len(text) > LONGEST:
        raise UnreadableQuantityError(f"{text[:LONGEST]}…", f"a quantity, in at most {LONGEST} characters")
    for sign, fraction in _FRACTIONS.items():
        text = text.replace(sign, f" {fraction}")
    text = text.translate(_SIGNS).replace("''", '"')
    return re.sub(r" +", " ", text).strip()


def number_of(text: str, given: str, *, thousands: str = "") -> float:
    """Read one number in plain spelling, with a point or a comma for its decimals, or with a fraction.

    Parameters
    ----------
    text : str
        The number's own characters, matching `NUMBER`.
    given : str
        The whole quantity as it was written, for the error.
    thousands : str
        Signs that, before exactly three digits, may part thousands: ``1,250`` is then asked about.

    Returns
    -------
    float
        The number.

    Raises
    ------
    AmbiguousQuantityError
        If the sign before three digits may be a thousands separator.
    UnreadableQuantityError
        If a fraction divides by zero, or the number has more digits than a quantity needs.
    """
    if (match := re.fullmatch(r"([1-9]\d{0,2})([,.])(\d{3})", text)) and match[2] in thousands:
        apart = f"{match[1]}.{match[3]}".rstrip("0").rstrip(".")
        choices = (given.replace(text, reading, 1) for reading in (match[1] + match[3], apart))
        raise AmbiguousQuantityError(given, tuple(choices))
    if re.search(r"\d{16}", text):
        raise UnreadableQuantityError(given, "a number with fewer digits")
    total = 0.0
    for part in re.split(r" +|-", text.replace(",", ".")):
        if re.search(r"/0+$", part):
            raise UnreadableQuantityError(given, "a fraction that does not divide by zero")
        total += float(Fraction(part)) if part else 0.0
    return total
