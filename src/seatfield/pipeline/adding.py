"""Adding things to a project: sensible first measures, all of them common practice and meant to be typed over."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from seatfield.catalogue.systems import Channel, system
from seatfield.geometry.polygon import bounds, contains
from seatfield.model import Mount, Point3
from seatfield.pipeline.moving import stepped
from seatfield.pipeline.places_in_file import CommandRefusedError, Place, Spot, along_m, sound_spot
from seatfield.pipeline.things import things
from seatfield.stages import layout
from seatfield.store import Append, Edit


@dataclass(frozen=True, slots=True)
class Piece:
    """First measures of a piece of furniture [m]."""

    width_m: float
    depth_m: float
    height_m: float
    base_m: float = 0.0


FURNITURE = {
    "sofa": Piece(2.0, 0.9, 0.8),
    "armchair": Piece(0.85, 0.85, 0.8),
    "table": Piece(1.4, 0.8, 0.74),
    "low table": Piece(1.1, 0.6, 0.45),
    "cabinet": Piece(1.4, 0.4, 0.5),
    "bookcase": Piece(0.8, 0.33, 2.0),
    "bed": Piece(2.0, 1.6, 0.5),
    "furniture": Piece(0.6, 0.6, 0.8),
}
AREAS = {"rug": (2.0, 1.4), "keep-out": (0.8, 0.8)}
OVERHEAD = {"lamp": (0.4, 0.4, 0.4), "beam": (2.0, 0.2, 0.2), "fan": (1.2, 1.2, 0.35)}
OPENINGS = {"door": (0.85, 0.0, 2.0), "window": (1.2, 0.9, 1.2), "archway": (1.6, 0.0, 2.1)}
EAR_M = 1.05
AROUND_M = 0.6
"""What is added without a place keeps so far from the middle of everything else, so that a hand can take each."""
OFF_WALL_M = 0.25
"""Room that a first place leaves between a loudspeaker and the wall."""
SORTS = (
    *OPENINGS,
    *FURNITURE,
    *AREAS,
    *OVERHEAD,
    "curtain",
    "raceway",
    "socket",
    "radiator",
    "seat",
    "loudspeaker",
    "subwoofer",
    "amplifier",
)


def added(place: Place, what: str, at: Spot | None) -> Iterable[Edit]:
    """Add a thing of a sort near a place, or in the room's middle.

    Raises
    ------
    CommandRefusedError
        If there is no such sort.
    """
    spot = _inside(place, sound_spot(at) if at is not None else None)
    if what in FURNITURE:
        piece = FURNITURE[what]
        table: dict[str, Any] = {"name": _free_name(place, "furniture", what), "kind": what}
        table |= {"outline": _box(place, spot, piece.width_m, piece.depth_m)}
        return [Append(("furniture",), table | {"height": place.number(piece.height_m)})]
    if what in AREAS:
        return _area(place, what, spot)
    if what in OVERHEAD:
        width, depth, drop = OVERHEAD[what]
        table = {"name": _free_name(place, what, what), "outline": _box(place, spot, width, depth)}
        return [Append((what,), table | {"drop": place.number(drop)})]
    if what in {*OPENINGS, "curtain", "raceway", "socket", "radiator"}:
        return _on_wall(place, what, spot)
    if what in {"seat", "loudspeaker", "subwoofer", "amplifier"}:
        return _kit(place, what, spot)
    raise CommandRefusedError(f"There is no sort {what!r} to add; there are: {', '.join(SORTS)}.")


def _inside(place: Place, at: Spot | None) -> Spot:
    """Return the place, or where there is none or it lies outside, the free spot nearest to the room's middle."""
    floor = place.survey.room.floor
    if not floor:
        return at or place.project.main_seat.at
    if at is not None and contains(floor, at):
        return at
    left, low, right, high = bounds(floor)
    middle = ((left + right) / 2, (low + high) / 2)
    taken = [one.at for one in things(place.project, place.survey) if one.kind not in {"corner", "wall"}]
    step = AROUND_M / 2
    grid = (
        (left + step * column, low + step * row)
        for column in range(1, math.ceil((right - left) / step))
        for row in range(1, math.ceil((high - low) / step))
    )
    spots = sorted((spot for spot in grid if contains(floor, spot)), key=lambda spot: math.dist(spot, middle))
    free = (spot for spot in spots if all(math.dist(spot, other) >= AROUND_M for other in taken))
    return next(free, place.project.main_seat.at)


def _box(place: Place, middle: Spot, width: float, depth: float) -> list[list[float]]:
    left, low = stepped(place, middle[0] - width / 2), stepped(place, middle[1] - depth / 2)
    corners = ((left, low), (left + width, low), (left + width, low + depth), (left, low + depth))
    return [place.spot(corner) for corner in corners]


def _free_name(place: Place, table: str, name: str) -> str:
    used = {entry.get("name") for entry in place.rows(table)}
    return (
        name
        if name not in used
        else next(f"{name} {n}" for n in range(2, 10_000) if f"{name} {n}" not in used)
    )


def _area(place: Place, what: str, spot: Spot) -> Iterable[Edit]:
    outline = _box(place, spot, *AREAS[what])
    if what == "rug":
        return [Append(("cover",), {"kind": "rug", "outline": outline})]
    return [Append(("limits", "keep_out"), {"name": "keep clear", "outline": outline})]


def _on_wall(place: Place, what: str, spot: Spot) -> Iterable[Edit]:
    wall = place.nearest_wall(spot)
    width = {"curtain": 1.4, "raceway": 2.0, "radiator": 1.0, "socket": 0.0}.get(what)
    if width is None:
        width = OPENINGS[what][0]
    width = min(width, wall.length_m * 0.9)
    start = min(max(along_m(wall, spot) - width / 2, 0.0), wall.length_m - width)
    start = stepped(place, start)
    number = wall.wall.number
    if what == "socket":
        return [Append(("socket",), {"wall": number, "at": place.number(start)})]
    stretch = {"wall": number, "from": place.number(start), "to": place.number(start + width)}
    if what == "radiator":
        return [Append(("radiator",), stretch)]
    if what in {"curtain", "raceway"}:
        more = {"height": place.number(0.05)} if what == "raceway" else {}
        return [Append(("cover",), {"kind": what} | stretch | more)]
    _, sill, height = OPENINGS[what]
    opening: dict[str, Any] = {"kind": what, "wall": number, "start": place.number(start)}
    opening |= {"width": place.number(width), "sill": place.number(sill), "height": place.number(height)}
    return [Append(("opening",), opening)]


def _kit(place: Place, what: str, spot: Spot) -> Iterable[Edit]:
    spot = (stepped(place, spot[0]), stepped(place, spot[1]))
    if what == "seat":
        name = _free_name(place, "seat", f"seat {len(place.rows('seat')) + 1}")
        return [Append(("seat",), {"name": name, "at": place.spot(spot), "ear": place.number(EAR_M)})]
    if what == "amplifier":
        at = [*place.spot(spot), place.number(0.3)]
        return [Append(("amplifier",), {"name": _free_name(place, "amplifier", "amplifier"), "at": at})]
    model, edits = _model(place, what)
    if what == "subwoofer":
        name = _free_name(place, "subwoofer", "subwoofer")
        at = [*place.spot(spot), place.number(0.2)]
        return [*edits, Append(("subwoofer",), {"name": name, "model": model, "at": at})]
    missing = missing_channels(place)
    if not missing:
        raise CommandRefusedError(
            "Every channel of the sound system has its loudspeaker; choose another system first, or remove one."
        )
    return [*edits, _loudspeaker(place, missing[0], model, (*spot, _first_place(place, missing[0])[2]))]


def _model(place: Place, what: str) -> tuple[str, list[Edit]]:
    """Return the name of a model of this sort, and the edits that make one where there is none."""
    of_subwoofers = what == "subwoofer"
    for entry in place.rows("model"):
        if (entry.get("kind") == "subwoofer") is of_subwoofers:
            return str(entry["name"]), []
    name = _free_name(place, "model", f"my {what}")
    table = {"name": name} | ({"kind": "subwoofer"} if of_subwoofers else {})
    return name, [Append(("model",), table)]


def missing_channels(place: Place) -> tuple[Channel, ...]:
    """Return the channels of the chosen system that have no loudspeaker, but for the low-frequency ones."""
    place.refuse_if_unfit()
    taken = {one.channel for one in place.project.loudspeakers}
    chosen = system(layout.plan(place.project, place.survey).system)
    return tuple(
        channel
        for channel in (chosen.channels if chosen else ())
        if not channel.low_frequency and channel.label not in taken
    )


def appended_channels(place: Place, only: str = "") -> Iterable[Edit]:
    """Add a loudspeaker for every channel that has none, or for one of them, where the plan shows it.

    Notes
    -----
    Where the plan knows no place for it, where its nominal direction meets the room's edge, 25 cm off the wall and at
    ear height for the middle layer: a first place to move from, and no advice.
    """
    missing = [one for one in missing_channels(place) if only in {"", one.label}]
    if not missing:
        raise CommandRefusedError(
            f"No loudspeaker is missing for a channel {only} of this sound system."
            if only
            else "Every channel of the sound system has its loudspeaker."
        )
    model, edits = _model(place, "loudspeaker")
    shown = {one.channel: one for one in layout.plan(place.project, place.survey).loudspeakers if one.at}
    for channel in missing:
        one = shown.get(channel.label)
        at = one.at if one is not None and one.at is not None else _first_place(place, channel)
        edits.append(_loudspeaker(place, channel, model, at, one.mount if one is not None else None))
    return edits


def _loudspeaker(place: Place, channel: Channel, model: str, at: Point3, mount: Mount | None = None) -> Edit:
    x, y, z = (stepped(place, value) for value in at)
    table: dict[str, Any] = {"channel": channel.label, "model": model}
    table |= {"at": [*place.spot((x, y)), place.number(z)]}
    return Append(("loudspeaker",), table | ({"mount": mount.value} if mount is not None else {}))


def _first_place(place: Place, channel: Channel) -> tuple[float, float, float]:
    """Where the channel's nominal direction, seen from the main seat, comes near the outline or the ceiling [m]."""
    seat, screen = place.project.main_seat, place.project.screen.centre
    forward = math.atan2(screen[1] - seat.at[1], screen[0] - seat.at[0])
    azimuth = forward + math.radians(channel.azimuth_deg or 0.0)
    rise = math.tan(math.radians(min(channel.elevation_deg or 0.0, 80.0)))
    ceiling = min(place.survey.corner_heights_m) - 0.1
    reach = 0.3
    for step in range(1, 400):
        far = 0.05 * step
        x, y = seat.at[0] + far * math.cos(azimuth), seat.at[1] + far * math.sin(azimuth)
        inside = contains(place.survey.room.floor, (x, y))
        if not inside or seat.ear_mid_m + far * rise > ceiling:
            break
        reach = far
    reach = max(reach - OFF_WALL_M * (rise == 0.0), 0.3)
    return (
        seat.at[0] + reach * math.cos(azimuth),
        seat.at[1] + reach * math.sin(azimuth),
        min(max(seat.ear_mid_m + reach * rise, 0.3), ceiling),
    )
