"""The samples of a sweep file: identification, silence, chirp, sweep, tail, chirp."""

from collections.abc import Iterator

import numpy as np

from seatfield.dsp.arrays import Vector
from seatfield.dsp.stimulus import Stimulus, approach_track, marker_track, sweep_track
from seatfield.dsp.sweep import synchronised_sweep
from seatfield.model import Sounding, SweepSet, SweepSettings

PIP_S, PIP_STEP_S = 0.22, 0.34
PAUSE_S = 1.6  # so that the room is still again before the silence from which noise is read
QUIETEST_DB, RISE_DB, LOUDEST_DB = -36.0, 6.0, -12.0
ONES_HZ, FIVES_HZ = 660.0, 440.0
LOW_ONES_HZ, LOW_FIVES_HZ = 75.0, 50.0
PIPS_AT_MOST = 8


def stimulus_of(settings: SweepSettings) -> Stimulus:
    """Return the engine's stimulus for a sweep's settings."""
    sweep = synchronised_sweep(settings.low_hz, settings.high_hz, settings.length_s)
    return Stimulus(sweep=sweep, tail_s=settings.tail_s, level_db=settings.level_db)


def pips_of(number: int) -> tuple[int, int]:
    """Return how many low and how many high pips announce a sweep: a low one counts five."""
    return number // 5, number % 5


def announcement(number: int, settings: SweepSettings, *, low: bool = False) -> Vector:
    """Return the pips that say which sweep follows, each a little louder than the one before.

    Parameters
    ----------
    number
        Place in the order of playing; low pips count five, high ones one.
    settings
        Sample rate and level.
    low
        True for a subwoofer, which cannot play the usual pitch.

    Returns
    -------
    ndarray, shape (n,)
        The pips rise from 36 dB under the sweep's peak towards 12 dB under it, so that a channel that is set far too
        loud is heard before the sweep begins. As long for every number. [1]
    """
    fives, ones = pips_of(number)
    five_hz, one_hz = (LOW_FIVES_HZ, LOW_ONES_HZ) if low else (FIVES_HZ, ONES_HZ)
    samples = np.zeros(_announcement_frames(settings))
    for place, pitch_hz in enumerate([five_hz] * fives + [one_hz] * ones):
        level_db = settings.level_db + min(QUIETEST_DB + RISE_DB * place, LOUDEST_DB)
        first = round(place * PIP_STEP_S * settings.rate_hz)
        pip = _pip(pitch_hz, settings.rate_hz)
        samples[first : first + len(pip)] = 10.0 ** (level_db / 20.0) * pip
    return samples


def _pip(pitch_hz: float, rate_hz: int) -> Vector:
    time_s = np.arange(round(PIP_S * rate_hz)) / rate_hz
    pip: Vector = np.sin(2.0 * np.pi * pitch_hz * time_s) * (0.5 - 0.5 * np.cos(2.0 * np.pi * time_s / PIP_S))
    return pip


def _announcement_frames(settings: SweepSettings) -> int:
    return round((PIPS_AT_MOST * PIP_STEP_S + PAUSE_S) * settings.rate_hz)


def block_frames(settings: SweepSettings) -> int:
    """Return the length of one sweep with all that belongs to it, in samples."""
    return _announcement_frames(settings) + len(sweep_track(stimulus_of(settings), settings.rate_hz))


def block_s(settings: SweepSettings) -> float:
    """Return the length of one sweep with all that belongs to it [s]."""
    return block_frames(settings) / settings.rate_hz


def stimulus_start_s(settings: SweepSettings) -> float:
    """Return when the stimulus begins after the block's first sample [s]."""
    return _announcement_frames(settings) / settings.rate_hz


def feeds_of(sweeps: SweepSet, sounding: Sounding) -> tuple[Vector, Vector]:
    """Return what two columns play for one sweep: its own, and the chirps'.

    Parameters
    ----------
    sweeps
        The set.
    sounding
        The sweep.

    Returns
    -------
    own, chirps : ndarray, shape (n,)
        To be added where both are one column. [1]
    """
    settings = sweeps.settings
    stimulus = stimulus_of(settings)
    named = announcement(sounding.number, settings, low=sounding.channel.startswith("LFE"))
    own = np.concatenate([named, sweep_track(stimulus, settings.rate_hz)])
    chirps = np.concatenate([np.zeros(len(named)), marker_track(stimulus, settings.rate_hz)])
    return own, chirps


def block(sweeps: SweepSet, sounding: Sounding) -> Vector:
    """Return the file's part for one sweep.

    Parameters
    ----------
    sweeps
        The set.
    sounding
        The sweep.

    Returns
    -------
    ndarray, shape (n, columns)
        Samples, full scale is 1. [1]
    """
    own, chirps = feeds_of(sweeps, sounding)
    samples = np.zeros((len(own), len(sweeps.columns)))
    samples[:, sweeps.columns.index(sounding.feed)] += own
    samples[:, sweeps.columns.index(sweeps.reference)] += chirps
    return samples


def approach(sweeps: SweepSet) -> Vector:
    """Return the bursts by which the volume is set, in the column of the first sweep.

    Returns
    -------
    ndarray, shape (n, columns)
        From 48 dB under the sweep's peak to its peak. [1]
    """
    settings = sweeps.settings
    track = approach_track(settings.rate_hz, settings.level_db, start_db=settings.level_db - 48.0)
    track = np.concatenate([track, np.zeros(settings.rate_hz)])
    samples = np.zeros((len(track), len(sweeps.columns)))
    feed = sweeps.reference if sweeps.reference_run else sweeps.soundings[0].feed
    samples[:, sweeps.columns.index(feed)] = track
    return samples


def blocks(sweeps: SweepSet) -> Iterator[Vector]:
    """Yield the parts of a file that holds all sweeps, the approach first."""
    yield approach(sweeps)
    for sounding in sweeps.soundings:
        yield block(sweeps, sounding)
