"""Frequency weightings of sound level meters and of programme loudness."""

import numpy as np

from seatfield.dsp.arrays import Vector
from seatfield.dsp.biquad import Biquad

F1_HZ, F2_HZ, F3_HZ, F4_HZ = 20.598997, 107.65265, 737.86223, 12194.217
A1000_DB, C1000_DB = -2.0, -0.062


def a_weighting_db(freq_hz: Vector) -> Vector:
    """Return the A-weighting.

    Parameters
    ----------
    freq_hz : ndarray, shape (n,)
        Frequencies. [Hz]

    Returns
    -------
    ndarray, shape (n,)
        Weighting, 0 dB at 1 kHz. [dB]

    References
    ----------
    IEC 61672-1:2013, 5.5.8 and Annex E.
    """
    f2 = np.asarray(freq_hz, dtype=np.float64) ** 2
    low = (f2 + F1_HZ**2) * np.sqrt(f2 + F2_HZ**2) * np.sqrt(f2 + F3_HZ**2)
    weighting: Vector = 20.0 * np.log10(F4_HZ**2 * f2**2 / (low * (f2 + F4_HZ**2))) - A1000_DB
    return weighting


def c_weighting_db(freq_hz: Vector) -> Vector:
    """Return the C-weighting.

    Parameters
    ----------
    freq_hz : ndarray, shape (n,)
        Frequencies. [Hz]

    Returns
    -------
    ndarray, shape (n,)
        Weighting, 0 dB at 1 kHz. [dB]

    References
    ----------
    IEC 61672-1:2013, 5.5.8 and Annex E.
    """
    f2 = np.asarray(freq_hz, dtype=np.float64) ** 2
    weighting: Vector = 20.0 * np.log10(F4_HZ**2 * f2 / ((f2 + F1_HZ**2) * (f2 + F4_HZ**2))) - C1000_DB
    return weighting


def loudness_weighting() -> tuple[Biquad, ...]:
    """Return the two filters of the K-weighting at 48 kHz, as the Recommendation prints them.

    Returns
    -------
    tuple of Biquad
        The shelf of the head, then the high-pass.

    References
    ----------
    ITU-R BS.1770-5, Annex 1, Tables 1 and 2 (coefficients for 48 kHz).
    """
    return (
        Biquad(1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241, 0.73248077421585),
        Biquad(1.0, -2.0, 1.0, -1.99004745483398, 0.99007225036621),
    )


def k_weighted_level_db(channels: Vector, gains: tuple[float, ...]) -> float:
    """Return the ungated K-weighted level of a programme at 48 kHz.

    Parameters
    ----------
    channels : ndarray, shape (n, m)
        Samples; full scale is 1. [1]
    gains : tuple of float
        Power weight of each channel: 1 in front, 1.41 at the sides and behind, 0 for low-frequency effects. [1]

    Returns
    -------
    float
        -0.691 + 10 lg Σ G z over the whole length. [LKFS]

    References
    ----------
    ITU-R BS.1770-5, Annex 1.
    """
    from seatfield.dsp.biquad import filtered

    powers = [
        float(np.mean(filtered(loudness_weighting(), channels[:, index]) ** 2))
        for index in range(channels.shape[1])
    ]
    total = sum(gain * power for gain, power in zip(gains, powers, strict=True))
    return -0.691 + 10.0 * float(np.log10(max(total, 1e-30)))
