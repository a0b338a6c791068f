"""When the first sound of a response arrives, or why that cannot be said."""

from dataclasses import dataclass

import numpy as np

from seatfield.dsp.arrays import Vector
from seatfield.dsp.impulse import ImpulseResponse, band_limited, cut, pulse_shaped, tail_noise

THRESHOLD = 10.0 ** (-28.0 / 20.0)
NOISE_FACTOR = 6.0
LEAST_FACTOR = 4.0
LOOK_BACK_S = 0.03
SAME_S = 0.0005
BAND_LOOK_BACK_S, BAND_SHARE = 0.1, 0.35
BAND_NEED_DB = 20.0
FINE = 16
LOW_HZ = 200.0
WIDTH_SHARE = 0.45


@dataclass(frozen=True, slots=True)
class Arrival:
    """The moment of first sound.

    Attributes
    ----------
    time_s : float or None
        Moment after the response's origin, or None where it is refused. [s]
    refusal : str
        Why no moment is given and what to do; empty where one is given.
    headroom_db : float
        By how much the peak stands above the strict need, that six times the noise stays 28 dB below it. [dB]
    near_s : float
        Where to place a window: the moment itself, or a guess where it is refused, which is never to be shown. [s]
    """

    time_s: float | None
    refusal: str
    headroom_db: float
    near_s: float


def arrival(response: ImpulseResponse, edge_hz: float = 22000.0) -> Arrival:
    """Return when the direct sound of a full-range or high-passed loudspeaker arrives.

    Parameters
    ----------
    response : ImpulseResponse
        Linear response whose end (a quarter of it) holds only noise.
    edge_hz : float
        Highest frequency that was played. [Hz]

    Returns
    -------
    Arrival
        With a moment resolved to a sixteenth of a sample, or with a refusal.

    Notes
    -----
    Above 200 Hz and under a Gaussian low-pass of 0.45 times the highest frequency, which smothers
    the ringing of the band edge: from 30 ms before the largest value on, the first crossing of its -28 dB, then
    the first extremum at a sixteenth of a sample. A direct sound as much as 20 dB under the reflections is found.
    Refused where six times the noise exceeds the -28 dB: then a weak direct sound could be hidden, and a
    reflection would be taken for it. Between six and four times the noise an answer is given only where the
    crossing of -22 dB leads to the same extremum. Refused, too, where -28 and -22 dB are crossed more than
    0.5 ms apart. The rule was chosen on simulated rooms; no standard gives one.
    """
    shaped = pulse_shaped(response, LOW_HZ, WIDTH_SHARE * min(edge_hz, 0.5 * response.sample_rate_hz))
    peak = float(np.max(np.abs(shaped.samples)))
    noise = tail_noise(shaped)
    headroom_db = _db(peak * THRESHOLD / max(NOISE_FACTOR * noise, 1e-30))
    index = _onset(shaped, max(peak * THRESHOLD, min(NOISE_FACTOR * noise, 0.5 * peak)))
    near_s = shaped.time_s(index if index is not None else int(np.argmax(np.abs(shaped.samples))))
    if headroom_db < _db(LEAST_FACTOR / NOISE_FACTOR):
        return Arrival(None, _too_noisy(headroom_db), headroom_db, near_s)
    low, high = _onset(shaped, peak * THRESHOLD), _onset(shaped, 2.0 * peak * THRESHOLD)
    if low is None or high is None:
        return Arrival(None, _no_quiet_before(), headroom_db, near_s)
    early_s = (high - low) / shaped.sample_rate_hz
    if headroom_db < 0.0 and low != high:
        return Arrival(None, _too_noisy(headroom_db), headroom_db, shaped.time_s(high))
    if early_s > SAME_S:
        return Arrival(None, _two_beginnings(early_s), headroom_db, shaped.time_s(high))
    return Arrival(shaped.time_s(low), "", headroom_db, shaped.time_s(low))


def _db(ratio: float) -> float:
    return 20.0 * float(np.log10(max(ratio, 1e-30)))


def _onset(shaped: ImpulseResponse, limit: float) -> float | None:
    size = np.abs(shaped.samples)
    top = int(np.argmax(size))
    first = max(0, top - round(LOOK_BACK_S * shaped.sample_rate_hz))
    crossing = first + int(np.argmax(size[first : top + 1] >= limit))
    if crossing == first:
        return None
    return _first_extremum(shaped.samples, crossing)


def _too_noisy(headroom_db: float) -> str:
    return (
        f"The noise is {-headroom_db:.0f} dB too high to tell the direct sound from a reflection. "
        "Average more sweeps, play louder or make the room quieter."
    )


def _two_beginnings(early_s: float) -> str:
    return (
        f"A faint sound, 22 to 28 dB under the strongest, comes {1e3 * early_s:.1f} ms before the rest: it may be the "
        "direct sound, very weak, or something else. Give the microphone free sight of the loudspeaker and try again."
    )


def _no_quiet_before() -> str:
    return (
        "There is sound all the way from 30 ms before the strongest part of the response, so its beginning is not "
        "inside the part that was searched. Check that the take holds one loudspeaker and no echo canceller."
    )


def _first_extremum(samples: Vector, crossing: int, before: int = 24, after: int = 72) -> float:
    from scipy.signal import resample

    first = max(0, crossing - before)
    piece = samples[first : crossing + after]
    edge = np.minimum(1.0, np.minimum(np.arange(len(piece)), np.arange(len(piece))[::-1]) / 12.0)
    fine = np.abs(resample(piece * edge, len(piece) * FINE))
    start = (crossing - first) * FINE
    falling = np.flatnonzero(np.diff(fine[start:]) < 0.0)
    return first + (start + (int(falling[0]) if len(falling) else 0)) / FINE


def band_arrival(response: ImpulseResponse, low_hz: float, high_hz: float) -> Arrival:
    """Return when a band of a response arrives, as a subwoofer's arrival is defined at the crossover.

    Parameters
    ----------
    response : ImpulseResponse
        Linear response whose end (a quarter of it) holds only noise.
    low_hz, high_hz : float
        The band, usually half an octave to each side of the crossover. [Hz]

    Returns
    -------
    Arrival
        The first maximum of the band's envelope that reaches a third of the largest one, within 0.1 s before that.

    Notes
    -----
    The envelope's maximum lies later than the direct sound by the group delay of loudspeaker and filters in
    the band: a subwoofer reads farther than its tape distance, and that is what a delay setting has to match.
    Refused where the envelope does not stand 20 dB above the noise in the band, and where its upper half takes longer
    to rise than one over the bandwidth, against 0.6 over it in free field: there a resonance hides the beginning. In
    simulated rooms of two kinds that was so at one position of thirty; of the others nine in ten were within 9 ms of
    what the same subwoofer gives in free field, and one in twenty later by more than 10 ms.
    """
    from scipy.signal import hilbert

    narrow = band_limited(response, low_hz, high_hz)
    envelope = np.abs(hilbert(narrow.samples, _fast(len(narrow.samples))))[: len(narrow.samples)]
    quiet = ImpulseResponse(envelope, narrow.sample_rate_hz, narrow.start_s)
    top = int(np.argmax(envelope))
    headroom_db = _db(envelope[top] / max(tail_noise(quiet), 1e-30)) - BAND_NEED_DB
    near = cut(quiet, quiet.time_s(top) - BAND_LOOK_BACK_S, quiet.time_s(top) + 0.06)
    rising = np.diff(near.samples)
    peaks = 1 + np.flatnonzero((rising[:-1] > 0.0) & (rising[1:] <= 0.0))
    index = int(peaks[near.samples[peaks] >= BAND_SHARE * envelope[top]][0])
    moment_s = near.time_s(index + _vertex(near.samples[index - 1 : index + 2]))
    if headroom_db < 0.0:
        return Arrival(None, _too_noisy(headroom_db), headroom_db, moment_s)
    half = np.flatnonzero(near.samples[:index] < 0.5 * near.samples[index])
    rise_s = (index - (half[-1] if len(half) else 0)) / near.sample_rate_hz
    if rise_s > 1.0 / (high_hz - low_hz):
        return Arrival(None, _slow(rise_s), headroom_db, moment_s)
    return Arrival(moment_s, "", headroom_db, moment_s)


def _slow(rise_s: float) -> str:
    return (
        f"The bass takes {1e3 * rise_s:.0f} ms to rise: a resonance of the room hides its beginning here. Move the "
        "microphone by half a metre, or leave it: the alignment takes the delay from the sum at the crossover."
    )


def _fast(count: int) -> int:
    from scipy.fft import next_fast_len

    return int(next_fast_len(count))


def _vertex(three: Vector) -> float:
    curve = three[0] - 2.0 * three[1] + three[2]
    return float(0.5 * (three[0] - three[2]) / curve) if curve else 0.0
