"""Quantities other than lengths as people write them: 80 W, 2.5 kHz, 8 ohm, 10 lb, 70 °F, 5 ms.

Conversions are exact by definition (NIST Special Publication 811, Appendix B): the avoirdupois pound is
0.453 592 37 kg; degrees Fahrenheit are 9/5 of degrees Celsius plus 32.
"""

import re
from dataclasses import dataclass

from seatfield.units.errors import UnreadableQuantityError
from seatfield.units.spelling import NUMBER, number_of, plain_spelling


@dataclass(frozen=True, slots=True)
class QuantityKind:
    """A kind of quantity: the unit it is kept in, and how other units become it.

    Parameters
    ----------
    name
        In words, such as ``a power``.
    example
        One that parses.
    scale
        For each unit in lower case: factor and addend that turn a number of it into the kept unit.
    plain
        The unit of a number without one.
    """

    name: str
    example: str
    scale: tuple[tuple[str, float, float], ...]
    plain: str


TEMPERATURE = QuantityKind(
    "a temperature",
    "21 °C",
    (("°c", 1, 0), ("c", 1, 0), ("°f", 5 / 9, -160 / 9), ("f", 5 / 9, -160 / 9)),
    "°c",
)
WEIGHT = QuantityKind(
    "a weight", "4.5 kg", (("kg", 1, 0), ("g", 0.001, 0), ("lb", 0.45359237, 0), ("lbs", 0.45359237, 0)), "kg"
)
POWER = QuantityKind("a power", "80 W", (("w", 1, 0), ("watt", 1, 0), ("watts", 1, 0), ("kw", 1000, 0)), "w")
FREQUENCY = QuantityKind("a frequency", "2500 Hz", (("hz", 1, 0), ("khz", 1000, 0)), "hz")
RESISTANCE = QuantityKind("an impedance", "8 ohm", (("ohm", 1, 0), ("ohms", 1, 0)), "ohm")
DURATION = QuantityKind("a duration", "5 ms", (("s", 1, 0), ("ms", 0.001, 0)), "s")
LEVEL = QuantityKind("a level", "86 dB", (("db", 1, 0), ("db spl", 1, 0)), "db")
ANGLE = QuantityKind("an angle", "30°", (("°", 1, 0), ("deg", 1, 0), ("degrees", 1, 0)), "°")
SPEED = QuantityKind("a speed", "343 m/s", (("m/s", 1, 0), ("ft/s", 0.3048, 0)), "m/s")

_QUANTITY = re.compile(rf"([+-]?) ?({NUMBER}) ?([^\d ].*)?")


def parse_quantity(text: str, kind: QuantityKind) -> float:
    """Read a quantity of one kind, with or without its unit.

    Parameters
    ----------
    text : str
        Such as ``80 W``; a number without a unit is in the kind's own.
    kind : QuantityKind
        What is wanted.

    Returns
    -------
    float
        The quantity in the kind's own unit.

    Raises
    ------
    UnreadableQuantityError
        If the text is no quantity of this kind.

    Examples
    --------
    >>> parse_quantity("2,5 kHz", FREQUENCY)
    2500.0
    """
    match = _QUANTITY.fullmatch(plain_spelling(text))
    rules = {unit: (factor, addend) for unit, factor, addend in kind.scale}
    unit = (match[3] or kind.plain).lower() if match else ""
    if match is None or unit not in rules:
        raise UnreadableQuantityError(text, f"{kind.name} such as {kind.example}")
    factor, addend = rules[unit]
    number = number_of(match[2], text) * (-1 if match[1] == "-" else 1)
    return number * factor + addend
