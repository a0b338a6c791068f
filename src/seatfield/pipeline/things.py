"""What can be taken hold of on the floor plan: each thing of the project with its key, its handle and its outline."""

from collections.abc import Iterator
from dataclasses import dataclass

from seatfield.drawing.measures import length_text
from seatfield.model import Cover, LengthUnit, Point, Project, Treatment
from seatfield.stages.survey import Survey, WallFrame, corner_name, wall_name

Told = tuple[str, LengthUnit]
"""Measures in words, and the unit of lengths."""


@dataclass(frozen=True, slots=True)
class Thing:
    """Something that a hand can move.

    Parameters
    ----------
    key
        Its place in the file.
    ref
        Its name in the drawing.
    kind
        What it is: ``loudspeaker``, ``seat``, ``furniture``, ``opening``, ``corner`` …
    name
        What a person calls it.
    step
        The step of the job that it belongs to.
    at
        Its handle [m].
    outline
        Its outline on the plan [m], where it has one.
    outline_in_file
        Whether the outline is what the file holds, so that its corners can be moved.
    width_m
        Along its wall [m], for what sits on one.
    about
        Its measures in words.
    placed
        False where it has no place yet; its handle is then at the main seat.
    number
        Number of the corner or wall.
    box
        Place of its middle, width and depth, as a tape reads them, for an outline that the file holds.
    """

    key: str
    ref: str
    kind: str
    name: str
    step: str
    at: Point
    placed: bool = True
    outline: tuple[Point, ...] = ()
    outline_in_file: bool = False
    width_m: float = 0.0
    about: str = ""
    number: int | None = None
    box: tuple[str, ...] = ()


def things(project: Project, survey: Survey) -> tuple[Thing, ...]:
    """List what can be taken hold of, in the order of the job; nothing on walls while the outline is unfit."""
    return (
        *_corners(survey),
        *(_walls(project, survey) if survey.walls else ()),
        *(_on_walls(project, survey) if survey.walls else ()),
        *_on_floor(project),
        *_overhead(project),
        *_seats(project),
        *_kit(project),
    )


def thing_at(project: Project, survey: Survey, key: str) -> Thing | None:
    """Return the thing at a place in the file; walls and corners are found by their own commands."""
    return next(
        (thing for thing in things(project, survey) if thing.key == key and thing.kind != "wall"), None
    )


def _corners(survey: Survey) -> Iterator[Thing]:
    for number, at in enumerate(survey.room.floor):
        name = corner_name(number)
        yield Thing(
            f"room.floor[{number}]",
            f"corner:{name}",
            "corner",
            f"corner {name}",
            "room",
            at,
            number=number,
        )


def _walls(project: Project, survey: Survey) -> Iterator[Thing]:
    for number, wall in enumerate(survey.walls):
        middle = _on(wall, wall.length_m / 2)
        name = f"wall {wall_name(number, len(survey.walls))}"
        about = length_text(wall.length_m, project.units)
        outline = (wall.start, wall.end)
        yield Thing(
            f"wall:{number}",
            f"wall:{number}",
            "wall",
            name,
            "room",
            middle,
            outline=outline,
            about=about,
            number=number,
        )


def _on_walls(project: Project, survey: Survey) -> Iterator[Thing]:
    room, walls, unit = survey.room, survey.walls, project.units
    for one in room.openings:
        wall, width = walls[one.wall], one.width_m
        about = f"{length_text(width, unit)} wide, {length_text(one.height_m, unit)} high"
        yield Thing(
            one.key,
            f"opening:{one.id}",
            "opening",
            one.id,
            "room",
            _on(wall, one.start_m + width / 2),
            outline=_strip(wall, one.start_m, one.start_m + width),
            width_m=width,
            about=about,
        )
    for socket in room.sockets:
        circuit = f", circuit {socket.circuit}" if socket.circuit else ""
        yield Thing(
            socket.key, socket.key, "socket", f"socket{circuit}", "room", _on(walls[socket.wall], socket.at_m)
        )
    for heater in room.radiators:
        yield Thing(
            heater.key,
            heater.key,
            "radiator",
            "radiator",
            "room",
            _on(walls[heater.wall], (heater.from_m + heater.to_m) / 2),
            outline=_strip(walls[heater.wall], heater.from_m, heater.to_m),
            width_m=heater.to_m - heater.from_m,
            about=length_text(heater.to_m - heater.from_m, unit),
        )
    for cover in room.covers:
        yield from _wall_piece(cover, f"cover:{cover.id}", "raceway", cover.id, walls, unit)
    for panel in room.treatments:
        yield from _wall_piece(panel, f"treatment:{panel.name}", "panel", panel.name, walls, unit)


def _wall_piece(
    piece: Cover | Treatment, ref: str, kind: str, name: str, walls: tuple[WallFrame, ...], unit: LengthUnit
) -> Iterator[Thing]:
    if piece.outline or piece.wall is None or piece.from_m is None or piece.to_m is None:
        return
    wall, width = walls[piece.wall], piece.to_m - piece.from_m
    yield Thing(
        piece.key,
        ref,
        kind,
        name,
        "cable" if kind == "raceway" else "room",
        _on(wall, (piece.from_m + piece.to_m) / 2),
        outline=_strip(wall, piece.from_m, piece.to_m),
        width_m=width,
        about=length_text(width, unit),
    )


def _on_floor(project: Project) -> Iterator[Thing]:
    for one in project.room.furniture:
        about = f"{_size(one.outline, project)}, {length_text(one.base_m + one.height_m, project.units)} high"
        yield _lying(one.key, f"furniture:{one.name}", "furniture", one.outline, (about, project.units))
    for cover in project.room.covers:
        if cover.outline:
            yield _lying(
                cover.key,
                f"cover:{cover.id}",
                "cover",
                cover.outline,
                (_size(cover.outline, project), project.units),
            )
    for number, area in enumerate(project.limits.keep_out):
        yield _lying(
            f"limits.keep_out[{number}]",
            f"keep-out:{area.name}",
            "keep-out",
            area.outline,
            (_size(area.outline, project), project.units),
        )


def _overhead(project: Project) -> Iterator[Thing]:
    for one in project.room.ceiling_things:
        yield _lying(
            one.key,
            f"ceiling:{one.name}",
            one.kind.value,
            one.outline,
            (_size(one.outline, project), project.units),
        )
    for panel in project.room.treatments:
        if panel.outline:
            yield _lying(
                panel.key,
                f"treatment:{panel.name}",
                "panel",
                panel.outline,
                (_size(panel.outline, project), project.units),
            )


def _seats(project: Project) -> Iterator[Thing]:
    for seat in project.seats:
        about = f"ears {length_text(seat.ear_mid_m, project.units)} up"
        yield Thing(seat.key, f"seat:{seat.name}", "seat", seat.name, "seats", seat.at, about=about)
    x, y, _ = project.screen.centre
    about = f"{length_text(project.screen.width_m, project.units)} wide"
    yield Thing("screen", "screen", "screen", "screen", "seats", (x, y), about=about)


def _kit(project: Project) -> Iterator[Thing]:
    middle = project.main_seat.at
    rows = (
        *((one.key, f"loudspeaker:{one.id}", "loudspeaker", one.id, one.at) for one in project.loudspeakers),
        *((one.key, f"subwoofer:{one.id}", "subwoofer", one.id, one.at) for one in project.subwoofers),
        *((one.key, f"amplifier:{one.name}", "amplifier", one.name, one.at) for one in project.amplifiers),
    )
    for key, ref, kind, name, at in rows:
        about = f"{length_text(at[2], project.units)} up" if at else "no place yet"
        spot = (at[0], at[1]) if at else middle
        yield Thing(key, ref, kind, name, "places", spot, placed=at is not None, about=about)


def _lying(key: str, ref: str, kind: str, outline: tuple[Point, ...], told: Told) -> Thing:
    left, right = min(x for x, _ in outline), max(x for x, _ in outline)
    low, high = min(y for _, y in outline), max(y for _, y in outline)
    middle = ((left + right) / 2, (low + high) / 2)
    about, unit = told
    box = tuple(length_text(value, unit) for value in (*middle, right - left, high - low))
    name = ref.partition(":")[2]
    return Thing(
        key, ref, kind, name, "room", middle, outline=outline, outline_in_file=True, about=about, box=box
    )


def _size(outline: tuple[Point, ...], project: Project) -> str:
    width = max(x for x, _ in outline) - min(x for x, _ in outline)
    depth = max(y for _, y in outline) - min(y for _, y in outline)
    unit = project.units
    return f"{length_text(width, unit)} × {length_text(depth, unit)}"


def _on(wall: WallFrame, along: float, into: float = 0.0) -> Point:
    return (
        wall.start[0] + along * wall.along[0] + into * wall.inward[0],
        wall.start[1] + along * wall.along[1] + into * wall.inward[1],
    )


def _strip(wall: WallFrame, start: float, end: float) -> tuple[Point, ...]:
    return _on(wall, start), _on(wall, end), _on(wall, end, 0.1), _on(wall, start, 0.1)
