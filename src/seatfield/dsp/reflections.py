"""Early reflections of a response: when, how far round, how loud."""

from dataclasses import dataclass

import numpy as np

from seatfield.dsp.impulse import ImpulseResponse, cut, pulse_shaped, tail_noise

LOW_HZ, WIDTH_HZ = 700.0, 6000.0
LEAST_GAP_S = 0.0008


@dataclass(frozen=True, slots=True)
class Reflection:
    """One early reflection.

    Attributes
    ----------
    delay_s : float
        After the direct sound. [s]
    level_db : float
        Against the direct sound. [dB]
    """

    delay_s: float
    level_db: float


def early_reflections(
    response: ImpulseResponse,
    arrival_s: float,
    *,
    until_s: float = 0.03,
    least_db: float = -20.0,
    at_most: int = 12,
) -> tuple[Reflection, ...]:
    """Return the reflections that stand out after the direct sound.

    Parameters
    ----------
    response : ImpulseResponse
        Linear response whose end holds noise.
    arrival_s : float
        Moment of the direct sound. [s]
    until_s : float
        How long after it to look. [s]
    least_db : float
        Weakest reflection to list, against the direct sound. [dB]
    at_most : int
        Number to list.

    Returns
    -------
    tuple of Reflection
        In the order of arrival, the strongest `at_most`.

    Notes
    -----
    Maxima of the envelope above 700 Hz that stand 10 dB over the noise and 3 dB over the ebb before them; two
    closer than 0.8 ms (27 cm of path) count as one. The loudspeaker's own edges show as reflections below 1 ms.
    """
    from scipy.signal import find_peaks, hilbert

    shaped = pulse_shaped(response, LOW_HZ, WIDTH_HZ)
    part = cut(shaped, arrival_s - 0.005, arrival_s + until_s + 0.005)
    level_db = 20.0 * np.log10(np.maximum(np.abs(hilbert(part.samples)), 1e-15))
    near = slice(part.index(arrival_s - 0.0003), part.index(arrival_s + 0.0007))
    direct_db = float(np.max(level_db[near]))
    floor_db = max(direct_db + least_db, 20.0 * float(np.log10(max(tail_noise(shaped), 1e-15))) + 10.0)
    gap = max(1, round(LEAST_GAP_S * part.sample_rate_hz))
    places, _ = find_peaks(level_db, height=floor_db, distance=gap, prominence=3.0)
    found = [
        Reflection(part.time_s(int(place)) - arrival_s, float(level_db[place]) - direct_db)
        for place in places
    ]
    later = [one for one in found if LEAST_GAP_S <= one.delay_s <= until_s]
    loudest = sorted(later, key=lambda one: -one.level_db)[:at_most]
    return tuple(sorted(loudest, key=lambda one: one.delay_s))
