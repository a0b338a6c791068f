"""The best sets of one to four subwoofers, how sure that is, and when one more pays."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from seatfield.acoustics import (
    Bands,
    Score,
    best_sets,
    cross_power,
    lead,
    misplaced,
    nearby_places,
    really_different,
    score_response,
    settings_response,
    tune,
)
from seatfield.stages.bass.params import BassParams
from seatfield.stages.bass.result import Count, SetPlace, SubwooferSet
from seatfield.stages.bass.space import Complex, Floats, Space

KEEP = 200
"""So many of the best sets at equal gain get delays, gains and polarities of their own."""
LOOKED_AT = 60
"""So many of the best of those are moved about."""
SHOWN = 5
FRAGILE_DB = 1.5
"""A set that loses more than this when one subwoofer is put a little off is passed over: common practice, no source."""
PAYS_DB = 1.0
"""One more subwoofer pays from this gain on, if it is one under every doubt: common practice, no source [dB]."""


@dataclass(frozen=True, slots=True)
class Sets:
    """Sets of one size: members, settings, scores; the best first.

    Parameters
    ----------
    index
        Numbers of their places, shape (sets, sources).
    places
        Acoustic centres, shape (sets, sources, 3) [m].
    delay_s, gain_db, inverted
        Settings, shape (sets, sources).
    factor
        The same as complex gains, shape (sets, sources, frequencies).
    score
        Of each.
    misplaced_db
        Merit with one source put a little off, at worst, shape (sets,) [dB].
    doubted_db
        Merit under each doubt, shape (doubts, sets) [dB].
    """

    index: NDArray[np.int64]
    places: Floats
    delay_s: Floats
    gain_db: Floats
    inverted: NDArray[np.bool_]
    factor: Complex
    score: Score
    misplaced_db: Floats
    doubted_db: Floats


@dataclass(frozen=True, slots=True)
class Ground:
    """What sets are sought on: the room, the places and their responses, and the bands.

    Parameters
    ----------
    heard
        Responses from the places to the seats, shape (places, seats, frequencies) [1].
    doubted
        The same under each doubt, the room as described first.
    sides
        For each low-frequency channel with a prescribed direction, which places lie in it, shape (places,).
    """

    space: Space
    places: Floats
    heard: Complex
    doubted: tuple[Complex, ...]
    bands: Bands
    params: BassParams
    floor: shapely.Polygon
    sides: tuple[NDArray[np.bool_], ...] = ()

    @property
    def freq_hz(self) -> Floats:
        """Frequencies of the responses [Hz]."""
        return self.space.freq_hz


def _picked(score: Score, index: NDArray[np.int64]) -> Score:
    return Score(*(getattr(score, name)[index] for name in Score.__slots__))


def seek(ground: Ground, cross: Floats | None, size: int) -> Sets:
    """Find sets of one size that really differ.

    Parameters
    ----------
    ground
        Places and responses.
    cross
        Cross powers of all places; needed beyond one subwoofer.
    size
        Subwoofers in a set.

    Returns
    -------
    Sets
        One more than is shown, so that the last one shown has a rival too.

    Notes
    -----
    All sets of one and two are scored at equal gain, larger ones searched; the best get settings of their own; of
    those, the ones that stand being put 15 cm off are ranked.
    """
    if size == 1:
        own = score_response(ground.heard, ground.bands)
        order = np.argsort(own.merit_db, kind="stable")
        sets, score = order[:, None], _picked(own, order)
        delay, gain, inverted = np.zeros(sets.shape), np.zeros(sets.shape), np.zeros(sets.shape, bool)
    else:
        assert cross is not None
        sets, _ = best_sets(cross, ground.bands, size, keep=KEEP)
        sets = _on_all_sides(sets, ground.sides)
        tuned = tune(ground.heard[sets], ground.freq_hz, ground.bands)
        order = np.argsort(tuned.score.merit_db, kind="stable")
        sets, score = sets[order], _picked(tuned.score, order)
        delay, gain, inverted = tuned.delay_s[order], tuned.gain_db[order], tuned.inverted[order]
    factor = settings_response(delay, gain, inverted, ground.freq_hz)
    some = np.arange(min(len(sets), LOOKED_AT))
    spread = really_different(
        score.merit_db, ground.places[sets], count=SHOWN + 3, apart_m=ground.params.apart_m
    )
    some = np.union1d(some, spread)
    worst = _worst(ground, sets[some], factor[some])
    sturdy = worst <= score.merit_db[some] + FRAGILE_DB
    kept = some[sturdy] if sturdy.any() else some
    chosen = really_different(
        score.merit_db[kept], ground.places[sets[kept]], count=SHOWN + 1, apart_m=ground.params.apart_m
    )
    index = kept[chosen]
    return Sets(
        sets[index],
        ground.places[sets[index]],
        delay[index],
        gain[index],
        inverted[index],
        factor[index],
        _picked(score, index),
        worst[np.searchsorted(some, index)],
        np.stack([_merits(heard[sets[index]], factor[index], ground.bands) for heard in ground.doubted]),
    )


def _on_all_sides(sets: NDArray[np.int64], sides: tuple[NDArray[np.bool_], ...]) -> NDArray[np.int64]:
    """Keep the sets that have a place in every prescribed direction, where there are such."""
    fits = np.all([side[sets].any(axis=1) for side in sides], axis=0) if sides else np.ones(len(sets), bool)
    return sets[fits] if fits.any() else sets


def _worst(ground: Ground, sets: NDArray[np.int64], factor: Complex) -> Floats:
    """Return the merit of sets with one source put a little off, at worst, shape (sets,) [dB]."""
    used, index = np.unique(sets, return_inverse=True)
    moved = nearby_places(ground.places[used], ground.floor, step_m=ground.params.misplaced_m)
    heard = ground.space.hear(moved.reshape(-1, 3)).reshape(len(used), 4, *ground.heard.shape[1:])
    around = heard[index.reshape(sets.shape)]
    return np.asarray(misplaced(ground.heard[sets], around, factor, ground.bands).merit_db.max(axis=1))


def _merits(heard: Complex, factor: Complex, bands: Bands) -> Floats:
    """Return the merit of sets, from responses (sets, sources, seats, frequencies) and their settings [dB]."""
    return score_response((heard * factor[:, :, None]).sum(axis=1), bands).merit_db


def told_sets(sets: Sets, now_db: Floats | None) -> tuple[SubwooferSet, ...]:
    """Write sets down, with their margins and how sure they are.

    Parameters
    ----------
    sets
        Best first.
    now_db
        Merit of what stands there under each doubt, shape (doubts,) [dB]; None where nothing does.
    """
    return tuple(_told(sets, now_db, i) for i in range(min(len(sets.places), SHOWN)))


def _told(sets: Sets, now_db: Floats | None, i: int) -> SubwooferSet:
    merit = sets.score.merit_db
    rival = i + 1 < len(merit)
    places = tuple(
        SetPlace(
            (float(at[0]), float(at[1]), float(at[2])),
            float(sets.delay_s[i, j] * 1000),
            float(sets.gain_db[i, j]),
            bool(sets.inverted[i, j]),
        )
        for j, at in enumerate(sets.places[i])
    )
    return SubwooferSet(
        places,
        float(merit[i]),
        float(merit[i + 1] - merit[i]) if rival else None,
        lead(sets.doubted_db, i, i + 1) if rival else None,
        None if now_db is None else gain_over(now_db, sets.doubted_db[:, i]),
        float(sets.misplaced_db[i]),
        float(sets.score.level_db[i]),
        float(sets.score.uneven_db[i]),
        float(sets.score.spread_db[i]),
    )


def gain_over(worse_db: Floats, better_db: Floats) -> tuple[float, float, float]:
    """Return by how much one merit beats another: as described, least and most over the doubts [dB]."""
    gap = worse_db - better_db
    return float(gap[0]), float(gap.min()), float(gap.max())


def seek_all(ground: Ground, shown: int, most: int) -> tuple[Sets, tuple[Count, ...]]:
    """Find sets of every size up to one.

    Parameters
    ----------
    ground
        Places and responses.
    shown
        Size of the sets that are handed back.
    most
        Largest size that is looked at.

    Returns
    -------
    Sets, tuple of Count
        The sets of the size shown, and the best of every size.
    """
    most = min(most, len(ground.places))
    cross = cross_power(ground.heard, ground.bands) if most > 1 else None
    found = [seek(ground, cross, size) for size in range(1, most + 1)]
    counts = []
    for size, sets in enumerate(found, start=1):
        gain = gain_over(found[size - 2].doubted_db[:, 0], sets.doubted_db[:, 0]) if size > 1 else None
        pays = gain is not None and gain[0] >= PAYS_DB and gain[1] > 0.0
        counts.append(Count(size, float(sets.score.merit_db[0]), gain, pays))
    return found[min(shown, most) - 1], tuple(counts)
