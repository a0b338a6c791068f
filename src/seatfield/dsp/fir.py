"""Filters as finite impulse responses, minimum phase."""

import numpy as np

from seatfield.dsp.arrays import Vector
from seatfield.dsp.biquad import Biquad, filtered


def sections_fir(sections: tuple[Biquad, ...], taps: int) -> Vector:
    """Return the impulse response of filters one after another, cut at a length.

    Parameters
    ----------
    sections : tuple of Biquad
        The filters.
    taps : int
        Length.

    Returns
    -------
    ndarray, shape (taps,)
        Exactly the filters as long as they have rung out by then. [1]
    """
    impulse = np.zeros(taps)
    impulse[0] = 1.0
    return filtered(sections, impulse)


def minimum_phase_fir(freq_hz: Vector, level_db: Vector, taps: int, sample_rate_hz: float) -> Vector:
    """Return a minimum-phase filter with a given gain over frequency.

    Parameters
    ----------
    freq_hz : ndarray, shape (n,)
        Frequencies in rising order; the gain is held constant outside them. [Hz]
    level_db : ndarray, shape (n,)
        Gain at each. [dB]
    taps : int
        Length; the lowest frequency that it can shape is some two periods long.
    sample_rate_hz : float
        Sample rate. [Hz]

    Returns
    -------
    ndarray, shape (taps,)
        Coefficients, its last eighth faded out. [1]

    References
    ----------
    Oppenheim, A. V., Schafer, R. W., Discrete-Time Signal Processing, homomorphic filtering: the folded cepstrum.
    """
    from scipy.fft import irfft, next_fast_len, rfft

    count = next_fast_len(16 * taps, real=True)
    count += count % 2
    grid_hz = np.arange(count // 2 + 1) * (sample_rate_hz / count)
    gain_db = np.interp(np.log(np.maximum(grid_hz, 1e-3)), np.log(np.maximum(freq_hz, 1e-3)), level_db)
    cepstrum = irfft(gain_db * np.log(10.0) / 20.0, count)
    cepstrum[1 : count // 2] *= 2.0
    cepstrum[count // 2 + 1 :] = 0.0
    response: Vector = irfft(np.exp(rfft(cepstrum)), count)[:taps]
    fade = max(1, taps // 8)
    response[-fade:] *= 0.5 + 0.5 * np.cos(np.pi * (np.arange(fade) + 0.5) / fade)
    return response
