"""Changing the room's outline: walls slid, given a length, split; corners taken away; tape readings settled."""

from collections.abc import Iterable, Iterator
from typing import Any

from seatfield.model import Cover, Radiator, Treatment
from seatfield.pipeline.moving import corners_at, stepped
from seatfield.pipeline.places_in_file import (
    CommandRefusedError,
    Place,
    Spot,
    along_m,
    sound_spot,
)
from seatfield.stages.survey import WallFrame, wall_name
from seatfield.store import Append, Edit, Remove, Set

FLOOR = ("room", "floor")
SQUARE = 0.02
"""Cosine below which two walls count as square to each other: about one degree."""
SHORTEST_M = 0.05
# Lists of the file whose entries name a wall, and the key that tells where on it they start.
ON_WALLS = {
    "opening": ("start",),
    "socket": ("at",),
    "radiator": ("from", "to"),
    "cover": ("from", "to"),
    "treatment": ("from", "to"),
}


def slid_wall(place: Place, number: int, to: Spot, *, snap: bool) -> Iterable[Edit]:
    """Move a wall square to itself until it passes through `to`."""
    wall, to = place.wall(number), sound_spot(to)
    corners = corners_at(place, FLOOR)
    nx, ny = wall.inward
    shift = (to[0] - wall.start[0]) * nx + (to[1] - wall.start[1]) * ny
    if snap:
        shift = stepped(place, shift)
    ends = {number, (number + 1) % len(corners)}
    return _set_corners(
        place,
        corners,
        [(x + shift * nx, y + shift * ny) if i in ends else (x, y) for i, (x, y) in enumerate(corners)],
    )


def wall_length(place: Place, number: int, text: str) -> Iterable[Edit]:
    """Give a wall a length as typed: its far end moves, and the wall there goes with it where it stands square."""
    wall = place.wall(number)
    length_m = _length(place, text)
    if place.project.room.tape is not None:
        return [Set(("room", "walls", number), text)]
    corners = corners_at(place, FLOOR)
    shift = length_m - wall.length_m
    count = len(corners)
    moving = {(number + 1) % count}
    following = place.wall((number + 1) % count)
    if abs(following.along[0] * wall.along[0] + following.along[1] * wall.along[1]) < SQUARE and count > 3:
        moving.add((number + 2) % count)
    ux, uy = wall.along
    return _set_corners(
        place,
        corners,
        [(x + shift * ux, y + shift * uy) if i in moving else (x, y) for i, (x, y) in enumerate(corners)],
    )


def _length(place: Place, text: str) -> float:
    length_m = place.length_m(text)
    if not SHORTEST_M <= length_m < 100.0:
        raise CommandRefusedError(f"A wall of {text} is none; a wall is between 5 cm and 100 m long.")
    return length_m


def _set_corners(place: Place, before: list[Spot], after: list[Spot]) -> Iterator[Edit]:
    for index, (one, other) in enumerate(zip(before, after, strict=True)):
        for axis in (0, 1):
            if abs(one[axis] - other[axis]) > 1e-9:
                yield Set((*FLOOR, index, axis), place.number(other[axis]))


def split_wall(place: Place, number: int, at: Spot) -> Iterable[Edit]:
    """Put a corner into a wall; what sits beyond it is counted from the new corner."""
    wall, at = place.wall(number), sound_spot(at)
    corners_at(place, FLOOR)
    along = stepped(place, along_m(wall, at))
    if not SHORTEST_M <= along <= wall.length_m - SHORTEST_M:
        raise CommandRefusedError("A new corner needs 5 cm of wall on both sides; choose a place further in.")
    _refuse_across(place, number, along)
    raw = list(place.raw(FLOOR) or [])
    corner = place.spot((wall.start[0] + along * wall.along[0], wall.start[1] + along * wall.along[1]))
    edits: list[Edit] = [Set(FLOOR, [*raw[: number + 1], corner, *raw[number + 1 :]])]
    for name, index, entry in _entries(place):
        stands = entry["wall"]
        if stands > number:
            edits.append(Set((name, index, "wall"), stands + 1))
        elif stands == number and _start_m(place, name, index) < along - 1e-6:
            edits.append(
                Set((name, index, "wall"), number)
            )  # letters of the last wall would name another now
        elif stands == number:
            edits.append(Set((name, index, "wall"), number + 1))
            edits += [
                Set((name, index, key), place.number(value - along))
                for key, value in _stretch(place, name, index).items()
            ]
    return edits + _wall_records_after_split(place, number)


def _wall_records_after_split(place: Place, number: int) -> list[Edit]:
    """Renumber what is known of later walls; the new wall is made of what the old one is."""
    rows = list(enumerate(place.rows("wall")))
    edits: list[Edit] = [
        Set(("wall", index, "number"), entry["number"] + (entry["number"] > number))
        for index, entry in rows
        if entry.get("number", -1) >= number
    ]
    whole = [entry for _, entry in rows if entry.get("number") == number]
    same = [
        {key: value for key, value in entry.items() if key in {"finish", "build", "stud_spacing"}}
        for entry in whole
    ]
    return edits + [Append(("wall",), {"number": number + 1} | entry) for entry in same if entry]


def corner_removed(place: Place, number: int) -> Iterable[Edit]:
    """Take a corner away: the two walls that met there become one."""
    corners = corners_at(place, FLOOR)
    if not 0 <= number < len(corners):
        raise CommandRefusedError(f"There is no corner {number}; the corners are 0 to {len(corners) - 1}.")
    if len(corners) <= 3:
        raise CommandRefusedError("A room has at least three corners; this one cannot be taken away.")
    if number == 0:
        raise CommandRefusedError("Places on walls are counted from the first corner; take another away.")
    count = len(corners)
    standing = [name for name, _, entry in _entries(place) if entry["wall"] in {number, (number - 1) % count}]
    if standing:
        told = ", ".join(sorted(set(standing)))
        raise CommandRefusedError(
            f"On the walls beside this corner there is something ({told}); move or remove it first."
        )
    edits: list[Edit] = [
        Set((name, index, "wall"), entry["wall"] - 1)
        for name, index, entry in _entries(place)
        if entry["wall"] > number
    ]
    rows = place.rows("wall")
    edits += [
        Set(("wall", index, "number"), entry["number"] - 1)
        for index, entry in enumerate(rows)
        if entry.get("number", -1) > number
    ]
    gone = [index for index, entry in enumerate(rows) if entry.get("number") == number]
    return [*edits, *(Remove(("wall", index)) for index in reversed(gone)), Remove((*FLOOR, number))]


def settled(place: Place) -> Iterable[Edit]:
    """Put the corners that follow from the tape readings into the file, in place of the readings."""
    if place.project.room.tape is None:
        raise CommandRefusedError("This outline has corners already.")
    edits: list[Edit] = [Set(FLOOR, [place.spot(corner) for corner in place.survey.room.floor])]
    edits += [Remove(("room", key)) for key in ("walls", "diagonals") if place.stands(("room", key))]
    return edits


def _entries(place: Place) -> Iterator[tuple[str, int, dict[str, Any]]]:
    """Every entry of the file that names a wall."""
    for name in ON_WALLS:
        for index, entry in enumerate(place.rows(name)):
            if isinstance(entry.get("wall"), int):
                yield name, index, entry


def _stretch(place: Place, name: str, index: int) -> dict[str, float]:
    """Where an entry starts, and ends, along its wall, by the file's keys [m]."""
    room, key = place.project.room, f"{name}[{index}]"
    for opening in room.openings:
        if opening.key == key:
            return {"start": opening.start_m}
    for socket in room.sockets:
        if socket.key == key:
            return {"at": socket.at_m}
    pieces: tuple[Radiator | Cover | Treatment, ...] = (*room.radiators, *room.covers, *room.treatments)
    for piece in pieces:
        if piece.key == key and piece.from_m is not None and piece.to_m is not None:
            return {"from": piece.from_m, "to": piece.to_m}
    return {}


def _start_m(place: Place, name: str, index: int) -> float:
    return min(_stretch(place, name, index).values(), default=0.0)


def _end_m(place: Place, name: str, index: int) -> float:
    for opening in place.project.room.openings:
        if opening.key == f"{name}[{index}]":
            return opening.start_m + opening.width_m
    return max(_stretch(place, name, index).values(), default=0.0)


def _refuse_across(place: Place, number: int, along: float) -> None:
    for name, index, entry in _entries(place):
        if (
            entry["wall"] == number
            and _start_m(place, name, index) < along - 1e-6 < _end_m(place, name, index) - 2e-6
        ):
            wall: WallFrame = place.wall(number)
            raise CommandRefusedError(
                f"The {name} on wall {wall_name(wall.wall.number, len(place.survey.walls))} stands across that "
                "place; choose another, or move it first."
            )
