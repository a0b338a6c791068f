"""First reflections of the front three at the main seat: mirror points, and what is there now."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import dist, hypot, inf

from seatfield.decibel import distance_loss_db, power_db
from seatfield.geometry.ceiling import lowest_plane
from seatfield.geometry.mirror import Bounce, Facet, bounce, ceiling_facet, facet
from seatfield.geometry.polygon import contains, encloses, outside_by
from seatfield.geometry.sight import stays_inside
from seatfield.model import CoverKind, Finding, Finish, Input, OpeningKind, Point3, Severity, Trace
from seatfield.stages.layout.checking import Look
from seatfield.stages.layout.directivity import angle_off_deg, axis
from seatfield.stages.layout.result import Placed, Reflection
from seatfield.stages.layout.seats import speed_of_sound_m_s
from seatfield.stages.survey import WallFrame, tell, top_m, wall_name

FRONT = ("M+030", "M-030", "M+000")
SIDEWAYS_DEG = 90.0
"""What leaves a loudspeaker further off its axis is listed and not complained of."""

RULE_DB, RULE_MS = -10.0, 15.0
BS_1116 = (
    "ITU-R BS.1116-3, early reflections (from memory): 10 dB below the direct sound within 15 ms, 1 to 8 kHz"
)
GLASS, DOOR_LEAF, CURTAIN, RUG = 0.03, 0.09, 0.6, 0.3
"""Absorption from 1 to 4 kHz of glass, a wooden door, a curtain, a carpet (Vorländer 2008; carpet: thin) [-]."""


@dataclass(frozen=True, slots=True)
class There:
    """What a sound meets: in words, and its absorption from 1 to 4 kHz; infinite for an open way."""

    words: str
    absorption: float


def high_absorption(finish: Finish) -> float:
    """Return the mean absorption of a finish at 1 kHz and above, as far as its bands go [-]."""
    high = [a for freq, a in zip(finish.freq_hz, finish.absorption, strict=False) if freq >= 900]
    return min(sum(high) / len(high), 0.99) if high else 0.05


def reflections_of(look: Look, speakers: tuple[Placed, ...]) -> tuple[Reflection, ...]:
    """Return the first reflections of the front loudspeakers at the main seat.

    Parameters
    ----------
    look
        Project, room and system.
    speakers
        The loudspeakers.

    Returns
    -------
    tuple
        By loudspeaker, then walls in order, floor, ceiling; only those whose way is free of walls.

    Notes
    -----
    Mirror images; spreading and absorption only: the loudspeaker is taken to send as much towards the mirror point
    as towards the seat, which overstates what comes from far off its axis.

    References
    ----------
    Allen and Berkley, J. Acoust. Soc. Am. 65 (1979), 943-950, for images of first order.
    """
    front = [one for one in speakers if one.channel in FRONT and one.at is not None]
    return tuple(found for one in front for found in _of_one(look, one))


def _of_one(look: Look, one: Placed) -> Iterator[Reflection]:
    assert one.at is not None
    for wall in look.survey.walls:
        mirror = facet((*wall.inward, 0.0), (*wall.start, 0.0))
        met = bounce(mirror, one.at, look.head)
        if met and _free(look, one.at, met, wall):
            name = f"wall {wall_name(wall.wall.number, len(look.survey.walls))}"
            yield _reflection(look, one, name, met, _on_wall(look, wall, met.at))
    floor = bounce(Facet((0.0, 0.0, 1.0), 0.0), one.at, look.head)
    if floor:
        yield _reflection(look, one, "floor", floor, _on_floor(look, floor.at))
    for number, slope in enumerate(look.survey.ceiling):
        met = bounce(ceiling_facet(slope), one.at, look.head)
        if met and _is_ceiling(look, number, met.at):
            yield _reflection(look, one, "ceiling", met, _on_ceiling(look, met.at))


def _free(look: Look, source: Point3, met: Bounce, wall: WallFrame) -> bool:
    """Tell whether a bounce falls on its wall, under the ceiling, with both ways inside the room."""
    x, y, z = met.at
    along = (x - wall.start[0]) * wall.along[0] + (y - wall.start[1]) * wall.along[1]
    if not 0 <= along <= wall.length_m or not z >= 0:
        return False
    # A millimetre into the room, so that the wall itself does not count as in the way.
    near = x + 1e-3 * wall.inward[0], y + 1e-3 * wall.inward[1]
    floor = look.survey.room.floor
    heads = source[:2], look.head[:2]
    return all(stays_inside(near, plain, floor) for plain in heads)


def _is_ceiling(look: Look, number: int, at: Point3) -> bool:
    inside = contains(look.survey.room.floor, at[:2])
    return inside and lowest_plane(look.survey.ceiling, at[0], at[1]) == number


def _on_wall(look: Look, wall: WallFrame, at: Point3) -> There:
    along = (at[0] - wall.start[0]) * wall.along[0] + (at[1] - wall.start[1]) * wall.along[1]
    finish = There(wall.wall.finish.name, high_absorption(wall.wall.finish))
    return (
        _opening(look, wall.wall.number, along, at[2])
        or _hung(look, wall.wall.number, along, at[2])
        or _behind_furniture(look, at)
        or finish
    )


def _opening(look: Look, number: int, along: float, height: float) -> There | None:
    for opening in look.survey.room.openings:
        beside = opening.start_m <= along <= opening.start_m + opening.width_m
        high = opening.sill_m <= height <= opening.sill_m + opening.height_m
        if opening.wall != number or not beside or not high:
            continue
        if opening.kind is OpeningKind.ARCHWAY:
            return There(f"{opening.id}, open", inf)
        if opening.kind is OpeningKind.DOOR:
            return There(opening.id, DOOR_LEAF)
        return (
            There(f"{opening.id}, curtain", CURTAIN)
            if opening.curtain
            else There(f"{opening.id}, glass", GLASS)
        )
    return None


def _hung(look: Look, number: int, along: float, height: float) -> There | None:
    """Return the panel or curtain that hangs at a place of a wall."""
    for panel in look.survey.room.treatments:
        high = panel.sill_m <= height <= panel.sill_m + panel.height_m
        if panel.wall == number and high and _spans(panel.from_m, panel.to_m, along):
            return There(panel.name, high_absorption(panel.finish))
    for cover in look.survey.room.covers:
        if (
            cover.kind is CoverKind.CURTAIN
            and cover.wall == number
            and _spans(cover.from_m, cover.to_m, along)
        ):
            return There("curtain", CURTAIN)
    return None


def _spans(start: float | None, end: float | None, along: float) -> bool:
    return start is not None and end is not None and start <= along <= end


def _behind_furniture(look: Look, at: Point3) -> There | None:
    for piece in look.survey.room.furniture:
        near = len(piece.outline) > 2 and outside_by(piece.outline, at[:2]) < 0.15
        if near and piece.base_m < at[2] < top_m(piece):
            return There(f"{piece.name} before the wall", 0.2)
    return None


def _on_floor(look: Look, at: Point3) -> There:
    room = look.survey.room
    for piece in room.furniture:
        if len(piece.outline) > 2 and piece.base_m < 0.1 < top_m(piece) and encloses(piece.outline, at[:2]):
            return There(f"{piece.name}, in the way", 0.5)
    rug = any(
        cover.kind is CoverKind.RUG and len(cover.outline) > 2 and encloses(cover.outline, at[:2])
        for cover in room.covers
    )
    return There("rug", max(RUG, high_absorption(room.floor_finish))) if rug else _finish(room.floor_finish)


def _on_ceiling(look: Look, at: Point3) -> There:
    room = look.survey.room
    for thing in room.ceiling_things:
        if len(thing.outline) > 2 and encloses(thing.outline, at[:2]):
            return There(thing.name, high_absorption(room.ceiling_finish))
    for panel in room.treatments:
        if len(panel.outline) > 2 and encloses(panel.outline, at[:2]):
            return There(panel.name, high_absorption(panel.finish))
    return _finish(room.ceiling_finish)


def _finish(finish: Finish) -> There:
    return There(finish.name, high_absorption(finish))


def _reflection(look: Look, one: Placed, surface: str, met: Bounce, there: There) -> Reflection:
    assert one.at is not None
    direct = max(dist(one.at, look.head), 1e-6)
    delay = (met.length_m - direct) / speed_of_sound_m_s(look.survey.room.temperature_c) * 1000
    level = None
    if there.absorption < 1:
        level = -distance_loss_db(met.length_m, direct) + power_db(1 - there.absorption)
    fine = level is None or delay > RULE_MS or level <= RULE_DB
    off = angle_off_deg(axis(one.aim.yaw_deg, one.aim.pitch_deg), one.at, met.at) if one.aim else 0.0
    return Reflection(one.id, one.channel, surface, met.at, delay, level, there.words, fine, off)


def reflection_findings(look: Look, found: tuple[Reflection, ...]) -> Iterator[Finding]:
    """Tell which first reflections are stronger than the listening-room rule allows, the strongest per surface.

    Parameters
    ----------
    look
        Project, room and system.
    found
        The reflections.

    Yields
    ------
    Finding
        One note per loudspeaker, on its strongest reflection.
    """
    for id_ in dict.fromkeys(one.id for one in found):
        strong = [one for one in found if not one.within_rule and one.level_db is not None]
        own = [one for one in strong if one.id == id_ and one.off_axis_deg < SIDEWAYS_DEG]
        worst = max(own, key=lambda one: round(one.level_db or -inf, 6), default=None)
        if worst is not None and worst.level_db is not None:
            yield _strong(look, worst, worst.level_db, len(own))


def _remedy(surface: str) -> str:
    """Return what swallows or scatters sound on a surface: common practice, no source."""
    named = {"floor": "A rug", "ceiling": "An absorbing panel"}
    return named.get(surface, "A curtain, bookcase or panel")


def _strong(look: Look, worst: Reflection, level_db: float, count: int) -> Finding:
    x, y, z = worst.at
    place = (
        f"{tell(z, look.project.units)} up"
        if worst.surface not in ("floor", "ceiling")
        else "at its mirror point"
    )
    away = hypot(x - look.head[0], y - look.head[1])
    return Finding(
        "layout.early-reflection",
        Severity.NOTE,
        worst.id,
        f"The {worst.surface} ({worst.there}) throws {worst.id} back to the main seat {worst.delay_ms:.1f} ms late and "
        f"only {-level_db:.0f} dB weaker; {count} of its first reflections are stronger than a listening room's.",
        measured=level_db,
        limit=RULE_DB,
        unit="dB",
        source=BS_1116,
        advice=f"{_remedy(worst.surface)} there helps: "
        f"{place}, {tell(away, look.project.units)} from the seat. Living rooms rarely keep this rule.",
        at=worst.at,
        trace=Trace(
            "20·lg(direct / reflected way) + 10·lg(1 − absorption)",
            (Input("delay", worst.delay_ms, "ms"), Input("what is there", worst.there)),
        ),
    )
