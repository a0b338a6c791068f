"""Recordings: the bytes of a WAV or FLAC file as an array."""

import io
import struct
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

EXTENSIBLE = 0xFFFE  # format tag of a WAV file that carries a channel mask
BLOCK_FRAMES = 4096  # read at once: what a damaged spot takes with it
UNKNOWN_SIZES = {0, 0xFFFFFFFF}  # what a program leaves behind that wrote to a pipe or was stopped


@dataclass(frozen=True, slots=True)
class Recording:
    """Samples with what the file says about them.

    Parameters
    ----------
    samples
        One column per channel, full scale ±1. shape (frames, channels)
    rate_hz
        Sampling rate; 0 where nothing could be read. [Hz]
    channel_mask
        Loudspeaker positions as in the extensible WAV header, front left lowest; None where the file has none.
    warnings
        Sentences about what is wrong with the file; with no samples the first says why.
    """

    samples: NDArray[np.float64]
    rate_hz: int
    channel_mask: int | None = None
    warnings: tuple[str, ...] = ()


def read_recording(source: bytes | Path) -> Recording:
    """Read a WAV or FLAC file.

    Parameters
    ----------
    source
        The file's bytes, or the place where it lies.

    Returns
    -------
    Recording
        Its samples; without samples and with a warning where there are none. Nothing that a file holds raises.

    References
    ----------
    RIFF/WAVE with the extensible format header; RFC 9639 (FLAC).
    """
    try:
        data = source if isinstance(source, bytes) else source.read_bytes()
    except OSError as trouble:
        return _nothing(f"The file cannot be opened: {trouble.strerror or trouble}.")
    if not data:
        return _nothing("The file is empty (0 bytes).")
    return _decoded(data)


def _nothing(sentence: str) -> Recording:
    return Recording(_sealed(np.zeros((0, 0))), 0, None, (sentence,))


def _sealed(samples: NDArray[np.float64]) -> NDArray[np.float64]:
    samples.flags.writeable = False
    return samples


def _decoded(data: bytes) -> Recording:
    import soundfile

    try:
        with soundfile.SoundFile(io.BytesIO(data)) as file:
            rate_hz, announced = int(file.samplerate), int(file.frames)
            samples, whole = _frames(file)
    except (soundfile.SoundFileError, RuntimeError, ValueError, TypeError) as trouble:
        reason = str(trouble).rpartition(": ")[2].rstrip(".") or "no reason is given"
        return _nothing(f"The file is not sound that can be read ({reason}).")
    mask, missing = _riff(data)
    warnings = _troubles(samples, announced, missing, whole=whole)
    return Recording(_sealed(samples), rate_hz, mask, warnings)


def _frames(file: Any) -> tuple[NDArray[np.float64], bool]:
    """Read block by block, so that a damaged end does not take the sound part with it."""
    import soundfile

    blocks, whole = [], True
    while True:
        try:
            block = file.read(BLOCK_FRAMES, dtype="float64", always_2d=True)
        except (soundfile.SoundFileError, RuntimeError):
            whole = False
            break
        if len(block) == 0:
            break
        blocks.append(block)
    return (np.concatenate(blocks) if blocks else np.zeros((0, file.channels))), whole


def _troubles(samples: NDArray[np.float64], announced: int, missing: int, *, whole: bool) -> tuple[str, ...]:
    found = []
    if len(samples) == 0:
        found.append("The file holds no sound: its length is zero.")
    if missing > 0:
        found.append(f"The file is cut short: {missing} bytes of the sound that it announces are missing.")
    elif not whole or len(samples) < announced:
        found.append(f"The file is cut short or damaged: {len(samples)} frames could be read.")
    if not np.isfinite(samples).all():
        found.append("The file holds values that are not numbers.")
    return tuple(found)


def _riff(data: bytes) -> tuple[int | None, int]:
    """Return the channel mask of a WAV file, and how many bytes of its sound are missing."""
    if data[:4] not in {b"RIFF", b"RF64", b"BW64"} or data[8:12] != b"WAVE":
        return None, 0
    mask, start = None, 12
    while start + 8 <= len(data):
        name, size = data[start : start + 4], struct.unpack_from("<I", data, start + 4)[0]
        body = start + 8
        if name == b"data":
            return mask, 0 if size in UNKNOWN_SIZES else max(0, body + size - len(data))
        if name == b"fmt ":
            mask = _mask(data[body : body + size])
        start = body + size + size % 2
    return mask, 0


def _mask(header: bytes) -> int | None:
    if len(header) < 24 or struct.unpack_from("<H", header)[0] != EXTENSIBLE:
        return None
    return int(struct.unpack_from("<I", header, 20)[0])
