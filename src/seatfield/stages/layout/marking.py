"""Marking out with nothing but a tape: two distances on the floor and a third as a check, or along a wall."""

from dataclasses import dataclass, replace
from itertools import combinations
from math import dist, radians, sin

from seatfield.geometry.polygon import encloses
from seatfield.geometry.segment import distance_to_segment
from seatfield.geometry.sight import length_inside, stays_inside
from seatfield.geometry.tape import crossing_deg, crossing_points
from seatfield.model import Furniture, Mount, Point, Point3
from seatfield.stages.layout.result import Mark, Tape
from seatfield.stages.survey import Survey, WallFrame, corner_name, top_m, wall_name

CROSSING_DEG = (30.0, 150.0)
"""Tapes that cross outside these angles fix a point badly: common practice in surveying, no source."""

ON_FLOOR_M = 0.10
FLAT_M = 0.03
GRAZE_M = 0.02
NEAR_WALL_M = 0.5


@dataclass(frozen=True, slots=True)
class ToMark:
    """What is marked out: a loudspeaker or a subwoofer."""

    id: str
    channel: str
    at: Point3
    mount: Mount | None


def mark(survey: Survey, one: ToMark) -> Mark:
    """Say how to mark one place with a tape.

    Parameters
    ----------
    survey
        The room as surveyed.
    one
        What stands or hangs there.

    Returns
    -------
    Mark
        On a wall: the distance along it and the height. Elsewhere: two tapes on the floor to the plumb point
        that cross well and a third that checks them; where furniture or the room's shape forbids them, the
        distance along the nearest wall and out from it, with a note that says why.
    """
    below = _underneath(survey, one.at)
    if one.mount in (Mount.WALL, Mount.SHELF) and below is None:
        wall = _nearest_wall(survey, one.at[:2])
        if wall is not None and _off(wall, one.at[:2]) <= NEAR_WALL_M:
            return _along(survey, one, wall, "")
    if below is not None:
        return _beside_wall(
            survey, one, f"It stands on or in {below.name}: tapes cannot lie on the floor under it."
        )
    tapes = _tapes(survey, one.at[:2])
    if not tapes:
        return _beside_wall(
            survey, one, "No two corners have a free way on the floor that crosses well here."
        )
    crossing = crossing_deg(one.at[:2], tapes[0].at, tapes[1].at)
    told = Mark(one.id, one.channel, one.at[2], tapes, crossing, note=_which_side(survey, one.at[:2], tapes))
    return told if len(tapes) > 2 else _checked(told, _square_out(survey, one.at[:2]))


Check = tuple[str, float]
"""Where a check is measured from, and what it reads [m]."""


def _checked(told: Mark, check: Check | None) -> Mark:
    return told if check is None else replace(told, check_from=check[0], check_m=check[1])


def _square_out(survey: Survey, point: Point) -> Check | None:
    """Return the distance square out from the nearest wall from which a tape can lie on the floor."""
    feet = []
    for wall in survey.walls:
        along, out = _within(wall, point)
        if 0.0 <= along <= wall.length_m and free_tape(survey, _point(wall, along, 0.0), point):
            feet.append((round(out, 9), wall.wall.number))
    if not feet:
        return None
    out, number = min(feet)
    return f"wall {wall_name(number, len(survey.walls))}, square out", out


def _along_or_across(survey: Survey, one: ToMark, wall: WallFrame, corner: str) -> Check | None:
    """Return a check of a place along a wall: from the wall's other corner, or across the floor from another one."""
    along, _ = _within(wall, one.at[:2])
    number = wall.wall.number
    ends = (corner_name(number), corner_name((number + 1) % len(survey.walls)))
    from_start = corner == ends[0]
    low, high = (along, wall.length_m) if from_start else (0.0, along)
    if 0.0 <= low <= high <= wall.length_m and not _blocked(survey, wall, (low, high), one.at[2]):
        return f"corner {ends[from_start]}, along the wall", high - low
    across = [
        (round(dist(at, one.at[:2]), 9), corner_name(i))
        for i, at in enumerate(survey.room.floor)
        if corner_name(i) not in ends and free_tape(survey, at, one.at[:2])
    ]
    return (f"corner {min(across)[1]}, on the floor", min(across)[0]) if across else None


def _within(wall: WallFrame, point: Point) -> Point:
    """Return how far along a wall, and out from it, a point lies [m]."""
    gap = point[0] - wall.start[0], point[1] - wall.start[1]
    along = gap[0] * wall.along[0] + gap[1] * wall.along[1]
    return along, gap[0] * wall.inward[0] + gap[1] * wall.inward[1]


def stands_on_floor(piece: Furniture) -> bool:
    """Tell whether a piece of furniture is in the way of a tape on the floor."""
    return piece.base_m < ON_FLOOR_M and top_m(piece) > FLAT_M and len(piece.outline) > 2


def _underneath(survey: Survey, at: Point3) -> Furniture | None:
    standing = (piece for piece in survey.room.furniture if stands_on_floor(piece))
    return next((piece for piece in standing if encloses(piece.outline, at[:2])), None)


def free_tape(survey: Survey, corner: Point, point: Point) -> bool:
    """Tell whether a tape can lie on the floor from a corner to a point.

    Parameters
    ----------
    survey
        The room as surveyed.
    corner, point
        The tape's ends [m].

    Returns
    -------
    bool
        True where it crosses no wall and no furniture that stands on the floor.
    """
    pieces = (piece for piece in survey.room.furniture if stands_on_floor(piece))
    return stays_inside(corner, point, survey.room.floor) and all(
        length_inside(corner, point, piece.outline) <= GRAZE_M for piece in pieces
    )


def _tapes(survey: Survey, point: Point) -> tuple[Tape, ...]:
    floor = survey.room.floor
    free = [
        Tape(corner_name(number), corner, dist(corner, point))
        for number, corner in enumerate(floor)
        if dist(corner, point) > 0.05 and free_tape(survey, corner, point)
    ]
    pairs = [pair for pair in combinations(free, 2) if _crosses_well(point, *pair)]
    if not pairs:
        return ()
    best = min(pairs, key=lambda pair: _badness(point, *pair))
    others = [tape for tape in free if tape not in best]
    check = max(others, key=lambda tape: _tells_apart(point, best, tape), default=None)
    return (*best, check) if check else best


def _crosses_well(point: Point, one: Tape, two: Tape) -> bool:
    low, high = CROSSING_DEG
    return low + 0.1 <= crossing_deg(point, one.at, two.at) <= high - 0.1


def _badness(point: Point, one: Tape, two: Tape) -> float:
    """Grow with the error of the point: blunt crossings and long, sagging tapes."""
    blunt = 1 / sin(radians(crossing_deg(point, one.at, two.at)))
    return round(blunt * (1 + (one.distance_m + two.distance_m) / 20), 9)


def _tells_apart(point: Point, pair: tuple[Tape, Tape], check: Tape) -> float:
    """Return how differently a check reads at the point and at the other crossing of the first two tapes [m]."""
    met = crossing_points(pair[0].at, pair[0].distance_m, pair[1].at, pair[1].distance_m)
    other = max(met, key=lambda where: dist(where, point), default=point)
    return round(abs(dist(check.at, other) - check.distance_m), 9)


def _which_side(survey: Survey, point: Point, tapes: tuple[Tape, ...]) -> str:
    """Say which crossing is meant, where both lie in the room."""
    met = crossing_points(tapes[0].at, tapes[0].distance_m, tapes[1].at, tapes[1].distance_m)
    other = max(met, key=lambda where: dist(where, point), default=point)
    if dist(other, point) < 0.1 or not encloses(survey.room.floor, other):
        return ""
    if len(tapes) > 2:
        return (
            f"The tapes also cross elsewhere in the room: the place that {tapes[2].corner} confirms is meant."
        )
    nearest = min(range(len(survey.room.floor)), key=lambda i: dist(survey.room.floor[i], point))
    return f"The tapes also cross elsewhere in the room: the place nearer to corner {corner_name(nearest)} is meant."


def _nearest_wall(survey: Survey, point: Point) -> WallFrame | None:
    return min(
        survey.walls,
        key=lambda wall: round(distance_to_segment(point, wall.start, wall.end), 9),
        default=None,
    )


def _off(wall: WallFrame, point: Point) -> float:
    return distance_to_segment(point, wall.start, wall.end)


def _along(survey: Survey, one: ToMark, wall: WallFrame, note: str) -> Mark:
    along = min(max(_within(wall, one.at[:2])[0], 0.0), wall.length_m)
    number, count = wall.wall.number, len(survey.walls)
    from_start = _easier_from_start(survey, wall, along, one.at[2])
    corner = number if from_start else (number + 1) % count
    reach = along if from_start else wall.length_m - along
    told = Mark(
        one.id,
        one.channel,
        one.at[2],
        wall=number,
        along_m=reach,
        from_corner=corner_name(corner),
        note=note,
        off_m=_off(wall, one.at[:2]),
    )
    return _checked(told, _along_or_across(survey, one, wall, told.from_corner))


def _easier_from_start(survey: Survey, wall: WallFrame, along: float, height_m: float) -> bool:
    """Choose the end of the wall with nothing in the tape's way at that height; the nearer of equals."""
    start_blocked = _blocked(survey, wall, (0.0, along), height_m)
    end_blocked = _blocked(survey, wall, (along, wall.length_m), height_m)
    if start_blocked != end_blocked:
        return end_blocked
    return along <= wall.length_m - along


def _blocked(survey: Survey, wall: WallFrame, stretch: tuple[float, float], height_m: float) -> bool:
    """Tell whether furniture stands in a tape's way along a stretch of a wall, at a height."""
    start, end = (_point(wall, reach, GRAZE_M) for reach in stretch)
    tall = (p for p in survey.room.furniture if len(p.outline) > 2 and p.base_m < height_m < top_m(p))
    return any(length_inside(start, end, piece.outline) > GRAZE_M for piece in tall)


def _point(wall: WallFrame, along: float, off: float) -> Point:
    return (
        wall.start[0] + along * wall.along[0] + off * wall.inward[0],
        wall.start[1] + along * wall.along[1] + off * wall.inward[1],
    )


def _beside_wall(survey: Survey, one: ToMark, why: str) -> Mark:
    wall = _nearest_wall(survey, one.at[:2])
    assert wall is not None
    return _along(survey, one, wall, why)
