"""Doors: the floor that a leaf sweeps, and what stands in its way."""

from collections.abc import Iterator
from math import atan2, cos, pi, sin

from seatfield.geometry.polygon import boundary_distance, crossings, encloses, overlap
from seatfield.model import Finding, Opening, Outline, Point3, Project, Severity
from seatfield.stages.survey.contents import THIN_M, top_m
from seatfield.stages.survey.naming import corner_name
from seatfield.stages.survey.openings import swings
from seatfield.stages.survey.result import Survey, WallFrame
from seatfield.stages.survey.wording import tell

SPREAD_M = {"loudspeaker": 0.12, "subwoofer": 0.18, "amplifier": 0.2}
"""Half the width of a thing whose size the file does not give: common practice, no source [m]."""


def sweep(opening: Opening, frame: WallFrame, steps: int = 12) -> Outline:
    """Return the part of the floor that an inward door sweeps.

    Parameters
    ----------
    opening
        The door.
    frame
        Its wall.
    steps
        Straight edges that stand for the arc.

    Returns
    -------
    tuple
        Corners of a quarter circle about the hinge [m].
    """
    at_end = opening.hinge == "end"
    along = opening.start_m + (opening.width_m if at_end else 0.0)
    hinge = frame.start[0] + along * frame.along[0], frame.start[1] + along * frame.along[1]
    shut = (-frame.along[0], -frame.along[1]) if at_end else frame.along
    start = atan2(shut[1], shut[0])
    turn = atan2(frame.inward[1], frame.inward[0]) - start
    turn = (turn + pi) % (2 * pi) - pi
    angles = (start + turn * i / steps for i in range(steps + 1))
    rim = tuple((hinge[0] + opening.width_m * cos(a), hinge[1] + opening.width_m * sin(a)) for a in angles)
    return (hinge, *rim)


def swept(survey: Survey) -> tuple[tuple[Opening, Outline], ...]:
    """Return every door that swings into the room, with the floor that it sweeps.

    Parameters
    ----------
    survey
        The room as surveyed.

    Returns
    -------
    tuple
        Pairs of door and outline [m].
    """
    doors = (door for door in survey.room.openings if swings(door) and 0 <= door.wall < len(survey.walls))
    return tuple((door, sweep(door, survey.walls[door.wall])) for door in doors if 0 < door.width_m < 10)


def door_clashes(project: Project, survey: Survey) -> tuple[Finding, ...]:
    """Find what stands in the swing of a door.

    Parameters
    ----------
    project
        Everything that the person wrote.
    survey
        The room as surveyed.

    Returns
    -------
    tuple
        Findings, by door.
    """
    found: list[Finding] = []
    for door, area in swept(survey):
        found.extend(_furniture_in(door, area, project, survey))
        found.extend(_kit_in(door, area, project, survey))
        found.extend(_seats_in(door, area, project, survey))
    return tuple(found)


def _furniture_in(door: Opening, area: Outline, project: Project, survey: Survey) -> Iterator[Finding]:
    for piece in survey.room.furniture:
        if len(piece.outline) < 3 or crossings(piece.outline):
            continue
        shared_height = min(door.sill_m + door.height_m, top_m(piece)) - max(door.sill_m, piece.base_m)
        if shared_height <= THIN_M:
            continue
        shared = overlap(area, piece.outline, 2 * survey.room.tolerance_m)
        if shared > 1e-3:
            yield _clash(door, piece.name, (*piece.outline[0], piece.base_m), piece.key, project, survey)


def _kit_in(door: Opening, area: Outline, project: Project, survey: Survey) -> Iterator[Finding]:
    kit: list[tuple[str, str, Point3, str]] = [
        *(("loudspeaker", one.id, one.at, one.key) for one in project.loudspeakers if one.at),
        *(("subwoofer", one.id, one.at, one.key) for one in project.subwoofers if one.at),
        *(("amplifier", one.name, one.at, one.key) for one in project.amplifiers if one.at),
    ]
    for kind, name, at, key in kit:
        near = encloses(area, at[:2]) or boundary_distance(area, at[:2]) < SPREAD_M[kind]
        if near and at[2] < door.sill_m + door.height_m + 0.05:
            yield _clash(door, f"{kind} {name}", at, f"{key}.at", project, survey)


def _seats_in(door: Opening, area: Outline, project: Project, survey: Survey) -> Iterator[Finding]:
    for seat in project.seats:
        if encloses(area, seat.at):
            yield _clash(door, f"seat {seat.name}", seat.head, f"{seat.key}.at", project, survey)


def _clash(door: Opening, what: str, at: Point3, key: str, project: Project, survey: Survey) -> Finding:
    kind, _, name = what.partition(" ")
    hinge = corner_name((door.wall + (door.hinge == "end")) % len(survey.walls))
    taken = (
        f" The file does not say how {door.id} swings: it is taken to hang at its end towards corner {hinge} and to "
        "open into the room."
        if door.swing_assumed
        else ""
    )
    free = f"keep {tell(door.width_m, project.units)} round the hinge free"
    return Finding(
        "survey.door-swing",
        Severity.FIX,
        name if kind in ("loudspeaker", "subwoofer", "amplifier", "seat") else what,
        f"{what[:1].upper()}{what[1:]} stands where {door.id} swings open.{taken}",
        measured=door.width_m,
        unit="m",
        source="a leaf sweeps a quarter circle of the door's width about its hinge",
        advice=f"Write `hinge` and `opens` of {door.id} first; if it does swing so, {free}."
        if taken
        else f"{free[:1].upper()}{free[1:]}, or check `hinge` and `opens`.",
        at=at,
        key=key,
    )
