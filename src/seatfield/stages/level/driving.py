"""From volts to sound: sensitivity, level at a seat, watts for a wish."""

from math import inf, sqrt

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


def amplifier_volts(amplifier: Amplifier, load_ohm: float) -> float | None:
    """Return the voltage that each channel reaches into a load with all channels driven.

    Parameters
    ----------
    amplifier
        Its ratings.
    load_ohm
        Nominal impedance of the load [ohm].

    Returns
    -------
    float or None
        The lower of √(watts·rated load), the voltage that it swings to, and √(watts with all channels driven·load),
        what its supply feeds [V]; None without a rating.

    Notes
    -----
    The rating with few channels driven tells the voltage; the one with all driven tells the power of the supply, which
    does not grow where the load is lower. Where only the first is told, the amplifier is a source of voltage, and what
    comes out is an upper bound. A stiff supply gives more into a low load than is said here: the safe side.
    """
    told = [watts for watts in (amplifier.watts_w, amplifier.all_channels_w) if watts and watts > 0]
    if not told or amplifier.into_ohm <= 0:
        return None
    supply = sqrt(amplifier.all_channels_w * load_ohm) if amplifier.all_channels_w else inf
    return min(sqrt(max(told) * amplifier.into_ohm), supply)


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
