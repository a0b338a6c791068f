"""Speed of sound and density of air."""

import numpy as np
from numpy.typing import ArrayLike

from seatfield.acoustics.lagrange import Floats

ZERO_K = 273.15


def speed_of_sound(temperature_c: ArrayLike) -> Floats:
    """Return the speed of sound in air.

    Parameters
    ----------
    temperature_c
        Temperature [°C].

    Returns
    -------
    array
        Speed [m/s].

    Raises
    ------
    ValueError
        If a temperature lies outside −20 to 50 °C, the range of the standard.

    Notes
    -----
    343.2 √(T / 293.15 K). Humidity raises it by up to 0.4 % in a warm room and is left out.

    References
    ----------
    ISO 9613-1:1993, clause 5 (formula seen in an open implementation).
    """
    return np.asarray(343.2 * np.sqrt(_kelvin(temperature_c) / 293.15))


def air_density(temperature_c: ArrayLike, pressure_pa: float = 101325.0) -> Floats:
    """Return the density of dry air [kg/m³], p / (287.05 T), from the ideal gas law (from memory)."""
    return np.asarray(pressure_pa / (287.05 * _kelvin(temperature_c)))


def _kelvin(temperature_c: ArrayLike) -> Floats:
    """Return absolute temperatures [K]."""
    celsius = np.asarray(temperature_c, dtype=float)
    if not ((celsius >= -20) & (celsius <= 50)).all():
        raise ValueError(f"The temperature is {celsius.tolist()} °C; the formula holds from −20 to 50 °C.")
    return celsius + ZERO_K
