"""Kinds of values about sound in the project file: audio formats by their open names, and kinds of device."""

from typing import Annotated, Any

from pydantic import PlainValidator

from seatfield.catalogue.device_kinds import DEVICE_KINDS, device_kind, nearest_kind
from seatfield.catalogue.formats import FORMATS, UnknownFormatError, parse_ability
from seatfield.store.records.kinds import MOST_TABLES, read_name, read_text, wanted
from seatfield.store.records.shapes import several

FORMAT_WANTED = (
    f"an audio format by its open name, one of {', '.join(entry.name for entry in FORMATS)} (MLP is the lossless one "
    "that IEC 61937-9 carries as MAT); then, where it matters, "
    'channels and rate that it carries, such as "LPCM 8 192/24" or "E-AC-3 5.1"'
)


def read_format(value: Any, at: tuple[str | int, ...] = ()) -> str:
    """Read the name of an audio format with the limits beside it.

    Parameters
    ----------
    value : object
        As tomllib gave it.
    at : tuple of str or int
        Where inside a value it stands.

    Returns
    -------
    str
        As it is written; the stages read it.
    """
    if not isinstance(value, str):
        raise wanted(FORMAT_WANTED, at=at)
    text = value.strip()
    try:
        parse_ability(text)
    except UnknownFormatError as error:
        raise wanted(FORMAT_WANTED, error.nearest, at) from None
    return read_name(value)


def _read_conversions(value: Any) -> tuple[tuple[str, str], ...]:
    if not isinstance(value, dict):
        raise wanted('a table of formats { "…" = "…" }, what comes in before what goes out')
    return tuple((read_format(key, (key,)), read_format(item, (key,))) for key, item in value.items())


def _read_shown(value: Any) -> tuple[tuple[str, str], ...]:
    if not isinstance(value, dict):
        raise wanted('a table { "format" = "what the display says" }')
    return tuple((read_format(key, (key,)), read_text(item)) for key, item in value.items())


def _read_device_kind(value: Any) -> str:
    text = read_text(value)
    if text.strip() and device_kind(text) is None:
        known = ", ".join(f'"{kind.name}"' for kind in DEVICE_KINDS)
        raise wanted(f"one of {known}, or nothing", nearest_kind(text))
    return text


Format = Annotated[str, PlainValidator(read_format, json_schema_input_type=str)]
"""An audio format."""
Formats = Annotated[
    tuple[Format, ...], several(0, MOST_TABLES, 'a list of audio formats in quotes ["…", "…"]')
]
Conversions = Annotated[
    tuple[tuple[str, str], ...],
    PlainValidator(_read_conversions, json_schema_input_type=dict[str, str]),
]
Shown = Annotated[
    tuple[tuple[str, str], ...], PlainValidator(_read_shown, json_schema_input_type=dict[str, str])
]
DeviceKindName = Annotated[str, PlainValidator(_read_device_kind, json_schema_input_type=str)]
