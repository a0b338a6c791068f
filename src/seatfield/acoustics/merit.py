"""How even the bass is: one merit for a source, or several, over all seats."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from seatfield.acoustics.lagrange import Floats

Complex = NDArray[np.complex128]
_FAINT = 1e-12  # power of a band in which nothing is heard, so that its level stays finite


@dataclass(frozen=True, slots=True)
class MeritParams:
    """What is wanted of the bass.

    Attributes
    ----------
    low_hz, high_hz
        Range of the merit [Hz].
    per_octave
        Bands an octave in which power is averaged before levels are compared.
    spread_weight
        How much a difference between seats counts against one across frequency; an equaliser mends the latter, not
        the former.
    seat_weights
        What each seat counts; all the same if empty.
    """

    low_hz: float = 20.0
    high_hz: float = 120.0
    per_octave: int = 6
    spread_weight: float = 1.0
    seat_weights: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Bands:
    """Frequencies gathered into bands of constant relative width, and the seats' weights.

    Attributes
    ----------
    used
        Which of the frequencies count, shape (frequencies,).
    starts
        First of the used frequencies in each band, shape (bands,).
    sizes
        Number of frequencies in each band, shape (bands,).
    seats
        Weights of the seats, adding up to one, shape (seats,).
    spread_weight
        See `MeritParams`.
    """

    used: NDArray[np.bool_]
    starts: NDArray[np.int64]
    sizes: NDArray[np.int64]
    seats: Floats
    spread_weight: float


@dataclass(frozen=True, slots=True)
class Score:
    """Merit of each candidate; all arrays have the candidates' shape.

    Attributes
    ----------
    merit_db
        √(unevenness² + (weight × spread)²); lower is better [dB].
    uneven_db
        Standard deviation of the level across frequency, root mean square over seats [dB].
    spread_db
        Standard deviation of the level between seats, root mean square over frequency [dB].
    level_db
        Mean level over seats and bands, relative to one source at 1 m in free space [dB].
    """

    merit_db: Floats
    uneven_db: Floats
    spread_db: Floats
    level_db: Floats


def make_bands(freq_hz: ArrayLike, seats: int, params: MeritParams | None = None) -> Bands:
    """Gather frequencies into bands.

    Parameters
    ----------
    freq_hz
        Ascending frequencies [Hz].
    seats
        Number of seats.
    params
        Range, width and weights.

    Raises
    ------
    ValueError
        If no two bands have a frequency, or the weights do not fit the seats.
    """
    params = params or MeritParams()
    freq = np.asarray(freq_hz, dtype=float)
    used = (freq >= params.low_hz) & (freq <= params.high_hz)
    number = np.floor(np.log2(freq[used] / params.low_hz) * params.per_octave + 1e-9)
    _, starts, sizes = np.unique(number, return_index=True, return_counts=True)
    if len(starts) < 2:
        raise ValueError(
            f"{int(used.sum())} frequencies lie between {params.low_hz} and {params.high_hz} Hz; "
            "give enough for two bands or more."
        )
    weights = np.array(params.seat_weights or np.ones(seats), dtype=float)
    if weights.shape != (seats,) or weights.min() < 0 or weights.sum() <= 0:
        raise ValueError(
            f"{len(weights)} seat weights were given for {seats} seats; give one of zero or more for each."
        )
    return Bands(used, starts, sizes, weights / weights.sum(), params.spread_weight)


def band_power(product: Floats, bands: Bands) -> Floats:
    """Return the mean of a power over each band, along the last axis."""
    return np.asarray(np.add.reduceat(product[..., bands.used], bands.starts, axis=-1) / bands.sizes)


def score_power(power: Floats, bands: Bands) -> Score:
    """Return the merit of band powers.

    Parameters
    ----------
    power
        Power in each band at each seat, shape (seats, bands, ...).
    bands
        Bands and weights.

    Returns
    -------
    Score
        Of the remaining axes.
    """
    level = 10 * np.log10(np.maximum(power, _FAINT))
    weights = bands.seats.reshape(-1, *[1] * (level.ndim - 1))
    seat_mean = level.mean(axis=1, keepdims=True)
    uneven = (weights * ((level - seat_mean) ** 2).mean(axis=1, keepdims=True)).sum(axis=(0, 1))
    band_mean = (weights * level).sum(axis=0)
    spread = (weights * (level - band_mean) ** 2).sum(axis=0).mean(axis=0)
    merit = np.sqrt(uneven + bands.spread_weight**2 * spread)
    return Score(merit, np.sqrt(uneven), np.sqrt(spread), band_mean.mean(axis=0))


def score_response(response: Complex, bands: Bands) -> Score:
    """Return the merit of responses, shape (candidates, seats, frequencies)."""
    power = band_power(response.real**2 + response.imag**2, bands)
    return score_power(np.moveaxis(power, 0, -1), bands)


def cross_power(response: Complex, bands: Bands) -> Floats:
    """Return, for every two sources, the real part of their cross power in each band at each seat.

    Parameters
    ----------
    response
        Responses, shape (sources, seats, frequencies).
    bands
        Bands.

    Returns
    -------
    array
        Shape (seats, bands, sources, sources); the diagonal holds each source's power. The power of a set of sources
        together is the sum of its rows and columns, exactly.
    """
    used = np.moveaxis(response[..., bands.used], 1, 0)
    cross = np.empty((used.shape[0], len(bands.starts), used.shape[1], used.shape[1]))
    for seat, own in enumerate(used):
        for band, (start, size) in enumerate(zip(bands.starts, bands.sizes, strict=True)):
            part = np.ascontiguousarray(own[:, start : start + size]).view(float)
            np.matmul(part, part.T / size, out=cross[seat, band])
    return cross


def score_pairs(cross: Floats, bands: Bands) -> tuple[NDArray[np.int64], Score]:
    """Score every pair of sources at equal gain.

    Parameters
    ----------
    cross
        Cross powers of the sources (`cross_power`).
    bands
        Bands and weights.

    Returns
    -------
    pairs
        Both sources of each pair, shape (pairs, 2).
    score
        Of each pair.

    Notes
    -----
    |a + b|² = |a|² + |b|² + 2 Re(a b*), averaged over a band before the sum, so the pairs cost one matrix product a
    band and a seat.
    """
    count = cross.shape[-1]
    first, second = np.triu_indices(count, k=1)
    own = np.diagonal(cross, axis1=2, axis2=3)
    parts = [
        score_power(own[..., i, None] + own[..., i + 1 :] + 2 * cross[..., i, i + 1 :], bands)
        for i in range(count - 1)
    ]
    columns = [np.concatenate([getattr(part, name) for part in parts]) for name in Score.__slots__]
    return np.stack([first, second], axis=1), Score(*columns)
