"""Any file in which a machine wrote down what its sound sink accepts."""

import re

from seatfield.readers.edid import BLOCK, HEADER, read_edid
from seatfield.readers.eld import read_eld
from seatfield.readers.sink import Sink

_OFFSET = re.compile(r"^(?:0x)?[0-9a-f]{1,8}:\s|^[0-9a-f]{6,8}\s\s")
_ELD_KEY = re.compile(r"^[ \t]*(?:sad_count|sad\d{1,3}_coding_type|eld_valid)\b", re.MULTILINE | re.ASCII)
_HEX = re.compile(r"(?:[0-9a-f]{2})+")
_SHORTEST_LINE = 8  # bytes; shorter runs of hexadecimal digits are words


def read_sink(data: bytes) -> Sink:
    """Read a sink's abilities from a file that the user's own machine wrote.

    Parameters
    ----------
    data
        The file's bytes: an EDID in binary, an EDID as lines of hexadecimal digits, or the kernel's ELD text.

    Returns
    -------
    Sink
        What is sound, with a warning for all that is not; of kind "unknown" where the bytes are none of the three,
        or an EDID without a sound base block. No bytes raise an exception.
    """
    if data.startswith(HEADER):
        return _edid(data)
    text = _text(data)
    if text is None:
        return _unknown(NEITHER)
    if _ELD_KEY.search(text):
        return read_eld(text)
    from_hex = _hex_bytes(text)
    if HEADER in from_hex:
        return _edid(from_hex[from_hex.rindex(HEADER) :])
    return _unknown(NEITHER)


NEITHER = (
    "The file is neither an EDID (binary with its header, or hexadecimal digits) nor the kernel's ELD text."
)


def _edid(data: bytes) -> Sink:
    """Read an EDID whose base block is whole; a later block that is damaged is told and read all the same."""
    if len(data) < BLOCK:
        return _unknown(
            f"The file begins as an EDID but holds {len(data)} of the {BLOCK} bytes of its base block."
        )
    if sum(data[:BLOCK]) % 256:
        return _unknown(
            "The file begins as an EDID, but the checksum of its base block is wrong, so nothing in it can be trusted. "
            "Read it once more from the device."
        )
    return read_edid(data)


def _unknown(why: str) -> Sink:
    return Sink(kind="unknown", warnings=(why,))


def _text(data: bytes) -> str | None:
    if b"\0" in data:
        return None
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return None


def _hex_bytes(text: str) -> bytes:
    return b"".join(map(_hex_line, text.lower().splitlines()))


def _hex_line(line: str) -> bytes:
    """Return the bytes of one line of a dump: bare, with an offset, with a text column, or as numbers of a program."""
    bare = _OFFSET.sub("", line.strip().split("|")[0]).strip()
    if re.match(r"[0-9a-f]{4}\s", bare):  # groups of four digits have their text column two spaces on
        bare = bare.split("  ")[0]
    digits = re.sub(r"0x|[\s,]", "", bare)
    return bytes.fromhex(digits) if len(digits) >= 2 * _SHORTEST_LINE and _HEX.fullmatch(digits) else b""
