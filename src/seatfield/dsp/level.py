"""Band levels of a response, with the noise taken out, and its smoothed curve."""

import math
from dataclasses import dataclass

import numpy as np

from seatfield.dsp.arrays import Spectrum, Vector, frozen
from seatfield.dsp.bands import OCTAVE_RATIO, Band
from seatfield.dsp.impulse import ImpulseResponse, cut, faded

BEFORE_S = 0.02
LEAST_ABOVE_NOISE_DB = -6.0


@dataclass(frozen=True, slots=True)
class BandLevel:
    """Mean gain of a path in one band.

    Attributes
    ----------
    band : Band
        The band.
    level_db : float or None
        Mean square gain, noise subtracted; None where the noise hides it. [dB]
    noise_db : float
        What noise alone would read. [dB]
    snr_db : float
        Level over noise; not above 0 where the level is refused. [dB]
    """

    band: Band
    level_db: float | None
    noise_db: float
    snr_db: float


def band_levels(
    response: ImpulseResponse, parts: tuple[Band, ...], arrival_s: float, window_s: float = 0.5
) -> tuple[BandLevel, ...]:
    """Return the mean gain in each band over a window after the arrival.

    Parameters
    ----------
    response : ImpulseResponse
        Linear response, at least three windows long.
    parts : tuple of Band
        The bands.
    arrival_s : float
        Where the window begins, less 20 ms. [s]
    window_s : float
        Its length. [s]

    Returns
    -------
    tuple of BandLevel
        One for each band.

    Notes
    -----
    The energy of windows of the same length at the response's end is averaged and subtracted; a level is
    refused where less than a quarter of the noise is left, 6 dB under it.
    """
    signal = _power(cut(response, arrival_s - BEFORE_S, arrival_s - BEFORE_S + window_s), window_s)
    quiet = [
        response.end_s - (index + 1) * window_s for index in range(_windows(response, arrival_s, window_s))
    ]
    noise = np.mean([_power(cut(response, from_s, from_s + window_s), window_s) for from_s in quiet], axis=0)
    step_hz = response.sample_rate_hz / _fft_length(response, window_s)
    return tuple(_band_level(signal, noise, step_hz, part) for part in parts)


def _windows(response: ImpulseResponse, arrival_s: float, window_s: float) -> int:
    """Return how many whole windows fit into the second half of what follows the arrival's own window."""
    free_s = response.end_s - arrival_s - window_s
    return max(1, int(0.75 * free_s / window_s))


def _fft_length(response: ImpulseResponse, window_s: float) -> int:
    from scipy.fft import next_fast_len

    return int(next_fast_len(2 * round(window_s * response.sample_rate_hz), real=True))


def _power(part: ImpulseResponse, window_s: float) -> Vector:
    from scipy.fft import rfft

    spectrum = rfft(faded(part, 0.005, 0.01).samples, _fft_length(part, window_s))
    power: Vector = np.abs(spectrum) ** 2
    return power


def _band_level(signal: Vector, noise: Vector, step_hz: float, part: Band) -> BandLevel:
    weights = _shares(len(signal), step_hz, part.low_hz, part.high_hz)
    total, quiet = float(weights @ signal), float(weights @ noise)
    net = total - quiet
    noise_db = 10.0 * float(np.log10(max(quiet, 1e-30)))
    if net <= quiet * 10.0 ** (LEAST_ABOVE_NOISE_DB / 10.0):
        return BandLevel(
            part, None, noise_db, min(0.0, 10.0 * float(np.log10(max(net, 1e-30) / max(quiet, 1e-30))))
        )
    level_db = 10.0 * float(np.log10(net))
    return BandLevel(part, level_db, noise_db, level_db - noise_db)


def _shares(count: int, step_hz: float, low_hz: float, high_hz: float) -> Vector:
    """Return the share of each bin in a band's mean; edge bins count by their part inside."""
    left = (np.arange(count) - 0.5) * step_hz
    inside = np.clip(np.minimum(left + step_hz, high_hz) - np.maximum(left, low_hz), 0.0, None)
    shares: Vector = inside / max(float(np.sum(inside)), 1e-30)
    return shares


@dataclass(frozen=True, slots=True)
class Curve:
    """A level over frequency.

    Attributes
    ----------
    freq_hz : ndarray, shape (n,)
        Frequencies, evenly spaced on the logarithmic axis, read-only. [Hz]
    level_db : ndarray, shape (n,)
        Levels, read-only. [dB]
    """

    freq_hz: Vector
    level_db: Vector

    def __post_init__(self) -> None:
        """Hold read-only copies."""
        object.__setattr__(self, "freq_hz", frozen(self.freq_hz))
        object.__setattr__(self, "level_db", frozen(self.level_db))


def log_axis(low_hz: float, high_hz: float, per_octave: int = 24) -> Vector:
    """Return frequencies evenly spaced on the logarithmic axis.

    Parameters
    ----------
    low_hz, high_hz : float
        First frequency, and the limit of the last. [Hz]
    per_octave : int
        Number of frequencies in one octave.

    Returns
    -------
    ndarray, shape (n,)
        Frequencies. [Hz]
    """
    count = int(np.floor(np.log2(high_hz / low_hz) * per_octave + 1e-9)) + 1
    axis: Vector = low_hz * 2.0 ** (np.arange(count) / per_octave)
    return axis


def response_curve(
    response: ImpulseResponse, arrival_s: float, freq_hz: Vector, *, window_s: float = 0.5, fraction: int = 12
) -> Curve:
    """Return the gain over frequency, windowed in time and smoothed over a fraction of an octave.

    Parameters
    ----------
    response : ImpulseResponse
        Linear response.
    arrival_s : float
        Where the window begins, less 20 ms. [s]
    freq_hz : ndarray, shape (n,)
        Where the curve is wanted. [Hz]
    window_s : float
        Length of the window: short for the direct sound, long for the room. [s]
    fraction : int
        Parts of an octave; the power is averaged from f · G^(-1/2b) to f · G^(1/2b).

    Returns
    -------
    Curve
        Level at each frequency.

    Notes
    -----
    Below 1 / window_s the curve shows the window and not the room.
    """
    power = _power(cut(response, arrival_s - BEFORE_S, arrival_s - BEFORE_S + window_s), window_s)
    step_hz = response.sample_rate_hz / _fft_length(response, window_s)
    return Curve(freq_hz, 10.0 * np.log10(np.maximum(_band_means(power, step_hz, freq_hz, fraction), 1e-30)))


def _band_means(power: Vector, step_hz: float, freq_hz: Vector, fraction: int) -> Vector:
    edges_hz = (np.arange(len(power) + 1) - 0.5) * step_hz
    grown = np.concatenate([[0.0], np.cumsum(power)])
    half = OCTAVE_RATIO ** (0.5 / fraction)
    low_hz, high_hz = freq_hz / half, freq_hz * half
    sums = np.interp(high_hz, edges_hz, grown) - np.interp(low_hz, edges_hz, grown)
    means: Vector = sums * step_hz / (high_hz - low_hz)
    return means


def smoothed(freq_hz: Vector, power: Vector, fraction: int) -> Vector:
    """Return a power curve smoothed over a fraction of an octave.

    Parameters
    ----------
    freq_hz : ndarray, shape (n,)
        Frequencies in rising order. [Hz]
    power : ndarray, shape (n,)
        Power at each. [1]
    fraction : int
        Parts of an octave.

    Returns
    -------
    ndarray, shape (n,)
        Mean over the logarithmic axis from f · G^(-1/2b) to f · G^(1/2b), cut at the ends. [1]
    """
    place = np.log(freq_hz)
    grown = np.concatenate([[0.0], np.cumsum(0.5 * (power[1:] + power[:-1]) * np.diff(place))])
    half = np.log(OCTAVE_RATIO) * 0.5 / fraction
    low, high = np.maximum(place - half, place[0]), np.minimum(place + half, place[-1])
    means: Vector = (np.interp(high, place, grown) - np.interp(low, place, grown)) / (high - low)
    return means


def transfer_at(response: ImpulseResponse, freq_hz: Vector, from_s: float, to_s: float) -> Spectrum:
    """Return the complex transfer function at chosen frequencies.

    Parameters
    ----------
    response : ImpulseResponse
        Linear response.
    freq_hz : ndarray, shape (n,)
        Frequencies. [Hz]
    from_s, to_s : float
        Window after the origin, under flanks of 5 ms and of a fifth of its length. [s]

    Returns
    -------
    ndarray of complex, shape (n,)
        Phase counted from the response's origin. [1]
    """
    part = faded(cut(response, from_s, to_s), 0.005, 0.2 * (to_s - from_s))
    turn = -2j * np.pi * np.asarray(freq_hz, dtype=float)[:, None]
    width = math.isqrt(len(part.samples)) + 1
    rows = np.zeros((width, width))
    rows.ravel()[: len(part.samples)] = part.samples
    step_s = np.arange(width) / part.sample_rate_hz
    # Sums of sums: as many exponentials as twice the root of the samples, and a matrix product for the rest.
    sums = np.einsum("fr,rf->f", np.exp(turn * width * step_s), rows @ np.exp(turn * step_s).T)
    return np.asarray(np.exp(turn[:, 0] * part.start_s) * sums)
