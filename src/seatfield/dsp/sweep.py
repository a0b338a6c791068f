"""The synchronised exponential sweep and the times at which its harmonics arrive."""

import math
from dataclasses import dataclass

import numpy as np

from seatfield.dsp.arrays import Vector


class SweepRangeError(ValueError):
    """A sweep was asked for whose limits or length cannot be played."""

    def __init__(self, low_hz: float, high_hz: float, duration_s: float) -> None:
        super().__init__(
            f"A sweep from {low_hz:g} Hz to {high_hz:g} Hz in {duration_s:g} s was asked for; it needs "
            "0 < low < high and a length of at least one period of the low limit. Change the limits or the length."
        )


@dataclass(frozen=True, slots=True)
class Sweep:
    """An exponential sine sweep, described in the player's own time.

    Attributes
    ----------
    low_hz, high_hz : float
        Instantaneous frequency at the start and at the end. [Hz]
    rate_s : float
        Time in which the frequency grows by the factor e; the letter L of the literature. [s]
    fade_in_s, fade_out_s : float
        Lengths of the raised-cosine fades inside the sweep. [s]
    """

    low_hz: float
    high_hz: float
    rate_s: float
    fade_in_s: float = 0.1
    fade_out_s: float = 0.01

    @property
    def duration_s(self) -> float:
        """Length of the sweep [s]."""
        return self.rate_s * math.log(self.high_hz / self.low_hz)

    @property
    def octave_s(self) -> float:
        """Time the sweep takes for one octave, which is also the lead of the second harmonic [s]."""
        return self.rate_s * math.log(2.0)


def sweep_rate_s(low_hz: float, high_hz: float, duration_s: float) -> float:
    """Return the time in which an exponential sweep's frequency grows by the factor e.

    Parameters
    ----------
    low_hz, high_hz : float
        Start and end frequency. [Hz]
    duration_s : float
        Length of the sweep. [s]

    Returns
    -------
    float
        L = T / ln(f2 / f1). [s]

    Raises
    ------
    SweepRangeError
        If the limits are not in rising order or the length holds no full period.

    References
    ----------
    Farina, A., "Simultaneous measurement of impulse response and distortion with a swept-sine technique",
    AES 108th Convention, 2000.
    """
    if not 0.0 < low_hz < high_hz or duration_s * low_hz < 1.0:
        raise SweepRangeError(low_hz, high_hz, duration_s)
    return duration_s / math.log(high_hz / low_hz)


def synchronised_sweep(low_hz: float = 15.0, high_hz: float = 22000.0, duration_s: float = 10.0) -> Sweep:
    """Return the sweep nearest to the asked length whose harmonics start in phase with it.

    Parameters
    ----------
    low_hz, high_hz : float
        Start and end frequency. [Hz]
    duration_s : float
        Wanted length; the answer's length differs by less than 1 / low_hz · ln(high / low) / 2. [s]

    Returns
    -------
    Sweep
        With low_hz · rate_s a whole number.

    Raises
    ------
    SweepRangeError
        If the limits are not in rising order or the length holds no full period.

    References
    ----------
    Novak, A., Lotton, P., Simon, L., "Synchronized swept-sine: theory, application, and implementation",
    J. Audio Eng. Soc. 63 (2015) 786-798.
    """
    cycles = max(1, round(low_hz * sweep_rate_s(low_hz, high_hz, duration_s)))
    return Sweep(low_hz, high_hz, cycles / low_hz)


def sweep_signal(sweep: Sweep, sample_rate_hz: float, delay_s: float = 0.0) -> Vector:
    """Return the sweep's samples at unit peak, as a clock of the given rate takes them.

    Parameters
    ----------
    sweep : Sweep
        What is played.
    sample_rate_hz : float
        Samples in one second of the player's time; a recorder that runs 50 ppm fast takes 48002.4. [Hz]
    delay_s : float
        Start of the sweep after the first sample, less than one sample. [s]

    Returns
    -------
    ndarray, shape (n,)
        sin{2π f1 L (e^(t/L) - 1)} with fades. [1]

    References
    ----------
    Farina 2000; Novak 2015.
    """
    count = math.floor((sweep.duration_s + delay_s) * sample_rate_hz) + 1
    time_s = np.arange(count) / sample_rate_hz - delay_s
    cycles = sweep.low_hz * sweep.rate_s * np.expm1(np.maximum(time_s, 0.0) / sweep.rate_s)
    samples = np.sin(2.0 * np.pi * np.mod(cycles, 1.0))
    return samples * _fade(time_s, sweep.fade_in_s) * _fade(sweep.duration_s - time_s, sweep.fade_out_s)


def _fade(time_s: Vector, length_s: float) -> Vector:
    if length_s <= 0.0:
        return (time_s >= 0.0).astype(np.float64)
    return 0.5 - 0.5 * np.cos(np.pi * np.clip(time_s / length_s, 0.0, 1.0))


def harmonic_lead_s(sweep: Sweep, order: int) -> float:
    """Return by how much a harmonic's impulse response precedes the linear one.

    Parameters
    ----------
    sweep : Sweep
        The sweep that was played.
    order : int
        Order of the harmonic; 1 is the linear response.

    Returns
    -------
    float
        L · ln(order). [s]

    References
    ----------
    Farina 2000.
    """
    return sweep.rate_s * math.log(order)


def passing_time_s(sweep: Sweep, freq_hz: float) -> float:
    """Return when the sweep passes a frequency.

    Parameters
    ----------
    sweep : Sweep
        The sweep that was played.
    freq_hz : float
        Frequency. [Hz]

    Returns
    -------
    float
        Time after the sweep's start. [s]
    """
    return sweep.rate_s * math.log(freq_hz / sweep.low_hz)
