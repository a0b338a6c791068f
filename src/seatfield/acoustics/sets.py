"""Search for the best sets of sources, their delays, gains and polarities, and which sets really differ."""

from dataclasses import dataclass
from itertools import permutations

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from seatfield.acoustics.lagrange import Floats
from seatfield.acoustics.merit import Bands, Complex, Score, score_pairs, score_power

Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Tuning:
    """Settings of the sources of each set and what they achieve.

    Attributes
    ----------
    delay_s
        Delay of each source, the least zero, shape (sets, sources) [s].
    gain_db
        Gain of each source, the largest zero, shape (sets, sources) [dB].
    inverted
        Whether its polarity is turned, shape (sets, sources).
    score
        Of each set with these settings.
    """

    delay_s: Floats
    gain_db: Floats
    inverted: NDArray[np.bool_]
    score: Score


@dataclass(frozen=True, slots=True)
class TuneParams:
    """What settings are tried.

    Attributes
    ----------
    delay_s
        Largest delay of one source against another [s].
    delay_steps
        Delays tried each way; a second round halves the step.
    gain_db
        Gains tried [dB].
    rounds
        How often each source is adjusted in turn.
    """

    delay_s: float = 0.010
    delay_steps: int = 10
    gain_db: tuple[float, ...] = (-6.0, -4.0, -2.0, 0.0, 2.0)
    rounds: int = 2


def set_power(cross: Floats, sets: Indices) -> Floats:
    """Return the power of sets at equal gain, shape (seats, bands, sets); `sets` has shape (sets, sources)."""
    members = cross[:, :, sets[:, :, None], sets[:, None, :]]
    return np.asarray(members.sum(axis=(-1, -2)))


def best_sets(
    cross: Floats, bands: Bands, size: int, *, starts: int = 40, keep: int = 200
) -> tuple[Indices, Score]:
    """Find sets of sources at equal gain with the lowest merit.

    Parameters
    ----------
    cross
        Cross powers of all sources (`cross_power`), shape (seats, bands, sources, sources).
    bands
        Bands and weights.
    size
        Sources in a set; one and two are scored one and all.
    starts
        How many of the best smaller sets each search begins from.
    keep
        How many sets to return at most.

    Returns
    -------
    sets
        Different sets, best first, each in ascending order, shape (sets, size).
    score
        Of each.

    Raises
    ------
    ValueError
        If there are fewer sources than a set needs.

    Notes
    -----
    Beyond two: each start takes in the source that helps most, then members are exchanged one at a time as long as
    that helps. Every set met with a low merit on the way is a candidate. The result is checked against all sets in
    small cases, not proven in large ones.
    """
    count = cross.shape[-1]
    if not 1 <= size <= count:
        raise ValueError(f"Sets of {size} were asked of {count} places; ask for one to {count}.")
    if size == 1:
        sets, score = np.arange(count)[:, None], score_power(np.diagonal(cross, axis1=2, axis2=3), bands)
    elif size == 2:
        sets, score = score_pairs(cross, bands)
    else:
        smaller, _ = best_sets(cross, bands, size - 1, starts=starts, keep=starts)
        met = [found for start in smaller for found in _climb(cross, bands, start)]
        sets = np.unique(np.concatenate(met), axis=0)
        score = score_power(set_power(cross, sets), bands)
    return _ranked(sets, score, keep)


def _ranked(sets: Indices, score: Score, keep: int) -> tuple[Indices, Score]:
    """Return the best sets in order."""
    rank = np.argsort(score.merit_db, kind="stable")[:keep]
    return sets[rank], Score(*(getattr(score, name)[rank] for name in Score.__slots__))


def _climb(cross: Floats, bands: Bands, start: Indices, shortlist: int = 5) -> list[Indices]:
    """Add one source to a set, exchange members while that helps, and return the good sets met on the way."""
    current, best, met = _with_each(cross, bands, start, shortlist)
    improved = True
    while improved:
        improved = False
        for member in current:
            candidate, merit, others = _with_each(cross, bands, current[current != member], shortlist)
            met = np.concatenate([met, others])
            if merit < best - 1e-9:
                current, best, improved = candidate, merit, True
                break
    return [met]


def _with_each(cross: Floats, bands: Bands, rest: Indices, shortlist: int) -> tuple[Indices, float, Indices]:
    """Return the best set that adds one source to others, its merit, and the next best ones too."""
    own = np.diagonal(cross, axis1=2, axis2=3)
    power = (
        cross[:, :, rest][..., rest].sum(axis=(-1, -2))[..., None] + own + 2 * cross[:, :, rest].sum(axis=2)
    )
    merit = score_power(power, bands).merit_db
    merit[rest] = np.inf
    order = np.argsort(merit, kind="stable")[: min(shortlist, cross.shape[-1] - len(rest))]
    sets = np.sort(
        np.concatenate([np.repeat(rest[None], len(order), axis=0), order[:, None]], axis=1), axis=1
    )
    return sets[0], float(merit[order[0]]), sets


def settings_response(delay_s: Floats, gain_db: Floats, inverted: ArrayLike, freq_hz: ArrayLike) -> Complex:
    """Return the complex gain of settings at each frequency, shape (*settings, frequencies)."""
    gain = 10 ** (np.asarray(gain_db, dtype=float) / 20) * np.where(inverted, -1.0, 1.0)
    phase = -2j * np.pi * np.asarray(freq_hz, dtype=float) * np.asarray(delay_s, dtype=float)[..., None]
    return np.asarray(gain[..., None] * np.exp(phase))


def tune(response: Complex, freq_hz: ArrayLike, bands: Bands, params: TuneParams | None = None) -> Tuning:
    """Find delay, gain and polarity of each source of each set.

    Parameters
    ----------
    response
        Responses of the sources of each set, shape (sets, sources, seats, frequencies).
    freq_hz
        Frequencies [Hz].
    bands
        Bands and weights.
    params
        Settings tried.

    Returns
    -------
    Tuning
        Settings and scores; never worse than equal gain.

    Notes
    -----
    The first source stays, the others are adjusted in turn: all delays, gains and polarities on a grid, then a finer
    one. For each delay the power in a band is |rest|² + g²|own|² ± 2g Re(rest* own), so gains and polarities cost no
    further sums over frequency.
    """
    params = params or TuneParams()
    freq = np.asarray(freq_hz, dtype=float)[bands.used]
    used = np.ascontiguousarray(response[..., bands.used])
    count, sources = used.shape[:2]
    delay, gain, inverted = (np.zeros((count, sources)) for _ in range(3))
    step = params.delay_s / params.delay_steps
    for turn in range(params.rounds):
        for source in range(1, sources):
            chunk = max(
                1, 20_000_000 // (used.shape[2] * len(bands.starts) * 20 * (2 * params.delay_steps + 1))
            )
            for start in range(0, count, chunk):
                some = slice(start, start + chunk)
                settings = (delay[some], gain[some], inverted[some])
                _adjust(used[some], freq, bands, params, (source, step / 2**turn, turn), settings)
    played = (used * settings_response(delay, gain, inverted, freq)[:, :, None]).sum(axis=1)
    power = np.add.reduceat(np.abs(played) ** 2, bands.starts, axis=-1) / bands.sizes
    score = score_power(np.moveaxis(power, 0, -1), bands)
    return Tuning(
        delay - delay.min(1, keepdims=True), gain - gain.max(1, keepdims=True), inverted > 0.5, score
    )


def _adjust(
    used: Complex,
    freq: Floats,
    bands: Bands,
    params: TuneParams,
    which: tuple[int, float, int],
    settings: tuple[Floats, ...],
) -> None:
    """Set one source's delay, gain and polarity in every set to the best of a grid, in place."""
    source, step, turn = which
    delay, gain, inverted = settings
    factors = settings_response(delay, gain, inverted, freq)
    played = used * factors[:, :, None]
    rest = played.sum(axis=1) - played[:, source]
    own = used[:, source]
    tried = delay[:, source, None] + step * np.arange(-params.delay_steps, params.delay_steps + 1)
    tried = np.clip(tried, -params.delay_s, params.delay_s)
    shift = np.exp(-2j * np.pi * freq * tried[..., None])  # (sets, delays, frequencies)
    product = np.conj(rest) * own
    cross = np.stack(
        [
            (product[..., i : i + n] @ shift[..., i : i + n].transpose(0, 2, 1)).real / n
            for i, n in zip(bands.starts, bands.sizes, strict=True)
        ],
        axis=2,
    )  # (sets, seats, bands, delays)
    power_rest, power_own = (
        np.add.reduceat(np.abs(x) ** 2, bands.starts, axis=-1) / bands.sizes for x in (rest, own)
    )
    levels = np.asarray(params.gain_db) if turn == 0 else np.array([-1.0, 0.0, 1.0])
    gains = (levels if turn == 0 else gain[:, source, None] + levels) * np.ones((len(used), 1))
    signed = np.concatenate([10 ** (gains / 20), -(10 ** (gains / 20))], axis=1)  # (sets, 2 gains)
    power = (
        power_rest[..., None, None]
        + signed[:, None, None, None] ** 2 * power_own[..., None, None]
        + 2 * signed[:, None, None, None] * cross[..., None]
    )
    merit = score_power(np.moveaxis(power, 0, 2), bands).merit_db.reshape(len(used), -1)
    best_delay, best_gain = np.divmod(merit.argmin(axis=1), signed.shape[1])
    rows = np.arange(len(used))
    delay[:, source] = tried[rows, best_delay]
    gain[:, source] = gains[rows, best_gain % gains.shape[1]]
    inverted[:, source] = best_gain >= gains.shape[1]


def set_distance(one: Floats, others: Floats) -> Floats:
    """Return how far sets lie from one set: the largest move that the best pairing asks for, shape (sets,) [m]."""
    apart = np.linalg.norm(others[:, :, None] - one, axis=-1)
    size = len(one)
    moves = [apart[:, np.arange(size), list(order)].max(axis=1) for order in permutations(range(size))]
    return np.asarray(np.min(moves, axis=0))


def really_different(
    merit_db: ArrayLike, places: ArrayLike, *, count: int = 5, apart_m: float = 0.8
) -> Indices:
    """Pick the best candidates of which each asks for a real move from every better one.

    Parameters
    ----------
    merit_db
        Merit of each candidate, lower is better, shape (candidates,) [dB].
    places
        Places of its sources, shape (candidates, sources, 3) or (candidates, 3) [m].
    count
        How many to pick at most.
    apart_m
        Smallest move that counts as different [m].

    Returns
    -------
    array
        Indices, best first.
    """
    at = np.asarray(places, dtype=float)
    at = at[:, None] if at.ndim == 2 else at
    left = np.argsort(np.asarray(merit_db), kind="stable")
    picked: list[int] = []
    while len(left) and len(picked) < count:
        picked.append(int(left[0]))
        left = left[set_distance(at[left[0]], at[left]) >= apart_m]
    return np.array(picked, dtype=np.int64)


def nearby_places(places: ArrayLike, floor: shapely.Polygon, *, step_m: float = 0.15) -> Floats:
    """Return four places a step away from each along x and y; a step that leaves the floor plan is not taken.

    Parameters
    ----------
    places
        Places, shape (places, 3) [m].
    floor
        Floor plan.
    step_m
        How far a person puts it wrong [m].

    Returns
    -------
    array
        Shape (places, 4, 3) [m].
    """
    at = np.asarray(places, dtype=float)
    moved = at[:, None] + step_m * np.array([[1.0, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0]])
    inside = shapely.intersects_xy(floor, moved[..., 0], moved[..., 1])
    return np.where(inside[..., None], moved, at[:, None])


def misplaced(response: Complex, nearby: Complex, settings: Complex, bands: Bands) -> Score:
    """Score sets with one source at a time a little off its place.

    Parameters
    ----------
    response
        Responses from the places meant, shape (sets, sources, seats, frequencies).
    nearby
        Responses from places around each, shape (sets, sources, moves, seats, frequencies).
    settings
        Complex gains of the sources, shape (sets, sources, frequencies).
    bands
        Bands and weights.

    Returns
    -------
    Score
        Shape (sets, sources × moves).
    """
    played = response * settings[:, :, None]
    moved = nearby * settings[:, :, None, None]
    total = played.sum(axis=1)[:, None, None] - played[:, :, None] + moved
    flat = total.reshape(total.shape[0], -1, *total.shape[3:])[..., bands.used]
    power = np.add.reduceat(np.abs(flat) ** 2, bands.starts, axis=-1) / bands.sizes
    return score_power(np.moveaxis(power, (0, 1), (2, 3)), bands)
