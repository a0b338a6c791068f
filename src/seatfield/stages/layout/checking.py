"""Loudspeakers where the person put them: seen from the main seat, held against their windows."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil, cos, dist, radians, sin, tan

import numpy as np

from seatfield.catalogue.systems import VERDICT_LIMITS, SoundSystem, plain_name
from seatfield.geometry.direction import bearing_deg, seen_from
from seatfield.geometry.polygon import contains
from seatfield.model import (
    Finding,
    Input,
    LengthUnit,
    Loudspeaker,
    Mount,
    Point3,
    Project,
    Severity,
    Subwoofer,
    Trace,
)
from seatfield.stages.layout.placing.bounces import bounce_directions
from seatfield.stages.layout.placing.carriers import box_of
from seatfield.stages.layout.placing.obstacles import hides_picture
from seatfield.stages.layout.result import Placed, Verdict
from seatfield.stages.layout.windows import (
    Seen,
    chord_m,
    deviation_deg,
    direction_errors_deg,
    nearest_allowed,
    verdict_of,
    verdicts_within,
    window_words,
)
from seatfield.stages.survey import Survey, height_at, tell

FRAME_FORMULA = (
    "azimuth = direction to the loudspeaker − direction to the screen's centre, in plan, left positive; "
    "elevation = atan(height above the ears / distance in plan); deviation = great-circle angle to the window"
)


COMMON_CENTRE = ", but under or over the picture that is common practice"
CENTRE_BESIDE_DEG = 15.0
"""A centre no further over or under the ears than this may stand by the picture: common practice, no source [deg]."""


CENTIMETRE_M, HALF_INCH_M = 0.01, 0.0127
LEAVE_IT = "Leave it where it is: it is less than"


@dataclass(frozen=True, slots=True)
class Look:
    """What is looked at together: the project, the room, the sound system."""

    project: Project
    survey: Survey
    system: SoundSystem

    @property
    def head(self) -> Point3:
        """The main seat's head [m]."""
        return self.project.main_seat.head

    def see(self, at: Point3) -> Seen:
        """Return a point as the main seat sees it."""
        return Seen(*seen_from(self.head, self.project.screen.centre[:2], at))

    def hear(self, at: Point3, mount: Mount | None) -> Seen:
        """Return a loudspeaker as the main seat hears it: an upward-firing one from its image in the ceiling."""
        if mount is not Mount.UPWARD:
            return self.see(at)
        image = bounce_directions(np.array([at]), np.array(self.head), np.array(self.survey.ceiling))[0][0]
        return self.see((float(image[0]), float(image[1]), float(image[2])))

    def plan_point(self, azimuth_deg: float, plan_m: float) -> tuple[float, float]:
        """Return the plan point at an azimuth and a distance in plan from the main seat [m]."""
        ahead = bearing_deg(self.head[:2], self.project.screen.centre[:2])
        turned = radians(ahead + azimuth_deg)
        return self.head[0] + plan_m * cos(turned), self.head[1] + plan_m * sin(turned)


def look_at_loudspeaker(look: Look, one: Loudspeaker, *, placed: bool = False) -> Placed:
    """Hold one loudspeaker against its channel's window.

    Parameters
    ----------
    look
        Project, room and system.
    one
        The loudspeaker, with or without a position.
    placed
        True where the program chose the position.

    Returns
    -------
    Placed
        With the verdict; not possible where it has no position.
    """
    return _judge(look, one, one.mount, placed=placed)


def look_at_subwoofer(look: Look, one: Subwoofer) -> Placed:
    """Hold one subwoofer against its channel's window, where the standard has one.

    Parameters
    ----------
    look
        Project, room and system.
    one
        The subwoofer, with or without a position.

    Returns
    -------
    Placed
        With the verdict; good anywhere where no position is prescribed.
    """
    return _judge(look, one, None, placed=False)


def _judge(look: Look, one: Loudspeaker | Subwoofer, mount: Mount | None, *, placed: bool) -> Placed:
    channel, at = look.system.channel(one.channel), one.at
    blank = Placed(
        id=one.id,
        channel=one.channel,
        plain_name=plain_name(one.channel),
        model=one.model,
        at=at,
        mount=mount,
        azimuth_deg=None,
        elevation_deg=None,
        distance_m=None,
        deviation_deg=None,
        verdict=Verdict.NOT_POSSIBLE,
        placed=placed,
        limit=window_words(channel) if channel else f"{look.system.name} has no {one.channel}",
        source=look.system.source,
        verdicts=(Verdict.NOT_POSSIBLE,),
    )
    if at is None:
        return blank
    seen = look.hear(at, mount)
    directed = replace(
        blank,
        azimuth_deg=seen.azimuth_deg,
        elevation_deg=seen.elevation_deg,
        distance_m=dist(at, look.head),
    )
    if channel is None:
        return directed
    deviation = deviation_deg(channel, seen.azimuth_deg, seen.elevation_deg)
    errors = direction_errors_deg(look.head, look.project.screen.centre, at, look.survey.room.tolerance_m)
    return replace(
        directed,
        deviation_deg=deviation,
        verdict=verdict_of(deviation),
        verdicts=verdicts_within(channel, seen, errors),
    )


def direction_findings(look: Look, one: Placed, key: str) -> Iterator[Finding]:
    """Find where a loudspeaker lies outside its window, and what the tape leaves open.

    Parameters
    ----------
    look
        Project, room and system.
    one
        The loudspeaker as judged.
    key
        Its place in the file.

    Yields
    ------
    Finding
        At most one for the azimuth, one for the elevation, one for a verdict that could flip.
    """
    channel = look.system.channel(one.channel)
    if channel is None or one.at is None or one.deviation_deg is None or channel.azimuth_window is None:
        return
    seen = look.hear(one.at, one.mount)
    azimuth, elevation = nearest_allowed(channel, seen)
    if one.deviation_deg > 1e-6:
        turned, lifted = abs(azimuth - seen.azimuth_deg) > 1e-6, abs(elevation - seen.elevation_deg) > 1e-6
        if turned:
            yield _azimuth(look, one, seen, azimuth, key)
        mends = abs(_height_wanted(look, one, seen, elevation) - one.at[2]) >= smallest_mend_m(
            look.project.units
        )
        if lifted and (mends or not turned):
            yield _elevation(look, one, seen, elevation, key)
    if len(one.verdicts) > 1:
        yield _unsure(look, one, key)


def severity_of(one: Placed) -> Severity:
    """Return how much a place outside its window matters: little where usable, or a centre by the picture.

    Parameters
    ----------
    one
        The loudspeaker as judged.

    Returns
    -------
    Severity
        A note or a thing to mend.
    """
    fine = one.verdict in (Verdict.GOOD, Verdict.USABLE) or by_the_picture(one)
    return Severity.NOTE if fine else Severity.FIX


def by_the_picture(one: Placed) -> bool:
    """Tell whether a loudspeaker is a centre over or under the picture, as is common practice."""
    if one.channel != "M+000" or one.azimuth_deg is None or one.elevation_deg is None:
        return False
    aside = VERDICT_LIMITS.point_tolerance_deg
    return abs(one.azimuth_deg) <= aside and abs(one.elevation_deg) <= CENTRE_BESIDE_DEG


def _trace(look: Look, one: Placed) -> Trace:
    assert one.at is not None
    named = (("seat", look.head), ("screen", look.project.screen.centre), ("loudspeaker", one.at))
    inputs = [
        Input(f"{what} {axis}", p, "m") for what, at in named for axis, p in zip("xyz", at, strict=True)
    ]
    return Trace(FRAME_FORMULA, tuple(inputs))


def smallest_mend_m(units: LengthUnit) -> float:
    """Return the least way that is told as a mend: a centimetre, or half an inch [m]."""
    return HALF_INCH_M if units is LengthUnit.FOOT else CENTIMETRE_M


def _azimuth(look: Look, one: Placed, seen: Seen, allowed: float, key: str) -> Finding:
    ahead, left = chord_m(seen, allowed)
    units = look.project.units
    least = smallest_mend_m(units)
    ways = [
        f"{tell(abs(value), units)} {positive if value > 0 else negative}"
        for value, positive, negative in (
            (ahead, "towards the screen", "away from the screen"),
            (left, "to the left", "to the right"),
        )
        if abs(value) >= least
    ]
    fits = contains(look.survey.room.floor, look.plan_point(allowed, seen.plan_m))
    advice = f"Move it {' and '.join(ways)} (left and right as from the main seat)."
    if not ways:
        advice = f"{LEAVE_IT} {tell(least, units)} off."
    elif not fits:
        advice += (
            " At this distance that lies outside the room: bring it nearer to the seat, or move the seat."
        )
    side = "left" if seen.azimuth_deg >= 0 else "right"
    return Finding(
        "layout.azimuth-outside",
        severity_of(one),
        one.id,
        f"{_capital(one.plain_name)} stands {abs(seen.azimuth_deg):.0f}° to the {side} of the screen as seen from the "
        f"main seat; {look.system.name} wants {one.limit}. It is {_degrees(one.deviation_deg)} outside: {one.verdict}.",
        measured=seen.azimuth_deg,
        limit=allowed,
        unit="°",
        source=f"{one.source}; verdicts: {VERDICT_LIMITS.source}",
        advice=advice,
        at=one.at,
        key=f"{key}.at",
        trace=_trace(look, one),
    )


def _elevation(look: Look, one: Placed, seen: Seen, allowed: float, key: str) -> Finding:
    assert one.at is not None
    wanted = _height_wanted(look, one, seen, allowed)
    step = wanted - one.at[2]
    units = look.project.units
    side = "above" if seen.elevation_deg >= 0 else "below"
    least = smallest_mend_m(units)
    excess, verb = abs(allowed - seen.elevation_deg), "Raise" if step > 0 else "Lower"
    change = f"{verb} it by {tell(abs(step), units)}, to {tell(wanted, units)} above the floor"
    if one.mount is not Mount.UPWARD and _hiding(look, one, [wanted])[0]:
        change = _beside_picture(look, one, wanted)
    if not 0 <= wanted <= height_at(look.survey, one.at):
        change = "No height in this room does that here; bring it nearer to the seat or further away"
    if abs(step) < least:
        change = f"{LEAVE_IT} {tell(least, units)} off"
    return Finding(
        "layout.elevation-outside",
        severity_of(one),
        one.id,
        f"{_capital(one.plain_name)} is {abs(seen.elevation_deg):.0f}° {side} the ears of the main seat; "
        f"{look.system.name} wants {one.limit}. That is {_degrees(excess)} too {'low' if step > 0 else 'high'}: "
        f"{verdict_of(excess)}{COMMON_CENTRE if by_the_picture(one) else ''}.",
        measured=seen.elevation_deg,
        limit=allowed,
        unit="°",
        source=f"{one.source}; verdicts: {VERDICT_LIMITS.source}",
        advice=f"{change}.",
        at=one.at,
        key=f"{key}.at",
        trace=_trace(look, one),
    )


def _height_wanted(look: Look, one: Placed, seen: Seen, allowed: float) -> float:
    """Return the height at which a loudspeaker over the same point has an elevation [m]."""
    assert one.at is not None
    return look.head[2] + seen.plan_m * tan(radians(allowed)) if abs(allowed) < 89 else one.at[2]


def _beside_picture(look: Look, one: Placed, wanted_m: float) -> str:
    """Say how near a loudspeaker comes to the height that is wanted without hiding the picture."""
    assert one.at is not None
    now, units = one.at[2], look.project.units
    model = next((model for model in look.project.models if model.name == one.model), None)
    half = box_of(model).height_m / 2
    steps = range(ceil(half * 100), int((height_at(look.survey, one.at) - half) * 100) + 1)
    tried = [now, *(step / 100 for step in steps)]
    hides_now, *hides = _hiding(look, one, tried)
    heights = [height for height, bad in zip(tried[1:], hides, strict=True) if not bad]
    if not hides_now:  # it stays on the side of the picture on which it is
        heights = [h for h in heights if (h < wanted_m) == (now < wanted_m)]
    if not heights:
        return "Hang the picture higher or lower: at every height that would do, the loudspeaker hides it"
    best = min(heights, key=lambda h: abs(h - wanted_m))
    below = best < look.project.screen.centre[2]
    edge = (
        "as high as the picture's lower edge allows" if below else "as low as the picture's upper edge allows"
    )
    tilt = f"tilt it {'up' if below else 'down'} towards the ears; any nearer it hides the picture"
    if abs(best - now) < 0.02:
        return f"Leave it where it is, {edge}, and {tilt}"
    verb = "Raise" if best > now else "Lower"
    return f"{verb} it to be {edge}: {tell(best, units)} above the floor, and {tilt}"


def _hiding(look: Look, one: Placed, heights_m: list[float]) -> list[bool]:
    """Tell at which other heights a loudspeaker would hide the picture."""
    assert one.at is not None
    head, screen = np.array(look.head), np.array(look.project.screen.centre)
    ahead = (screen - head)[:2] / max(float(np.hypot(*(screen - head)[:2])), 1e-9)
    model = next((model for model in look.project.models if model.name == one.model), None)
    hit = hides_picture(look.project, (head, ahead, np.array([-ahead[1], ahead[0]])))
    points = np.array([(*one.at[:2], height) for height in heights_m])
    return [bool(hides) for hides in hit(points, one.mount or Mount.STAND, box_of(model))]


def _unsure(look: Look, one: Placed, key: str) -> Finding:
    assert one.at is not None
    room = look.survey.room
    errors = direction_errors_deg(look.head, look.project.screen.centre, one.at, room.tolerance_m)
    options = " or ".join(verdict.value for verdict in one.verdicts)
    return Finding(
        "layout.verdict-unsure",
        Severity.NOTE,
        one.id,
        f"With a tape read to ±{tell(room.tolerance_m, look.project.units)}, {one.plain_name} may be {options}.",
        measured=errors[0],
        unit="°",
        source="√2 · tolerance over each distance, screen and loudspeaker added in squares",
        advice=f"Measure the main seat and {one.plain_name} again from two corners, as finely as the tape reads.",
        at=one.at,
        key=f"{key}.at",
        trace=Trace(
            "azimuth error = √((√2·t/d)² + (√2·t/s)²)",
            (
                Input("t, tolerance", room.tolerance_m, "m"),
                Input("d, loudspeaker in plan", dist(one.at[:2], look.head[:2]), "m"),
                Input("s, screen in plan", dist(look.project.screen.centre[:2], look.head[:2]), "m"),
            ),
        ),
    )


def _degrees(angle: float | None) -> str:
    return "less than 1°" if (angle or 0.0) < 0.5 else f"{angle:.0f}°"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
