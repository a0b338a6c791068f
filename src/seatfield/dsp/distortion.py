"""Harmonic distortion of a path, given only where it stands above the noise."""

from dataclasses import dataclass

import numpy as np

from seatfield.dsp.arrays import Vector
from seatfield.dsp.bands import Band
from seatfield.dsp.deconvolve import Deconvolver, harmonic_response
from seatfield.dsp.impulse import ImpulseResponse, cut, faded

ORDERS = (2, 3, 4, 5)
NEED_DB = 10.0
BEFORE_S = 0.01


@dataclass(frozen=True, slots=True)
class Distortion:
    """Harmonic distortion in one band of excitation.

    Attributes
    ----------
    band : Band
        Band of the exciting frequency.
    level_db : float or None
        Power sum of the harmonics 2 to 5 against the fundamental; None where noise hides all of them. [dB]
    at_most_db : float
        What the distortion does not exceed: the level itself, or the noise's own reading where it is hidden. [dB]
    orders_db : tuple of (float or None)
        The second to the fifth harmonic, each None where it is hidden or outside the sweep. [dB]
    """

    band: Band
    level_db: float | None
    at_most_db: float
    orders_db: tuple[float | None, ...]


def distortion(
    tool: Deconvolver,
    circle: Vector,
    response: ImpulseResponse,
    parts: tuple[Band, ...],
) -> tuple[Distortion, ...]:
    """Return the harmonic distortion of a deconvolved recording.

    Parameters
    ----------
    tool : Deconvolver
        That made the circle.
    circle : ndarray, shape (tool.count,)
        From `deconvolved`. [1]
    response : ImpulseResponse
        Linear response of the same recording; its end gives the noise.
    parts : tuple of Band
        Bands of the exciting frequency.

    Returns
    -------
    tuple of Distortion
        One for each band.

    Notes
    -----
    A harmonic is given where its power exceeds the noise in a window of the same length by 10 dB. Harmonics of
    order k are read at k · f from their own responses, as far as the sweep's and the recorder's range go. A window of
    0.1 s leaves out what the room adds later, and is widened for the bass: below some 60 Hz expect 2 dB.

    References
    ----------
    Farina 2000; Novak 2015.
    """
    length_s = _window_s(tool)
    first = _spectrum(cut(response, -BEFORE_S, length_s - BEFORE_S), length_s)
    ends_s = [response.end_s - index * length_s for index in range(4)]
    quiet = [_spectrum(cut(response, end_s - length_s, end_s), length_s) for end_s in ends_s]
    taken = [
        _spectrum(
            harmonic_response(tool, circle, order, before_s=BEFORE_S, after_s=length_s - BEFORE_S),
            length_s,
        )
        for order in ORDERS
    ]
    return tuple(_in_band(tool, part, first, taken, np.mean(quiet, axis=0)) for part in parts)


def _window_s(tool: Deconvolver) -> float:
    """Return a window that fits between the fifth harmonic and the fourth."""
    return float(min(0.2, 0.9 * tool.sweep.rate_s * np.log(5.0 / 4.0)))


def _spectrum(part: ImpulseResponse, length_s: float) -> Vector:
    """Return the power spectrum of a windowed part, every 1 / (2 · length)."""
    from scipy.fft import rfft

    held = faded(part, 0.3 * BEFORE_S, 0.3 * length_s).samples
    power: Vector = np.abs(rfft(held, 2 * round(length_s * part.sample_rate_hz))) ** 2
    return power


def _in_band(tool: Deconvolver, part: Band, first: Vector, taken: list[Vector], quiet: Vector) -> Distortion:
    step_hz = tool.sample_rate_hz / (2.0 * (len(first) - 1))
    base = _mean(first, part, step_hz, 1)
    highest_hz = min(tool.sweep.high_hz, 0.45 * tool.sample_rate_hz)
    heard, hidden = 0.0, 0.0
    orders: list[float | None] = []
    for order, one in zip(ORDERS, taken, strict=True):
        if order * part.high_hz > highest_hz:
            orders.append(None)
            continue
        power, noise = _mean(one, part, step_hz, order), _mean(quiet, part, step_hz, order)
        clear = power > noise * 10.0 ** (NEED_DB / 10.0)
        heard += power - noise if clear else 0.0
        hidden += 0.0 if clear else max(power, noise)
        orders.append(_ratio_db(power - noise, base) if clear else None)
    level_db = _ratio_db(heard, base) if heard > 0.0 else None
    return Distortion(part, level_db, _ratio_db(heard + hidden, base), tuple(orders))


def _mean(power: Vector, part: Band, step_hz: float, order: int) -> float:
    first = int(np.ceil(order * part.low_hz / step_hz))
    return float(np.mean(power[first : max(int(order * part.high_hz / step_hz), first) + 1]))


def _ratio_db(power: float, base: float) -> float:
    return 10.0 * float(np.log10(max(power, 1e-30) / max(base, 1e-30)))
