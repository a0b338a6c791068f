"""Reverberation time, Schroeder frequency, room constant and mode count of a room as a whole."""

import numpy as np
from numpy.typing import ArrayLike

from seatfield.acoustics.lagrange import Floats
from seatfield.acoustics.modes import SPEED_OF_SOUND_M_S


def sabine_time(
    volume_m3: float,
    absorption_area_m2: ArrayLike,
    *,
    air_per_m: ArrayLike = 0.0,
    speed_of_sound_m_s: float = SPEED_OF_SOUND_M_S,
) -> Floats:
    """Return the reverberation time after Sabine, 24 ln 10 V / (c (A + 4 m V)).

    Parameters
    ----------
    volume_m3
        Volume [m³].
    absorption_area_m2
        Equivalent absorption area A, the sum of area times absorption coefficient [m²].
    air_per_m
        Energy attenuation of the air m [1/m].
    speed_of_sound_m_s
        Speed of sound [m/s].

    Returns
    -------
    array
        Time in which the level falls by 60 dB [s].

    References
    ----------
    W. C. Sabine, Collected Papers on Acoustics (1922); H. Kuttruff, Room Acoustics, chapter 5, from memory.
    """
    return _decay(volume_m3, absorption_area_m2, air_per_m, speed_of_sound_m_s)


def eyring_time(
    volume_m3: float,
    surface_m2: float,
    absorption: ArrayLike,
    *,
    air_per_m: ArrayLike = 0.0,
    speed_of_sound_m_s: float = SPEED_OF_SOUND_M_S,
) -> Floats:
    """Return the reverberation time after Eyring: Sabine's with A = −S ln(1 − a); zero for total absorption.

    References
    ----------
    C. F. Eyring, J. Acoust. Soc. Am. 1 (1930) 217, from memory.
    """
    with np.errstate(divide="ignore"):
        area = -surface_m2 * np.log1p(-np.asarray(absorption, dtype=float))
    return _decay(volume_m3, area, air_per_m, speed_of_sound_m_s)


def _decay(volume_m3: float, area_m2: ArrayLike, air_per_m: ArrayLike, speed_of_sound_m_s: float) -> Floats:
    """Return the decay time for an absorption area."""
    area = np.asarray(area_m2, dtype=float) + 4 * np.asarray(air_per_m, dtype=float) * volume_m3
    with np.errstate(divide="ignore"):
        return np.asarray(24 * np.log(10) * volume_m3 / (speed_of_sound_m_s * area))


def schroeder_frequency(
    volume_m3: float, reverberation_s: ArrayLike, *, speed_of_sound_m_s: float = SPEED_OF_SOUND_M_S
) -> Floats:
    """Return the frequency above which three modes or more overlap, √(c³ T / (4 ln 10 V)), about 2000 √(T/V) [Hz].

    References
    ----------
    M. R. Schroeder, K. H. Kuttruff, J. Acoust. Soc. Am. 34 (1962) 76, from memory.
    """
    return np.asarray(
        np.sqrt(speed_of_sound_m_s**3 * np.asarray(reverberation_s) / (4 * np.log(10) * volume_m3))
    )


def room_constant(surface_m2: float, absorption: ArrayLike) -> Floats:
    """Return S a / (1 − a) of a room's surface and mean absorption [m²] (L. L. Beranek, from memory)."""
    mean = np.asarray(absorption, dtype=float)
    return np.asarray(surface_m2 * mean / (1 - mean))


def level_below_power(distance_m: ArrayLike, room_constant_m2: ArrayLike, directivity: float = 1.0) -> Floats:
    """Return sound pressure level less power level, 10 lg(Q/4πr² + 4/R) [dB] (L. L. Beranek, from memory)."""
    direct = directivity / (4 * np.pi * np.asarray(distance_m, dtype=float) ** 2)
    return np.asarray(10 * np.log10(direct + 4 / np.asarray(room_constant_m2, dtype=float)))


def critical_distance(absorption_area_m2: ArrayLike, directivity: float = 1.0) -> Floats:
    """Return where direct and reverberant sound are equal, √(Q A / 16π) [m]."""
    return np.asarray(np.sqrt(directivity * np.asarray(absorption_area_m2, dtype=float) / (16 * np.pi)))


def mode_count(
    sides_m: tuple[float, float, float], freq_hz: ArrayLike, *, speed_of_sound_m_s: float = SPEED_OF_SOUND_M_S
) -> Floats:
    """Return about how many modes a rectangular room has up to a frequency.

    References
    ----------
    R. H. Bolt, J. Acoust. Soc. Am. 10 (1939) 228; H. Kuttruff, Room Acoustics, chapter 3; from memory.
    """
    length, width, height = sides_m
    wave = np.asarray(freq_hz, dtype=float) / speed_of_sound_m_s
    surface = 2 * (length * width + length * height + width * height)
    volume, edges = length * width * height, 4 * (length + width + height)
    return np.asarray(4 * np.pi / 3 * volume * wave**3 + np.pi / 4 * surface * wave**2 + edges / 8 * wave)
