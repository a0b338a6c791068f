"""Where loudspeakers are, from times of arrival at several microphone positions."""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from seatfield.dsp.arrays import Vector, frozen

Latency = Literal["known", "joint", "each"]
CONFIDENCE_95 = 7.815
STARTS, ROUNDS = 24, 60
NEEDED = {"known": 4, "joint": 5, "each": 6}


class TooFewPositionsError(ValueError):
    """Too few microphone positions to locate loudspeakers."""

    def __init__(self, positions: int, needed: int) -> None:
        super().__init__(
            f"Arrivals at {positions} microphone positions were given; {needed} or more, at two heights, are needed to "
            "locate a loudspeaker in space. Add positions around the seat, some of them 0.4 m or more higher."
        )


@dataclass(frozen=True, slots=True)
class Search:
    """How to search.

    Attributes
    ----------
    speed_m_s : float
        Speed of sound. [m/s]
    latency : str
        known: arrivals are times of flight (a loopback). joint: all share one unknown delay. each: every microphone
        position has its own, as when arrivals count from a chirp of one loudspeaker in the same recording.
    microphone_sigma_m : float
        Standard uncertainty of each coordinate of a microphone. [m]
    arrival_sigma_m : float
        Standard uncertainty of an arrival, as a distance. [m]
    radius_m : float
        Farthest a loudspeaker can be from the middle of the microphones. [m]
    box_m : tuple of two tuples, or None
        Lower and upper corner of the room, if known: loudspeakers are inside. [m]
    latency_limit_s : float
        Largest delay, to either side, of an unknown latency. [s]
    """

    speed_m_s: float = 343.2
    latency: Latency = "known"
    microphone_sigma_m: float = 0.01
    arrival_sigma_m: float = 0.01
    radius_m: float = 8.0
    box_m: tuple[tuple[float, float, float], tuple[float, float, float]] | None = None
    latency_limit_s: float = 0.1


@dataclass(frozen=True, slots=True)
class Place:
    """Where one loudspeaker was found.

    Attributes
    ----------
    position_m : ndarray, shape (3,)
        Position, read-only. [m]
    axes_m : ndarray, shape (3, 3)
        Half axes of the ellipsoid that holds the loudspeaker at 95 %, one a row, the longest first, read-only. [m]
    covariance_m2 : ndarray, shape (3, 3)
        Covariance of the position, read-only. [m²]
    residual_m : float
        Effective value of what the arrivals leave unexplained. [m]
    other_m : ndarray, shape (3,), or None
        A second place that explains the arrivals nearly as well, as a mirror does; None where there is none. [m]
    """

    position_m: Vector
    axes_m: Vector
    covariance_m2: Vector
    residual_m: float
    other_m: Vector | None


@dataclass(frozen=True, slots=True)
class Located:
    """Where all loudspeakers were found.

    Attributes
    ----------
    places : tuple of Place
        In the order of the arrivals' rows.
    latency_s : ndarray
        Delay found, one for each microphone position; zeros where it was known, read-only. [s]
    microphones_m : ndarray, shape (m, 3)
        Microphone positions as corrected within their uncertainty, read-only. [m]
    """

    places: tuple[Place, ...]
    latency_s: Vector
    microphones_m: Vector


def speed_of_sound_m_s(temperature_c: float) -> float:
    """Return the speed of sound in air.

    Parameters
    ----------
    temperature_c : float
        Temperature. [°C]

    Returns
    -------
    float
        331.3 √(1 + ϑ / 273.15). [m/s]

    References
    ----------
    Ideal gas; constant as in common use, within 0.1 % for ordinary humidity (from memory).
    """
    return float(331.3 * np.sqrt(1.0 + temperature_c / 273.15))


def locate(microphones_m: Vector, arrival_s: Vector, search: Search) -> Located:
    """Return where loudspeakers are, with the ellipsoid of their uncertainty.

    Parameters
    ----------
    microphones_m : ndarray, shape (m, 3)
        Positions of the microphone. [m]
    arrival_s : ndarray, shape (n, m)
        Arrival of each loudspeaker at each position; not a number where it was refused. [s]
    search : Search
        Speed of sound, latency, uncertainties and bounds.

    Returns
    -------
    Located
        Places in the arrivals' order.

    Raises
    ------
    TooFewPositionsError
        If there are fewer than four positions, five with a joint latency, six with one for each.

    Notes
    -----
    Bounded least squares from many starting points for each loudspeaker, then all loudspeakers, latencies and
    microphone positions together: a microphone that stands a centimetre off shows in all loudspeakers at once.
    Microphones in one plane leave the height undecided; a mirror image that fits is returned as `other_m`. The
    ellipsoid comes from the curvature of the sum of squares and from the uncertainties given, or from the
    residuals where they are larger.
    """
    if len(microphones_m) < NEEDED[search.latency]:
        raise TooFewPositionsError(len(microphones_m), NEEDED[search.latency])
    range_m = np.asarray(arrival_s, dtype=np.float64) * search.speed_m_s
    starts, delay_m = _starting_places(microphones_m, range_m, search)
    solved = _Bundle(microphones_m, range_m, search).solve(starts, delay_m)
    places = tuple(_place(range_m[index], solved, index, search) for index in range(len(range_m)))
    return Located(places, frozen(solved.delay_m / search.speed_m_s), frozen(solved.microphones_m))


@dataclass(frozen=True, slots=True)
class _Solved:
    places_m: Vector
    delay_m: Vector
    microphones_m: Vector
    covariance: Vector
    residual_m: Vector


def _bounds(microphones_m: Vector, search: Search) -> tuple[Vector, Vector]:
    middle = microphones_m.mean(axis=0)
    lower, upper = middle - search.radius_m, middle + search.radius_m
    if search.box_m is not None:
        lower, upper = np.maximum(lower, search.box_m[0]), np.minimum(upper, search.box_m[1])
    return lower, upper


def _directions(count: int) -> Vector:
    """Return directions spread evenly over the sphere (golden spiral)."""
    index = np.arange(count) + 0.5
    height = 1.0 - 2.0 * index / count
    turn = np.pi * (1.0 + 5.0**0.5) * index
    flat = np.sqrt(1.0 - height**2)
    return np.column_stack([np.cos(turn) * flat, np.sin(turn) * flat, height])


def _starting_places(microphones_m: Vector, range_m: Vector, search: Search) -> tuple[Vector, Vector]:
    """Return a place for each loudspeaker, and the delay at each microphone to start from."""
    delay_m = np.zeros(len(microphones_m))
    if search.latency == "each":
        first_m = np.nanmin(range_m, axis=0)
        delay_m = first_m - np.mean(first_m)
    best = [_minima(microphones_m, row, search)[0][1] for row in range_m - delay_m]
    offset_m = 0.0 if search.latency == "known" else float(np.median([one[3] for one in best]))
    return np.array([one[:3] for one in best]), delay_m + offset_m


def _minima(microphones_m: Vector, row_m: Vector, search: Search) -> list[tuple[float, Vector]]:
    """Return the local minima of one loudspeaker's sum of squares, the best first: place and offset."""
    heard = np.isfinite(row_m)
    points, ranges = microphones_m[heard], row_m[heard]
    lower, upper = _bounds(microphones_m, search)
    free = search.latency != "known"
    limit = search.latency_limit_s * search.speed_m_s if free else 0.0
    typical_m = 2.5 if free else max(float(np.median(ranges)), 0.3)
    starts = np.zeros((STARTS, 4))
    starts[:, :3] = points.mean(axis=0) + typical_m * _directions(STARTS)
    starts[:, 3] = float(np.median(ranges)) - typical_m if free else 0.0
    corners = np.append(lower, -limit), np.append(upper, limit)
    ends, costs = _descend(points, ranges, np.clip(starts, *corners), corners)
    found: list[tuple[float, Vector]] = []
    for index in np.argsort(costs):
        if all(np.linalg.norm(ends[index, :3] - known[:3]) > 0.05 for _, known in found):
            found.append((float(costs[index]), ends[index]))
    return found


def _descend(
    points: Vector, ranges: Vector, starts: Vector, corners: tuple[Vector, Vector]
) -> tuple[Vector, Vector]:
    """Descend from all starting points at once (Levenberg-Marquardt, steps cut at the bounds)."""
    x, damping = starts.copy(), np.full(len(starts), 1e-2)
    fixed = corners[0] == corners[1]
    off, slope = _off_and_slope(points, ranges, x)
    cost = np.sum(off**2, axis=1)
    for _ in range(ROUNDS):
        normal = np.einsum("smi,smj->sij", slope, slope)
        normal[:, fixed, fixed] += 1.0
        normal += damping[:, None, None] * np.eye(4)
        step = np.linalg.solve(normal, -np.einsum("smi,sm->si", slope, off)[:, :, None])[:, :, 0]
        tried = np.clip(x + step, *corners)
        new_off, new_slope = _off_and_slope(points, ranges, tried)
        new_cost = np.sum(new_off**2, axis=1)
        better = new_cost < cost
        x[better], off[better], slope[better], cost[better] = (
            tried[better],
            new_off[better],
            new_slope[better],
            new_cost[better],
        )
        damping = np.where(better, damping / 5.0, damping * 4.0)
        if np.max(np.abs(step[better]), initial=0.0) < 1e-7:
            break
    return x, cost


def _off_and_slope(points: Vector, ranges: Vector, x: Vector) -> tuple[Vector, Vector]:
    away = x[:, None, :3] - points[None, :, :]
    far = np.maximum(np.linalg.norm(away, axis=2), 1e-9)
    slope = np.concatenate([away / far[:, :, None], np.ones((*far.shape, 1))], axis=2)
    return far + x[:, 3:4] - ranges[None, :], slope


class _Bundle:
    """All loudspeakers, the latency and the microphones' own errors, as one problem of least squares."""

    def __init__(self, microphones_m: Vector, range_m: Vector, search: Search) -> None:
        self.microphones_m, self.range_m, self.search = microphones_m, range_m, search
        self.speakers, self.ears = range_m.shape
        self.heard = np.isfinite(range_m)
        self.delays = {"known": 0, "joint": 1, "each": self.ears}[search.latency]
        self.sigma = max(search.arrival_sigma_m, 1e-6)
        self.ear_sigma = max(search.microphone_sigma_m, 1e-6)
        self.first_delay = 3 * self.speakers
        self.first_ear = self.first_delay + self.delays

    def split(self, x: Vector) -> tuple[Vector, Vector, Vector]:
        """Return places, the delay at each microphone, and the microphones as moved."""
        shift = x[self.first_delay : self.first_ear]
        delay = np.zeros(self.ears) if not self.delays else np.broadcast_to(shift, self.ears)
        moved = self.microphones_m + x[self.first_ear :].reshape(self.ears, 3)
        return x[: self.first_delay].reshape(self.speakers, 3), delay, moved

    def unexplained_m(self, x: Vector) -> Vector:
        """Return computed less heard ranges; not a number where nothing was heard."""
        places, delay, moved = self.split(x)
        far: Vector = np.linalg.norm(places[:, None, :] - moved[None, :, :], axis=2)
        return far + delay[None, :] - self.range_m

    def off(self, x: Vector) -> Vector:
        """Return all residuals in units of their uncertainty."""
        return np.concatenate(
            [self.unexplained_m(x)[self.heard] / self.sigma, x[self.first_ear :] / self.ear_sigma]
        )

    def slope(self, x: Vector) -> Vector:
        """Return the residuals' derivatives."""
        places, _, moved = self.split(x)
        away = places[:, None, :] - moved[None, :, :]
        unit = away / np.maximum(np.linalg.norm(away, axis=2), 1e-9)[:, :, None]
        rows = np.zeros((self.speakers, self.ears, len(x)))
        for speaker in range(self.speakers):
            rows[speaker, :, 3 * speaker : 3 * speaker + 3] = unit[speaker]
        for ear in range(self.ears):
            rows[:, ear, self.first_ear + 3 * ear : self.first_ear + 3 * ear + 3] = -unit[:, ear]
            if self.delays:
                rows[:, ear, self.first_delay + (ear if self.delays > 1 else 0)] = 1.0
        prior = np.zeros((3 * self.ears, len(x)))
        prior[:, self.first_ear :] = np.eye(3 * self.ears) / self.ear_sigma
        return np.vstack([rows[self.heard] / self.sigma, prior])

    def corners(self) -> tuple[Vector, Vector]:
        """Return the bounds of all unknowns."""
        lower, upper = _bounds(self.microphones_m, self.search)
        delay = np.full(self.delays, self.search.latency_limit_s * self.search.speed_m_s)
        ear = np.full(3 * self.ears, 10.0 * self.ear_sigma)
        low = np.concatenate([np.tile(lower, self.speakers), -delay, -ear])
        return low, np.concatenate([np.tile(upper, self.speakers), delay, ear])

    def solve(self, starts: Vector, delay_m: Vector) -> _Solved:
        """Return the solution and its covariance, widened where the residuals exceed their stated uncertainty."""
        from scipy.optimize import least_squares

        low, high = self.corners()
        start = np.concatenate([starts.ravel(), delay_m[: self.delays], np.zeros(3 * self.ears)])
        start = np.clip(start, low + 1e-9, high - 1e-9)
        result = least_squares(self.off, start, self.slope, bounds=(low, high), max_nfev=100)
        freedom = max(1, int(np.sum(self.heard)) - self.first_ear)
        covariance = np.linalg.pinv(result.jac.T @ result.jac) * max(1.0, 2.0 * float(result.cost) / freedom)
        residual_m = np.sqrt(np.nanmean(self.unexplained_m(result.x) ** 2, axis=1))
        places, delay, moved = self.split(result.x)
        return _Solved(places, np.array(delay), moved, covariance, residual_m)


def _place(row_m: Vector, solved: _Solved, index: int, search: Search) -> Place:
    covariance = solved.covariance[3 * index : 3 * index + 3, 3 * index : 3 * index + 3]
    values, vectors = np.linalg.eigh(covariance)
    axes = (vectors * np.sqrt(np.maximum(values, 0.0) * CONFIDENCE_95)).T[::-1]
    return Place(
        frozen(solved.places_m[index]),
        frozen(axes),
        frozen(covariance),
        float(solved.residual_m[index]),
        _other(row_m, solved, index, search),
    )


def _other(row_m: Vector, solved: _Solved, index: int, search: Search) -> Vector | None:
    """Return another minimum whose sum of squares is no more than 9 σ² above, 0.3 m or more away."""
    ranked = _minima(solved.microphones_m, row_m - solved.delay_m, replace(search, latency="known"))
    allowed = ranked[0][0] + 9.0 * (search.arrival_sigma_m**2 + search.microphone_sigma_m**2)
    far = [
        x[:3] for cost, x in ranked if cost < allowed and np.linalg.norm(x[:3] - solved.places_m[index]) > 0.3
    ]
    return frozen(far[0]) if far else None


@dataclass(frozen=True, slots=True)
class Assignment:
    """Which measured loudspeaker stands where which planned one should.

    Attributes
    ----------
    planned_of : tuple of int
        For each measured loudspeaker the index of the plan's place it fits.
    swapped : tuple of (int, int)
        Measured and planned index of each loudspeaker that stands at another's place.
    gain_m : float
        By how much the assignment shortens the distances of those moved, effective value. [m]
    """

    planned_of: tuple[int, ...]
    swapped: tuple[tuple[int, int], ...]
    gain_m: float


def assign(
    located: Located, planned_m: Vector, *, build_sigma_m: float = 0.15, alarm: float = 25.0
) -> Assignment:
    """Return which planned place each located loudspeaker fits, and who is swapped.

    Parameters
    ----------
    located : Located
        Loudspeakers as found.
    planned_m : ndarray, shape (n, 3)
        Places in the plan, in the same order of channels. [m]
    build_sigma_m : float
        Standard deviation by which loudspeakers stand off their plan. [m]
    alarm : float
        Least fall of the sum of squared, uncertainty-weighted distances that counts as a swap. [1]

    Returns
    -------
    Assignment
        Without swaps where the plan's own order fits as well as any.

    Notes
    -----
    Distances are weighed by each loudspeaker's own ellipsoid together with the error of building, so a range that
    is poorly known does not hide an angle that is well known. Each cycle of the best assignment must earn the
    alarm by itself.
    """
    from scipy.optimize import linear_sum_assignment

    cost = _weighed(located, planned_m, build_sigma_m)
    _, columns = linear_sum_assignment(cost)
    order = np.arange(len(cost))
    for cycle in _cycles(columns):
        own = float(sum(cost[index, index] for index in cycle))
        if len(cycle) > 1 and own - float(sum(cost[index, columns[index]] for index in cycle)) > alarm:
            order[list(cycle)] = columns[list(cycle)]
    moved = np.flatnonzero(order != np.arange(len(cost)))
    swapped = tuple((int(index), int(order[index])) for index in moved)
    return Assignment(
        tuple(int(index) for index in order), swapped, _gain_m(located, planned_m, order, moved)
    )


def _weighed(located: Located, planned_m: Vector, build_sigma_m: float) -> Vector:
    rows = []
    for place in located.places:
        away = planned_m - place.position_m
        weight = np.linalg.inv(place.covariance_m2 + build_sigma_m**2 * np.eye(3))
        rows.append(np.einsum("ni,ij,nj->n", away, weight, away))
    return np.array(rows)


def _cycles(columns: NDArray[np.intp]) -> list[list[int]]:
    left, found = set(range(len(columns))), []
    while left:
        index = min(left)
        cycle = []
        while index in left:
            left.remove(index)
            cycle.append(index)
            index = int(columns[index])
        found.append(cycle)
    return found


def _gain_m(located: Located, planned_m: Vector, order: NDArray[np.intp], moved: NDArray[np.intp]) -> float:
    if not len(moved):
        return 0.0
    places = np.array([place.position_m for place in located.places])[moved]
    own, best = (
        np.sqrt(np.mean(np.sum((places - planned_m[to]) ** 2, axis=1))) for to in (moved, order[moved])
    )
    return float(own - best)
