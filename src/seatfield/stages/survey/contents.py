"""What stands in the room: inside it, and not inside one another."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, pairwise
from math import dist

from seatfield.geometry.ceiling import height
from seatfield.geometry.polygon import boundary_distance, contains, crossings, encloses, outside_by, overlap
from seatfield.geometry.segment import between
from seatfield.geometry.sight import cut_fractions
from seatfield.model import Finding, Furniture, Mount, Outline, Point3, Project, Seat, Severity
from seatfield.stages.survey.kinds import is_seating
from seatfield.stages.survey.result import Survey
from seatfield.stages.survey.wording import tell, tell_area

THIN_M = 0.03
"""Anything lower lies on the floor like a rug, and nothing collides with it: common practice, no source."""


def top_m(piece: Furniture) -> float:
    """Return how high a piece of furniture reaches above the floor [m]."""
    return piece.base_m + piece.height_m


def in_room(project: Project, survey: Survey) -> tuple[Finding, ...]:
    """Find furniture, seats, the screen and kit that stand outside the room or in one another.

    Parameters
    ----------
    project
        Everything that the person wrote.
    survey
        The room as surveyed so far.

    Returns
    -------
    tuple
        Findings, furniture first, then seats, the screen, and the kit.
    """
    return (
        *_furniture(project, survey),
        *_seats(project, survey),
        *_screen(project, survey),
        *_kit(project, survey),
    )


def reaches_outside_m(floor: Outline, outline: Outline) -> float:
    """Return how far an outline reaches out of the room, 0 where it stays inside.

    Parameters
    ----------
    floor
        Corners of the room [m].
    outline
        Corners of what should stand in it [m].

    Returns
    -------
    float
        Greatest distance outside, of its corners and of the middles of the parts that a wall cuts off [m].
    """
    worst = 0.0
    for a, b in zip(outline, (*outline[1:], *outline[:1]), strict=True):
        cuts = cut_fractions(a, b, floor)
        middles = (between(a, b, (low + high) / 2) for low, high in pairwise(cuts))
        worst = max(worst, outside_by(floor, a), *(outside_by(floor, middle) for middle in middles))
    inner = (corner for corner in floor if len(outline) > 2 and encloses(outline, corner))
    return max(worst, *(boundary_distance(outline, corner) for corner in inner), 0.0)


def _furniture(project: Project, survey: Survey) -> Iterator[Finding]:
    room, units = survey.room, project.units
    sound = []
    for piece in room.furniture:
        key = piece.key
        if len(piece.outline) < 3 or crossings(piece.outline):
            yield Finding(
                "survey.furniture-outline",
                Severity.FIX,
                piece.name,
                f"The outline of {piece.name} crosses itself or has fewer than three corners.",
                advice="Give its corners in order.",
                key=f"{key}.outline",
            )
            continue
        sound.append(piece)
        over = reaches_outside_m(room.floor, piece.outline)
        if over > room.tolerance_m:
            yield _outside(
                piece.name, over, survey, project, (*piece.outline[0], piece.base_m), f"{key}.outline"
            )
        yield from _under_ceiling(piece, survey, project)
    for one, two in combinations(sound, 2):
        shared_height = min(top_m(one), top_m(two)) - max(one.base_m, two.base_m)
        if shared_height <= THIN_M or (
            is_seating(one) and is_seating(two) and "cushion" in f"{one.kind}{two.kind}"
        ):
            continue
        shared = overlap(one.outline, two.outline, 2 * room.tolerance_m)
        if shared > 1e-4:
            yield Finding(
                "survey.furniture-overlaps",
                Severity.FIX,
                two.name,
                f"{_capital(one.name)} and {two.name} stand in each other over {tell_area(shared, units)} of the "
                f"floor, in the {tell(shared_height, units)} of height that they share.",
                measured=shared,
                limit=0.0,
                unit="m²",
                source="the outlines in the file",
                advice="Measure where each starts again; if one stands on the other, give it a `base`.",
                at=(*two.outline[0], two.base_m),
                key=f"{two.key}.outline",
            )


def _under_ceiling(piece: Furniture, survey: Survey, project: Project) -> Iterator[Finding]:
    lowest = min(height(survey.ceiling, *corner) for corner in piece.outline)
    if top_m(piece) > lowest + survey.room.tolerance_m:
        yield Finding(
            "survey.above-ceiling",
            Severity.FIX,
            piece.name,
            f"The top of {piece.name} is {tell(top_m(piece), project.units)} up, but the ceiling comes down to "
            f"{tell(lowest, project.units)} over it.",
            measured=top_m(piece),
            limit=lowest,
            unit="m",
            source="the ceiling in the file",
            advice="The height of furniture is counted from its base.",
            at=(*piece.outline[0], lowest),
            key=f"{piece.key}.height",
        )


def _seats(project: Project, survey: Survey) -> Iterator[Finding]:
    room = survey.room
    for seat in project.seats:
        over = outside_by(room.floor, seat.at)
        if over > room.tolerance_m:
            yield _stopped(_outside(f"seat {seat.name}", over, survey, project, seat.head, f"{seat.key}.at"))
            continue
        yield from _headroom(seat, survey, project)
        for piece in room.furniture:
            yield from _sits_in(seat, piece)
    for one, two in combinations(project.seats, 2):
        apart = dist(one.at, two.at)
        if apart < 0.3:
            yield Finding(
                "survey.seats-together",
                Severity.FIX,
                two.name,
                f"Seats {one.name} and {two.name} are {tell(apart, project.units)} apart; two people need more.",
                measured=apart,
                limit=0.3,
                unit="m",
                source="common practice, no source",
                advice="Measure from the middle of one head to the middle of the next.",
                at=two.head,
                key=f"{two.key}.at",
            )


def _headroom(seat: Seat, survey: Survey, project: Project) -> Iterator[Finding]:
    ceiling = height(survey.ceiling, *seat.at)
    if seat.ear_m[1] + 0.1 > ceiling:
        yield Finding(
            "survey.no-headroom",
            Severity.FIX,
            seat.name,
            f"The ceiling over seat {seat.name} is {tell(ceiling, project.units)} high, and the ears are at "
            f"{tell(seat.ear_m[1], project.units)}: no head fits under it.",
            measured=ceiling,
            limit=seat.ear_m[1] + 0.1,
            unit="m",
            source="common practice, no source",
            advice="Check the ceiling's points and the seat's place.",
            at=seat.head,
            key=f"{seat.key}.at",
        )


def _sits_in(seat: Seat, piece: Furniture) -> Iterator[Finding]:
    if len(piece.outline) < 3 or not encloses(piece.outline, seat.at):
        return
    head_in = piece.base_m < seat.ear_mid_m < top_m(piece)
    body_in = not is_seating(piece) and piece.base_m < 0.5 and top_m(piece) > 0.3
    if head_in or body_in:
        part = "The head" if head_in else "The body"
        yield Finding(
            "survey.seat-in-furniture",
            Severity.FIX,
            seat.name,
            f"{part} of who sits on seat {seat.name} is inside {piece.name}.",
            advice=f"Move the seat or {piece.name}, or check its height; people sit on furniture whose kind is sofa, "
            "chair, bench or bed.",
            at=seat.head,
            key=f"{seat.key}.at",
        )


def _screen(project: Project, survey: Survey) -> Iterator[Finding]:
    x, y, z = project.screen.centre
    over = outside_by(survey.room.floor, (x, y))
    if over > max(survey.room.tolerance_m, 0.15):
        yield _stopped(_outside("the screen", over, survey, project, (x, y, z), "screen.centre"))


def _kit(project: Project, survey: Survey) -> Iterator[Finding]:
    placed = [
        *((f"loudspeaker {one.id}", one.at, one.mount, one.key) for one in project.loudspeakers if one.at),
        *((f"subwoofer {one.id}", one.at, None, one.key) for one in project.subwoofers if one.at),
        *((f"amplifier {one.name}", one.at, Mount.SHELF, one.key) for one in project.amplifiers if one.at),
    ]
    for name, at, mount, key in placed:
        yield from _kit_place(name, at, mount, key, (survey, project))
    for one, two in combinations(placed, 2):
        apart = dist(one[1], two[1])
        if apart < 0.08:
            yield Finding(
                "survey.kit-together",
                Severity.FIX,
                two[0].split(" ", 1)[1],
                f"{_capital(one[0])} and {two[0]} stand at one place ({tell(apart, project.units)} apart).",
                measured=apart,
                limit=0.08,
                unit="m",
                source="common practice, no source",
                advice="Look for a position that was copied and not changed.",
                at=two[1],
                key=f"{two[3]}.at",
            )


def _kit_place(
    name: str, at: Point3, mount: Mount | None, key: str, context: tuple[Survey, Project]
) -> Iterator[Finding]:
    survey, project = context
    room, plain = survey.room, at[:2]
    subject = name.split(" ", 1)[1]
    over = outside_by(room.floor, plain)
    # A loudspeaker in a wall or ceiling has its acoustic centre in the surface.
    if over > room.tolerance_m:
        yield _stopped(_outside(name, over, survey, project, at, f"{key}.at"))
        return
    ceiling = height(survey.ceiling, *plain)
    if at[2] > ceiling + room.tolerance_m or at[2] < -room.tolerance_m:
        below = at[2] < 0
        where = (
            "below the floor" if below else f"above the ceiling ({tell(ceiling, project.units)} high there)"
        )
        yield Finding(
            "survey.above-ceiling" if not below else "survey.below-floor",
            Severity.STOP,
            subject,
            f"{_capital(name)} is {tell(abs(at[2]), project.units)} {'down' if below else 'up'}: {where}.",
            measured=at[2],
            limit=0.0 if below else ceiling,
            unit="m",
            source="the ceiling in the file",
            advice="Heights are counted from the floor to the acoustic centre.",
            at=at,
            key=f"{key}.at",
        )
    for piece in room.furniture:
        inside = piece.base_m + room.tolerance_m < at[2] < top_m(piece) - room.tolerance_m
        if mount is Mount.SHELF or not inside or len(piece.outline) < 3 or not contains(piece.outline, plain):
            continue
        depth = boundary_distance(piece.outline, plain)
        if depth > room.tolerance_m:
            yield Finding(
                "survey.kit-in-furniture",
                Severity.FIX,
                subject,
                f"{_capital(name)} is inside {piece.name}: {tell(depth, project.units)} from its edge and "
                f"{tell(top_m(piece) - at[2], project.units)} below its top.",
                measured=depth,
                limit=0.0,
                unit="m",
                source="the outlines in the file",
                advice=f'Say `mount = "shelf"` if it stands in {piece.name}, raise it if it stands on it, or move it.',
                at=at,
                key=f"{key}.at",
            )


def _outside(name: str, over_m: float, survey: Survey, project: Project, at: Point3, key: str) -> Finding:
    return Finding(
        "survey.outside-room",
        Severity.FIX,
        name.split(" ", 1)[1] if name.split(" ", 1)[0] in _KINDS else name.removeprefix("the "),
        f"{_capital(name)} reaches {tell(over_m, project.units)} out of the room.",
        measured=over_m,
        limit=survey.room.tolerance_m,
        unit="m",
        source="the tape's tolerance in the file",
        advice="Measure it again from two corners; x runs to the right and y up the page from where corner A is given.",
        at=at if all(abs(value) < 1e4 for value in at) else None,
        key=key,
    )


def _stopped(finding: Finding) -> Finding:
    """Make a finding stop the job: nothing that is planned from a place outside the room can be carried out."""
    return replace(finding, severity=Severity.STOP)


_KINDS = ("seat", "loudspeaker", "subwoofer", "amplifier")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
