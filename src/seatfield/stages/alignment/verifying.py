"""A take after the alignment, amplifier as used, against what was predicted."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from seatfield.dsp.level import transfer_at
from seatfield.model import Point3
from seatfield.stages.alignment.bench import FROM_S, TO_S, Array
from seatfield.stages.alignment.predicting import level_of
from seatfield.stages.alignment.result import Predicted
from seatfield.stages.takes import Heard, Spot
from seatfield.stages.takes.telling import deviation_db

NEAR_M = 0.02
COMPARED_HZ = (30.0, 280.0)
GOOD_DB, FAIR_DB = 1.0, 3.0
SETTLED_MS = 0.3


@dataclass(frozen=True, slots=True)
class Verified:
    """One channel at one position, measured after the alignment.

    Parameters
    ----------
    off_db
        Effective difference of measured and predicted response from 30 to 280 Hz, a common gain set free [dB].
    worst_db, worst_hz
        The largest difference and where it lies [dB], [Hz].
    arrival_off_ms
        Arrival against the prediction, what all channels share taken off [ms]; None where it is refused.
    verdict
        ``as predicted``, ``nearly`` or ``not as predicted``.
    """

    run: str
    seat: str
    position: Point3
    off_db: float
    worst_db: float
    worst_hz: float
    arrival_off_ms: float | None
    verdict: str


def verify(predicted: Sequence[Predicted], spots: Sequence[Spot]) -> tuple[Verified, ...]:
    """Compare takes after the alignment with its prediction.

    Parameters
    ----------
    predicted
        Of the alignment.
    spots
        Positions with the amplifier as used; only those that were predicted are compared.

    Returns
    -------
    tuple of Verified
        One for each channel and position.
    """
    found = []
    for spot in spots:
        here = {one.run: one for one in predicted if _near(one, spot)}
        gain_db = _common_gain_db(here, spot)
        shared_s = _shared_delay_s(here, spot)
        found += [
            _verified(here[one.run], one, spot, gain_db, shared_s) for one in spot.heard if one.run in here
        ]
    return tuple(found)


def _near(one: Predicted, spot: Spot) -> bool:
    return bool(np.max(np.abs(np.subtract(one.position, spot.position))) < NEAR_M)


def _level_db(one: Heard, freq_hz: Array) -> Array:
    response = transfer_at(one.response, freq_hz, FROM_S, TO_S)
    return np.asarray(level_of(freq_hz, response) - deviation_db(one.compensation, freq_hz))


def _off_db(one: Predicted, heard: Heard) -> tuple[Array, Array]:
    freq_hz = np.array(one.freq_hz)
    inside = (freq_hz >= COMPARED_HZ[0]) & (freq_hz <= COMPARED_HZ[1])
    return freq_hz[inside], (_level_db(heard, freq_hz) - np.array(one.level_db))[inside]


def _common_gain_db(here: Mapping[str, Predicted], spot: Spot) -> float:
    """Return by how much everything is louder than predicted: the volume was set differently [dB]."""
    offs = [np.median(_off_db(here[one.run], one)[1]) for one in spot.heard if one.run in here]
    return float(np.median(offs)) if offs else 0.0


def _late_s(one: Predicted, heard: Heard) -> float | None:
    if one.arrival_s is None or heard.arrival.time_s is None:
        return None
    return heard.arrival.time_s - one.arrival_s


def _shared_delay_s(here: Mapping[str, Predicted], spot: Spot) -> float:
    """Return by how much all channels come later than predicted: the clock began elsewhere [s]."""
    late = [_late_s(here[one.run], one) for one in spot.heard if one.run in here]
    told = [one for one in late if one is not None]
    return float(np.median(told)) if told else 0.0


def _verified(one: Predicted, heard: Heard, spot: Spot, gain_db: float, shared_s: float) -> Verified:
    freq_hz, off = _off_db(one, heard)
    off = off - gain_db
    worst = int(np.argmax(np.abs(off)))
    effective = float(np.sqrt(np.mean(off**2)))
    late_s = _late_s(one, heard)
    late_ms = None if late_s is None else 1e3 * (late_s - shared_s)
    good = effective <= GOOD_DB and (late_ms is None or abs(late_ms) <= SETTLED_MS)
    verdict = "as predicted" if good else "nearly" if effective <= FAIR_DB else "not as predicted"
    return Verified(
        one.run,
        spot.seat,
        spot.position,
        effective,
        float(off[worst]),
        float(freq_hz[worst]),
        late_ms,
        verdict,
    )
