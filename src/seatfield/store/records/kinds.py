"""Kinds of values in the project file: each reads what a person wrote and returns it in SI, or says what is wanted."""

import re
from enum import StrEnum
from math import isfinite
from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, ConfigDict, PlainValidator, ValidationInfo
from pydantic_core import PydanticCustomError

from seatfield.catalogue.systems import all_labels, plain_name
from seatfield.store.records.everyday import channel_of, nearest_choice, nearest_of
from seatfield.units import (
    ANGLE,
    DURATION,
    FREQUENCY,
    LENGTH_WANTED,
    LEVEL,
    POWER,
    RESISTANCE,
    SPEED,
    TEMPERATURE,
    WEIGHT,
    AmbiguousQuantityError,
    LengthUnitName,
    QuantityError,
    QuantityKind,
    ask_about_decimal_feet,
    is_whole_inches,
    parse_length,
    parse_quantity,
)

FARTHEST_M = 10_000.0
"""A length that is certainly a slip, yet lets millimetres written as metres through to the survey's findings."""
THINNEST_M = 0.000_1
LONGEST_TEXT = 200
MOST_TABLES = 400
MOST_CORNERS = 200


class Record(BaseModel):
    """A table of the project file, in the file's own shape."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, arbitrary_types_allowed=True)


class Written(float):
    """A decimal number that remembers how it was written, because 5.10 may be feet and inches."""

    __slots__ = ("text",)
    text: str

    def __new__(cls, text: str) -> Self:
        """Read the number as TOML does."""
        number = super().__new__(cls, text.replace("_", ""))
        number.text = text
        return number


def wanted(what: str, nearest: str = "", at: tuple[str | int, ...] = ()) -> PydanticCustomError:
    """Return the error that a reader raises.

    Parameters
    ----------
    what : str
        What would be right, as a phrase after 'wanted'.
    nearest : str
        The known value closest to what was found.
    at : tuple of str or int
        Where inside the value the trouble is.

    Returns
    -------
    PydanticCustomError
        For pydantic to collect.
    """
    return PydanticCustomError("wanted", "{what}", {"what": what, "nearest": nearest, "at": at})


def _asked(error: QuantityError) -> PydanticCustomError:
    if isinstance(error, AmbiguousQuantityError):
        return wanted(f"{error.wanted}; as it stands it can be read either way")
    return wanted(error.wanted)


def finite(value: Any, what: str) -> float:
    """Read a number that is finite and of ordinary size.

    Parameters
    ----------
    value : object
        As tomllib gave it.
    what : str
        What is wanted otherwise.

    Returns
    -------
    float
        The number.
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise wanted(what)
    # An integer of many digits has no float; its size is told before it is turned into one.
    if (isinstance(value, int) and abs(value) > 10**15) or not isfinite(value):
        raise wanted(f"{what}, as a number of ordinary size")
    return float(value)


def length_in(value: Any, unit: LengthUnitName, low_m: float, high_m: float, what: str) -> float:
    """Read a length written as text with its unit, or as a number in the project's unit.

    Parameters
    ----------
    value : object
        As tomllib gave it.
    unit : {"m", "ft"}
        The project's unit.
    low_m, high_m : float
        Allowed range [m].
    what : str
        What is wanted where this is no length.

    Returns
    -------
    float
        The length [m].
    """
    try:
        if isinstance(value, str):
            length_m = parse_length(value, unit)
        else:
            if isinstance(value, Written) and unit == "ft":
                ask_about_decimal_feet(value.text.lstrip("+-"), f"{value.text} ft")
            length_m = finite(value, what) * (0.3048 if unit == "ft" else 1.0)
    except QuantityError as error:
        raise _asked(error) from None
    if not low_m <= length_m <= high_m:
        raise wanted(_range_text("a length", low_m, high_m, "m"))
    return length_m


def _range_text(what: str, low: float, high: float, unit: str) -> str:
    return f"{what} from {low:g} to {high:g} {unit}".rstrip()


def unit_of(info: ValidationInfo) -> LengthUnitName:
    """Return the project's unit, which the door puts into the context."""
    return "ft" if (info.context or {}).get("units") == "ft" else "m"


def _length(low_m: float, high_m: float) -> PlainValidator:
    def read(value: Any, info: ValidationInfo) -> float:
        return length_in(value, unit_of(info), low_m, high_m, LENGTH_WANTED)

    return PlainValidator(read, json_schema_input_type=float | str)


class WholeInches(float):
    """A length [m] that was written as whole inches alone, such as 55 in, as people write the diagonal of a picture."""

    __slots__ = ()


def _read_picture_width(value: Any, info: ValidationInfo) -> float:
    length_m = length_in(value, unit_of(info), THINNEST_M, FARTHEST_M, LENGTH_WANTED)
    whole = isinstance(value, str) and is_whole_inches(value)
    return WholeInches(length_m) if whole else length_m


PictureWidth = Annotated[float, PlainValidator(_read_picture_width, json_schema_input_type=float | str)]
"""A length above zero [m] that remembers whether it looks like a diagonal."""

Position = Annotated[float, _length(-FARTHEST_M, FARTHEST_M)]
"""A coordinate or an offset [m], of either sign."""
Height = Annotated[float, _length(0.0, FARTHEST_M)]
"""A length that may be zero [m]."""
Size = Annotated[float, _length(THINNEST_M, FARTHEST_M)]
"""A length above zero [m]."""


def quantity(kind: QuantityKind, low: float, high: float) -> PlainValidator:
    """Return the reader of a quantity within a range: a number in the kind's own unit, or text with a unit.

    Parameters
    ----------
    kind : QuantityKind
        What it is.
    low, high : float
        Allowed range, in the kind's own unit.

    Returns
    -------
    PlainValidator
        For `Annotated`.
    """
    unit = kind.example.rsplit(" ", 1)[-1] if " " in kind.example else "°"

    def read(value: Any) -> float:
        try:
            number = parse_quantity(value, kind) if isinstance(value, str) else finite(value, _example(kind))
        except QuantityError as error:
            raise _asked(error) from None
        if not low <= number <= high:
            raise wanted(_range_text(kind.name, low, high, unit))
        return number

    return PlainValidator(read, json_schema_input_type=float | str)


def _example(kind: QuantityKind) -> str:
    return f"{kind.name} such as {kind.example}"


def number(low: float, high: float, what: str = "a number") -> PlainValidator:
    """Return the reader of a plain number within a range.

    Parameters
    ----------
    low, high : float
        Allowed range.
    what : str
        What it is, for the fault.

    Returns
    -------
    PlainValidator
        For `Annotated`.
    """

    def read(value: Any) -> float:
        found = finite(value, what)
        if not low <= found <= high:
            raise wanted(_range_text(what, low, high, ""))
        return found

    return PlainValidator(read, json_schema_input_type=float)


def count(low: int, high: int) -> PlainValidator:
    """Return the reader of a whole number within a range.

    Parameters
    ----------
    low, high : int
        Allowed range.

    Returns
    -------
    PlainValidator
        For `Annotated`.
    """
    what = f"a whole number from {low} to {high}" if low < high else f"the number {low}"

    def read(value: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise wanted(what)
        return value

    return PlainValidator(read, json_schema_input_type=int)


Temperature = Annotated[float, quantity(TEMPERATURE, -60, 200)]
Weight = Annotated[float, quantity(WEIGHT, 0, 1000)]
Power = Annotated[float, quantity(POWER, 0, 100_000)]
Frequency = Annotated[float, quantity(FREQUENCY, 1, 10_000_000)]
Ohm = Annotated[float, quantity(RESISTANCE, 0.1, 100_000)]
Duration = Annotated[float, quantity(DURATION, 0, 10)]
Level = Annotated[float, quantity(LEVEL, -200, 250)]
Angle = Annotated[float, quantity(ANGLE, -360, 360)]
Speed = Annotated[float, quantity(SPEED, 100, 1000)]
_PRICE = re.compile(r"\s*(\d{1,8})(?:[.,](\d{1,2}))?\s*")
MONEY_WANTED = "a price such as 18.90, as a number without its currency"


def _read_money(value: Any) -> float:
    match = _PRICE.fullmatch(value) if isinstance(value, str) else None
    found = float(f"{match[1]}.{match[2] or 0}") if match else finite(value, MONEY_WANTED)
    if not 0 <= found <= 10_000_000:
        raise wanted(_range_text("a price", 0, 10_000_000, ""))
    return found


Money = Annotated[float, PlainValidator(_read_money, json_schema_input_type=float | str)]
Weighting = Annotated[float, number(0, 1_000_000, "a cost")]


def read_text(value: Any) -> str:
    """Read text on one line.

    Parameters
    ----------
    value : object
        As tomllib gave it.

    Returns
    -------
    str
        The text.
    """
    if not isinstance(value, str):
        raise wanted("text in quotes")
    if len(value) > LONGEST_TEXT or any(ord(sign) < 32 for sign in value):
        raise wanted(f"text on one line, of at most {LONGEST_TEXT} characters")
    return value


def read_name(value: Any) -> str:
    """Read text that is not empty.

    Parameters
    ----------
    value : object
        As tomllib gave it.

    Returns
    -------
    str
        The text, without spaces at its ends.
    """
    text = read_text(value).strip()
    if not text:
        raise wanted("a name in quotes that is not empty")
    return text


Text = Annotated[str, PlainValidator(read_text, json_schema_input_type=str)]
Name = Annotated[str, PlainValidator(read_name, json_schema_input_type=str)]


def _read_flag(value: Any) -> bool:
    if not isinstance(value, bool):
        said = {"yes": "true", "true": "true", "on": "true", "no": "false", "false": "false", "off": "false"}
        raise wanted("true or false, without quotes", said.get(str(value).lower(), ""))
    return value


Flag = Annotated[bool, PlainValidator(_read_flag, json_schema_input_type=bool)]


def one_of(kinds: type[StrEnum] | tuple[str, ...], published: tuple[str, ...] = ()) -> PlainValidator:
    """Return the reader of a choice among words.

    Parameters
    ----------
    kinds : StrEnum class or tuple of str
        The words.
    published : tuple of str
        Those that the schema offers here, where another record stands for the rest.

    Returns
    -------
    PlainValidator
        For `Annotated`; returns the enum's member, or the word.
    """
    words = {str(kind): kind for kind in kinds}

    def read(value: Any) -> StrEnum | str:
        if isinstance(value, str) and value in words:
            return words[value]
        close = nearest_choice(value, tuple(words)) if isinstance(value, str) else ""
        raise wanted(f"one of {', '.join(quoted(word) for word in words)}", close)

    return PlainValidator(read, json_schema_input_type=Literal[published or tuple(words)])


def quoted(word: str) -> str:
    """Return a word in the quotation marks that the file needs."""
    return f'"{word}"'


def _read_channel(value: Any) -> str:
    label = value.strip() if isinstance(value, str) else ""
    if label in all_labels():
        return label
    raise wanted('a loudspeaker label of ITU-R BS.2051 such as "M+030"', _nearest_label(label))


def _nearest_label(label: str) -> str:
    """Return the label of the same layer and side that is nearest in azimuth, or that a plain name stands for."""
    labels = sorted(all_labels())
    for known in labels:
        if label.lower() in (plain_name(known), known.lower()):
            return known
    if meant := channel_of(label):
        return meant
    if match := re.fullmatch(r"([A-Z]+)([+-])(\d{1,3})", label.upper()):
        layer, side, azimuth = match.groups()
        near = [known for known in labels if known.startswith(layer + side) and known[-3:].isdecimal()]
        return min(near, key=lambda known: abs(int(known[-3:]) - int(azimuth)), default="")
    return nearest_of(label, tuple(labels)) if label else ""


def _read_channel_or_use(value: Any) -> str:
    word = value.strip().lower() if isinstance(value, str) else ""
    return word if word in FURTHER_USES else _read_channel(value)


FURTHER_USES = ("second zone", "bi-amp")
"""What a loudspeaker terminal may carry beside channels."""

Channel = Annotated[str, PlainValidator(_read_channel, json_schema_input_type=str)]
ChannelOrUse = Annotated[str, PlainValidator(_read_channel_or_use, json_schema_input_type=str)]
