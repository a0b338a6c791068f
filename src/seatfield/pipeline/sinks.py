"""Read what a sink reports of itself, and write its formats into a project."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from seatfield.pipeline.encoding import encode
from seatfield.readers.hardware import read_sink
from seatfield.readers.sink import Sink
from seatfield.stages.chain import formats_of
from seatfield.store import EditRefusedError, FileChangedError, Set, edited, open_folder, save

MOST_BYTES = 1 << 20
UNKNOWN = "unknown"


class SinkRefusedError(ValueError):
    """A file that is no sink's report, or a project that cannot take it; the message says which and why."""


def read_sink_file(file: Path) -> Sink:
    """Read an EDID or ELD file.

    Raises
    ------
    SinkRefusedError
        If the file cannot be read.
    """
    try:
        with file.open("rb") as opened:
            return read_sink(opened.read(MOST_BYTES))
    except OSError as reason:
        raise SinkRefusedError(f"{file} could not be read: {reason.strerror}.") from reason


@dataclass(frozen=True, slots=True)
class SinkTold:
    """What a display or receiver reports of itself.

    Parameters
    ----------
    formats
        In the words of the project file, for `decodes`.
    speakers
        Labels of the loudspeakers that it declares.
    warnings
        What could not be read, in sentences.
    """

    formats: tuple[str, ...]
    speakers: tuple[str, ...]
    warnings: tuple[str, ...]


def read_report(content: bytes) -> SinkTold:
    """Read the bytes of an EDID or ELD file.

    Raises
    ------
    SinkRefusedError
        If they are none, or tell no format.
    """
    sink = read_sink(content[:MOST_BYTES])
    formats = formats_of(sink)
    if sink.kind == UNKNOWN or not formats:
        raise SinkRefusedError(f"{' '.join(sink.warnings)} It tells no audio format.".strip())
    return SinkTold(formats, sink.speakers, sink.warnings)


def encode_sink(sink: Sink) -> dict[str, Any]:
    """Turn a sink into the object that ``seatfield sink --json`` prints."""
    encoded = encode(sink)
    warnings = encoded.pop("warnings")
    return {"sink": encoded, "warnings": warnings}


def write_sink(sink: Sink, folder: Path, device: str) -> None:
    """Write the sink's formats as `decodes` of a device or amplifier into the project file.

    Raises
    ------
    SinkRefusedError
        If the sink could not be read or tells no format, the project has faults or no such device, or its file
        changed meanwhile.
    """
    if sink.kind == UNKNOWN:
        raise SinkRefusedError(f"{' '.join(sink.warnings)} Nothing was written.")
    opened = open_folder(folder)
    formats = list(formats_of(sink))
    if not formats:
        raise SinkRefusedError("The file tells no audio format, so nothing was written.")
    if opened.project is None:
        raise SinkRefusedError(f"The project has faults; mend them first: {opened.faults[0]}")
    named = [("device", i, d.name) for i, d in enumerate(opened.project.devices)]
    named += [("amplifier", i, a.name) for i, a in enumerate(opened.project.amplifiers)]
    place = next(((table, index) for table, index, name in named if name == device), None)
    if place is None:
        known = ", ".join(name for _, _, name in named) or "none"
        raise SinkRefusedError(f"The project has no device {device!r}; there are: {known}.")
    try:
        save(opened.path, edited(opened.text, [Set((*place, "decodes"), formats)]), opened.digest)
    except (EditRefusedError, FileChangedError, OSError) as refused:
        raise SinkRefusedError(str(refused)) from refused
