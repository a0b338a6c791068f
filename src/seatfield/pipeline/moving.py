"""Moving what stands in the room: edits of the file that put a thing, or a corner of one, somewhere else."""

import math
from collections.abc import Iterable, Iterator
from typing import Any

from seatfield.pipeline.places_in_file import (
    CommandRefusedError,
    Path,
    Place,
    Spot,
    along_m,
    off_m,
    sound_spot,
)
from seatfield.pipeline.things import Thing, thing_at
from seatfield.store import Edit, Set, path_text

Texts = tuple[str | None, str | None]

SPRING_M = 0.06
"""From this close a thing springs to a wall or a line; common practice, no source."""
HIGH_M = {"loudspeaker": 1.0, "subwoofer": 0.2, "amplifier": 0.3}
"""Height that a thing gets when it is put down for the first time; the person types a better one."""


def moved(place: Place, key: str, to: Spot, *, snap: bool) -> Iterable[Edit]:
    """Move what a key names so that its handle stands at `to` [m].

    Raises
    ------
    CommandRefusedError
        If there is no such thing, or it cannot be moved.
    """
    path, to = place.path(key), sound_spot(to)
    if len(path) >= 3 and path[-2] in {"floor", "outline", "beyond"} and isinstance(path[-1], int):
        return _corner_moved(place, path, to, snap=snap)
    thing = thing_at(place.project, place.survey, key)
    if thing is None:
        raise CommandRefusedError(f"There is nothing at {key} that can be moved.")
    if thing.kind in {"opening", "socket", "radiator", "raceway", "panel"} and not thing.outline_in_file:
        return _along_wall(place, path, thing, to, snap=snap)
    if thing.outline_in_file:
        return _outline_moved(place, path, thing, to, snap=snap)
    point = _sprung_point(place, to) if snap else to
    return _point_moved(place, path, thing, point)


def turned(place: Place, key: str) -> Iterable[Edit]:
    """Turn a thing with an outline by a quarter about its middle."""
    path = place.path(key)
    thing = thing_at(place.project, place.survey, key)
    if thing is None or not thing.outline_in_file:
        raise CommandRefusedError(f"There is nothing at {key} that can be turned.")
    cx, cy = thing.at
    return _outline_edits(place, path, [(cx - (y - cy), cy + (x - cx)) for x, y in thing.outline])


def put(place: Place, key: str, *, middle: Texts, size: Texts) -> Iterable[Edit]:
    """Put a thing with an outline so that its middle and its size are as typed; what is None stays as it is."""
    path, thing = place.path(key), thing_at(place.project, place.survey, key)
    if thing is None or not thing.outline_in_file:
        raise CommandRefusedError(f"There is nothing at {key} that has a width and a depth.")
    spans = [[corner[axis] for corner in thing.outline] for axis in (0, 1)]
    corners: list[list[float]] = [list(corner) for corner in thing.outline]
    for axis, span in enumerate(spans):
        wide, centre = max(span) - min(span), thing.at[axis]
        new_wide = wide if size[axis] is None else place.length_m(size[axis] or "")
        new_centre = centre if middle[axis] is None else place.length_m(middle[axis] or "")
        if new_wide <= 0.0 or wide <= 0.0:
            raise CommandRefusedError("A thing has a width and a depth above nothing.")
        for corner in corners:
            corner[axis] = new_centre + (corner[axis] - centre) * new_wide / wide
    return _outline_edits(place, path, [sound_spot((x, y)) for x, y in corners])


def _point_moved(place: Place, path: Path, thing: Thing, to: Spot) -> Iterable[Edit]:
    where = (*path, "centre" if thing.kind == "screen" else "at")
    if place.stands(where):
        return [Set((*where, axis), value) for axis, value in enumerate(place.spot(to))]
    high = HIGH_M.get(thing.kind)
    return [Set(where, place.spot(to) + ([] if high is None else [place.number(high)]))]


def _sprung_point(place: Place, to: Spot) -> Spot:
    """Round to the step, and spring onto the axis between screen and main seat, where it is near."""
    screen_x, seat_x = place.project.screen.centre[0], place.project.main_seat.at[0]
    on_axis = abs(screen_x - seat_x) < 0.005 and abs(to[0] - seat_x) < SPRING_M
    return seat_x if on_axis else stepped(place, to[0]), stepped(place, to[1])


def stepped(place: Place, value_m: float) -> float:
    """Round a length to the step of the hand."""
    return round(value_m / place.step_m) * place.step_m


def _outline_moved(place: Place, path: Path, thing: Thing, to: Spot, *, snap: bool) -> Iterable[Edit]:
    dx, dy = to[0] - thing.at[0], to[1] - thing.at[1]
    if snap:
        dx, dy = _sprung_shift(place, thing.outline, dx, dy)
    return _outline_edits(place, path, [(x + dx, y + dy) for x, y in thing.outline])


def _sprung_shift(place: Place, outline: tuple[Spot, ...], dx: float, dy: float) -> tuple[float, float]:
    """Round a shift so that the outline's first corner lies on the step, or a side of it on a wall that is near."""
    dx = stepped(place, outline[0][0] + dx) - outline[0][0]
    dy = stepped(place, outline[0][1] + dy) - outline[0][1]
    for wall in sorted(place.survey.walls, key=lambda w: min(off_m(w, (x + dx, y + dy)) for x, y in outline))[
        :2
    ]:
        nx, ny = wall.inward
        gap = min((x + dx - wall.start[0]) * nx + (y + dy - wall.start[1]) * ny for x, y in outline)
        stretch = [along_m(wall, (x + dx, y + dy)) for x, y in outline]
        if abs(gap) < SPRING_M and max(stretch) > 0.0 and min(stretch) < wall.length_m:
            dx, dy = dx - gap * nx, dy - gap * ny
    return dx, dy


def _outline_edits(place: Place, path: Path, corners: list[Spot]) -> Iterator[Edit]:
    for number, corner in enumerate(corners):
        raw = place.raw((*path, "outline", number))
        for axis, value in enumerate(place.spot(corner)):
            if _differs(raw, axis, value):
                yield Set((*path, "outline", number, axis), value)


def _differs(raw: Any, axis: int, value: float) -> bool:
    return not (isinstance(raw, list) and len(raw) > axis and raw[axis] == value)


def _along_wall(place: Place, path: Path, thing: Thing, to: Spot, *, snap: bool) -> Iterable[Edit]:
    """Move along the wall, or onto another that is nearer."""
    wall = place.nearest_wall(to)
    width = thing.width_m
    middle = min(max(along_m(wall, to), width / 2), max(wall.length_m - width / 2, width / 2))
    start = middle - width / 2
    if snap:
        start = min(max(stepped(place, start), 0.0), max(wall.length_m - width, 0.0))
    edits: list[Edit] = []
    if place.raw((*path, "wall")) != wall.wall.number:
        edits.append(Set((*path, "wall"), wall.wall.number))
    if thing.kind == "opening":
        return [*edits, Set((*path, "start"), place.number(start))]
    if thing.kind == "socket":
        return [*edits, Set((*path, "at"), place.number(start))]
    return [
        *edits,
        Set((*path, "from"), place.number(start)),
        Set((*path, "to"), place.number(start + width)),
    ]


def _corner_moved(place: Place, path: Path, to: Spot, *, snap: bool) -> Iterable[Edit]:
    """Move one corner of an outline; a rectangle stays one, and the room's corners spring into line with others."""
    *above, _, last = path
    number = int(last)
    corners = corners_at(place, path[:-1])
    if not 0 <= number < len(corners):
        raise CommandRefusedError(
            f"There is no corner {number} here; its corners are 0 to {len(corners) - 1}."
        )
    if snap:
        to = _sprung_corner(place, corners, number, to)
    if above != ["room"] and is_rectangle(corners):
        moved_corners = _rectangle_with(corners, number, to)
    else:
        moved_corners = [*corners[:number], to, *corners[number + 1 :]]
    for index, (before, after) in enumerate(zip(corners, moved_corners, strict=True)):
        for axis in (0, 1):
            if abs(before[axis] - after[axis]) > 1e-9:
                yield Set((*path[:-1], index, axis), place.number(after[axis]))


def corners_at(place: Place, path: Path) -> list[Spot]:
    """Return the corners of an outline of the file [m].

    Raises
    ------
    CommandRefusedError
        If there is none; an outline that was read by tape has no corners of its own.
    """
    if path == ("room", "floor"):
        if place.project.room.tape is not None:
            raise CommandRefusedError(
                "This outline was read by tape, so its corners follow from the readings. Type a wall's length, "
                "or turn the outline into corners first."
            )
        return list(place.project.room.floor)
    thing = thing_at(place.project, place.survey, path_text(path[:-1]))
    if thing is None or not thing.outline_in_file:
        raise CommandRefusedError(f"There is no outline at {path_text(path)}.")
    return list(thing.outline)


def _sprung_corner(place: Place, corners: list[Spot], number: int, to: Spot) -> Spot:
    others = [corner for index, corner in enumerate(corners) if index != number]
    x = min((other[0] for other in others), key=lambda value: abs(value - to[0]), default=to[0])
    y = min((other[1] for other in others), key=lambda value: abs(value - to[1]), default=to[1])
    return (
        x if abs(x - to[0]) < SPRING_M else stepped(place, to[0]),
        y if abs(y - to[1]) < SPRING_M else stepped(place, to[1]),
    )


def is_rectangle(corners: list[Spot]) -> bool:
    """Whether four corners are an upright rectangle."""
    if len(corners) != 4:
        return False
    return all(
        math.isclose(a[0], b[0], abs_tol=1e-6) != math.isclose(a[1], b[1], abs_tol=1e-6)
        for a, b in zip(corners, corners[1:] + corners[:1], strict=True)
    )


def _rectangle_with(corners: list[Spot], number: int, to: Spot) -> list[Spot]:
    """Move a corner of an upright rectangle; the opposite one stays."""
    old, fixed = corners[number], corners[(number + 2) % 4]
    if abs(to[0] - fixed[0]) < 0.01 or abs(to[1] - fixed[1]) < 0.01:
        raise CommandRefusedError("That would leave nothing of it; keep at least a centimetre.")

    def along(value: float, axis: int) -> float:
        return to[axis] if math.isclose(value, old[axis], abs_tol=1e-6) else value

    return [(along(x, 0), along(y, 1)) for x, y in corners]
