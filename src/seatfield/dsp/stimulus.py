"""What is played for one channel: a chirp, the sweep, its tail, and the same chirp again."""

from dataclasses import dataclass, field

import numpy as np

from seatfield.dsp.arrays import Vector
from seatfield.dsp.sweep import Sweep, sweep_signal, synchronised_sweep


@dataclass(frozen=True, slots=True)
class Marker:
    """A short linear chirp that marks a moment.

    Attributes
    ----------
    low_hz, high_hz : float
        Start and end frequency. [Hz]
    duration_s : float
        Length, all of it under a raised-cosine window's flanks. [s]
    """

    low_hz: float = 4000.0
    high_hz: float = 9000.0
    duration_s: float = 0.15


@dataclass(frozen=True, slots=True)
class Stimulus:
    """The order of events in one played channel, in the player's time.

    Attributes
    ----------
    sweep : Sweep
        The sweep between the two chirps.
    marker : Marker
        The chirp at both ends.
    lead_s : float
        Silence before the first chirp; the noise and the hum of the room are read from it. [s]
    gap_s : float
        From the start of the first chirp to the start of the sweep. [s]
    tail_s : float
        Silence after the sweep in which the room dies away. [s]
    trail_s : float
        From the start of the second chirp to the end. [s]
    level_db : float
        Peak of sweep and chirps. [dBFS]

    Notes
    -----
    Chirp and sweep may be played by different loudspeakers: then the chirp is the time reference that all files
    share, which stands in for a loopback channel.
    """

    sweep: Sweep = field(default_factory=synchronised_sweep)
    marker: Marker = field(default_factory=Marker)
    lead_s: float = 1.0
    gap_s: float = 0.4
    tail_s: float = 2.0
    trail_s: float = 0.5
    level_db: float = -12.0

    @property
    def first_marker_s(self) -> float:
        """Start of the first chirp [s]."""
        return self.lead_s

    @property
    def sweep_start_s(self) -> float:
        """Start of the sweep [s]."""
        return self.lead_s + self.gap_s

    @property
    def second_marker_s(self) -> float:
        """Start of the second chirp [s]."""
        return self.sweep_start_s + self.sweep.duration_s + self.tail_s

    @property
    def spacing_s(self) -> float:
        """From the first chirp to the second [s]."""
        return self.second_marker_s - self.first_marker_s

    @property
    def duration_s(self) -> float:
        """Length of the whole [s]."""
        return self.second_marker_s + self.trail_s

    @property
    def peak(self) -> float:
        """Peak sample value of sweep and chirps [1]."""
        return float(10.0 ** (self.level_db / 20.0))


def marker_signal(marker: Marker, sample_rate_hz: float, delay_s: float = 0.0) -> Vector:
    """Return the chirp's samples at unit peak.

    Parameters
    ----------
    marker : Marker
        The chirp.
    sample_rate_hz : float
        Samples in one second of the player's time. [Hz]
    delay_s : float
        Start of the chirp after the first sample, less than one sample. [s]

    Returns
    -------
    ndarray, shape (n,)
        A sine whose frequency rises in proportion to time, under a Hann window. [1]
    """
    count = int((marker.duration_s + delay_s) * sample_rate_hz) + 1
    time_s = np.arange(count) / sample_rate_hz - delay_s
    slope = (marker.high_hz - marker.low_hz) / marker.duration_s
    window = 0.5 - 0.5 * np.cos(2.0 * np.pi * np.clip(time_s / marker.duration_s, 0.0, 1.0))
    chirp: Vector = window * np.sin(2.0 * np.pi * (marker.low_hz + 0.5 * slope * time_s) * time_s)
    return chirp


def sweep_track(stimulus: Stimulus, sample_rate_hz: float) -> Vector:
    """Return the whole channel with the sweep alone in it.

    Parameters
    ----------
    stimulus : Stimulus
        Order of events and level.
    sample_rate_hz : float
        Sample rate. [Hz]

    Returns
    -------
    ndarray, shape (n,)
        Samples, full scale is 1. [1]
    """
    track = _silence(stimulus, sample_rate_hz)
    index, rest_s = _whole_and_rest(stimulus.sweep_start_s, sample_rate_hz)
    return _place(track, stimulus.peak * sweep_signal(stimulus.sweep, sample_rate_hz, rest_s), index)


def marker_track(stimulus: Stimulus, sample_rate_hz: float) -> Vector:
    """Return the whole channel with the two chirps alone in it.

    Parameters
    ----------
    stimulus : Stimulus
        Order of events and level.
    sample_rate_hz : float
        Sample rate. [Hz]

    Returns
    -------
    ndarray, shape (n,)
        Samples, full scale is 1. [1]
    """
    track = _silence(stimulus, sample_rate_hz)
    for start_s in (stimulus.first_marker_s, stimulus.second_marker_s):
        index, rest_s = _whole_and_rest(start_s, sample_rate_hz)
        track = _place(track, stimulus.peak * marker_signal(stimulus.marker, sample_rate_hz, rest_s), index)
    return track


def approach_track(
    sample_rate_hz: float,
    level_db: float,
    *,
    start_db: float = -60.0,
    step_db: float = 6.0,
    step_s: float = 0.8,
) -> Vector:
    """Return bursts that grow step by step from very quiet to the sweep's level, so that a person can stop in time.

    Parameters
    ----------
    sample_rate_hz : float
        Sample rate. [Hz]
    level_db : float
        Peak of the last burst. [dBFS]
    start_db, step_db : float
        Peak of the first burst and growth from one to the next. [dBFS, dB]
    step_s : float
        From one burst to the next; the burst fills half of it. [s]

    Returns
    -------
    ndarray, shape (n,)
        Bursts of 500 Hz under a Hann window, the last exactly at `level_db`. [1]

    Notes
    -----
    The steps and lengths are common practice, no source. A loud sweep can hurt ears and loudspeakers: begin with
    the volume turned down and protect your hearing.
    """
    steps = max(1, int(np.ceil((level_db - start_db) / step_db)) + 1)
    length = round(step_s * sample_rate_hz)
    time_s = np.arange(length) / sample_rate_hz
    window = np.where(time_s < step_s / 2.0, 0.5 - 0.5 * np.cos(4.0 * np.pi * time_s / step_s), 0.0)
    burst = window * np.cos(2.0 * np.pi * 500.0 * (time_s - step_s / 4.0))
    levels_db = level_db - step_db * np.arange(steps)[::-1]
    return np.concatenate([10.0 ** (level / 20.0) * burst for level in levels_db])


def _silence(stimulus: Stimulus, sample_rate_hz: float) -> Vector:
    return np.zeros(int(np.ceil(stimulus.duration_s * sample_rate_hz)))


def _whole_and_rest(start_s: float, sample_rate_hz: float) -> tuple[int, float]:
    index = int(start_s * sample_rate_hz + 1e-9)
    return index, max(0.0, start_s - index / sample_rate_hz)


def _place(track: Vector, part: Vector, index: int) -> Vector:
    held = track.copy()
    held[index : index + len(part)] += part[: len(held) - index]
    return held
