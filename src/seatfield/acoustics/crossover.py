"""Complex responses of boxes and crossover filters, and where to start aligning a subwoofer with the mains."""

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from seatfield.acoustics.lagrange import Floats
from seatfield.acoustics.merit import Complex

Side = Literal["low", "high"]


def butterworth(freq_hz: ArrayLike, corner_hz: float, order: int, side: Side) -> Complex:
    """Return the response of a Butterworth filter.

    Parameters
    ----------
    freq_hz
        Frequencies [Hz].
    corner_hz
        Where it is 3 dB down [Hz].
    order
        Order, 6 dB an octave each.
    side
        Which side passes.

    Returns
    -------
    array
        Complex gain, time as exp(+iωt) [1].

    References
    ----------
    S. Butterworth, Wireless Engineer 7 (1930) 536: poles evenly spaced on the left half of the unit circle.
    """
    if order < 1 or corner_hz <= 0:
        raise ValueError(
            f"A filter of order {order} at {corner_hz} Hz was asked; give an order of one or more above 0 Hz."
        )
    s = 1j * np.asarray(freq_hz, dtype=float) / corner_hz
    poles = np.exp(1j * np.pi * (2 * np.arange(order) + order + 1) / (2 * order))
    gain = 1 / np.prod(s[..., None] - poles, axis=-1)
    return np.asarray(gain * s**order if side == "high" else gain)


def linkwitz_riley(freq_hz: ArrayLike, corner_hz: float, order: int, side: Side) -> Complex:
    """Return the response of a Linkwitz-Riley filter: a Butterworth of half the order twice, 6 dB down at the corner.

    References
    ----------
    S. H. Linkwitz, J. Audio Eng. Soc. 24 (1976) 2.
    """
    if order % 2:
        raise ValueError(f"A Linkwitz-Riley filter of order {order} was asked; its order is even.")
    return np.asarray(butterworth(freq_hz, corner_hz, order // 2, side) ** 2)


def sealed_response(freq_hz: ArrayLike, low_corner_hz: float, q: float = 0.7071) -> Complex:
    """Return the free-field response of a sealed box.

    Parameters
    ----------
    freq_hz
        Frequencies [Hz].
    low_corner_hz
        Where it is 3 dB down [Hz].
    q
        Total Q of driver and box [1].

    Returns
    -------
    array
        Complex gain over its pass band [1].

    References
    ----------
    R. H. Small, J. Audio Eng. Soc. 20 (1972) 798 (closed-box systems): second-order high pass, and its corner from
    its resonance.
    """
    term = 1 / q**2 - 2
    resonance = low_corner_hz / np.sqrt((term + np.sqrt(term**2 + 4)) / 2)
    s = 1j * np.asarray(freq_hz, dtype=float) / resonance
    return np.asarray(s**2 / (s**2 + s / q + 1))


def vented_response(freq_hz: ArrayLike, low_corner_hz: float) -> Complex:
    """Return the free-field response of a vented box with a fourth-order Butterworth alignment.

    References
    ----------
    R. H. Small, J. Audio Eng. Soc. 21 (1973) 316 (vented-box systems): the lossless B4 alignment.
    """
    return butterworth(freq_hz, low_corner_hz, 4, "high")


def alignment_start(
    main: Complex, sub: Complex, freq_hz: ArrayLike, crossover_hz: float
) -> tuple[float, bool, float]:
    """Return the delay and polarity of a subwoofer with which it and the mains add best around their crossover.

    Parameters
    ----------
    main, sub
        Responses through their crossover filters at the seats, shape (seats, frequencies).
    freq_hz
        Frequencies [Hz].
    crossover_hz
        Crossover frequency [Hz].

    Returns
    -------
    delay_s
        Delay of the subwoofer; when negative, of the mains instead [s].
    inverted
        Whether to turn its polarity.
    level_db
        Mean level of the sum over an octave around the crossover, over that of both added as powers [dB].

    Notes
    -----
    A grid of one twentieth of the period over half a period each way: a longer delay fits one frequency and no other.
    Common practice calls this aligning by ear or analyser for the loudest crossover; no source.
    """
    freq = np.asarray(freq_hz, dtype=float)
    near = (freq >= crossover_hz / np.sqrt(2)) & (freq <= crossover_hz * np.sqrt(2))
    if not near.any():
        raise ValueError(
            f"No frequency lies within half an octave of the crossover at {crossover_hz} Hz; give a finer grid."
        )
    delay = np.arange(-10, 11) / (20 * crossover_hz)
    cross = (main * np.conj(sub))[:, near]
    both = (np.abs(main) ** 2 + np.abs(sub) ** 2)[:, near]
    turned = np.exp(2j * np.pi * np.multiply.outer(delay, freq[near]))
    gain = 2 * (cross * turned[:, None]).real / both
    level = np.stack([10 * np.log10(np.maximum(1 + sign * gain, 1e-6)).mean(axis=(1, 2)) for sign in (1, -1)])
    level = level - 1e-9 * np.abs(delay)  # of equals the shortest delay
    sign, best = np.unravel_index(int(level.argmax()), level.shape)
    return float(delay[best]), bool(sign), float(level[sign, best])


def summed_level(parts: Complex, axis: int = 0) -> Floats:
    """Return the level of responses added as pressures along an axis [dB]."""
    return np.asarray(20 * np.log10(np.abs(parts.sum(axis=axis)) + 1e-12))
