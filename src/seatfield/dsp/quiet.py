"""What the room sounds like when nothing is played: noise floor in bands, and mains hum."""

from dataclasses import dataclass

import numpy as np

from seatfield.dsp.arrays import Vector
from seatfield.dsp.bands import Band

HUM_NEED_DB = 10.0
HARMONICS = 10


@dataclass(frozen=True, slots=True)
class Hum:
    """Tones at the mains frequency and its multiples.

    Attributes
    ----------
    mains_hz : float or None
        50 or 60 Hz; None where no hum stands out. [Hz]
    tones : tuple of (float, float)
        Frequency [Hz] and level [dBFS, effective value of the tone] of each tone that stands out.
    level_db : float or None
        Power sum of the tones. [dBFS]
    over_noise_db : float
        The strongest tone over the noise beside it in the same bandwidth. [dB]
    """

    mains_hz: float | None
    tones: tuple[tuple[float, float], ...]
    level_db: float | None
    over_noise_db: float


def noise_levels(silence: Vector, sample_rate_hz: float, parts: tuple[Band, ...]) -> tuple[float, ...]:
    """Return the level of silence in bands.

    Parameters
    ----------
    silence : ndarray, shape (n,)
        A recording while nothing is played, at least half a second. [1]
    sample_rate_hz : float
        Its rate. [Hz]
    parts : tuple of Band
        The bands.

    Returns
    -------
    tuple of float
        Effective value in each band. [dBFS, a full-scale square wave being 0]
    """
    freq_hz, density = _density(silence, sample_rate_hz)
    step_hz = freq_hz[1] - freq_hz[0]
    inside = [(freq_hz >= part.low_hz) & (freq_hz < part.high_hz) for part in parts]
    return tuple(10.0 * float(np.log10(max(np.sum(density[one]) * step_hz, 1e-30))) for one in inside)


def _density(silence: Vector, sample_rate_hz: float) -> tuple[Vector, Vector]:
    from scipy.fft import prev_fast_len
    from scipy.signal import periodogram

    kept = silence[: prev_fast_len(len(silence), real=True)]
    freq_hz, density = periodogram(kept, sample_rate_hz, window="hann", detrend="constant")
    return freq_hz, density


def find_hum(silence: Vector, sample_rate_hz: float) -> Hum:
    """Return the mains hum in a recording of silence.

    Parameters
    ----------
    silence : ndarray, shape (n,)
        A recording while nothing is played, at least half a second and better two. [1]
    sample_rate_hz : float
        Its rate. [Hz]

    Returns
    -------
    Hum
        Of the mains frequency, 50 or 60 Hz, whose tones are the stronger; none where fewer than two tones stand out
        by 10 dB, or one by 20 dB.

    Notes
    -----
    Each multiple up to the tenth is read within 0.5 % of its frequency against the median beside it. A tone at
    300 or 600 Hz alone belongs to both and decides nothing.
    """
    freq_hz, density = _density(silence, sample_rate_hz)
    candidates = [_tones(freq_hz, density, mains_hz) for mains_hz in (50.0, 60.0)]
    scores = [sum(over_db for tone_hz, _, over_db in tones if tone_hz % 300.0 > 5.0) for tones in candidates]
    best = int(np.argmax(scores))
    tones = candidates[best]
    top_db = max((over_db for _, _, over_db in tones), default=0.0)
    if len(tones) < 2 and top_db < 2.0 * HUM_NEED_DB:
        return Hum(None, (), None, top_db)
    power = sum(10.0 ** (level_db / 10.0) for _, level_db, _ in tones)
    pairs = tuple((tone_hz, level_db) for tone_hz, level_db, _ in tones)
    return Hum((50.0, 60.0)[best], pairs, 10.0 * float(np.log10(power)), top_db)


def _tones(freq_hz: Vector, density: Vector, mains_hz: float) -> list[tuple[float, float, float]]:
    """Return frequency, level and prominence of each multiple that stands out."""
    step_hz = freq_hz[1] - freq_hz[0]
    found = []
    for order in range(1, HARMONICS + 1):
        tone_hz = order * mains_hz
        at = np.abs(freq_hz - tone_hz) <= max(0.005 * tone_hz, 2.0 * step_hz)
        beside = (np.abs(freq_hz - tone_hz) <= 0.4 * mains_hz) & (np.abs(freq_hz - tone_hz) > 5.0 * step_hz)
        if not np.any(at) or not np.any(beside):
            continue
        power = float(np.sum(density[at]) * step_hz)
        noise = float(np.median(density[beside])) / np.log(2.0) * step_hz * int(np.sum(at))
        over_db = 10.0 * float(np.log10(max(power, 1e-30) / max(noise, 1e-30)))
        if over_db > HUM_NEED_DB:
            found.append((tone_hz, 10.0 * float(np.log10(max(power - noise, 1e-30))), over_db))
    return found
