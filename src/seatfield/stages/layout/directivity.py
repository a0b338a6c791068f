"""Level off a loudspeaker's axis: from its measured table, or from a piston of the driver that plays there."""

from math import atan2, cos, degrees, dist, hypot, pi, radians, sin

import numpy as np

from seatfield.decibel import amplitude_db
from seatfield.model import Directivity, LoudspeakerModel

FREQS_HZ = (1000.0, 2000.0, 4000.0, 8000.0)
SPEED_OF_SOUND_M_S = 343.2
SOURCE = "circular piston in a baffle, 2·J1(ka·sin θ)/(ka·sin θ)"
_TURN = np.arange(128) * (2 * pi / 128)


def piston_db(ka: float, angle_deg: float) -> float:
    """Return the level of a rigid circular piston in a baffle off its axis.

    Parameters
    ----------
    ka
        Wave number times radius [-].
    angle_deg
        Off the axis, 0 to 90 [deg].

    Returns
    -------
    float
        Against the axis [dB], not below −60.

    References
    ----------
    Beranek, Acoustics (1954), section 4.18, from memory.
    """
    x = ka * sin(radians(angle_deg))
    ratio = 1.0 if abs(x) < 1e-9 else abs(2 * _bessel_1(x) / x)
    return max(amplitude_db(ratio), -60.0)


def _bessel_1(x: float) -> float:
    """Return J1(x) by Bessel's integral (DLMF 10.9.2): over a whole period even steps leave only J127(x)."""
    return float(np.cos(_TURN - x * np.sin(_TURN)).mean())


def off_axis_db(model: LoudspeakerModel | None, freq_hz: float, angle_deg: float) -> float | None:
    """Return a model's level off its axis at a frequency.

    Parameters
    ----------
    model
        The loudspeaker's figures.
    freq_hz
        Frequency [Hz].
    angle_deg
        Off the axis [deg].

    Returns
    -------
    float or None
        Against the axis [dB]; None where the file gives neither a table nor the driver's size, outside the table,
        and past 90° by the formula.
    """
    if model is None:
        return None
    if model.directivity is not None:
        return table_db(model.directivity, freq_hz, angle_deg)
    diameter = _playing_driver(model, freq_hz)
    if diameter is None or angle_deg > 90:
        return None
    return piston_db(pi * freq_hz * diameter / SPEED_OF_SOUND_M_S, angle_deg)


def _playing_driver(model: LoudspeakerModel, freq_hz: float) -> float | None:
    """Return the diameter of the driver that plays a frequency, None where it is not known [m]."""
    if model.driver_crossover_hz is None:
        return model.woofer_m if model.tweeter_m is None else None
    return model.woofer_m if freq_hz < model.driver_crossover_hz else model.tweeter_m


def table_db(table: Directivity, freq_hz: float, angle_deg: float) -> float | None:
    """Return the level off the axis from a measured table.

    Parameters
    ----------
    table
        The measurement.
    freq_hz, angle_deg
        Where to read it [Hz], [deg].

    Returns
    -------
    float or None
        Interpolated over the logarithm of the frequency and over the angle [dB]; None outside the table.
    """
    freqs, angles = np.array(table.freq_hz), np.array(table.angle_deg)
    levels = np.array(table.level_db)
    inside = freqs.min() <= freq_hz <= freqs.max() and angles.min() <= angle_deg <= angles.max()
    if not inside or levels.shape != (len(freqs), len(angles)):
        return None
    by_freq, by_angle = np.argsort(freqs), np.argsort(angles)
    levels = levels[np.ix_(by_freq, by_angle)]
    at_angle = [np.interp(angle_deg, angles[by_angle], row) for row in levels]
    return float(np.interp(np.log(freq_hz), np.log(freqs[by_freq]), at_angle))


def axis(yaw_deg: float, pitch_deg: float) -> tuple[float, float, float]:
    """Return the unit vector of an aim: yaw from +x counter-clockwise, pitch up [deg]."""
    yaw, pitch = radians(yaw_deg), radians(pitch_deg)
    return cos(pitch) * cos(yaw), cos(pitch) * sin(yaw), sin(pitch)


def angle_off_deg(
    axis_: tuple[float, float, float], start: tuple[float, float, float], target: tuple[float, float, float]
) -> float:
    """Return the angle between an axis and the way from a loudspeaker to a target.

    Parameters
    ----------
    axis_
        Unit vector of the axis.
    start, target
        Loudspeaker and target [m].

    Returns
    -------
    float
        0 to 180 [deg]; 0 where both coincide.
    """
    way = tuple(t - s for t, s in zip(target, start, strict=True))
    (ax, ay, az), (wx, wy, wz) = axis_, way
    across = hypot(ay * wz - az * wy, az * wx - ax * wz, ax * wy - ay * wx)
    return degrees(atan2(across, ax * wx + ay * wy + az * wz)) if dist(start, target) > 1e-9 else 0.0
