"""Buzzing things: sound far above the sweep's own frequency while the sweep is in the bass."""

from dataclasses import dataclass

import numpy as np

from seatfield.dsp.arrays import Vector
from seatfield.dsp.sweep import Sweep, passing_time_s

FRAME_S = 0.02
FIRST_ORDER = 12.0
FROM_HZ, TO_HZ = 20.0, 250.0
LEAST_HZ, MOST_HZ = 1500.0, 12000.0
NEED_DB = 10.0
LEAST_FRAMES = 4


@dataclass(frozen=True, slots=True)
class Rattle:
    """A stretch of the sweep during which something buzzes.

    Attributes
    ----------
    low_hz, high_hz : float
        Frequencies of the sweep at which it buzzes. [Hz]
    over_noise_db : float
        The buzz over the noise in its band, at its loudest. [dB]
    level_db : float
        The buzz against the sweep's own sound in the same frames. [dB]
    """

    low_hz: float
    high_hz: float
    over_noise_db: float
    level_db: float


def find_rattles(
    recording: Vector, sample_rate_hz: float, sweep: Sweep, starts_s: float, silence: Vector
) -> tuple[Rattle, ...]:
    """Return the stretches of a sweep in the bass during which something buzzes.

    Parameters
    ----------
    recording : ndarray, shape (n,)
        Recorded sweep. [1]
    sample_rate_hz : float
        Samples in one second of the player's time. [Hz]
    sweep : Sweep
        What was played.
    starts_s : float
        When its direct sound begins in the recording. [s]
    silence : ndarray, shape (m,)
        The same recorder while nothing is played. [1]

    Returns
    -------
    tuple of Rattle
        In rising frequency; a buzz must last 80 ms.

    Notes
    -----
    Between 20 and 250 Hz of the sweep, what lies above its twelfth harmonic and between 1.5 and 12 kHz is
    compared with the same band of the silence; ordinary distortion is small up there, a loose part is not
    (the high-pass that follows the sweep is common practice in testing loudspeakers, no source). Stretches closer
    than a sixth of an octave are joined.
    """
    frame = round(FRAME_S * sample_rate_hz)
    spectra_noise = _frames(silence, frame)
    from_s, to_s = (starts_s + passing_time_s(sweep, max(hz, sweep.low_hz)) for hz in (FROM_HZ, TO_HZ))
    part = recording[max(0, round(from_s * sample_rate_hz)) : round(to_s * sample_rate_hz)]
    spectra = _frames(part, frame)
    if len(spectra) < LEAST_FRAMES or len(spectra_noise) < LEAST_FRAMES:
        return ()
    middle_s = from_s - starts_s + (np.arange(len(spectra)) + 1.0) * frame / 2.0 / sample_rate_hz
    sweep_hz = sweep.low_hz * np.exp(middle_s / sweep.rate_s)
    over_db, level_db = _excess(
        spectra, np.median(spectra_noise, axis=0) / np.log(2.0), sweep_hz, sample_rate_hz / frame
    )
    return _stretches(over_db, level_db, sweep_hz)


def _frames(samples: Vector, frame: int) -> Vector:
    """Return the power spectra of half-overlapping frames."""
    count = max(0, (len(samples) - frame) // (frame // 2) + 1)
    if count == 0:
        return np.zeros((0, frame // 2 + 1))
    starts = np.arange(count) * (frame // 2)
    pieces = samples[starts[:, None] + np.arange(frame)] * _window(frame)
    power: Vector = np.abs(np.fft.rfft(pieces, axis=1)) ** 2
    return power


def _window(frame: int) -> Vector:
    """Return a Blackman-Harris window: its side lobes lie 92 dB down, so that the sweep does not leak upwards."""
    from scipy.signal.windows import blackmanharris

    window: Vector = blackmanharris(frame, sym=False)
    return window


def _excess(spectra: Vector, noise: Vector, sweep_hz: Vector, step_hz: float) -> tuple[Vector, Vector]:
    freq_hz = np.arange(spectra.shape[1]) * step_hz
    band = (freq_hz[None, :] >= np.maximum(FIRST_ORDER * sweep_hz, LEAST_HZ)[:, None]) & (
        freq_hz[None, :] <= MOST_HZ
    )
    heard = np.sum(np.where(band, spectra, 0.0), axis=1)
    quiet = np.sum(np.where(band, noise[None, :], 0.0), axis=1)
    own = np.sum(np.where(band, 0.0, spectra), axis=1)
    over_db = 10.0 * np.log10(np.maximum(heard, 1e-30) / np.maximum(quiet, 1e-30))
    return over_db, 10.0 * np.log10(np.maximum(heard, 1e-30) / np.maximum(own, 1e-30))


def _stretches(over_db: Vector, level_db: Vector, sweep_hz: Vector) -> tuple[Rattle, ...]:
    loud = np.flatnonzero(over_db > NEED_DB)
    if not len(loud):
        return ()
    breaks = np.flatnonzero(np.diff(np.log2(sweep_hz[loud])) > 1.0 / 6.0) + 1
    found = [
        Rattle(
            float(sweep_hz[one[0]]),
            float(sweep_hz[one[-1]]),
            float(np.max(over_db[one])),
            float(np.max(level_db[one])),
        )
        for one in np.split(loud, breaks)
        if len(one) >= LEAST_FRAMES
    ]
    return tuple(found)
