"""What follows the hand: how the thing that moves lies to the walls, and what each loudspeaker is worth now."""

from dataclasses import dataclass

from seatfield.drawing.measures import length_text
from seatfield.geometry.segment import dot
from seatfield.model import Finding, Point, Project, Severity
from seatfield.pipeline.places_in_file import along_m
from seatfield.pipeline.steps import NAMES
from seatfield.pipeline.things import Thing, things
from seatfield.stages.layout.result import Placed, Verdict
from seatfield.stages.plan import Plan
from seatfield.stages.survey import WallFrame, wall_name

SQUARE = 0.7
"""Cosine above which two walls count as running the same way."""


@dataclass(frozen=True, slots=True)
class LiveTape:
    """A tape held from the moving thing to a wall: its ends [m], its length as a tape reads it, and the wall."""

    start: Point
    end: Point
    text: str
    wall: str


@dataclass(frozen=True, slots=True)
class Stands:
    """A loudspeaker or subwoofer as the main seat sees it now."""

    id: str
    channel: str
    azimuth_deg: float | None
    elevation_deg: float | None
    distance_m: float | None
    deviation_deg: float | None
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class Brief:
    """A finding without its grounds, which are asked for when somebody wants to read them."""

    code: str
    severity: Severity
    subject: str
    message: str
    at: tuple[float, float, float] | None
    key: str


@dataclass(frozen=True, slots=True)
class Following:
    """What the screen shows while something moves.

    Parameters
    ----------
    thing
        What moves, as it would stand; None where nothing does.
    tapes
        Distances to the two nearest walls that run different ways.
    loudspeakers, subwoofers
        Each as the layout sees it.
    findings
        Of the stages that follow the hand.
    stages
        Names of those stages.
    words
        The whole in a sentence, for those who listen.
    """

    thing: Thing | None
    tapes: tuple[LiveTape, ...]
    loudspeakers: tuple[Stands, ...]
    subwoofers: tuple[Stands, ...]
    findings: tuple[Brief, ...]
    stages: tuple[str, ...]
    words: str


def following(project: Project, plan: Plan, key: str) -> Following:
    """Return what the screen shows of a plan while the thing at `key` moves."""
    thing = next((one for one in things(project, plan.survey) if one.key == key), None)
    tapes = _tapes(project, plan, thing) if thing else ()
    layout = plan.layout
    placed = layout.loudspeakers if layout else ()
    subwoofers = layout.subwoofers if layout else ()
    return Following(
        thing,
        tapes,
        tuple(_stands(one) for one in placed),
        tuple(_stands(one) for one in subwoofers),
        tuple(brief(finding) for finding in plan.findings),
        tuple(name for name in NAMES if getattr(plan, name) is not None),
        _words(thing, tapes, placed),
    )


def _stands(one: Placed) -> Stands:
    return Stands(
        one.id,
        one.channel,
        one.azimuth_deg,
        one.elevation_deg,
        one.distance_m,
        one.deviation_deg,
        one.verdict,
    )


def brief(one: Finding) -> Brief:
    """Return a finding without its grounds."""
    return Brief(one.code, one.severity, one.subject, one.message, one.at, one.key)


def _tapes(project: Project, plan: Plan, thing: Thing) -> tuple[LiveTape, ...]:
    if thing.kind in {"wall", "corner"}:
        return tuple(
            LiveTape(
                wall.start,
                wall.end,
                length_text(wall.length_m, project.units),
                f"wall {wall_name(wall.wall.number, len(plan.survey.walls))}",
            )
            for wall in plan.survey.walls
            if _touches(thing, wall, len(plan.survey.walls))
        )
    points = thing.outline or (thing.at,)
    held = sorted(
        (found for wall in plan.survey.walls if (found := _nearest(points, wall)) is not None),
        key=lambda found: found[0],
    )
    if not held:
        return ()
    first = held[0]
    across = next((one for one in held[1:] if abs(dot(one[3].along, first[3].along)) < SQUARE), None)
    return tuple(
        LiveTape(
            start,
            end,
            length_text(far, project.units),
            f"wall {wall_name(wall.wall.number, len(plan.survey.walls))}",
        )
        for far, start, end, wall in (first, *((across,) if across else ()))
    )


def _touches(thing: Thing, wall: WallFrame, count: int) -> bool:
    """Whether a wall changes its length when this corner or wall moves."""
    number, other = thing.number or 0, wall.wall.number
    before, after = (number - 1) % count, (number + 1) % count
    return other in ({before, number} if thing.kind == "corner" else {before, after})


def _nearest(points: tuple[Point, ...], wall: WallFrame) -> tuple[float, Point, Point, WallFrame] | None:
    """Shortest tape from any of the points square to a wall; None where the wall does not reach there."""
    found = None
    for point in points:
        along = along_m(wall, point)
        if not -1e-6 <= along <= wall.length_m + 1e-6:
            continue
        foot = (wall.start[0] + along * wall.along[0], wall.start[1] + along * wall.along[1])
        far = (point[0] - foot[0]) * wall.inward[0] + (point[1] - foot[1]) * wall.inward[1]
        if far >= -1e-6 and (found is None or far < found[0]):
            found = (max(far, 0.0), point, foot, wall)
    return found


def _words(thing: Thing | None, tapes: tuple[LiveTape, ...], placed: tuple[Placed, ...]) -> str:
    if thing is None:
        return ""
    near = " and ".join(f"{tape.text} from {tape.wall}" for tape in tapes)
    if thing.kind in {"wall", "corner"}:
        near = " and ".join(f"{tape.wall} {tape.text}" for tape in tapes)
    own = next((one for one in placed if f"loudspeaker:{one.id}" == thing.ref), None)
    told = f"{thing.name}: {near}." if near else f"{thing.name}."
    if own is None or own.azimuth_deg is None or own.elevation_deg is None:
        return told
    side = "left" if own.azimuth_deg > 0 else "right"
    angle = f"{abs(own.azimuth_deg):.0f}° to the {side}" if round(own.azimuth_deg) else "straight ahead"
    rises = round(own.elevation_deg)
    height = f"{abs(rises)}° {'up' if rises > 0 else 'down'}" if rises else "level with the ears"
    return f"{told} {angle}, {height}: {own.verdict.value}."
