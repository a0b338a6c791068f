"""Gaps in the bass at the seats, and how far the seats would have to move to leave them."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot

import numpy as np
import shapely

from seatfield.acoustics import Bands, score_response
from seatfield.geometry.polygon import encloses
from seatfield.model import Furniture, Project, Seat
from seatfield.stages.bass.hearing import levels_db
from seatfield.stages.bass.result import SeatMove
from seatfield.stages.bass.space import Complex, Floats, Space, in_room
from seatfield.stages.survey import Survey, is_seating, top_m

DEEP_DB = 8.0
"""A gap is told from this depth on: common practice, no source [dB]."""
FILLED_DB, SURELY_DB = 6.0, 2.0
"""A move is worth telling from this on, and if it gives so much under every doubt: common practice, no source [dB]."""
WORSE_DB = 0.3
"""It may make the whole this much less even [dB]."""
STEP_M = 0.05
FURTHEST_M = 0.60
WIDTH = 2 ** (1 / 6)
"""A gap is judged within a sixth of an octave to each side of it."""
GAP_HZ = (25.0, 110.0)
AROUND_OCTAVES = 0.75
SLACK_M = 0.03
FLAT_M = 0.03


@dataclass(frozen=True, slots=True)
class Shift:
    """A move of seats together: which way, how far [m], in plan [m]."""

    direction: str
    by_m: float
    step: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Gap:
    """A gap at a seat: its index among the listeners, the index of its frequency, its depth [dB]."""

    seat: int
    at: int
    depth_db: float


def gaps_of(level_db: Floats, freq_hz: Floats) -> tuple[Gap, ...]:
    """Return the deepest gap at each seat, where there is one.

    Parameters
    ----------
    level_db
        Shape (seats, frequencies) [dB].
    freq_hz
        Ascending frequencies [Hz].

    Returns
    -------
    tuple
        Deepest first. The depth is against the mean power over three quarters of an octave to each side,
        every octave counting alike.
    """
    power = 10 ** (level_db / 10)
    apart = np.abs(np.log2(freq_hz[:, None] / freq_hz))
    weight = (apart <= AROUND_OCTAVES) / freq_hz
    weight /= weight.sum(axis=1, keepdims=True)
    found = []
    for seat, row in enumerate(power):
        depth = 10 * np.log10(weight @ row / row)
        lowest = np.zeros(len(row), bool)
        lowest[1:-1] = (row[1:-1] <= row[:-2]) & (row[1:-1] <= row[2:])
        depth[~lowest | (freq_hz < GAP_HZ[0]) | (freq_hz > GAP_HZ[1])] = -np.inf
        best = int(depth.argmax())
        if depth[best] >= DEEP_DB:
            found.append(Gap(seat, best, float(depth[best])))
    return tuple(sorted(found, key=lambda gap: -gap.depth_db))


@dataclass(frozen=True, slots=True)
class Walk:
    """Seats that move together, and the moves that the room allows them.

    Parameters
    ----------
    what
        The piece of furniture that they are on, else the seat.
    seats
        Their numbers among the listeners.
    shifts
        From short to long in each direction.
    ears
        Where each of them is after each shift, shape (shifts, seats, 3) [m].
    """

    what: str
    seats: tuple[int, ...]
    shifts: tuple[Shift, ...]
    ears: Floats


def walks_of(project: Project, survey: Survey, space: Space) -> tuple[Walk, ...]:
    """Return how the seats may be moved.

    Parameters
    ----------
    project, survey, space
        The room and its listeners.

    Returns
    -------
    tuple
        One for each group of seats that move together; every seat is in one.
    """
    seats = tuple(next(one for one in project.seats if one.name == name) for name in space.names)
    groups = dict.fromkeys(_together(survey, seats, one) for one in range(len(seats)))
    return tuple(_walk(project, survey, seats, group) for group in groups)


def _walk(project: Project, survey: Survey, seats: tuple[Seat, ...], group: tuple[int, ...]) -> Walk:
    own = tuple(seats[i] for i in group)
    shifts = tuple(_shifts(project, survey, own))
    steps = np.array([(*shift.step, 0.0) for shift in shifts]).reshape(-1, 1, 3)
    piece = _piece_under(survey, own[0])
    ears = np.array([seat.head for seat in own]) + steps
    return Walk(piece.name if piece is not None else f"seat “{own[0].name}”", group, shifts, ears)


def moves_of(
    space: Space, walks: tuple[Walk, ...], now: Complex, moved: tuple[Complex, ...], bands: Bands
) -> tuple[SeatMove, ...]:
    """Find the gap at each seat and the shortest move that leaves it.

    Parameters
    ----------
    space
        The room.
    walks
        How the seats may be moved.
    now
        All subwoofers together at the seats under each doubt, shape (doubts, seats, frequencies) [1].
    moved
        The same at the ears of each walk, each of shape (doubts, shifts, seats of the walk, frequencies) [1].
    bands
        Bands over all seats.

    Returns
    -------
    tuple
        Deepest gap first.
    """
    told = []
    for gap in gaps_of(levels_db(now[0]), space.freq_hz):
        number = next(i for i, walk in enumerate(walks) if gap.seat in walk.seats)
        told.append(_best(space, (walks[number], moved[number]), now, gap, bands))
    return tuple(told)


def _together(survey: Survey, seats: tuple[Seat, ...], one: int) -> tuple[int, ...]:
    """Return the seats that move with one: those on the same piece of furniture."""
    piece = _piece_under(survey, seats[one])
    if piece is None:
        return (one,)
    return tuple(i for i, seat in enumerate(seats) if encloses(piece.outline, seat.at))


def _piece_under(survey: Survey, seat: Seat) -> Furniture | None:
    return next(
        (
            p
            for p in survey.room.furniture
            if len(p.outline) > 2 and is_seating(p) and encloses(p.outline, seat.at)
        ),
        None,
    )


def _shifts(project: Project, survey: Survey, seats: tuple[Seat, ...]) -> Iterator[Shift]:
    """Yield the moves that the room allows, from short to long in each direction."""
    main, centre = project.main_seat.at, project.screen.centre
    away = hypot(centre[0] - main[0], centre[1] - main[1])
    ahead = ((centre[0] - main[0]) / away, (centre[1] - main[1]) / away)
    ways = {
        "forward": ahead,
        "back": (-ahead[0], -ahead[1]),
        "left": (-ahead[1], ahead[0]),
        "right": (ahead[1], -ahead[0]),
    }
    for direction, way in ways.items():
        for number in range(1, round(FURTHEST_M / STEP_M) + 1):
            by = number * STEP_M
            shift = Shift(direction, by, (by * way[0], by * way[1]))
            if not _fits(survey, seats, shift):
                break
            yield shift


def _fits(survey: Survey, seats: tuple[Seat, ...], shift: Shift) -> bool:
    """Tell whether seats, and the piece of furniture that they are on, can move so."""
    dx, dy = shift.step
    if not all(in_room(survey, (seat.at[0] + dx, seat.at[1] + dy, seat.ear_mid_m)) for seat in seats):
        return False
    piece = _piece_under(survey, seats[0])
    if piece is None:
        return True
    moved = shapely.Polygon([(x + dx, y + dy) for x, y in piece.outline])
    floor = shapely.Polygon(survey.room.floor).buffer(SLACK_M, join_style="mitre")
    if not moved.is_valid or not floor.covers(moved):
        return False
    others = (p for p in survey.room.furniture if p is not piece and len(p.outline) > 2 and top_m(p) > FLAT_M)
    shapes = (shapely.Polygon(other.outline) for other in others)
    return not any(shape.is_valid and moved.buffer(-SLACK_M).intersects(shape) for shape in shapes)


def _best(space: Space, tried: tuple[Walk, Complex], now: Complex, gap: Gap, bands: Bands) -> SeatMove:
    """Return the shortest move that surely fills a gap and spoils nothing; one that says so if there is none."""
    walk, moved = tried
    freq = space.freq_hz
    near = (freq >= freq[gap.at] / WIDTH) & (freq <= freq[gap.at] * WIDTH)
    before = levels_db(now[:, gap.seat, near]).min(axis=-1)
    fill = levels_db(moved[:, :, walk.seats.index(gap.seat)][..., near]).min(axis=-1) - before[:, None]
    everyone = np.repeat(now[0][None], len(walk.shifts), axis=0)
    everyone[:, list(walk.seats)] = moved[0]
    merit = score_response(everyone, bands).merit_db if walk.shifts else np.empty(0)
    merit_now = float(score_response(now[0][None], bands).merit_db[0])
    good = (fill[0] >= FILLED_DB) & (fill.min(axis=0) >= SURELY_DB) & (merit <= merit_now + WORSE_DB)
    names = tuple(space.names[i] for i in walk.seats)
    head = (space.names[gap.seat], float(freq[gap.at]), gap.depth_db, walk.what, names)
    if not good.any():
        return SeatMove(*head, "", 0.0, None, merit_now, merit_now)
    i = min(np.flatnonzero(good), key=lambda i: (round(walk.shifts[i].by_m, 6), merit[i]))
    filled = (float(fill[0, i]), float(fill[:, i].min()), float(fill[:, i].max()))
    return SeatMove(
        *head, walk.shifts[i].direction, round(walk.shifts[i].by_m, 6), filled, merit_now, float(merit[i])
    )
