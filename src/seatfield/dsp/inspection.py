"""What a recording's samples show before anything is computed from them: silence, clipping, gaps, twin channels."""

import numpy as np

from seatfield.dsp.arrays import Vector
from seatfield.dsp.trouble import Trouble

SILENT = 1e-5
QUIET = 1e-3
FULL_SCALE = 0.9998
FLAT_SHARE = 1e-4
LEAST_GAP_S = 0.0005


def inspect_samples(recording: Vector, sample_rate_hz: float) -> tuple[Trouble, ...]:
    """Return the troubles that one channel's samples show.

    Parameters
    ----------
    recording : ndarray, shape (n,)
        One channel; full scale is 1. [1]
    sample_rate_hz : float
        Its rate. [Hz]

    Returns
    -------
    tuple of Trouble
        `silent`, `quiet`, `clipped` or `gap`.

    Notes
    -----
    The limits are common practice, no source: silent is a peak under -100 dBFS, quiet one under -60 dBFS, clipped
    two neighbours within 0.002 dB of full scale or a flat top below it, a gap 0.5 ms of one repeated value between
    samples that move.
    """
    if not len(recording) or not np.all(np.isfinite(recording)):
        return (_silent(0.0, "holds no numbers" if len(recording) else "is empty"),)
    peak = float(np.max(np.abs(recording - np.mean(recording))))
    if peak < SILENT:
        return (_silent(peak, "is silent"),)
    clipped = _clipped(recording, sample_rate_hz)
    gap = None if clipped else _gap(recording, sample_rate_hz)
    return tuple(one for one in (_quiet(peak), clipped, gap) if one is not None)


def _dbfs(value: float) -> float:
    return 20.0 * float(np.log10(max(value, 1e-10)))


def _silent(peak: float, state: str) -> Trouble:
    return Trouble(
        "silent",
        f"The recording {state} (its peak is {_dbfs(peak):.0f} dBFS, -100 is the least). Check the microphone's cable, "
        "its power, the chosen input and its level.",
        stops=True,
        measured=_dbfs(peak),
        limit=_dbfs(SILENT),
        unit="dBFS",
    )


def _quiet(peak: float) -> Trouble | None:
    if peak >= QUIET:
        return None
    return Trouble(
        "quiet",
        f"The recording's peak is only {_dbfs(peak):.0f} dBFS (better above -60). Raise the input level.",
        stops=False,
        measured=_dbfs(peak),
        limit=_dbfs(QUIET),
        unit="dBFS",
    )


def _clipped(recording: Vector, sample_rate_hz: float) -> Trouble | None:
    size = np.abs(recording)
    full = np.flatnonzero(size >= FULL_SCALE)
    pairs = full[1:][np.diff(full) == 1] if len(full) > 1 else full[:0]
    if len(pairs):
        return _clip_trouble(len(full), float(pairs[0]) / sample_rate_hz, 1.0)
    top = float(np.max(size))
    at_top = np.flatnonzero(size >= top * (1.0 - FLAT_SHARE))
    under = int(np.sum(size >= top * (1.0 - 8.0 * FLAT_SHARE))) - len(at_top)
    apart = int(np.sum(np.diff(at_top) > 1e-3 * sample_rate_hz))
    if len(at_top) >= 20 and apart >= 3 and len(at_top) > 2.0 * under:
        return _clip_trouble(len(at_top), float(at_top[0]) / sample_rate_hz, top)
    return None


def _clip_trouble(count: int, at_s: float, top: float) -> Trouble:
    where = "full scale" if top > FULL_SCALE else f"a flat top at {_dbfs(top):.1f} dBFS"
    return Trouble(
        "clipped",
        f"{count} samples stand at {where}, the first at {at_s:.2f} s: the input was overdriven. Lower the input "
        "level, not the playback, and record again.",
        stops=True,
        measured=float(count),
        limit=0.0,
        unit="samples",
        at_s=at_s,
    )


def _gap(recording: Vector, sample_rate_hz: float) -> Trouble | None:
    """Find a run of one repeated value that begins or ends with a jump in the midst of moving samples."""
    still = np.concatenate([[False], recording[1:] == recording[:-1], [False]])
    edges = np.flatnonzero(still[1:] != still[:-1])
    starts, ends = edges[::2], edges[1::2]
    around = round(0.01 * sample_rate_hz)
    long = (ends - starts >= max(8, round(LEAST_GAP_S * sample_rate_hz))) & (starts >= around)
    for start, end in zip(starts[long], ends[long], strict=True):
        if end + 1 + around <= len(recording) and _cut_out(recording, int(start), int(end), around):
            return _gap_trouble(int(end - start) + 1, start / sample_rate_hz)
    return None


def _cut_out(recording: Vector, start: int, end: int, around: int) -> bool:
    before, after = recording[start - around : start], recording[end + 1 : end + 1 + around]
    loud = min(float(np.std(before)), float(np.std(after)))
    jump = max(abs(recording[start - 1] - recording[start]), abs(recording[end + 1] - recording[end]))
    return loud > max(30.0 * _step(recording), QUIET / 10.0) and bool(jump > 0.3 * loud)


def _step(recording: Vector) -> float:
    """Return the smallest step between samples, the recorder's resolution."""
    steps = np.abs(np.diff(recording[:: max(1, len(recording) // 20000)]))
    moving = steps[steps > 0.0]
    return float(np.min(moving)) if len(moving) else 0.0


def _gap_trouble(count: int, at_s: float) -> Trouble:
    return Trouble(
        "gap",
        f"{count} samples in a row repeat one value at {at_s:.2f} s in the midst of sound: the recorder lost them. "
        "Close other programs, choose a larger buffer, and record again.",
        stops=True,
        measured=float(count),
        limit=0.0,
        unit="samples",
        at_s=at_s,
    )


def choose_channel(channels: Vector) -> tuple[int, Trouble | None]:
    """Return which channel of a recording to read, and a trouble where that is a guess.

    Parameters
    ----------
    channels : ndarray, shape (n, m)
        Samples of m channels. [1]

    Returns
    -------
    index : int
        The only one that sounds, or the first of several that are alike, or the loudest.
    trouble : Trouble or None
        `stereo` where channels sound and differ: then say which is the microphone.
    """
    power = np.sqrt(np.mean((channels - channels.mean(axis=0)) ** 2, axis=0))
    loudest = int(np.argmax(power))
    sounding = np.flatnonzero(power > max(SILENT, 1e-3 * power[loudest]))
    if len(sounding) <= 1:
        return loudest, None
    first = channels[:, sounding[0]]
    if all(_alike(first, channels[:, index]) for index in sounding[1:]):
        return int(sounding[0]), None
    return loudest, Trouble(
        "stereo",
        f"The recording has {len(sounding)} channels that sound and differ. One microphone is read at a time: say "
        "which channel it is, and which one is the loopback if there is one.",
        stops=True,
        measured=float(len(sounding)),
        limit=1.0,
        unit="channels",
    )


def _alike(one: Vector, other: Vector) -> bool:
    return bool(np.linalg.norm(one) > 0.0) and float(abs(np.dot(one, other))) > 0.999 * float(
        np.linalg.norm(one) * np.linalg.norm(other)
    )
