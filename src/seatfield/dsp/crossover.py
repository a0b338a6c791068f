"""Crossovers of the usual families and any order, as filters one after another and as exact analogue curves."""

import math
from typing import Literal

import numpy as np

from seatfield.dsp.arrays import Spectrum, Vector
from seatfield.dsp.biquad import Biquad

Family = Literal["butterworth", "linkwitz-riley"]
Side = Literal["low", "high"]


class CrossoverOrderError(ValueError):
    """A crossover's order does not exist in its family."""

    def __init__(self, family: str, order: int) -> None:
        allowed = (
            "an even number of 2 and more" if family == "linkwitz-riley" else "a whole number of 1 and more"
        )
        super().__init__(
            f"A {family} crossover of order {order} was asked for; its order is {allowed} (6 dB per octave for each). "
            "Change the order or the family."
        )


def pole_qualities(family: Family, order: int) -> tuple[float | None, ...]:
    """Return the Q of each second-order part of a crossover, and None for each part of first order.

    Parameters
    ----------
    family : str
        butterworth or linkwitz-riley.
    order : int
        Total order; 4 is 24 dB per octave.

    Returns
    -------
    tuple of (float or None)
        One entry for each part. [1]

    Raises
    ------
    CrossoverOrderError
        If the family has no such order.

    References
    ----------
    Butterworth, S., Wireless Engineer 7 (1930) 536; Linkwitz, S., J. Audio Eng. Soc. 24 (1976) 2: a Butterworth of
    half the order, twice.
    """
    if order < 1 or (family == "linkwitz-riley" and order % 2):
        raise CrossoverOrderError(family, order)
    if family == "linkwitz-riley":
        half = pole_qualities("butterworth", order // 2)
        pairs = tuple(q for q in half if q is not None)
        return (*pairs, *pairs, *((0.5,) if order // 2 % 2 else ()))
    pairs = tuple(1.0 / (2.0 * math.sin(math.pi * (2 * k + 1) / (2 * order))) for k in range(order // 2))
    return (*pairs, *((None,) if order % 2 else ()))


def crossover(
    side: Side, family: Family, order: int, corner_hz: float, sample_rate_hz: float
) -> tuple[Biquad, ...]:
    """Return one side of a crossover as filters one after another.

    Parameters
    ----------
    side : str
        low or high: what passes.
    family : str
        butterworth or linkwitz-riley.
    order : int
        Total order; 4 is 24 dB per octave.
    corner_hz : float
        -3 dB of Butterworth, -6 dB of Linkwitz-Riley. [Hz]
    sample_rate_hz : float
        Sample rate. [Hz]

    Returns
    -------
    tuple of Biquad
        Parts of second order by the cookbook; one of first order, if any, by the bilinear transform.

    Raises
    ------
    CrossoverOrderError
        If the family has no such order.
    """
    from seatfield.dsp.biquad import Filter, biquad

    shape: Literal["low-pass", "high-pass"] = "low-pass" if side == "low" else "high-pass"
    return tuple(
        _first_order(side, corner_hz, sample_rate_hz)
        if q is None
        else biquad(Filter(shape, corner_hz, q), sample_rate_hz)
        for q in pole_qualities(family, order)
    )


def _first_order(side: Side, corner_hz: float, sample_rate_hz: float) -> Biquad:
    k = math.tan(math.pi * corner_hz / sample_rate_hz)
    a1 = (k - 1.0) / (k + 1.0)
    if side == "low":
        return Biquad(k / (k + 1.0), k / (k + 1.0), 0.0, a1, 0.0)
    return Biquad(1.0 / (k + 1.0), -1.0 / (k + 1.0), 0.0, a1, 0.0)


def crossover_response(side: Side, family: Family, order: int, corner_hz: float, freq_hz: Vector) -> Spectrum:
    """Return the exact analogue response of one side of a crossover.

    Parameters
    ----------
    side : str
        low or high: what passes.
    family : str
        butterworth or linkwitz-riley.
    order : int
        Total order.
    corner_hz : float
        Corner frequency. [Hz]
    freq_hz : ndarray, shape (n,)
        Frequencies. [Hz]

    Returns
    -------
    ndarray of complex, shape (n,)
        Transfer function. [1]

    Raises
    ------
    CrossoverOrderError
        If the family has no such order.
    """
    s = 1j * np.asarray(freq_hz, dtype=np.float64) / corner_hz
    product = np.ones_like(s)
    for q in pole_qualities(family, order):
        below = s + 1.0 if q is None else s**2 + s / q + 1.0
        above = np.ones_like(s) if side == "low" else (s if q is None else s**2)
        product = product * above / below
    return product
