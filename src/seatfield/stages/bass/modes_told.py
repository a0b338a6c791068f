"""The modes of the room in words: which way each goes, and what it does at the seats and the subwoofers."""

import numpy as np

from seatfield.acoustics import RoomModes, damping, decay_time, mode_pressure
from seatfield.model import Point3
from seatfield.stages.bass.result import AtPlace, Field, RoomMode
from seatfield.stages.bass.space import Floats, Space
from seatfield.stages.survey import Survey, wall_name

TOLD_HZ = 120.0
"""Up to here a mode's doings are told in a sentence [Hz]."""
NULL_DB = -15.0
STRONG_DB = -3.0
FAINTEST_DB = -60.0
SQUARE_DEG = 0.6
SAME = 2e-4


def modes_of(
    survey: Survey, space: Space, subwoofers: tuple[tuple[str, Point3], ...]
) -> tuple[RoomMode, ...]:
    """Write the modes down.

    Parameters
    ----------
    survey, space
        The room.
    subwoofers
        Those that have a place in the room: id and acoustic centre [m].

    Returns
    -------
    tuple
        In ascending order of frequency.
    """
    modes = space.modes
    decay = decay_time(damping(modes, space.losses))
    seats = levels_db(modes, space.seats)
    subs = (
        levels_db(modes, space.under([at for _, at in subwoofers]))
        if subwoofers
        else np.empty((0, len(decay)))
    )
    kinds = kinds_of(survey, space)
    made = []
    for i, freq in enumerate(modes.freq_hz):
        at_seats = tuple(AtPlace(name, float(seats[j, i])) for j, name in enumerate(space.names))
        at_subs = tuple(AtPlace(name, float(subs[j, i])) for j, (name, _) in enumerate(subwoofers))
        does = _does(at_seats, at_subs) if freq <= TOLD_HZ else ""
        made.append(RoomMode(float(freq), float(decay[i]), kinds[i], at_seats, at_subs, does))
    return tuple(made)


def levels_db(modes: RoomModes, points: Floats) -> Floats:
    """Return how strong each mode is at points, against where it is strongest, shape (points, modes) [dB]."""
    base = np.abs(modes.values[:, modes.base]).max(axis=0)
    scale = np.where(modes.order_k[modes.order] > 0, 2.0, 1.0) / (modes.height_m or 1.0)
    most = base * (np.sqrt(scale) if modes.height_m is not None else 1.0)
    share = np.abs(mode_pressure(modes, points)) / most
    return np.asarray(np.maximum(20 * np.log10(np.maximum(share, 1e-9)), FAINTEST_DB))


def sides_of_rectangle(survey: Survey, space: Space) -> tuple[float, float] | None:
    """Return the lengths of the walls A–B and B–C of a rectangular floor under a flat ceiling [m]; else None."""
    walls = survey.walls
    square = len(walls) == 4 and all(
        abs(walls[i].along[0] * walls[i - 1].along[0] + walls[i].along[1] * walls[i - 1].along[1])
        < np.radians(SQUARE_DEG)
        for i in range(4)
    )
    whole = abs(space.shell.floor.area - survey.area_m2) < 1e-6
    flat = space.modes.height_m is not None
    return (walls[0].length_m, walls[1].length_m) if square and whole and flat else None


def kinds_of(survey: Survey, space: Space) -> tuple[str, ...]:
    """Return which way each mode goes, in words."""
    modes = space.modes
    if modes.height_m is None:
        return ("through the room, under the slopes",) * len(modes.freq_hz)
    sides = sides_of_rectangle(survey, space)
    return tuple(
        _kind(space, (int(modes.base[i]), int(modes.order[i])), sides) for i in range(len(modes.freq_hz))
    )


def _kind(space: Space, which: tuple[int, int], sides: tuple[float, float] | None) -> str:
    base, order = which
    ways = []
    if base > 0:
        ways += _in_plan(float(space.modes.base_k[base]), sides)
    if order > 0:
        ways.append(f"{_times(order)}between floor and ceiling")
    return " and ".join(ways)


def _in_plan(k: float, sides: tuple[float, float] | None) -> list[str]:
    """Return the ways of a base mode: those of the closed form in a rectangle, else one word for all."""
    if sides is None:
        return ["across the plan"]
    most = [int(k * side / np.pi) + 1 for side in sides]
    pairs = [(p, q) for p in range(most[0] + 1) for q in range(most[1] + 1)]
    p, q = min(pairs, key=lambda pq: abs(np.hypot(*(np.pi * np.array(pq) / np.array(sides))) - k))
    names = [wall_name(number, 4) for number in (0, 1)]
    return [f"{_times(n)}along {name}" for n, name in ((p, names[0]), (q, names[1])) if n]


def _times(number: int) -> str:
    return {1: "", 2: "twice "}.get(number, f"{number} times ")


def _does(seats: tuple[AtPlace, ...], subwoofers: tuple[AtPlace, ...]) -> str:
    nulls = [one.id for one in seats if one.level_db < NULL_DB]
    strong = [one.id for one in seats if one.level_db > STRONG_DB]
    idle = [one.id for one in subwoofers if one.level_db < NULL_DB]
    parts = []
    if nulls:
        parts.append(f"hardly heard at {quoted(nulls)}")
    if strong:
        parts.append(f"loud at {quoted(strong)}")
    if idle:
        parts.append(f"hardly driven by {quoted(idle)}")
    text = "; ".join(parts)
    return f"{text[:1].upper()}{text[1:]}." if text else "Heard with middling strength at every seat."


def quoted(names: list[str]) -> str:
    """Return names in quotation marks, the last two joined by “and”."""
    marked = [f"“{name}”" for name in names]
    return marked[0] if len(marked) == 1 else f"{', '.join(marked[:-1])} and {marked[-1]}"


def shape_of(survey: Survey, space: Space, number: int, height_m: float) -> Field:
    """Return the pressure of one mode over the floor at a height, against its largest anywhere.

    Parameters
    ----------
    survey, space
        The room.
    number
        Index into the list of modes.
    height_m
        Height above the floor [m].

    Returns
    -------
    Field
        From −1 to 1; lines of 0 are where it is not heard.
    """
    from seatfield.stages.bass.mapping import Grid

    grid = Grid(survey, height_m)
    pressure = mode_pressure(space.modes, space.under(grid.points), [number])[:, 0]
    field = grid.field(pressure / max(float(np.abs(pressure).max()), 1e-12), "pressure of one mode")
    return Field(field.what, "", field.x_m, field.y_m, field.values)
