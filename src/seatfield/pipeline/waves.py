"""Sound files: the extensible WAV header with its channel mask, and samples of 24 bits or of single precision."""

import struct
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np

EXTENSIBLE = 0xFFFE
INTEGER, FLOAT = 1, 3
GUID_TAIL = bytes.fromhex("000000001000800000aa00389b71")
LARGEST_BYTES = 0xFFFFFFFF - 100


class TooLongError(ValueError):
    """More sound than a WAV file can hold."""

    def __init__(self, size: int) -> None:
        super().__init__(
            f"{size:,} bytes of sound are to be written, and a WAV file holds {LARGEST_BYTES:,} at most. "
            "Write one file for each channel, or use a lower sample rate."
        )


def wave_header(frames: int, columns: int, rate_hz: int, mask: int, *, floating: bool = False) -> bytes:
    """Return the head of a WAV file up to its samples.

    Parameters
    ----------
    frames, columns
        Length and number of channels.
    rate_hz
        Sample rate [Hz].
    mask
        Loudspeaker positions, front left lowest; 0 where the columns stand for none.
    floating
        True for single precision, False for 24 bits.

    Returns
    -------
    bytes
        RIFF, the extensible format header, and the head of the data.

    Raises
    ------
    TooLongError
        If the sound is larger than the header can say.

    References
    ----------
    RIFF/WAVE with WAVEFORMATEXTENSIBLE (layout read in open source code).
    """
    width = 4 if floating else 3
    size = frames * columns * width
    if size > LARGEST_BYTES:
        raise TooLongError(size)
    kind = FLOAT if floating else INTEGER
    form = struct.pack(
        "<HHIIHHHHIH14s",
        EXTENSIBLE,
        columns,
        rate_hz,
        rate_hz * columns * width,
        columns * width,
        8 * width,
        22,
        8 * width,
        mask,
        kind,
        GUID_TAIL,
    )
    pad = size % 2
    riff = struct.pack("<4sI4s", b"RIFF", 4 + 8 + len(form) + 8 + size + pad, b"WAVE")
    return riff + struct.pack("<4sI", b"fmt ", len(form)) + form + struct.pack("<4sI", b"data", size)


def whole_24(samples: Any) -> bytes:
    """Return samples as little-endian integers of 24 bits, rounded; beyond full scale they are held there."""
    whole = np.clip(np.rint(np.asarray(samples) * 2**23), -(2**23), 2**23 - 1).astype("<i4")
    return bytes(whole.reshape(-1, 1).view(np.uint8).reshape(-1, 4)[:, :3].tobytes())


def write_wave(target: Path, blocks: Iterable[Any], frames: int, rate_hz: int, mask: int = 0) -> None:
    """Write a WAV file of 24 bits, block by block; a reader finds the whole file or none.

    Parameters
    ----------
    target
        The file.
    blocks
        Arrays of shape (n, columns), full scale 1.
    frames
        Their length together.
    rate_hz
        Sample rate [Hz].
    mask
        Channel mask.
    """
    half = target.with_name(f".{target.name}.part")
    target.parent.mkdir(parents=True, exist_ok=True)
    with half.open("wb") as file:
        for place, block in enumerate(blocks):
            if place == 0:
                file.write(wave_header(frames, block.shape[1], rate_hz, mask))
            file.write(whole_24(block))
        file.write(b"\0" * (file.tell() % 2))
    half.replace(target)


def wave_bytes(samples: Any, rate_hz: int) -> bytes:
    """Return a mono WAV file of single precision, as filters are kept in."""
    column = np.asarray(samples, dtype="<f4")
    return wave_header(len(column), 1, rate_hz, 0, floating=True) + column.tobytes()
