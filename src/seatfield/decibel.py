"""Decibels: ratios of power and of amplitude, sums of levels, loss with distance."""

from collections.abc import Iterable
from math import inf, log10


def power_db(ratio: float) -> float:
    """Return a ratio of powers as a level.

    Parameters
    ----------
    ratio
        Power over reference power, not negative [-].

    Returns
    -------
    float
        10·lg(ratio) [dB]; minus infinity for 0.
    """
    return 10 * log10(ratio) if ratio > 0 else -inf


def amplitude_db(ratio: float) -> float:
    """Return a ratio of amplitudes (voltage, pressure) as a level.

    Parameters
    ----------
    ratio
        Amplitude over reference amplitude, not negative [-].

    Returns
    -------
    float
        20·lg(ratio) [dB]; minus infinity for 0.
    """
    return 2 * power_db(ratio)


def power_ratio(level_db: float) -> float:
    """Return the ratio of powers of a level [-].

    Parameters
    ----------
    level_db
        Level [dB].

    Returns
    -------
    float
        10^(level/10) [-].
    """
    return float(10 ** (level_db / 10))


def amplitude_ratio(level_db: float) -> float:
    """Return the ratio of amplitudes of a level [-].

    Parameters
    ----------
    level_db
        Level [dB].

    Returns
    -------
    float
        10^(level/20) [-].
    """
    return float(10 ** (level_db / 20))


def sum_db(levels_db: Iterable[float]) -> float:
    """Return the level of independent sounds together: their powers add.

    Parameters
    ----------
    levels_db
        Levels [dB].

    Returns
    -------
    float
        Level of the sum [dB]; minus infinity for none.
    """
    return power_db(sum(power_ratio(level) for level in levels_db))


def coherent_sum_db(levels_db: Iterable[float]) -> float:
    """Return the level of equal sounds in step: their amplitudes add.

    Parameters
    ----------
    levels_db
        Levels [dB].

    Returns
    -------
    float
        Level of the sum [dB]; minus infinity for none.
    """
    return amplitude_db(sum(amplitude_ratio(level) for level in levels_db))


def distance_loss_db(distance_m: float, reference_m: float = 1.0) -> float:
    """Return how much quieter direct sound is at a distance than at the reference distance.

    Parameters
    ----------
    distance_m, reference_m
        Distances from the acoustic centre, above zero [m].

    Returns
    -------
    float
        20·lg(distance/reference) [dB]; 6.02 dB per doubling.

    Notes
    -----
    Spherical spreading from a source that is small against the distance.
    """
    return amplitude_db(distance_m / reference_m)
