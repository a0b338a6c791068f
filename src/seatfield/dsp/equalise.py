"""A few parametric filters that bring a response measured at several seats nearer to a target."""

from dataclasses import dataclass, replace

import numpy as np

from seatfield.dsp.arrays import Vector, frozen
from seatfield.dsp.biquad import Filter, biquad, biquad_response
from seatfield.dsp.level import smoothed

NULL_DB = 6.0
NULL_OCTAVE = 1
DIP_WEIGHT = 0.35
BOOST_PENALTY = 3.0
NULL_BOOST_DB = 0.5
SEAT_LOSS_DB = 0.1
LEAST_GAIN_DB = 0.3


@dataclass(frozen=True, slots=True)
class EqualiserLimits:
    """What the filters may do.

    Attributes
    ----------
    low_hz, high_hz : float
        Range that is to be mended; filters stay inside. [Hz]
    filters : int
        Most filters.
    boost_db : float
        Cap on each filter's gain and on the gain of all together, at every frequency. [dB]
    cut_db : float
        Cap on each filter's cut, as a positive number. [dB]
    q_low, q_high : float
        Limits of Q. [1]
    fraction : int
        Smoothing before the fit, in parts of an octave.
    least_gain_db : float
        A further filter must lower the effective deviation by this much. [dB]
    sample_rate_hz : float
        Rate at which the filters run. [Hz]
    """

    low_hz: float = 25.0
    high_hz: float = 300.0
    filters: int = 5
    boost_db: float = 3.0
    cut_db: float = 12.0
    q_low: float = 0.7
    q_high: float = 8.0
    fraction: int = 12
    least_gain_db: float = 0.05
    sample_rate_hz: float = 48000.0


@dataclass(frozen=True, slots=True)
class Equalised:
    """The filters found and what they are predicted to do.

    Attributes
    ----------
    filters : tuple of Filter
        In rising frequency; empty where nothing helps.
    gain_db : ndarray, shape (n,)
        Gain of all filters together, read-only. [dB]
    predicted_db : ndarray, shape (m, n)
        Predicted level at each position, read-only. [dB]
    deviation_before_db, deviation_after_db : float
        Effective deviation of the position average from the target, level set free, nulls left out. [dB]
    seats_before_db, seats_after_db : tuple of float
        The same for each position by itself, nulls and all. [dB]
    """

    filters: tuple[Filter, ...]
    gain_db: Vector
    predicted_db: Vector
    deviation_before_db: float
    deviation_after_db: float
    seats_before_db: tuple[float, ...]
    seats_after_db: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class _Task:
    freq_hz: Vector
    average_db: Vector
    seats_db: Vector
    target_db: Vector
    nulls: Vector
    limits: EqualiserLimits


def sloped_target_db(freq_hz: Vector, slope_db_per_octave: float, pivot_hz: float = 1000.0) -> Vector:
    """Return a target that is a straight line on the logarithmic axis.

    Parameters
    ----------
    freq_hz : ndarray, shape (n,)
        Frequencies. [Hz]
    slope_db_per_octave : float
        Negative falls towards the treble. [dB]
    pivot_hz : float
        Where the target is 0 dB. [Hz]

    Returns
    -------
    ndarray, shape (n,)
        Target. [dB]
    """
    target: Vector = slope_db_per_octave * np.log2(np.asarray(freq_hz) / pivot_hz)
    return target


def equalise(freq_hz: Vector, level_db: Vector, target_db: Vector, limits: EqualiserLimits) -> Equalised:
    """Return a few filters that bring the average of positions nearer to a target.

    Parameters
    ----------
    freq_hz : ndarray, shape (n,)
        Frequencies in rising order, evenly spaced on the logarithmic axis. [Hz]
    level_db : ndarray, shape (m, n)
        Level at m positions; four to six serve seats that were not measured better than one does. [dB]
    target_db : ndarray, shape (n,)
        Target; its overall level is free. [dB]
    limits : EqualiserLimits
        Range, number of filters and caps.

    Returns
    -------
    Equalised
        No filter's gain and no sum of gains exceeds the cap.

    Notes
    -----
    Filters are added one by one where the smoothed power average stands farthest above the target (below it,
    at a third of the weight, where no peak is left), and all are refined together by bounded least squares. Nulls, dips
    more than 6 dB under the average over an octave, do not ask for gain, and a filter that boosts there is
    penalised: a null cannot be filled. Dips count less than peaks because they are heard less. The weights are
    own choices, tried on simulated rooms. Below the range's upper limit the room rules; above it filters follow
    one place and not the loudspeaker. A filter that leaves any position worse than it began is not taken.
    """
    average_db = 10.0 * np.log10(
        smoothed(freq_hz, np.mean(10.0 ** (level_db / 10.0), axis=0), limits.fraction)
    )
    inside = (freq_hz >= limits.low_hz) & (freq_hz <= limits.high_hz)
    nulls = _nulls(freq_hz, average_db)[inside]
    task = _Task(freq_hz[inside], average_db[inside], level_db[:, inside], target_db[inside], nulls, limits)
    chosen: tuple[Filter, ...] = ()
    for _ in range(limits.filters):
        tried = _capped(task, _refined(task, (*chosen, _next_filter(task, chosen))))
        if not _worth_it(task, chosen, tried):
            break
        chosen = tried
    return _result(task, freq_hz, level_db, _tidied(task, chosen))


def _result(task: _Task, freq_hz: Vector, level_db: Vector, filters: tuple[Filter, ...]) -> Equalised:
    gain_db = filters_db(filters, freq_hz, task.limits.sample_rate_hz)
    return Equalised(
        filters,
        frozen(gain_db),
        frozen(level_db + gain_db),
        _deviation_db(task, ()),
        _deviation_db(task, filters),
        _seats_db(task, ()),
        _seats_db(task, filters),
    )


def _worth_it(task: _Task, chosen: tuple[Filter, ...], tried: tuple[Filter, ...]) -> bool:
    """Say whether the average and the seats' mean gain enough, and no seat ends worse than it began."""
    least_db = task.limits.least_gain_db
    if _deviation_db(task, tried) > _deviation_db(task, chosen) - least_db:
        return False
    first, now, then = (np.array(_seats_db(task, filters)) for filters in ((), chosen, tried))
    return bool(np.mean(then) < np.mean(now) - 0.5 * least_db and np.all(then <= first + SEAT_LOSS_DB))


def _seats_db(task: _Task, filters: tuple[Filter, ...]) -> tuple[float, ...]:
    everywhere = replace(task, nulls=np.zeros_like(task.nulls))
    return tuple(_deviation_db(replace(everywhere, average_db=row), filters) for row in task.seats_db)


def filters_db(filters: tuple[Filter, ...], freq_hz: Vector, sample_rate_hz: float) -> Vector:
    """Return the gain of filters together.

    Parameters
    ----------
    filters : tuple of Filter
        The filters.
    freq_hz : ndarray, shape (n,)
        Frequencies. [Hz]
    sample_rate_hz : float
        Sample rate. [Hz]

    Returns
    -------
    ndarray, shape (n,)
        Gain. [dB]
    """
    sections = tuple(biquad(one, sample_rate_hz) for one in filters)
    gain_db: Vector = 20.0 * np.log10(
        np.maximum(np.abs(biquad_response(sections, freq_hz, sample_rate_hz)), 1e-15)
    )
    return gain_db


def _nulls(freq_hz: Vector, average_db: Vector) -> Vector:
    """Return 1 in a null and 0 elsewhere."""
    broad_db = 10.0 * np.log10(smoothed(freq_hz, 10.0 ** (average_db / 10.0), NULL_OCTAVE))
    nulls: Vector = (average_db < broad_db - NULL_DB).astype(np.float64)
    return nulls


def _error_db(task: _Task, filters: tuple[Filter, ...]) -> Vector:
    """Return level less target, with the overall level set so that the weighted mean outside nulls is 0."""
    error = task.average_db + filters_db(filters, task.freq_hz, task.limits.sample_rate_hz) - task.target_db
    return error - float(np.average(error, weights=1.0 - task.nulls + 1e-9))


def _deviation_db(task: _Task, filters: tuple[Filter, ...]) -> float:
    error = _error_db(task, filters)
    return float(np.sqrt(np.average(error**2, weights=1.0 - task.nulls + 1e-9)))


def _next_filter(task: _Task, chosen: tuple[Filter, ...]) -> Filter:
    error = _error_db(task, chosen) * (1.0 - task.nulls)
    weighed = np.where(error > 0.0, error, -DIP_WEIGHT * error)
    top = int(np.argmax(weighed))
    same = (np.sign(error) == np.sign(error[top])) & (np.abs(error) > 0.5 * abs(error[top]))
    left, right = top, top
    while left > 0 and same[left - 1]:
        left -= 1
    while right < len(error) - 1 and same[right + 1]:
        right += 1
    octaves = max(float(np.log2(task.freq_hz[right] / task.freq_hz[left])), 1.0 / 12.0)
    q = 1.0 / (2.0 * np.sinh(0.5 * np.log(2.0) * octaves))
    limits = task.limits
    gain_db = float(np.clip(-error[top], -limits.cut_db, limits.boost_db))
    return Filter("peak", float(task.freq_hz[top]), float(np.clip(q, limits.q_low, limits.q_high)), gain_db)


def _refined(task: _Task, filters: tuple[Filter, ...]) -> tuple[Filter, ...]:
    from scipy.optimize import least_squares

    limits = task.limits
    low = np.tile([np.log(limits.low_hz), np.log(limits.q_low), -limits.cut_db], len(filters))
    high = np.tile([np.log(limits.high_hz), np.log(limits.q_high), limits.boost_db], len(filters))
    start = np.concatenate([[np.log(one.freq_hz), np.log(one.q), one.gain_db] for one in filters])

    def off(x: Vector) -> Vector:
        now = _unpacked(x)
        error = _error_db(task, now)
        fair = np.where(error > 0.0, error, np.sqrt(DIP_WEIGHT) * error) * (1.0 - task.nulls)
        gain_db = filters_db(now, task.freq_hz, limits.sample_rate_hz)
        too_much = np.maximum(gain_db - limits.boost_db, 0.0)
        return np.concatenate([fair, BOOST_PENALTY * (task.nulls * np.maximum(gain_db, 0.0) + too_much)])

    result = least_squares(off, np.clip(start, low + 1e-6, high - 1e-6), bounds=(low, high), max_nfev=40)
    return _unpacked(result.x)


def _unpacked(x: Vector) -> tuple[Filter, ...]:
    return tuple(
        Filter("peak", float(np.exp(freq)), float(np.exp(q)), float(gain))
        for freq, q, gain in x.reshape(-1, 3)
    )


def _capped(task: _Task, filters: tuple[Filter, ...]) -> tuple[Filter, ...]:
    """Shrink the boosts, all alike, until their sum with the cuts obeys the cap at every frequency and in nulls."""
    if _obeys(task, filters):
        return filters
    low, high = 0.0, 1.0
    for _ in range(30):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _obeys(task, _boosts_scaled(filters, middle)) else (low, middle)
    return _boosts_scaled(filters, low)


def _obeys(task: _Task, filters: tuple[Filter, ...]) -> bool:
    in_nulls_db = filters_db(filters, task.freq_hz, task.limits.sample_rate_hz) * task.nulls
    return (
        _top_db(filters, task.limits) <= task.limits.boost_db
        and float(np.max(in_nulls_db, initial=0.0)) <= NULL_BOOST_DB
    )


def _top_db(filters: tuple[Filter, ...], limits: EqualiserLimits) -> float:
    """Return the largest gain of filters together, on a fine axis and at their own centres."""
    axis_hz = np.geomspace(limits.low_hz / 2.0, min(limits.high_hz * 2.0, 0.49 * limits.sample_rate_hz), 600)
    freq_hz = np.concatenate([axis_hz, [one.freq_hz for one in filters]])
    return float(np.max(filters_db(filters, freq_hz, limits.sample_rate_hz)))


def _boosts_scaled(filters: tuple[Filter, ...], share: float) -> tuple[Filter, ...]:
    return tuple(replace(one, gain_db=one.gain_db * share) if one.gain_db > 0.0 else one for one in filters)


def _tidied(task: _Task, filters: tuple[Filter, ...]) -> tuple[Filter, ...]:
    """Leave out filters that do next to nothing, and sort the rest."""
    kept = tuple(one for one in filters if abs(one.gain_db) >= LEAST_GAIN_DB)
    return tuple(sorted(_capped(task, kept), key=lambda one: one.freq_hz))


@dataclass(frozen=True, slots=True)
class Steps:
    """The steps in which an amplifier takes its filters.

    Attributes
    ----------
    freq_hz : tuple of float
        Frequencies it offers; empty where it takes any. [Hz]
    q : tuple of float
        Qualities it offers; empty where it takes any. [1]
    gain_db : float
        Step of gain. [dB]
    """

    freq_hz: tuple[float, ...] = ()
    q: tuple[float, ...] = ()
    gain_db: float = 0.5


def in_steps(filters: tuple[Filter, ...], steps: Steps, limits: EqualiserLimits) -> tuple[Filter, ...]:
    """Return the filters as an amplifier can take them.

    Parameters
    ----------
    filters : tuple of Filter
        As found.
    steps : Steps
        What the amplifier offers.
    limits : EqualiserLimits
        Caps that hold after rounding too.

    Returns
    -------
    tuple of Filter
        Nearest frequency and Q in ratio; boosts are rounded down and cuts to the nearest, what becomes 0 is left
        out, and while the sum exceeds the cap the largest boost falls by one step.
    """
    typed = _without_zeros([_in_steps(one, steps) for one in filters])
    while any(one.gain_db > 0.0 for one in typed) and _top_db(typed, limits) > limits.boost_db:
        loudest = max(typed, key=lambda one: one.gain_db)
        lower = replace(loudest, gain_db=loudest.gain_db - steps.gain_db)
        typed = _without_zeros([lower if one is loudest else one for one in typed])
    return typed


def _in_steps(one: Filter, steps: Steps) -> Filter:
    count = one.gain_db / steps.gain_db
    gain_db = steps.gain_db * float(np.floor(count + 1e-9) if count > 0.0 else np.round(count))
    return Filter(one.shape, _nearest(one.freq_hz, steps.freq_hz), _nearest(one.q, steps.q), gain_db)


def _without_zeros(filters: list[Filter]) -> tuple[Filter, ...]:
    return tuple(one for one in filters if abs(one.gain_db) > 1e-9)


def _nearest(value: float, offered: tuple[float, ...]) -> float:
    return min(offered, key=lambda one: abs(np.log(one / value))) if offered else value
