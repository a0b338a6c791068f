"""The bass as used: who hands it over, how loud the low-frequency channel is, and whether a filter acts twice."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median

import numpy as np
from numpy.typing import NDArray

from seatfield.dsp.bands import Band, bands
from seatfield.dsp.crossover import crossover_response
from seatfield.dsp.level import band_levels, transfer_at
from seatfield.stages.faults.known import Plan
from seatfield.stages.takes import Heard, Spot

Array = NDArray[np.float64]
Complex = NDArray[np.complex128]

LFE_GAIN_DB, LFE_LIMIT_HZ = 10.0, 120.0
MANAGED, OWN = 0.95, 0.88
ODD, ODD_TIMES = 0.015, 10.0
"""Share of the bass that is not the subwoofers', against what noise leaves of the others: in simulated rooms healthy
channels stay under one of the two."""
DELAYS_S = np.arange(-0.03, 0.0301, 0.0005)
MIDDLE_HZ = (400.0, 2000.0)
LOW, UPPER = bands(35.0, 80.0, 6), bands(130.0, 240.0, 6)
FIRST_S, WINDOW_S = -0.01, 0.5
"""Bass is taken from a moment before anything can sound: a late start would cut into its slow rise."""


@dataclass(frozen=True, slots=True)
class Handing:
    """How alike a channel's bass is to the subwoofers', and how loud against the low-frequency channel's.

    Parameters
    ----------
    likeness
        Share of the channel's bass that the subwoofers' response explains, the mean over positions [-].
    ratio_db
        Channel over low-frequency channel in the bass, the median over positions [dB].
    over_middle_db
        Its bass over its own middle, likewise, so that no trim is in it [dB].
    """

    likeness: float
    ratio_db: float
    over_middle_db: float
    spots: int

    def apart_db(self, usual: "Handing") -> float:
        """Return by how much its bass is louder or quieter than usual, both ways; 0 where they disagree [dB]."""
        by_ratio, by_middle = self.ratio_db - usual.ratio_db, self.over_middle_db - usual.over_middle_db
        return min(abs(by_ratio), abs(by_middle)) if by_ratio * by_middle > 0.0 else 0.0

    def stands_out(self, usual: "Handing") -> bool:
        """Whether its shape is another than the usual one by far more than noise makes of any."""
        return 1.0 - self.likeness > max(ODD, ODD_TIMES * (1.0 - usual.likeness))


def handings(plan: Plan, spots: Sequence[Spot]) -> dict[str, Handing]:
    """Return how each main channel's bass compares with the low-frequency channel's.

    Parameters
    ----------
    plan
        Crossover.
    spots
        Positions with bass management in force.

    Returns
    -------
    dict of str to Handing
        Without channels that were not heard beside the low-frequency channel.

    Notes
    -----
    An octave and more under the crossover a channel that hands its bass over sounds from the subwoofers alone, as the
    low-frequency channel does: both differ by a constant. A channel on full range sounds from its own place.
    """
    freq_hz = np.geomspace(0.3 * plan.crossover_hz, 0.55 * plan.crossover_hz, 48)
    middle_hz = np.geomspace(*MIDDLE_HZ, 96)
    found: dict[str, list[tuple[float, float, float]]] = {}
    for spot in spots:
        low = next((one for one in spot.heard if one.low), None)
        if low is None:
            continue
        theirs = bass_of(low, freq_hz)
        for one in spot.heard:
            if not one.low:
                own = bass_of(one, freq_hz)
                over = _power_db(own) - _power_db(bass_of(one, middle_hz))
                found.setdefault(one.run, []).append((*_compare(own, theirs, freq_hz), over))
    return {run: _handing(*zip(*told, strict=True)) for run, told in found.items()}


def _handing(
    likeness: Sequence[float], ratio_db: Sequence[float], over_middle_db: Sequence[float]
) -> Handing:
    return Handing(float(np.mean(likeness)), median(ratio_db), median(over_middle_db), len(likeness))


def usual_handing(found: Mapping[str, Handing]) -> Handing | None:
    """Return what is usual among the channels that surely hand their bass over; None where none does."""
    managed = [one for one in found.values() if one.likeness > MANAGED]
    if not managed:
        return None
    return Handing(
        median(one.likeness for one in managed),
        median(one.ratio_db for one in managed),
        median(one.over_middle_db for one in managed),
        len(managed),
    )


def bass_of(one: Heard, freq_hz: Array) -> Complex:
    """Return a response at low frequencies, the room included."""
    return transfer_at(one.response, freq_hz, -0.03, 0.9)


def _compare(own: Complex, theirs: Complex, freq_hz: Array) -> tuple[float, float]:
    """Return the share that theirs explains of own at the best delay, and the ratio of levels [dB]."""
    turned = np.exp(2j * np.pi * DELAYS_S[:, None] * freq_hz[None, :])
    together = np.abs(turned @ (own * np.conj(theirs))) ** 2
    powers = float(np.sum(np.abs(own) ** 2)), float(np.sum(np.abs(theirs) ** 2))
    likeness = float(np.max(together)) / max(powers[0] * powers[1], 1e-30)
    return likeness, _power_db(own) - _power_db(theirs)


def _power_db(response: Complex) -> float:
    return 10.0 * float(np.log10(max(float(np.mean(np.abs(response) ** 2)), 1e-30)))


def low_channel_off_db(found: Mapping[str, Handing]) -> float | None:
    """Return by how much the low-frequency channel's gain differs from the standard's 10 dB; None where unknown [dB].

    References
    ----------
    ITU-R BS.775, annex on the low-frequency channel (from memory): 10 dB over one main channel in its band.
    """
    usual = usual_handing(found)
    return None if usual is None else -usual.ratio_db - LFE_GAIN_DB


@dataclass(frozen=True, slots=True)
class Fall:
    """By how much a subwoofer falls above the crossover beyond the low-frequency channel's own limit.

    Parameters
    ----------
    fall_db
        Mean level from 35 to 80 Hz less that from 130 to 240 Hz [dB].
    hidden
        Whether noise hides half of the upper part or more, so that it falls by at least so much.
    """

    fall_db: float
    hidden: bool


def fall(spots: Sequence[Spot], run: str) -> Fall | None:
    """Return how steeply a subwoofer falls.

    Parameters
    ----------
    spots
        Positions.
    run
        The subwoofer.

    Returns
    -------
    Fall or None
        None where it was not heard.

    Notes
    -----
    Power averaged over positions in sixths of an octave, then levels averaged over the bands, so that no single mode
    of the room weighs more than its band.
    """
    heard = [here for spot in spots if (here := spot.of(run)) is not None]
    if not heard:
        return None
    low, _ = _levels(heard, LOW)
    upper, hidden = _levels(heard, UPPER)
    middle_hz = np.array([one.mid_hz for one in UPPER])
    limit = np.abs(crossover_response("low", "linkwitz-riley", 4, LFE_LIMIT_HZ, middle_hz))
    return Fall(float(np.mean(low) - np.mean(upper - 20.0 * np.log10(limit))), bool(np.mean(hidden) >= 0.5))


def _levels(heard: Sequence[Heard], parts: tuple[Band, ...]) -> tuple[Array, NDArray[np.bool_]]:
    """Return the level in each band, its power averaged over positions [dB], and whether noise hides it."""
    told = [band_levels(one.response, parts, FIRST_S, WINDOW_S) for one in heard]
    level = np.array(
        [[one.noise_db if one.level_db is None else one.level_db for one in row] for row in told]
    )
    hidden = np.array([[one.level_db is None for one in row] for row in told])
    return 10.0 * np.log10(np.mean(10.0 ** (level / 10.0), axis=0)), np.mean(hidden, axis=0) > 0.5
