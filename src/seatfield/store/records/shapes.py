"""Kinds of lists and tables in the project file: points, outlines, names, finishes, levels by frequency."""

from collections.abc import Callable
from itertools import pairwise
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, PlainValidator, ValidationInfo, WithJsonSchema
from pydantic_core import PydanticCustomError

from seatfield.catalogue.absorption import OCTAVE_BANDS_HZ, SURFACES, nearest_surface, surface
from seatfield.model import Finish, Outline, Point3
from seatfield.store.records.kinds import (
    FARTHEST_M,
    MOST_CORNERS,
    MOST_TABLES,
    Angle,
    Channel,
    ChannelOrUse,
    Frequency,
    Level,
    Name,
    Position,
    Size,
    finite,
    length_in,
    read_name,
    read_text,
    unit_of,
    wanted,
)

NEAREST_CORNERS_M = 0.001
FLATTEST_PLANE_M2 = 1e-4


def exactly(length: int, what: str) -> BeforeValidator:
    """Return the check that a list has as many elements as a tuple needs.

    Parameters
    ----------
    length : int
        Number of elements.
    what : str
        What is wanted otherwise.

    Returns
    -------
    BeforeValidator
        For `Annotated` on a tuple.
    """

    def check(value: Any) -> Any:
        if not isinstance(value, list) or len(value) != length:
            raise wanted(f"{what}{_comma_slip(value, length)}")
        return tuple(value)

    return BeforeValidator(check)


def _comma_slip(value: Any, length: int) -> str:
    """Name the decimal comma that made a list too long; empty where it explains nothing."""
    if not isinstance(value, list) or not length < len(value) <= 2 * length:
        return ""
    if any(isinstance(item, bool) or not isinstance(item, int | float) for item in value):
        return ""
    rest, meant, spare = list(value), [], len(value) - length
    while rest:
        first = rest.pop(0)
        whole = isinstance(first, int) and rest and isinstance(rest[0], int) and 0 <= rest[0] < 1000
        if spare and whole:
            meant.append(f"{first}.{rest.pop(0)}")
            spare -= 1
        else:
            meant.append(f"{first:g}")
    if spare:
        return ""
    comma = next(text for text in meant if "." in text).replace(".", ",")
    return (
        f"; inside brackets a comma parts numbers, so if {comma} is a decimal comma write a point: "
        f"[{', '.join(meant)}]"
    )


def several(low: int, high: int, what: str) -> BeforeValidator:
    """Return the check that a list has from `low` to `high` elements.

    Parameters
    ----------
    low, high : int
        Allowed number of elements.
    what : str
        What is wanted otherwise.

    Returns
    -------
    BeforeValidator
        For `Annotated` on a list.
    """

    def check(value: Any) -> Any:
        if not isinstance(value, list):
            raise wanted(what)
        if not low <= len(value) <= high:
            raise wanted(f"{what}, from {low} to {high} of them" if high > low else what)
        return tuple(value)

    return BeforeValidator(check)


def tables(what: str) -> BeforeValidator:
    """Return the check that a key was written as tables of a list, ``[[what]]``.

    Parameters
    ----------
    what : str
        The key.

    Returns
    -------
    BeforeValidator
        For `Annotated` on a tuple of records.
    """

    def check(value: Any) -> Any:
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            raise wanted(f"tables headed [[{what}]], with double brackets")
        if len(value) > MOST_TABLES:
            raise wanted(f"at most {MOST_TABLES} tables [[{what}]]")
        return tuple(value)

    return BeforeValidator(check)


def _corners_apart(corners: Outline) -> Outline:
    for place, (corner, following) in enumerate(pairwise((*corners, corners[0]))):
        if abs(corner[0] - following[0]) + abs(corner[1] - following[1]) < NEAREST_CORNERS_M:
            what = "corners that differ; the outline closes by itself, without its first corner again"
            raise wanted(what, at=(place,))
    return corners


def _plane_stands(points: tuple[Point3, Point3, Point3]) -> tuple[Point3, Point3, Point3]:
    (ax, ay, _), (bx, by, _), (cx, cy, _) = points
    if abs((bx - ax) * (cy - ay) - (by - ay) * (cx - ax)) < FLATTEST_PLANE_M2:
        raise wanted("three points of the ceiling that do not stand in one line as seen from above")
    return points


def _ascends(values: tuple[float, ...]) -> tuple[float, ...]:
    if any(not low < high for low, high in pairwise(values)):
        raise wanted("numbers that ascend")
    return values


Pair = Annotated[tuple[Position, Position], exactly(2, "a point [x, y]")]
Triple = Annotated[tuple[Position, Position, Position], exactly(3, "a point [x, y, z]")]
Stretch = Annotated[
    tuple[Position, Position], exactly(2, "a stretch [from, to] along the wall"), AfterValidator(_ascends)
]
Box = Annotated[tuple[Size, Size, Size], exactly(3, "a size [width, depth, height]")]
Clear = Annotated[tuple[Size, Size], exactly(2, "a width and a depth [width, depth]")]

Corners = Annotated[
    tuple[Pair, ...],
    several(3, MOST_CORNERS, "a list of corners [[x, y], [x, y], …], at least three of them"),
    AfterValidator(_corners_apart),
]
Plane3 = Annotated[
    tuple[Triple, Triple, Triple],
    exactly(3, "three points [x, y, z] of a ceiling plane"),
    AfterValidator(_plane_stands),
]
Planes = Annotated[
    tuple[Plane3, ...], several(1, MOST_CORNERS, "ceiling planes, each of three points [x, y, z]")
]
Lengths = Annotated[
    tuple[Size, ...], several(3, MOST_CORNERS, "the wall lengths in order, at least three of them")
]
Polyline = Annotated[tuple[Pair, ...], several(2, MOST_CORNERS, "a line of points [[x, y], [x, y], …]")]
Polyline3 = Annotated[
    tuple[Triple, ...], several(2, MOST_CORNERS, "a line of points [[x, y, z], [x, y, z], …]")
]
Names = Annotated[tuple[Name, ...], several(0, MOST_TABLES, 'a list of names in quotes ["…", "…"]')]
Channels = Annotated[
    tuple[Channel, ...], several(0, MOST_TABLES, 'a list of loudspeaker labels ["M+030", …]')
]
Carried = Annotated[
    tuple[ChannelOrUse, ...], several(0, MOST_TABLES, 'a list of loudspeaker labels ["M+030", …]')
]
Frequencies = Annotated[
    tuple[Frequency, ...],
    several(1, MOST_TABLES, "a list of frequencies in Hz"),
    AfterValidator(_ascends),
]
Angles = Annotated[
    tuple[Angle, ...], several(1, MOST_TABLES, "a list of angles in degrees"), AfterValidator(_ascends)
]
LevelRange = Annotated[
    tuple[Level, Level], exactly(2, "a range [lowest, highest] in dB"), AfterValidator(_ascends)
]
LevelGrid = Annotated[
    tuple[Annotated[tuple[Level, ...], several(1, MOST_TABLES, "a list of levels in dB")], ...],
    several(1, MOST_TABLES, "a list of levels in dB for each frequency"),
]


def by_frequency(value: Any, low: float, high: float, what: str) -> tuple[tuple[float, float], ...]:
    """Read a table from frequency in Hz to a number, such as ``{ 20 = 88, 30 = 100 }``.

    Parameters
    ----------
    value : object
        As tomllib gave it.
    low, high : float
        Allowed range of the numbers.
    what : str
        What the table holds, for the fault.

    Returns
    -------
    tuple of (float, float)
        Frequency [Hz] and number, ascending.
    """
    if not isinstance(value, dict) or not value:
        raise wanted(what)
    pairs = []
    for key, item in value.items():
        if not (key.replace(".", "", 1).isascii() and key.replace(".", "", 1).isdecimal() and len(key) <= 8):
            raise wanted(f"{what}; frequencies are whole numbers of Hz, or in quotes", at=(key,))
        found = _at(key, lambda item=item: finite(item, what))  # type: ignore[misc]
        if not low <= found <= high or not 1 <= float(key) <= 100_000:
            raise wanted(
                f"{what}; numbers from {low:g} to {high:g}, frequencies from 1 to 100000 Hz", at=(key,)
            )
        pairs.append((float(key), found))
    return tuple(sorted(pairs))


def _at(key: str, read: Callable[[], float]) -> float:
    try:
        return read()
    except PydanticCustomError as error:
        raise wanted(str((error.context or {})["what"]), at=(key,)) from None


def _read_finish(value: Any) -> Finish:
    if isinstance(value, str):
        known = surface(value)
        if known is None:
            what = (
                "a finish of the built-in table, which docs/project-file.md lists, "
                "or its absorption in octave bands { 125 = 0.1, 250 = 0.1, … }"
            )
            raise wanted(what, nearest_surface(value))
        return Finish(known.name, OCTAVE_BANDS_HZ, known.absorption)
    what = "a finish's name, or its absorption in octave bands such as { 125 = 0.1, 250 = 0.1 }"
    bands = by_frequency(value, 0.0, 1.2, what)  # ISO 354 samples may measure a little above 1
    return Finish("own bands", tuple(freq for freq, _ in bands), tuple(alpha for _, alpha in bands))


FinishValue = Annotated[
    Finish,
    PlainValidator(_read_finish, json_schema_input_type=str | dict[str, float]),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "string", "examples": [entry.name for entry in SURFACES]},
                {"type": "object", "additionalProperties": {"type": "number"}},
            ]
        }
    ),
]


def _read_levels(value: Any) -> tuple[tuple[float, float], ...]:
    return by_frequency(value, -200, 250, "levels at 1 m by frequency in Hz such as { 30 = 100, 40 = 107 }")


Levels = Annotated[
    tuple[tuple[float, float], ...], PlainValidator(_read_levels, json_schema_input_type=dict[str, float])
]


def _read_ear(value: Any, info: ValidationInfo) -> tuple[float, float]:
    what = "a height of the ears, or a range [lowest, highest]"
    heights = value if isinstance(value, list) else [value, value]
    if len(heights) != 2:
        raise wanted(what)
    low, high = (length_in(height, unit_of(info), 0.0, FARTHEST_M, what) for height in heights)
    if low > high:
        raise wanted(f"{what}, the lowest first")
    return low, high


EarHeight = Annotated[
    tuple[float, float], PlainValidator(_read_ear, json_schema_input_type=float | str | list[float | str])
]


def _read_words(value: Any) -> tuple[tuple[str, str], ...]:
    if not isinstance(value, dict):
        raise wanted('a table of texts { "…" = "…" }')
    return tuple((read_name(key), read_text(item)) for key, item in value.items())


Words = Annotated[
    tuple[tuple[str, str], ...], PlainValidator(_read_words, json_schema_input_type=dict[str, str])
]
