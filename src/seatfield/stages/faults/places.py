"""Who sounds where: arrivals at one or more positions against the plan, all ways to assign them weighed."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seatfield.stages.faults.known import Plan
from seatfield.stages.takes import Spot

Array = NDArray[np.float64]

ARRIVAL_SIGMA_M = 0.02
MICROPHONE_SIGMA_M = 0.015
BUILD_SIGMA_M = 0.12
LEVEL_SIGMA_DB = 2.5
HUBER = 3.0
PRIOR = 5.0
"""Half the deviance that a misplaced run must earn beside its neighbours': odds of one in some 150."""
RIVAL_PRIOR = 1.0
"""Between two explanations that both misplace runs, fewer misplaced ones speak for a thing only weakly."""
ALARM = 4.0
SUSPECTED = 1.0
ALIKE = 4.0
NEVER = 1e6
ROOM_DISTANCE_M = 2.0
USUAL_SENSITIVITY_DB = 87.0


@dataclass(frozen=True, slots=True)
class Ring:
    """Runs that sound at each other's places: each of `runs` sounds at the planned place of the one in `at`.

    Parameters
    ----------
    gain
        By how much the log-likelihood of this assignment exceeds that of the plan's [-].
    margin
        By how much it exceeds that of the next best other explanation, the plan's or not [-].
    """

    runs: tuple[str, ...]
    at: tuple[str, ...]
    gain: float
    margin: float

    @property
    def confidence(self) -> float:
        """Chance that it is so against the next best explanation, never over 0.98."""
        return float(min(0.98, 1.0 / (1.0 + np.exp(-self.margin))))


@dataclass(frozen=True, slots=True)
class Seating:
    """Rings that are certain, others that are not, and runs whose place the takes leave open.

    Parameters
    ----------
    open
        Each such run, and the run at whose planned place it could as well sound.
    read
        Whether anything could be read.
    """

    rings: tuple[Ring, ...]
    suspected: tuple[Ring, ...]
    open: tuple[tuple[str, str], ...]
    read: bool


@dataclass(frozen=True, slots=True)
class _Task:
    """Cost of each heard run at each planned place, given where the chirps come from [log-likelihood lost]."""

    heard: tuple[str, ...]
    places: tuple[str, ...]
    reference: str
    costs: dict[str, Array]


def seating(plan: Plan, spots: Sequence[Spot]) -> Seating:
    """Say which loudspeaker sounds at whose place.

    Parameters
    ----------
    plan
        Planned places.
    spots
        Positions with the amplifier bare, so that no delay moves an arrival.

    Returns
    -------
    Seating
        Rings of two are swaps. A run's place is open where another assignment loses less than four in log-likelihood.

    Notes
    -----
    Ranges at all positions together, with the covariance that building errors (12 cm) and the chirps' own place bring;
    residuals are weighed after Huber, so that one wrong arrival does not outvote the rest. Every place is tried as
    that of the loudspeaker that plays the chirps.
    """
    task = _task(plan, [spot for spot in spots if spot.anchored])
    if task is None:
        return Seating((), (), (), read=False)
    total, where, chosen = _best(task)
    moved = {run: place for run, place in chosen.items() if run != place}
    rings = tuple(_ring(task, total, where, chosen, cycle) for cycle in _cycles(moved))
    sure = tuple(ring for ring in rings if min(ring.gain, ring.margin) > ALARM)
    unsure = tuple(ring for ring in rings if ring not in sure and ring.gain > SUSPECTED)
    return Seating(sure, unsure, _open(task, sure), read=True)


def _best(
    task: _Task, prior: float = PRIOR, forbidden: tuple[str, str] | None = None
) -> tuple[float, str, dict[str, str]]:
    """Return the cost of the likeliest assignment, the place of the chirps in it, and the assignment."""
    solutions = [(*_solved(task, where, prior, forbidden), where) for where in task.costs]
    total, chosen, where = min(solutions, key=lambda one: one[0])
    return total, where, chosen


def _task(plan: Plan, spots: Sequence[Spot]) -> _Task | None:
    places = {one.run: np.array(one.at) for one in plan.mains if one.at is not None}
    heard = tuple(
        run
        for run in places
        if any((one := spot.of(run)) is not None and one.arrival.time_s is not None for spot in spots)
    )
    reference = spots[0].reference if spots else ""
    if (
        len(heard) < 2
        or any(spot.reference != reference for spot in spots)
        or (reference and reference not in places)
    ):
        return None
    ears = np.array([spot.position for spot in spots])
    ranges = np.array([[_range_m(plan, spot, run) for spot in spots] for run in heard])
    levels = _levels(plan, spots, heard, tuple(places))
    sources = tuple(places) if reference else ("",)
    costs = {where: _costs(places, ears, ranges, reference, where) + levels for where in sources}
    return _Task(heard, tuple(places), reference, costs)


def _range_m(plan: Plan, spot: Spot, run: str) -> float:
    one = spot.of(run)
    if one is None or one.arrival.time_s is None:
        return float("nan")
    return one.arrival.time_s * plan.speed_of_sound_m_s


def _costs(places: dict[str, Array], ears: Array, ranges: Array, reference: str, where: str) -> Array:
    """Return the cost of each heard run at each place, the chirps coming from `where`."""
    from_ref = np.zeros(len(ears))
    error = np.zeros((len(ears), len(ears)))
    if reference:
        from_ref = _away(places[where], ears)[0] - _away(places[reference], ears)[0]
        unit = _away(places[where], ears)[1]
        error = BUILD_SIGMA_M**2 * unit @ unit.T
    costs = np.empty((len(ranges), len(places)))
    for column, (run, place) in enumerate(places.items()):
        away, unit = _away(place, ears)
        own = BUILD_SIGMA_M**2 * unit @ unit.T
        shared = np.zeros_like(error) if run == where else error + own
        noise = (ARRIVAL_SIGMA_M**2 + MICROPHONE_SIGMA_M**2) * np.eye(len(ears))
        for row, measured in enumerate(ranges):
            costs[row, column] = _deviance(measured + from_ref - away, shared + noise)
    return costs


def _away(place: Array, ears: Array) -> tuple[Array, Array]:
    apart = place - ears
    distance = np.maximum(np.linalg.norm(apart, axis=1), 0.05)
    return distance, apart / distance[:, None]


def _deviance(off: Array, covariance: Array) -> float:
    """Return the log-likelihood lost by residuals, each direction of their covariance weighed after Huber."""
    kept = np.isfinite(off)
    values, vectors = np.linalg.eigh(covariance[np.ix_(kept, kept)])
    white = np.abs(vectors.T @ off[kept]) / np.sqrt(values)
    lost = np.where(white < HUBER, 0.5 * white**2, HUBER * (white - 0.5 * HUBER))
    return float(np.sum(lost) + 0.5 * np.sum(np.log(values / np.min(values))))


def _levels(plan: Plan, spots: Sequence[Spot], heard: tuple[str, ...], places: tuple[str, ...]) -> Array:
    """Return the cost of each run's level at each place: its sensitivity less the distance, the mean set free."""
    costs = np.zeros((len(heard), len(places)))
    for spot in spots:
        measured = {run: one.told.level_db for run in heard if (one := spot.of(run)) is not None}
        told = {run: level for run, level in measured.items() if level is not None}
        if len(told) < 3:
            continue
        expected = np.array([_expected_db(plan, spot, place) for place in places])
        own = np.array([expected[places.index(run)] for run in told])
        level = np.array(list(told.values()))
        free = float(np.median(level - own))
        off = (level[:, None] - free - expected[None, :]) / LEVEL_SIGMA_DB
        lost = np.where(np.abs(off) < 2.0, 0.5 * off**2, 2.0 * (np.abs(off) - 1.0)) / len(spots)
        for row, run in enumerate(told):
            costs[heard.index(run)] += lost[row]
    return costs


def _expected_db(plan: Plan, spot: Spot, place: str) -> float:
    """Return the level of whatever sounds at a place: what is planned there, in a usual room."""
    one = plan.of(place)
    assert one.at is not None
    sensitivity_db = (
        one.model.sensitivity_db if one.model and one.model.sensitivity_db else USUAL_SENSITIVITY_DB
    )
    away_m = max(float(np.linalg.norm(np.array(one.at) - spot.position)), 0.3)
    return sensitivity_db + 10.0 * float(np.log10(1.0 / away_m**2 + 1.0 / ROOM_DISTANCE_M**2))


def _solved(
    task: _Task, where: str, prior: float, forbidden: tuple[str, str] | None = None
) -> tuple[float, dict[str, str]]:
    """Return the best assignment with the chirps from one place, and its cost."""
    from scipy.optimize import linear_sum_assignment

    costs = _priced(task, where, prior)
    if forbidden is not None:
        costs[task.heard.index(forbidden[0]), task.places.index(forbidden[1])] += NEVER
    rows, columns = linear_sum_assignment(costs)
    chosen = {task.heard[row]: task.places[column] for row, column in zip(rows, columns, strict=True)}
    return float(costs[rows, columns].sum()), chosen


def _priced(task: _Task, where: str, prior: float) -> Array:
    costs = task.costs[where].copy()
    for row, run in enumerate(task.heard):
        away = np.ones(len(task.places))
        away[task.places.index(run)] = 0.0
        costs[row] += prior * away
        if task.reference and run == task.reference:
            costs[row] += NEVER * (np.array(task.places) != where)
    return costs


def _price(task: _Task, where: str, chosen: dict[str, str], prior: float = PRIOR) -> float:
    costs = _priced(task, where, prior)
    return float(sum(costs[task.heard.index(run), task.places.index(place)] for run, place in chosen.items()))


def _cycles(moved: dict[str, str]) -> list[list[str]]:
    """Return the rings, and the chains that end at a place where nobody else was heard."""
    left, found = dict(moved), []
    while left:
        starts = [run for run in left if run not in left.values()] or [next(iter(left))]
        run, chain = starts[0], []
        while run in left:
            chain.append(run)
            run = left.pop(run)
        found.append(chain)
    return found


def _ring(task: _Task, total: float, where: str, chosen: dict[str, str], cycle: list[str]) -> Ring:
    """Return a ring with what it gains over leaving its runs in place, and over the next best other explanation.

    The plan counts as a rival with its full odds, another ring nearly by the arrivals alone: where two rings give the
    same takes, nobody can tell.
    """
    kept = chosen | {run: run for run in cycle}
    plain = _price(task, kept.get(task.reference, where), kept)
    own = _price(task, where, chosen, RIVAL_PRIOR)
    rival = min(_best(task, RIVAL_PRIOR, (run, chosen[run]))[0] for run in cycle)
    return Ring(
        tuple(cycle), tuple(chosen[run] for run in cycle), plain - total, min(plain - total, rival - own)
    )


def _open(task: _Task, rings: tuple[Ring, ...]) -> tuple[tuple[str, str], ...]:
    """Return the runs that could sound elsewhere without the takes telling, and where."""
    fixed = {run for ring in rings for run in ring.runs}
    total, _, chosen = _best(task, prior=0.0)
    found = []
    for run in task.heard:
        if run in fixed:
            continue
        if chosen[run] != run:
            found.append((run, chosen[run]))
            continue
        other, _, instead = _best(task, prior=0.0, forbidden=(run, run))
        if other - total < ALIKE:
            found.append((run, instead[run]))
    return tuple(found)
