"""The colour of first sounds, and tweeters that are silent: from the first milliseconds."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median

import numpy as np
from numpy.typing import NDArray

from seatfield.dsp.bands import bands
from seatfield.dsp.level import band_levels
from seatfield.stages.faults.known import Plan, RunKnown
from seatfield.stages.takes import Heard, Spot

Array = NDArray[np.float64]

GATE_S, FAINT_GATE_S = 0.032, 0.2
THIRDS = bands(250.0, 12500.0, 3)
USUAL_CROSSING_HZ, TOP_HZ = 2500.0, 13000.0

SILENT_DB, SILENT_UNDER_PEERS_DB = 12.0, 8.0
DULL_DB, DULL_UNDER_PEERS_DB = 8.0, 5.0


@dataclass(frozen=True, slots=True)
class Colour:
    """The first sound of one run in third octaves, the mean over positions, each taken to 1 m [dB].

    Parameters
    ----------
    spots
        Number of positions.
    hidden
        True where noise hides the band, so that the level is only a ceiling.
    """

    level_db: Array
    hidden: NDArray[np.bool_]
    spots: int


@dataclass(frozen=True, slots=True)
class Treble:
    """How far the treble lies under the middle, by itself and against the peers [dB]."""

    under_db: float
    under_peers_db: float | None


def colours(plan: Plan, spots: Sequence[Spot]) -> dict[str, Colour]:
    """Return the colour of every main run's first sound.

    Parameters
    ----------
    plan
        Which runs are mains.
    spots
        Positions.

    Returns
    -------
    dict of str to Colour
        Without the runs that were not heard with a certain arrival.

    Notes
    -----
    12 ms from the arrival on, so that the room has little part in it; good from 250 Hz.
    """
    found = {}
    for one in plan.mains:
        heard = [here for spot in spots if spot.anchored and (here := spot.of(one.run)) is not None]
        sure = [here for here in heard if here.arrival.time_s is not None]
        if sure:
            levels, hidden = zip(*(_colour(here, _away_m(plan, here)) for here in sure), strict=True)
            found[one.run] = Colour(np.mean(levels, axis=0), np.all(hidden, axis=0), len(sure))
    return found


def faint(plan: Plan, spots: Sequence[Spot]) -> dict[str, Colour]:
    """Return the colour of main runs whose arrival noise hid everywhere, the room included.

    Parameters
    ----------
    plan
        Which runs are mains.
    spots
        Positions.

    Returns
    -------
    dict of str to Colour
        Good for what a run says of itself, not for its level: a silent tweeter is what hides an arrival first.
    """
    found = {}
    for one in plan.mains:
        heard = [here for spot in spots if (here := spot.of(one.run)) is not None]
        if heard and all(here.arrival.time_s is None and not here.bass_only for here in heard):
            levels, hidden = zip(
                *(_levels(here, here.arrival.near_s, FAINT_GATE_S) for here in heard), strict=True
            )
            found[one.run] = Colour(np.mean(levels, axis=0), np.all(hidden, axis=0), len(heard))
    return found


def _away_m(plan: Plan, here: Heard) -> float:
    """Return how far it sounds, wherever it may stand."""
    assert here.arrival.time_s is not None
    return here.arrival.time_s * plan.speed_of_sound_m_s


def _colour(here: Heard, away_m: float) -> tuple[Array, NDArray[np.bool_]]:
    assert here.arrival.time_s is not None
    level_db, hidden = _levels(here, here.arrival.time_s, GATE_S)
    return level_db + 20.0 * np.log10(max(away_m, 0.3)), hidden


def _levels(here: Heard, from_s: float, gate_s: float) -> tuple[Array, NDArray[np.bool_]]:
    """Return the level in each band, of what noise hides its ceiling, and whether it does [dB]."""
    levels = band_levels(here.response, THIRDS, from_s, gate_s)
    hidden = np.array([one.level_db is None for one in levels])
    return np.array([one.noise_db if one.level_db is None else one.level_db for one in levels]), hidden


def trebles(plan: Plan, found: Mapping[str, Colour], sounds: Mapping[str, str]) -> dict[str, Treble]:
    """Return how far each run's treble lies under its middle.

    Parameters
    ----------
    plan
        Models with their crossovers.
    found
        From `colours`.
    sounds
        For a channel that sounds at another's place, whose loudspeaker it is.

    Returns
    -------
    dict of str to Treble
        Peers are the runs of the same model where there are two or more, else all.
    """
    under = {run: _under_db(model_run(plan, run, sounds), colour) for run, colour in found.items()}
    return {
        run: Treble(value, _against_peers(plan, run, under, sounds, value)) for run, value in under.items()
    }


def model_run(plan: Plan, run: str, sounds: Mapping[str, str]) -> RunKnown:
    """Return what is known of the loudspeaker that sounds when a channel is fed."""
    return plan.of(sounds.get(run, run))


def _crossing_hz(one: RunKnown) -> float:
    return (one.model.driver_crossover_hz if one.model else None) or USUAL_CROSSING_HZ


def _under_db(one: RunKnown, colour: Colour) -> float:
    """Return the mean level of the middle less that of the treble, from an octave above the crossover on [dB]."""
    crossing_hz = _crossing_hz(one)
    top_hz = min(6.0 * crossing_hz, TOP_HZ)
    return _mean_db(colour, 400.0, 0.5 * crossing_hz) - _mean_db(colour, 2.0 * crossing_hz, top_hz)


def _mean_db(colour: Colour, low_hz: float, high_hz: float) -> float:
    inside = np.array([low_hz <= one.mid_hz <= high_hz for one in THIRDS])
    return float(np.mean(colour.level_db[inside]))


def _against_peers(
    plan: Plan, run: str, under: Mapping[str, float], sounds: Mapping[str, str], value: float
) -> float | None:
    model = model_run(plan, run, sounds).model
    alike = [
        v for other, v in under.items() if other != run and model_run(plan, other, sounds).model == model
    ]
    others = alike if len(alike) > 1 else [v for other, v in under.items() if other != run]
    return value - median(others) if len(others) > 1 else None
