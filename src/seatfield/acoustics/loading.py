"""What hard walls nearby do to the power and the pressure of a small source."""

from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike

from seatfield.acoustics.lagrange import Floats
from seatfield.acoustics.modes import SPEED_OF_SOUND_M_S


def boundary_gain(
    distances_m: tuple[float, ...], freq_hz: ArrayLike, *, speed_of_sound_m_s: float = SPEED_OF_SOUND_M_S
) -> Floats:
    """Return what one to three hard planes at right angles do to the power of a small source.

    Parameters
    ----------
    distances_m
        Distance to each plane [m].
    freq_hz
        Frequencies [Hz].
    speed_of_sound_m_s
        Speed of sound [m/s].

    Returns
    -------
    array
        Power over that in free space, 10 lg(1 + Σ j₀(2 k r)) with r half the distance to each image source [dB]; 3, 6
        or 9 dB where the planes are near, twice that for the pressure on axis.

    References
    ----------
    R. V. Waterhouse, J. Acoust. Soc. Am. 30 (1958) 4; R. F. Allison, J. Audio Eng. Soc. 22 (1974) 314.
    """
    if not 1 <= len(distances_m) <= 3:
        raise ValueError(f"{len(distances_m)} planes were given; a corner has one to three at right angles.")
    k = 2 * np.pi * np.asarray(freq_hz, dtype=float) / speed_of_sound_m_s
    images = [
        np.linalg.norm(some) for n in range(1, len(distances_m) + 1) for some in combinations(distances_m, n)
    ]
    return np.asarray(10 * np.log10(1 + sum(np.sinc(2 * k * r / np.pi) for r in images)))


def reflection_null(distance_m: ArrayLike, *, speed_of_sound_m_s: float = SPEED_OF_SOUND_M_S) -> Floats:
    """Return the lowest frequency that a hard wall behind a source cancels straight ahead, c / 4d [Hz]."""
    return np.asarray(speed_of_sound_m_s / (4 * np.asarray(distance_m, dtype=float)))
