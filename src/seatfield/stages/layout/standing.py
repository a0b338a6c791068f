"""What stands on the floor: boxes too tall to be lifted, tall stands for heights, boxes that fire at the ceiling."""

from collections.abc import Iterator
from dataclasses import replace
from math import dist

from seatfield.catalogue.systems import Channel
from seatfield.geometry.direction import wrap_deg
from seatfield.geometry.polygon import boundary_distance
from seatfield.model import Finding, Input, Mount, Severity, Trace
from seatfield.stages.layout.checking import Look, severity_of
from seatfield.stages.layout.placing import Job, Places, box_of, cheapest_change
from seatfield.stages.layout.placing.carriers import TALL_STAND_M
from seatfield.stages.layout.result import Placed
from seatfield.stages.layout.windows import mirrored_label, turn_outside_deg, widened
from seatfield.stages.survey import tell

IN_LINE_DEG = 8.0
"""A stand within this of the direction of a loudspeaker behind it stands in its line [deg]."""
COMMON = "common practice, no source"


def on_tall_stand(one: Placed) -> bool:
    """Tell whether a height loudspeaker was put on a tall stand for want of anything better."""
    tall = one.at is not None and one.at[2] > TALL_STAND_M + 1e-6
    return one.placed and one.channel.startswith("U") and one.mount is Mount.STAND and tall


def tall_stand(look: Look, places: Places, one: Placed, speakers: tuple[Placed, ...], key: str) -> Finding:
    """Say that a height loudspeaker has no sensible place, what the stand costs, and the cheapest change.

    Parameters
    ----------
    look
        Project, room and system.
    places
        What was found.
    one
        The loudspeaker, `on_tall_stand`.
    speakers
        All loudspeakers as judged.
    key
        Its place in the file.

    Returns
    -------
    Finding
        To be mended.
    """
    assert one.at is not None
    units = look.project.units
    away = min(dist(one.at, seat.head) for seat in look.project.seats)
    to_wall = boundary_distance(look.survey.room.floor, one.at[:2])
    off = f", {one.deviation_deg:.0f}° outside its window" if (one.deviation_deg or 0.0) >= 0.5 else ""
    lines = [other.plain_name for other in speakers if _behind(look, one, other)]
    line = f", in the line of {lines[0]}" if lines else ""
    costs = [cost for cost in places.merit.costs if cost.channel == one.channel and cost.what in _OF_STANDS]
    return Finding(
        "layout.tall-stand",
        Severity.FIX,
        one.id,
        f"{one.plain_name.capitalize()} has no sensible place on a wall, on furniture or under the ceiling as things "
        f"are. What is left is a stand {tell(one.at[2], units)} tall, {tell(away, units)} from the nearest head and "
        f"{tell(to_wall, units)} from the nearest wall{line}{off}: it is in the way and easily knocked over.",
        measured=one.at[2],
        limit=TALL_STAND_M,
        unit="m",
        source=COMMON,
        advice=_instead(places, one.channel),
        at=one.at,
        key=key,
        trace=Trace(
            "height of the acoustic centre; costs in degrees of direction that one would give to avoid them, less "
            "is better",
            tuple(Input(cost.what, cost.cost, "°") for cost in costs),
        ),
    )


_OF_STANDS = ("near a head", "mount", "in the open", "before a window", "children or pets")


def _behind(look: Look, one: Placed, other: Placed) -> bool:
    """Tell whether another loudspeaker lies behind a stand, seen from the main seat."""
    if other is one or other.at is None or None in (one.azimuth_deg, other.azimuth_deg):
        return False
    assert one.at is not None
    apart = abs(wrap_deg((one.azimuth_deg or 0.0) - (other.azimuth_deg or 0.0)))
    head = look.head[:2]
    return apart < IN_LINE_DEG and dist(other.at[:2], head) > dist(one.at[:2], head) + 0.3


def _instead(places: Places, label: str) -> str:
    """Return the cheapest change after which the channel, and its other side, needs no tall stand."""
    jobs = [
        _off_the_floor(places.jobs[name]) for name in (label, mirrored_label(label)) if name in places.jobs
    ]
    open_ = [job for job in jobs if job.fixed is None]
    change = cheapest_change(places.ground, places.book, open_[0], open_[1] if len(open_) > 1 else None)
    if change is None or not change.steps:
        return "Leave these channels out, or choose a system without them."
    return f"{change.words}: then it has a place. Or leave these channels out."


def _off_the_floor(job: Job) -> Job:
    return replace(job, mounts=(Mount.SHELF, Mount.WALL, Mount.CEILING))


def bounce_findings(look: Look, speakers: tuple[Placed, ...], keys: dict[str, str]) -> Iterator[Finding]:
    """Tell of loudspeakers that fire at the ceiling how far the box is, and how far their sound travels.

    Parameters
    ----------
    look
        Project, room and system.
    speakers
        Loudspeakers as judged.
    keys
        Place in the file by loudspeaker id.

    Yields
    ------
    Finding
        One per loudspeaker that has a bounce.
    """
    for one in speakers:
        if one.at is None or one.bounce is None:
            continue
        units, box = look.project.units, dist(one.at, look.head)
        path = one.way_m(look.head)
        yield Finding(
            "layout.bounce-path",
            Severity.NOTE,
            one.id,
            f"{one.plain_name.capitalize()} fires at the ceiling: the box is {tell(box, units)} from the main seat, "
            f"and its sound travels {tell(path, units)}. Azimuth and elevation are those of the bounce.",
            measured=path,
            limit=box,
            unit="m",
            source="mirror image in the ceiling",
            advice=f"Type {tell(path, units)} as its distance into the amplifier.",
            at=one.bounce,
            key=f"{keys[one.id]}.at" if one.id in keys else "system.layout",
            trace=Trace(
                "box to bounce + bounce to head; the limit is the straight way from box to head",
                (
                    Input("box to bounce", dist(one.at, one.bounce), "m"),
                    Input("bounce to head", dist(one.bounce, look.head), "m"),
                ),
            ),
        )


def on_floor_m(look: Look, one: Placed) -> float | None:
    """Return the height of a floor-standing box's middle; None for what is lifted or hung [m]."""
    model = next((model for model in look.project.models if model.name == one.model), None)
    box = box_of(model)
    return box.height_m / 2 if box.floor_standing and one.mount in (None, Mount.STAND) else None


def too_low(channel: Channel, seen: tuple[float, float]) -> bool:
    """Tell whether a direction lies under a channel's window more than beside it: lifting would help most."""
    around, level = widened(channel.azimuth_window or ()), widened(channel.elevation_window or ())
    under = level[0][0] - seen[1] if level else 0.0
    return under > max(turn_outside_deg(around, seen[0]), 0.0)


def on_floor(look: Look, one: Placed, key: str) -> Finding:
    """Say how low a box that stands on the floor is heard.

    Parameters
    ----------
    look
        Project, room and system.
    one
        The loudspeaker, floor-standing and under its window.
    key
        Its place in the file.

    Returns
    -------
    Finding
        A note where it is usable.
    """
    middle, units = on_floor_m(look, one) or 0.0, look.project.units
    return Finding(
        "layout.stands-on-floor",
        severity_of(one),
        one.id,
        f"{one.plain_name.capitalize()} is a box {tell(2 * middle, units)} high that stands on the floor and is not "
        f"lifted: its middle comes to {tell(middle, units)}, {abs(one.elevation_deg or 0.0):.0f}° under the ears and "
        f"{one.deviation_deg or 0.0:.0f}° outside its window: {one.verdict}.",
        measured=one.deviation_deg,
        limit=0.0,
        unit="°",
        source=f"{look.system.source}; a box taller than 0.6 m stands on the floor: {COMMON}",
        advice="Leave it there and tilt it back towards the ears; its upper drivers are nearer to their height.",
        at=one.at,
        key=key,
        trace=Trace(
            "great-circle angle from the middle of the box to the window; less is better",
            (Input("height of the box", 2 * middle, "m"), Input("ears", look.head[2], "m")),
        ),
    )


def floating_findings(look: Look, speakers: tuple[Placed, ...], keys: dict[str, str]) -> Iterator[Finding]:
    """Find given heights at which a floor-standing box would hang in the air.

    Parameters
    ----------
    look
        Project, room and system.
    speakers
        Loudspeakers as judged.
    keys
        Place in the file by loudspeaker id.

    Yields
    ------
    Finding
        One per box whose acoustic centre is given above its own top.
    """
    for one in speakers:
        middle = on_floor_m(look, one)
        if one.at is None or one.placed or middle is None or one.at[2] <= 2 * middle + 0.02:
            continue
        units = look.project.units
        yield Finding(
            "layout.box-floats",
            Severity.FIX,
            one.id,
            f"{one.plain_name.capitalize()} is a box {tell(2 * middle, units)} high that stands on the floor, and its "
            f"acoustic centre is given {tell(one.at[2], units)} up, above its own top.",
            measured=one.at[2],
            limit=2 * middle,
            unit="m",
            source=f"a box taller than 0.6 m stands on the floor: {COMMON}",
            advice=f"Measure to its woofer again; the middle of the box is at {tell(middle, units)}.",
            at=one.at,
            key=f"{keys.get(one.id, '')}.at",
            trace=Trace("acoustic centre above the height of the box", (Input("box", 2 * middle, "m"),)),
        )
