"""The marker chirps in a recording: where they are, and how far apart, to a fraction of a microsecond."""

from dataclasses import dataclass

import numpy as np

from seatfield.dsp.arrays import Spectrum, Vector
from seatfield.dsp.stimulus import Marker, Stimulus, marker_signal

LEAST_STRENGTH_DB = 11.0
SEARCH_S = 0.1
BEFORE_S, AFTER_S = 0.06, 0.10
"""Of a compressed chirp, about its largest part: in a live room a reflection can be as large as the direct sound, so
that noise decides which of them is the largest; both lie within this."""
NEAR_S = (0.006, 0.030)
"""What the lag's last digits come from, about the largest part of the earlier chirp: more would be more noise."""
GRID_HZ = 5.0


@dataclass(frozen=True, slots=True)
class Snippet:
    """A recorded chirp, compressed to a pulse, with the room's answer behind it, as a spectrum.

    Attributes
    ----------
    spectrum : ndarray of complex, shape (n,)
        Spectrum from `low_hz` on, every `GRID_HZ`. [1]
    low_hz : float
        Its first frequency. [Hz]
    start_s : float
        Time in the recording from which its phase is counted. [s]
    """

    spectrum: Spectrum
    low_hz: float
    start_s: float


@dataclass(frozen=True, slots=True)
class Chirps:
    """The pair of chirps found in a recording.

    Attributes
    ----------
    first : Snippet
        The first chirp, in the player's seconds from the recording's first sample.
    first_s : float
        Its largest part, to the nearest 0.1 ms. [s]
    spacing_s : float
        From the first chirp to the second: samples over the rate that was assumed. [s]
    strength_db : float
        The weaker chirp over the effective value of what lies between. [dB]
    """

    first: Snippet
    first_s: float
    spacing_s: float
    strength_db: float


def find_chirps(recording: Vector, sample_rate_hz: float, stimulus: Stimulus) -> Chirps | None:
    """Return the pair of chirps in a recording, or None where no pair stands out.

    Parameters
    ----------
    recording : ndarray, shape (n,)
        One channel. [1]
    sample_rate_hz : float
        Rate to assume. [Hz]
    stimulus : Stimulus
        What was played.

    Returns
    -------
    Chirps or None
        None where no two chirps, 0.1 s more or less than the expected time apart, are both 11 dB over the rest.

    Notes
    -----
    Chirps are compressed by their matched filter. A sweep passes the chirps' band too, but never twice at the
    chirps' distance, which is why the pair is searched and not the loudest place. The distance is the largest
    value of the correlation between both, room included, so reflections do not spoil it.
    """
    compressed, step_s, carrier_hz = _compressed(recording, sample_rate_hz, stimulus.marker)
    size = np.abs(compressed)
    pair = _best_pair(size, stimulus.spacing_s / step_s, SEARCH_S / step_s)
    if pair is None:
        return None
    noise = float(np.median(size)) / np.sqrt(np.log(2.0))
    strength_db = 20.0 * float(np.log10(max(min(size[list(pair)]), 1e-30) / max(noise, 1e-30)))
    if strength_db < LEAST_STRENGTH_DB:
        return None
    spacing_s = lag_s(*(_snippet(compressed, index, step_s, carrier_hz, stimulus.marker) for index in pair))
    scale = stimulus.spacing_s / spacing_s
    first = _snippet(compressed, pair[0], step_s * scale, carrier_hz / scale, stimulus.marker)
    return Chirps(first, pair[0] * step_s * scale, spacing_s, strength_db)


def chirp_snippet(recording: Vector, sample_rate_hz: float, marker: Marker, near_s: float) -> Snippet:
    """Return the compressed chirp near a known time.

    Parameters
    ----------
    recording : ndarray, shape (n,)
        One channel. [1]
    sample_rate_hz : float
        Its rate. [Hz]
    marker : Marker
        The chirp.
    near_s : float
        Where its pulse is expected. [s]

    Returns
    -------
    Snippet
        From 60 ms before to 100 ms after that time.
    """
    compressed, step_s, carrier_hz = _compressed(recording, sample_rate_hz, marker)
    return _snippet(compressed, round(near_s / step_s), step_s, carrier_hz, marker)


def lag_s(early: Snippet, late: Snippet) -> float:
    """Return by how much one compressed chirp lies after another.

    Parameters
    ----------
    early, late : Snippet
        Of one recording, or of two recordings made at one place with chirps from one loudspeaker: then the lag
        puts both recordings on one clock.

    Returns
    -------
    float
        Lag at which the real correlation is largest, with the carrier's phase used. [s]
    """
    product, centre_s = _matched(early, late)
    fine_s = centre_s + np.arange(-75, 76) * 2e-6
    freq_hz = early.low_hz + GRID_HZ * np.arange(len(product))
    value = np.real(np.exp(2j * np.pi * freq_hz[None, :] * fine_s[:, None]) @ product)
    top = min(max(int(np.argmax(value)), 1), len(value) - 2)
    curve = value[top - 1] - 2.0 * value[top] + value[top + 1]
    vertex = 0.5 * (value[top - 1] - value[top + 1]) / curve if curve else 0.0
    return float(late.start_s - early.start_s + fine_s[top] + vertex * 2e-6)


def _matched(early: Snippet, late: Snippet) -> tuple[Spectrum, float]:
    """Return the cross spectrum of what is near the largest part, normalised, and the lag by whole steps [s]."""
    from scipy.fft import fft, ifft

    one, two = ifft(early.spectrum), ifft(late.spectrum)
    count = len(one)
    lag = int(np.argmax(np.abs(ifft(late.spectrum * np.conj(early.spectrum)))))
    lag -= count if lag > count // 2 else 0
    step_s = 1.0 / (GRID_HZ * count)
    away = (np.arange(count) - int(np.argmax(np.abs(one))) + count // 2) % count - count // 2
    near = (away >= -NEAR_S[0] / step_s) & (away < NEAR_S[1] / step_s)
    first, second = fft(one * near), fft(two * np.roll(near, lag))
    energy = float(np.linalg.norm(first) * np.linalg.norm(second))
    return second * np.conj(first) / max(energy, 1e-30), lag * step_s


def likeness(early: Snippet, late: Snippet) -> float:
    """Return how alike two compressed chirps are at their best lag.

    Parameters
    ----------
    early, late : Snippet
        Two chirps.

    Returns
    -------
    float
        1 for the same pulse through the same room, near 0 for strangers. [1]
    """
    product, _ = _matched(early, late)
    return len(product) * float(np.max(np.abs(np.fft.ifft(product))))


def _compressed(recording: Vector, sample_rate_hz: float, marker: Marker) -> tuple[Spectrum, float, float]:
    from scipy.fft import ifft, next_fast_len, rfft

    chirp = marker_signal(marker, sample_rate_hz)
    count = next_fast_len(len(recording) + len(chirp), real=True)
    bin_hz = sample_rate_hz / count
    low, high = (min(int(limit_hz / bin_hz), count // 2) for limit_hz in _limits_hz(marker))
    band = (rfft(recording, count) * np.conj(rfft(chirp, count)))[low:high]
    return ifft(band), 1.0 / (bin_hz * len(band)), low * bin_hz


def _best_pair(size: Vector, spacing: float, slack: float) -> tuple[int, int] | None:
    from scipy.ndimage import maximum_filter1d

    gap, around = round(spacing), round(slack)
    if len(size) <= gap:
        return None
    later = maximum_filter1d(size, 2 * around + 1)[gap:]
    both = np.minimum(size[: len(later)], later)
    first = int(np.argmax(both))
    left = max(first + gap - around, 0)
    return first, left + int(np.argmax(size[left : first + gap + around + 1]))


def _snippet(compressed: Spectrum, index: int, step_s: float, carrier_hz: float, marker: Marker) -> Snippet:
    from scipy.signal import czt

    before, after = round(BEFORE_S / step_s), round(AFTER_S / step_s)
    piece = np.take(compressed, np.arange(index - before, index + after), mode="wrap")
    low_hz, high_hz = _limits_hz(marker)
    points = int((high_hz - low_hz) / GRID_HZ)
    turn = 2j * np.pi * step_s
    spectrum = czt(piece, points, np.exp(-turn * GRID_HZ), np.exp(turn * (low_hz - carrier_hz)))
    start_s = (index - before) * step_s
    return Snippet(np.exp(2j * np.pi * carrier_hz * start_s) * spectrum, low_hz, start_s)


def _limits_hz(marker: Marker) -> tuple[float, float]:
    return 0.75 * marker.low_hz, 1.11 * marker.high_hz
