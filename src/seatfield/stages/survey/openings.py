"""Openings and what else is fixed along a wall: within it, and clear of one another."""

from collections.abc import Iterator
from itertools import combinations

from seatfield.geometry.ceiling import height
from seatfield.model import Cover, Finding, LengthUnit, Opening, OpeningKind, Room, Severity, Treatment
from seatfield.stages.survey.naming import wall_name
from seatfield.stages.survey.result import Survey
from seatfield.stages.survey.wording import tell


def on_walls(survey: Survey, units: LengthUnit) -> tuple[Finding, ...]:
    """Find openings, radiators, sockets, covers and panels that do not lie within their wall.

    Parameters
    ----------
    survey
        The room with its walls as frames.
    units
        Unit for the messages.

    Returns
    -------
    tuple
        Findings, in the order of the file.
    """
    found: list[Finding] = []
    doors = {opening.key for opening in survey.room.openings}
    for stretch in _stretches(survey.room):
        severity = Severity.STOP if stretch[-1] in doors else Severity.FIX
        found.extend(_within(survey, units, stretch, severity))
    for opening in survey.room.openings:
        found.extend(_below_ceiling(survey, opening, units))
        found.extend(_walked_through(opening, units))
    for one, two in combinations(survey.room.openings, 2):
        found.extend(_apart(survey, one, two, units))
    return tuple(found)


THRESHOLD_M, HEAD_M, BODY_M = 0.25, 1.8, 0.6
"""A window with a lower sill than this, as high and as wide as a person, may be one that people walk through: common
practice, no source [m]."""


def _walked_through(opening: Opening, units: LengthUnit) -> Iterator[Finding]:
    passes = opening.sill_m <= THRESHOLD_M and opening.height_m >= HEAD_M and opening.width_m >= BODY_M
    if opening.kind is OpeningKind.WINDOW and passes:
        yield Finding(
            "survey.window-or-door",
            Severity.NOTE,
            opening.id,
            f"{_capital(opening.id)} is a window {tell(opening.height_m, units)} high with its sill at "
            f"{tell(opening.sill_m, units)}. Where people walk through it, cable across its threshold and things in "
            "the way count as before a door.",
            measured=opening.sill_m,
            limit=THRESHOLD_M,
            unit="m",
            source="common practice, no source",
            advice="Where it is a way out, such as to a balcony, make its `kind` a door; it can have a curtain too.",
            key=opening.key,
        )


Stretch = tuple[str, int, float, float, str]


def _stretches(room: Room) -> Iterator[Stretch]:
    for opening in room.openings:
        yield opening.id, opening.wall, opening.start_m, opening.start_m + opening.width_m, opening.key
    for radiator in room.radiators:
        yield "radiator", radiator.wall, radiator.from_m, radiator.to_m, radiator.key
    for socket in room.sockets:
        yield "socket", socket.wall, socket.at_m, socket.at_m, socket.key
    named: list[tuple[str, Cover | Treatment]] = [(cover.id, cover) for cover in room.covers]
    named.extend((panel.name, panel) for panel in room.treatments)
    for name, thing in named:
        if thing.wall is not None and thing.from_m is not None and thing.to_m is not None:
            yield name, thing.wall, thing.from_m, thing.to_m, thing.key


def _within(survey: Survey, units: LengthUnit, stretch: Stretch, severity: Severity) -> Iterator[Finding]:
    """Tell a stretch that leaves its wall; an opening that does so leaves no wall to plan on, and stops the job."""
    subject, wall, start, end, key = stretch
    if not 0 <= wall < len(survey.walls):
        yield Finding(
            "survey.wall-unknown",
            Severity.STOP,
            subject,
            f"{_capital(subject)} is said to be in wall {wall}; this room has walls 0 to {len(survey.walls) - 1}, "
            f"which are {wall_name(0, len(survey.walls))} to {wall_name(len(survey.walls) - 1, len(survey.walls))}.",
            advice="Wall 0 runs from corner A, the first in the file, to corner B; so on round the room.",
            key=key,
        )
        return
    frame, room = survey.walls[wall], survey.room
    over = max(-start, end - frame.length_m)
    if over > room.tolerance_m:
        name = wall_name(wall, len(survey.walls))
        x, y = frame.end if end > frame.length_m else frame.start
        yield Finding(
            "survey.outside-wall",
            severity,
            subject,
            f"{_capital(subject)} reaches {tell(over, units)} past the end of wall {name}, "
            f"which is {tell(frame.length_m, units)} long.",
            measured=end if end > frame.length_m else start,
            limit=frame.length_m if end > frame.length_m else 0.0,
            unit="m",
            source="the outline in the file",
            advice=f"Measure it again from corner {name.split('–', maxsplit=1)[0]}.",
            at=(x, y, 0.0),
            key=key,
        )
    elif end < start:
        yield Finding(
            "survey.stretch-backwards",
            Severity.FIX,
            subject,
            f"{_capital(subject)} ends at {tell(end, units)}, before it starts at {tell(start, units)}.",
            measured=end,
            limit=start,
            unit="m",
            advice="Swap the two numbers.",
            key=key,
        )


def _below_ceiling(survey: Survey, opening: Opening, units: LengthUnit) -> Iterator[Finding]:
    if not 0 <= opening.wall < len(survey.walls):
        return
    frame = survey.walls[opening.wall]
    ends = (opening.start_m, opening.start_m + opening.width_m)
    feet = [(frame.start[0] + d * frame.along[0], frame.start[1] + d * frame.along[1]) for d in ends]
    lowest = min(height(survey.ceiling, *foot) for foot in feet)
    top = opening.sill_m + opening.height_m
    if top > lowest + survey.room.tolerance_m:
        yield Finding(
            "survey.above-ceiling",
            Severity.FIX,
            opening.id,
            f"The top of {opening.id} is {tell(top, units)} up, but the ceiling there is at {tell(lowest, units)}.",
            measured=top,
            limit=lowest,
            unit="m",
            source="the ceiling in the file",
            advice="The height of an opening is counted from its sill, not from the floor.",
            at=(*feet[0], lowest),
            key=opening.key,
        )


def _apart(survey: Survey, one: Opening, two: Opening, units: LengthUnit) -> Iterator[Finding]:
    if one.wall != two.wall:
        return
    along = min(one.start_m + one.width_m, two.start_m + two.width_m) - max(one.start_m, two.start_m)
    up = min(one.sill_m + one.height_m, two.sill_m + two.height_m) - max(one.sill_m, two.sill_m)
    if min(along, up) > survey.room.tolerance_m:
        yield Finding(
            "survey.openings-overlap",
            Severity.FIX,
            two.id,
            f"{_capital(one.id)} and {two.id} share {tell(along, units)} of the same wall.",
            measured=along,
            limit=0.0,
            unit="m",
            source="the openings in the file",
            advice="Measure both again from the same corner.",
            key=two.key,
        )


def swings(opening: Opening) -> bool:
    """Tell whether an opening has a leaf that swings into the room."""
    return opening.kind is OpeningKind.DOOR and opening.opens == "inward"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
