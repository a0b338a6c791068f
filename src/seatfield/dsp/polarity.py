"""Which way a loudspeaker's cone moves first, and how sure that is."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from seatfield.dsp.arrays import Vector
from seatfield.dsp.arrival import Arrival
from seatfield.dsp.impulse import ImpulseResponse, cut, pulse_shaped, tail_noise

LOW_HZ = 90.0
WIDTHS_HZ = (450.0, 600.0, 750.0)
SHARES = (0.35, 0.5, 0.65)
WEIGHTS = np.array([0.5, 1.0, 1.0])
BEFORE_S, AFTER_S = 0.003, 0.006
LEAST_CONFIDENCE = 0.7


@dataclass(frozen=True, slots=True)
class Polarity:
    """Sign of the first sound in the woofer's band.

    Attributes
    ----------
    sign : "normal", "inverted" or "unknown"
        Normal is a first push towards the listener, which makes a positive first extremum.
    confidence : float
        Estimated chance that the sign is right; for "unknown" that of the likelier sign. [1]
    reason : str
        What lowers the confidence; empty where nothing does.
    """

    sign: Literal["normal", "inverted", "unknown"]
    confidence: float
    reason: str


def polarity(response: ImpulseResponse, heard: Arrival) -> Polarity:
    """Return the polarity of a loudspeaker's woofer.

    Parameters
    ----------
    response : ImpulseResponse
        Linear response whose end (a quarter of it) holds only noise.
    heard : Arrival
        Of the same response; where it was refused, its guess places the window and the confidence is lowered.

    Returns
    -------
    Polarity
        Unknown where the confidence is below 0.7.

    Notes
    -----
    Between 90 Hz (first order) and some 600 Hz (Gaussian), so that nothing rings before its time and a tweeter
    that is wired the other way round, a normal crossover, does not speak. Nine readings vote: the first
    extremum above 35 (at half weight), 50 or 65 % of the largest one from 3 ms before to 6 ms after the arrival, at
    three widths.
    The confidence falls with each vote against and with noise. The bands and shares were chosen on simulated
    rooms; the sign of the broad-band peak is not used because it is wrong for many crossovers.
    """
    votes, quality = zip(*(_reading(response, heard.near_s, width_hz) for width_hz in WIDTHS_HZ), strict=True)
    signs = np.array(votes)
    total = float(np.sum(signs @ WEIGHTS))
    agreeing = signs == (1.0 if total >= 0.0 else -1.0)
    share = float(np.sum(agreeing @ WEIGHTS) / (len(WIDTHS_HZ) * np.sum(WEIGHTS)))
    confidence = _confidence(share, min(quality), known=heard.time_s is not None)
    reason = _reason(int(np.sum(~agreeing)), min(quality), known=heard.time_s is not None)
    if confidence < LEAST_CONFIDENCE:
        return Polarity("unknown", confidence, reason)
    return Polarity("normal" if total > 0 else "inverted", confidence, reason)


def _reading(response: ImpulseResponse, at_s: float, width_hz: float) -> tuple[list[float], float]:
    """Return the signs at three shares, and the extremum over the noise in decibels."""
    shaped = pulse_shaped(response, LOW_HZ, width_hz, order=1)
    noise = tail_noise(shaped)
    piece = cut(shaped, at_s - BEFORE_S, at_s + AFTER_S).samples
    height = float(np.max(np.abs(piece), initial=1e-30))
    return [_first_sign(piece, share * height) for share in SHARES], 20.0 * float(
        np.log10(height / max(noise, 1e-30))
    )


def _first_sign(samples: Vector, limit: float) -> float:
    slope = np.diff(samples)
    turns = 1 + np.flatnonzero(slope[:-1] * slope[1:] <= 0.0)
    high = turns[np.abs(samples[turns]) >= limit]
    return float(np.sign(samples[high[0]])) if len(high) else 0.0


def _confidence(share: float, above_noise_db: float, *, known: bool) -> float:
    """Return 0.98 for a unanimous clean reading, less for votes against, for noise and for an unknown arrival."""
    agreed = 0.5 + 0.48 * max(0.0, 2.0 * share - 1.0)
    clear = float(np.clip((above_noise_db - 6.0) / 8.0, 0.0, 1.0))
    return 0.5 + (agreed - 0.5) * clear * (1.0 if known else 0.85)


def _reason(against: int, above_noise_db: float, *, known: bool) -> str:
    parts = []
    if against:
        parts.append(f"{against} of 9 readings say the opposite or nothing")
    if above_noise_db < 14.0:
        parts.append(f"the first extremum stands only {above_noise_db:.0f} dB above the noise")
    if not known:
        parts.append("the arrival was refused, so the place that was read is a guess")
    return "; ".join(parts)
