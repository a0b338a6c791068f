"""From volts to sound: sensitivity, level at a seat, watts for a wish."""

from math import sqrt

from seatfield.decibel import amplitude_db, amplitude_ratio, distance_loss_db, power_db
from seatfield.model import Amplifier, LoudspeakerModel, SensitivityFor

SENSITIVITY_VOLTS = sqrt(8.0)
"""The trade's 2.83 V: one watt into 8 ohm [V]."""

USUAL_IMPEDANCE_OHM = 8.0
"""Taken where the file gives none, for watts only; loads are judged on the safe side: common practice [ohm]."""


def voltage_sensitivity_db(model: LoudspeakerModel) -> float | None:
    """Return the level at 1 m for 2.83 V, whichever way the maker gives it.

    Parameters
    ----------
    model
        The loudspeaker's figures.

    Returns
    -------
    float or None
        Sensitivity [dB SPL at 1 m for 2.83 V]; None where the file gives none.

    Notes
    -----
    One watt into the nominal impedance Z takes √Z volts, so S(2.83 V) = S(1 W) + 10·lg(8/Z).
    """
    if model.sensitivity_db is None:
        return None
    if model.sensitivity_for is SensitivityFor.VOLTS:
        return model.sensitivity_db
    return model.sensitivity_db + power_db(8.0 / nominal_ohm(model))


def nominal_ohm(model: LoudspeakerModel) -> float:
    """Return the nominal impedance, or the usual one where the file gives none [ohm]."""
    impedance = model.impedance_ohm or USUAL_IMPEDANCE_OHM
    return max(impedance, 0.1)


def amplifier_volts(amplifier: Amplifier) -> float | None:
    """Return the voltage that each channel reaches with all channels driven.

    Parameters
    ----------
    amplifier
        Its ratings.

    Returns
    -------
    float or None
        √(watts · rated load) [V]; from the two-channel rating where the other is missing; None without either.

    Notes
    -----
    The amplifier is taken as a source of voltage down to its lowest allowed load; its limit of current is
    rarely published.
    """
    watts = amplifier.all_channels_w or amplifier.watts_w
    return sqrt(watts * amplifier.into_ohm) if watts and watts > 0 and amplifier.into_ohm > 0 else None


def direct_level_db(sensitivity_db: float, volts: float, distance_m: float) -> float:
    """Return the level of the direct sound.

    Parameters
    ----------
    sensitivity_db
        Level at 1 m for 2.83 V [dB SPL].
    volts
        Voltage at the loudspeaker, root mean square [V].
    distance_m
        Distance from the acoustic centre [m].

    Returns
    -------
    float
        S + 20·lg(V/2.83) − 20·lg r [dB SPL], as a meter reads a steady tone; its crests are 3 dB higher.
    """
    return sensitivity_db + amplitude_db(volts / SENSITIVITY_VOLTS) - distance_loss_db(max(distance_m, 0.1))


def watts_for(level_db: float, sensitivity_db: float, distance_m: float, impedance_ohm: float) -> float:
    """Return the power that a level at a distance takes.

    Parameters
    ----------
    level_db
        Wanted level of the direct sound [dB SPL].
    sensitivity_db
        Level at 1 m for 2.83 V [dB SPL].
    distance_m
        Distance from the acoustic centre [m].
    impedance_ohm
        Impedance that the amplifier sees [ohm].

    Returns
    -------
    float
        V²/Z with V from the level [W].
    """
    lift = level_db - sensitivity_db + distance_loss_db(max(distance_m, 0.1))
    volts = SENSITIVITY_VOLTS * amplitude_ratio(lift)
    return volts**2 / impedance_ohm
