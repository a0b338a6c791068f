"""What an amplifier's settings do to a signal: crossover, low-frequency channel, trim, delay, polarity, equaliser."""

import numpy as np

from seatfield.dsp.arrays import Spectrum, Vector
from seatfield.dsp.biquad import Filter, biquad, biquad_response
from seatfield.dsp.crossover import Family, crossover_response
from seatfield.model import AmplifierSettings, ChannelSetting

LFE_LIMIT_HZ, LFE_GAIN_DB = 120.0, 10.0


def family_of(order: int) -> Family:
    """Return the usual family of an amplifier's crossover filter.

    Notes
    -----
    Second order Butterworth for loudspeakers, so that with a sealed box's own second order it makes a fourth; fourth
    order Linkwitz-Riley for the subwoofer. Common practice, no source.
    """
    return "linkwitz-riley" if order == 4 else "butterworth"


def high_pass(settings: AmplifierSettings, crossover_hz: float, freq_hz: Vector) -> Spectrum:
    """Return what the amplifier's crossover does to a loudspeaker."""
    order = settings.high_pass_order
    return crossover_response("high", family_of(order), order, crossover_hz, freq_hz)


def low_pass(settings: AmplifierSettings, crossover_hz: float, freq_hz: Vector) -> Spectrum:
    """Return what the amplifier's crossover does to the bass that it sends to the subwoofer."""
    order = settings.low_pass_order
    return crossover_response("low", family_of(order), order, crossover_hz, freq_hz)


def lfe_limit(freq_hz: Vector, limit_hz: float | None = LFE_LIMIT_HZ) -> Spectrum:
    """Return what the amplifier does to the low-frequency channel: 10 dB more, and a limit.

    Parameters
    ----------
    freq_hz
        Frequencies [Hz].
    limit_hz
        Corner of its fourth-order limit [Hz]; None where the amplifier has none.

    References
    ----------
    ITU-R BS.775, annex on the low-frequency channel (from memory): 10 dB of gain in its band, limit 120 Hz.
    """
    gain = 10.0 ** (LFE_GAIN_DB / 20.0)
    if limit_hz is None:
        return np.full(len(freq_hz), gain, dtype=np.complex128)
    return np.asarray(gain * crossover_response("low", "linkwitz-riley", 4, limit_hz, freq_hz))


def setting_response(setting: ChannelSetting, freq_hz: Vector, rate_hz: float = 48000.0) -> Spectrum:
    """Return what trim, delay, polarity and equaliser of an output do.

    Parameters
    ----------
    setting
        What is set.
    freq_hz
        Frequencies [Hz].
    rate_hz
        Rate at which the equaliser runs [Hz].

    Returns
    -------
    ndarray of complex, shape (n,)
        Gain, time as exp(+iωt); the crossover is apart.
    """
    sections = tuple(biquad(Filter("peak", eq.freq_hz, eq.q, eq.gain_db), rate_hz) for eq in setting.filters)
    gain = (-1.0 if setting.inverted else 1.0) * 10.0 ** (setting.trim_db / 20.0)
    turned = np.exp(-2j * np.pi * freq_hz * setting.delay_s)
    return np.asarray(gain * turned * biquad_response(sections, freq_hz, rate_hz))
