"""Quantities as people write them, into the units that the house computes in, and back."""

from seatfield.units.conductor import CONDUCTOR_WANTED, Conductor, parse_conductor
from seatfield.units.errors import AmbiguousQuantityError, QuantityError, UnreadableQuantityError
from seatfield.units.length import (
    FOOT_M,
    INCH_M,
    LENGTH_WANTED,
    LengthUnitName,
    ask_about_decimal_feet,
    format_amount,
    format_feet,
    format_length,
    format_metres,
    parse_length,
)
from seatfield.units.quantity import (
    ANGLE,
    DURATION,
    FREQUENCY,
    LEVEL,
    POWER,
    RESISTANCE,
    SPEED,
    TEMPERATURE,
    WEIGHT,
    QuantityKind,
    parse_quantity,
)

__all__ = [
    "ANGLE",
    "CONDUCTOR_WANTED",
    "DURATION",
    "FOOT_M",
    "FREQUENCY",
    "INCH_M",
    "LENGTH_WANTED",
    "LEVEL",
    "POWER",
    "RESISTANCE",
    "SPEED",
    "TEMPERATURE",
    "WEIGHT",
    "AmbiguousQuantityError",
    "Conductor",
    "LengthUnitName",
    "QuantityError",
    "QuantityKind",
    "UnreadableQuantityError",
    "ask_about_decimal_feet",
    "format_amount",
    "format_feet",
    "format_length",
    "format_metres",
    "parse_conductor",
    "parse_length",
    "parse_quantity",
]
