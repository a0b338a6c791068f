"""Second-order filters by the published formulas: peaking, shelves, low-pass, high-pass, all-pass."""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from seatfield.dsp.arrays import Spectrum, Vector

Shape = Literal["peak", "low-shelf", "high-shelf", "low-pass", "high-pass", "all-pass"]


class FilterLimitsError(ValueError):
    """A filter was asked for that cannot be made at this sample rate."""

    def __init__(self, freq_hz: float, q: float, sample_rate_hz: float) -> None:
        super().__init__(
            f"A filter at {freq_hz:g} Hz with Q {q:g} was asked for at {sample_rate_hz:g} samples per second; the "
            "frequency must lie between 0 and half the rate and Q above 0. Change the frequency, the Q or the rate."
        )


@dataclass(frozen=True, slots=True)
class Filter:
    """One parametric filter as a person types it into an amplifier.

    Attributes
    ----------
    shape : str
        peak, low-shelf, high-shelf, low-pass, high-pass or all-pass.
    freq_hz : float
        Centre or corner frequency. [Hz]
    q : float
        Quality; of a peak the one whose product with the amplitude A = 10^(gain/40) is the analogue Q. [1]
    gain_db : float
        Gain at the centre of a peak or at the end of a shelf; 0 for the others. [dB]
    """

    shape: Shape
    freq_hz: float
    q: float
    gain_db: float = 0.0


@dataclass(frozen=True, slots=True)
class Biquad:
    """Coefficients of H(z) = (b0 + b1 z⁻¹ + b2 z⁻²) / (1 + a1 z⁻¹ + a2 z⁻²).

    Attributes
    ----------
    b0, b1, b2, a1, a2 : float
        Divided by a0. [1]
    """

    b0: float
    b1: float
    b2: float
    a1: float
    a2: float


def biquad(one: Filter, sample_rate_hz: float) -> Biquad:
    """Return the coefficients of a filter.

    Parameters
    ----------
    one : Filter
        What is wanted.
    sample_rate_hz : float
        Sample rate. [Hz]

    Returns
    -------
    Biquad
        In double precision; at low frequencies single precision is not enough.

    Raises
    ------
    FilterLimitsError
        If the frequency is not below half the rate or Q not above 0.

    References
    ----------
    Bristow-Johnson, R. (ed. Toy, R.), "Audio EQ Cookbook", W3C Working Group Note, 2021.
    """
    if not 0.0 < one.freq_hz < 0.5 * sample_rate_hz or one.q <= 0.0:
        raise FilterLimitsError(one.freq_hz, one.q, sample_rate_hz)
    w0 = 2.0 * math.pi * one.freq_hz / sample_rate_hz
    alpha = math.sin(w0) / (2.0 * one.q)
    b, a = _COEFFICIENTS[one.shape](math.cos(w0), alpha, 10.0 ** (one.gain_db / 40.0))
    return Biquad(b[0] / a[0], b[1] / a[0], b[2] / a[0], a[1] / a[0], a[2] / a[0])


Triple = tuple[float, float, float]


def _peak(c: float, alpha: float, A: float) -> tuple[Triple, Triple]:
    return (1.0 + alpha * A, -2.0 * c, 1.0 - alpha * A), (1.0 + alpha / A, -2.0 * c, 1.0 - alpha / A)


def _low_shelf(c: float, alpha: float, A: float) -> tuple[Triple, Triple]:
    root = 2.0 * math.sqrt(A) * alpha
    b = (
        A * ((A + 1.0) - (A - 1.0) * c + root),
        2.0 * A * ((A - 1.0) - (A + 1.0) * c),
        A * ((A + 1.0) - (A - 1.0) * c - root),
    )
    a = (
        (A + 1.0) + (A - 1.0) * c + root,
        -2.0 * ((A - 1.0) + (A + 1.0) * c),
        (A + 1.0) + (A - 1.0) * c - root,
    )
    return b, a


def _high_shelf(c: float, alpha: float, A: float) -> tuple[Triple, Triple]:
    root = 2.0 * math.sqrt(A) * alpha
    b = (
        A * ((A + 1.0) + (A - 1.0) * c + root),
        -2.0 * A * ((A - 1.0) + (A + 1.0) * c),
        A * ((A + 1.0) + (A - 1.0) * c - root),
    )
    a = (
        (A + 1.0) - (A - 1.0) * c + root,
        2.0 * ((A - 1.0) - (A + 1.0) * c),
        (A + 1.0) - (A - 1.0) * c - root,
    )
    return b, a


def _low_pass(c: float, alpha: float, _: float) -> tuple[Triple, Triple]:
    return ((1.0 - c) / 2.0, 1.0 - c, (1.0 - c) / 2.0), (1.0 + alpha, -2.0 * c, 1.0 - alpha)


def _high_pass(c: float, alpha: float, _: float) -> tuple[Triple, Triple]:
    return ((1.0 + c) / 2.0, -(1.0 + c), (1.0 + c) / 2.0), (1.0 + alpha, -2.0 * c, 1.0 - alpha)


def _all_pass(c: float, alpha: float, _: float) -> tuple[Triple, Triple]:
    return (1.0 - alpha, -2.0 * c, 1.0 + alpha), (1.0 + alpha, -2.0 * c, 1.0 - alpha)


_COEFFICIENTS = {
    "peak": _peak,
    "low-shelf": _low_shelf,
    "high-shelf": _high_shelf,
    "low-pass": _low_pass,
    "high-pass": _high_pass,
    "all-pass": _all_pass,
}


def biquad_response(sections: tuple[Biquad, ...], freq_hz: Vector, sample_rate_hz: float) -> Spectrum:
    """Return the transfer function of filters one after another.

    Parameters
    ----------
    sections : tuple of Biquad
        The filters; none gives 1.
    freq_hz : ndarray, shape (n,)
        Frequencies. [Hz]
    sample_rate_hz : float
        Sample rate. [Hz]

    Returns
    -------
    ndarray of complex, shape (n,)
        Product of the filters' responses. [1]

    Notes
    -----
    Written in sin²(w/2), so that filters of a few hertz lose no digits to cancellation.
    """
    w = 2.0 * np.pi * np.asarray(freq_hz, dtype=np.float64) / sample_rate_hz
    product = np.ones_like(w, dtype=np.complex128)
    for one in sections:
        product *= _quadratic(one.b0, one.b1, one.b2, w) / _quadratic(1.0, one.a1, one.a2, w)
    return product


def _quadratic(c0: float, c1: float, c2: float, w: Vector) -> Spectrum:
    """Return e^{jw} (c0 + c1 e^{-jw} + c2 e^{-2jw}) = c1 + (c0 + c2) cos w + j (c0 - c2) sin w."""
    half = 2.0 * np.sin(0.5 * w) ** 2
    return (c0 + c1 + c2) - (c0 + c2) * half + 1j * (c0 - c2) * np.sin(w)


def sections_array(sections: tuple[Biquad, ...]) -> Vector:
    """Return filters as rows b0, b1, b2, 1, a1, a2, the order that signal libraries take.

    Parameters
    ----------
    sections : tuple of Biquad
        The filters.

    Returns
    -------
    ndarray, shape (n, 6)
        Coefficients. [1]
    """
    return np.array([[one.b0, one.b1, one.b2, 1.0, one.a1, one.a2] for one in sections]).reshape(-1, 6)


def filtered(sections: tuple[Biquad, ...], samples: Vector) -> Vector:
    """Return samples through filters one after another, starting from rest.

    Parameters
    ----------
    sections : tuple of Biquad
        The filters.
    samples : ndarray, shape (n,)
        Input. [1]

    Returns
    -------
    ndarray, shape (n,)
        Output. [1]
    """
    from scipy.signal import sosfilt

    if not sections:
        return np.array(samples, dtype=np.float64)
    output: Vector = sosfilt(sections_array(sections), samples)
    return output
