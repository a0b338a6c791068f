"""Delay, polarity and gain of subwoofers so that they join the other loudspeakers at every seat."""

from dataclasses import dataclass

import numpy as np

from seatfield.dsp.arrays import Spectrum, Vector


@dataclass(frozen=True, slots=True)
class JoinSearch:
    """Where to search.

    Attributes
    ----------
    earliest_s, latest_s : float
        Delays of the subwoofer against the others; a negative one delays the others. [s]
    step_s : float
        Step of the first search; the best is refined to a tenth of it. [s]
    gains_db : tuple of float
        Gains to try; a single one leaves the gain alone. [dB]
    may_invert : bool
        Whether the subwoofer's polarity may be turned.
    """

    earliest_s: float = -0.02
    latest_s: float = 0.02
    step_s: float = 0.0005
    gains_db: tuple[float, ...] = (0.0,)
    may_invert: bool = True


@dataclass(frozen=True, slots=True)
class Join:
    """How a subwoofer joins best.

    Attributes
    ----------
    delay_s : float
        Delay of the subwoofer against the others. [s]
    inverted : bool
        Whether its polarity is turned.
    gain_db : float
        Its gain. [dB]
    loss_db : float
        Mean loss against the sum in phase, over seats and frequencies. [dB]
    loss_before_db : float
        The same with no delay and the polarity as it is. [dB]
    other_polarity_db : float or None
        Least mean loss with the other polarity; None where it was not searched. [dB]
    seats_db : tuple of float
        Mean loss at each seat. [dB]
    seats_before_db : tuple of float
        The same before. [dB]
    """

    delay_s: float
    inverted: bool
    gain_db: float
    loss_db: float
    loss_before_db: float
    other_polarity_db: float | None
    seats_db: tuple[float, ...]
    seats_before_db: tuple[float, ...]


def join_loss_db(mains: Spectrum, sub: Spectrum) -> Vector:
    """Return by how much the sum of two responses stays under their sum in phase.

    Parameters
    ----------
    mains, sub : ndarray of complex, shape (..., n)
        Responses at the same places and on one clock. [1]

    Returns
    -------
    ndarray, shape (..., n)
        20 lg (|M| + |S|) / |M + S|, no more than 40 dB. [dB]
    """
    apart = np.abs(mains) + np.abs(sub)
    loss: Vector = -20.0 * np.log10(np.maximum(np.abs(mains + sub) / np.maximum(apart, 1e-30), 0.01))
    return loss


def join_subwoofer(mains: Spectrum, sub: Spectrum, freq_hz: Vector, search: JoinSearch | None = None) -> Join:
    """Return the delay, polarity and gain with which a subwoofer joins the others best over all seats.

    Parameters
    ----------
    mains : ndarray of complex, shape (m, n)
        The others' response at m seats, through their part of the crossover. [1]
    sub : ndarray of complex, shape (m, n)
        The subwoofer's, through its part. [1]
    freq_hz : ndarray, shape (n,)
        Frequencies around the crossover, evenly spaced on the logarithmic axis. [Hz]
    search : JoinSearch, optional
        Where to search.

    Returns
    -------
    Join
        The best of the grid, refined.

    Notes
    -----
    Every delay and both polarities are tried; an all-pass filter beside them gains some 0.1 dB in simulated
    rooms and is left out. A gain is chosen, for the delay found, by the least deviation of the sum's seat average
    from its own mean. Whole periods of the crossover frequency are nearly alike: the answer with the smaller delay
    is taken where losses differ by less than 0.05 dB.
    """
    search = search or JoinSearch()
    delays_s = np.arange(search.earliest_s, search.latest_s + 0.5 * search.step_s, search.step_s)
    signs = (1.0, -1.0) if search.may_invert else (1.0,)
    found = [_best_delay(mains, sign * sub, freq_hz, delays_s, search.step_s) for sign in signs]
    best = int(np.argmin([loss for _, loss in found]))
    delay_s = found[best][0]
    placed = signs[best] * sub * np.exp(-2j * np.pi * freq_hz * delay_s)
    gain_db = _best_gain_db(mains, placed, search.gains_db)
    seats = join_loss_db(mains, 10.0 ** (gain_db / 20.0) * placed).mean(axis=-1)
    before = join_loss_db(mains, sub).mean(axis=-1)
    return Join(
        float(delay_s),
        signs[best] < 0.0,
        gain_db,
        float(np.mean(seats)),
        float(np.mean(before)),
        float(found[1 - best][1]) if len(found) > 1 else None,
        tuple(float(one) for one in seats),
        tuple(float(one) for one in before),
    )


def _best_delay(
    mains: Spectrum, sub: Spectrum, freq_hz: Vector, delays_s: Vector, step_s: float
) -> tuple[float, float]:
    losses = _losses(mains, sub, freq_hz, delays_s)
    near = np.flatnonzero(losses < losses.min() + 0.05)
    coarse_s = float(delays_s[near[np.argmin(np.abs(delays_s[near]))]])
    fine_s = coarse_s + step_s * np.linspace(-1.0, 1.0, 21)
    fine = _losses(mains, sub, freq_hz, fine_s)
    return float(fine_s[int(np.argmin(fine))]), float(np.min(fine))


def _losses(mains: Spectrum, sub: Spectrum, freq_hz: Vector, delays_s: Vector) -> Vector:
    turned = np.exp(-2j * np.pi * delays_s[:, None] * freq_hz[None, :])
    losses: Vector = join_loss_db(mains[None], sub[None] * turned[:, None, :]).mean(axis=(1, 2))
    return losses


def _best_gain_db(mains: Spectrum, placed: Spectrum, gains_db: tuple[float, ...]) -> float:
    def uneven_db(gain_db: float) -> float:
        power = np.mean(np.abs(mains + 10.0 ** (gain_db / 20.0) * placed) ** 2, axis=0)
        return float(np.std(10.0 * np.log10(np.maximum(power, 1e-30))))

    return min(gains_db, key=lambda gain_db: (round(uneven_db(gain_db), 3), abs(gain_db)))


def join_several(
    mains: Spectrum, subs: Spectrum, freq_hz: Vector, search: JoinSearch | None = None, rounds: int = 3
) -> tuple[Join, ...]:
    """Return how several subwoofers join, each in turn against the sum of all others, a few times round.

    Parameters
    ----------
    mains : ndarray of complex, shape (m, n)
        The others' response at m seats. [1]
    subs : ndarray of complex, shape (k, m, n)
        Each subwoofer's. [1]
    freq_hz : ndarray, shape (n,)
        Frequencies around the crossover. [Hz]
    search : JoinSearch, optional
        Where to search for each.
    rounds : int
        Times round.

    Returns
    -------
    tuple of Join
        One for each subwoofer; losses are those of the last round.
    """
    placed = [np.array(sub) for sub in subs]
    joins: list[Join] = []
    for _ in range(rounds):
        joins = []
        for index, sub in enumerate(subs):
            rest = mains + sum(one for other, one in enumerate(placed) if other != index)
            join = join_subwoofer(rest, sub, freq_hz, search)
            sign = -1.0 if join.inverted else 1.0
            gain = sign * 10.0 ** (join.gain_db / 20.0)
            placed[index] = gain * sub * np.exp(-2j * np.pi * freq_hz * join.delay_s)
            joins.append(join)
    return tuple(joins)
