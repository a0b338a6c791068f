"""Where loudspeakers point: toe-in and tilt, and whether pointing them straight would do."""

from collections.abc import Iterator
from dataclasses import replace
from math import atan2, degrees, hypot

import numpy as np

from seatfield.geometry.direction import bearing_deg, wrap_deg
from seatfield.geometry.segment import distance_to_segment
from seatfield.model import Aim, Finding, Input, LoudspeakerModel, Mount, Point3, Severity, Trace
from seatfield.stages.layout.checking import Look
from seatfield.stages.layout.directivity import FREQS_HZ, SOURCE, angle_off_deg, axis, off_axis_db
from seatfield.stages.layout.placing.bounces import bounce_directions
from seatfield.stages.layout.result import Aiming, Placed

FINE_DB = {4000.0: -3.0, 8000.0: -6.0}
"""What may be lost off the axis at the main seat and still be fine: common practice, no source [dB]."""

NEAR_WALL_M = 0.6


def aim_at(start: Point3, target: Point3) -> Aim:
    """Return the aim from one point at another; level and along +x where they coincide.

    Parameters
    ----------
    start, target
        Loudspeaker and what it points at [m].

    Returns
    -------
    Aim
        Yaw from +x counter-clockwise, pitch up [deg].
    """
    flat = hypot(target[0] - start[0], target[1] - start[1])
    yaw = bearing_deg(start[:2], target[:2]) if flat > 1e-9 else 0.0
    return Aim(yaw, degrees(atan2(target[2] - start[2], flat)))


def bounce_of(look: Look, at: Point3) -> Point3 | None:
    """Return where an upward-firing loudspeaker's sound meets the ceiling on its way to the main seat.

    Parameters
    ----------
    look
        Project, room and system.
    at
        The loudspeaker [m].

    Returns
    -------
    tuple or None
        The place [m]; None where no plane of the ceiling throws it there.
    """
    found = bounce_directions(np.array([at]), np.array(look.head), np.array(look.survey.ceiling))
    if found[2][0] < 0:
        return None
    x, y, z = (float(value) for value in found[1][0])
    return x, y, z


def aimed(look: Look, one: Placed, given: Aim | None) -> Placed:
    """Return a loudspeaker with its aim: as given, else at the main seat, or at its bounce.

    Parameters
    ----------
    look
        Project, room and system.
    one
        The loudspeaker.
    given
        Its aim in the file.

    Returns
    -------
    Placed
        With `aim` and, for an upward-firing one, `bounce`.
    """
    if one.at is None:
        return one
    bounce = bounce_of(look, one.at) if one.mount is Mount.UPWARD else None
    return replace(one, aim=given or aim_at(one.at, bounce or look.head), bounce=bounce)


def model_named(look: Look, name: str) -> LoudspeakerModel | None:
    """Return the loudspeaker model with a name, or None."""
    return next((model for model in look.project.models if model.name == name), None)


def levels_off_axis(model: LoudspeakerModel | None, angle_deg: float) -> tuple[float | None, ...]:
    """Return a model's levels off its axis at 1, 2, 4 and 8 kHz [dB]."""
    return tuple(off_axis_db(model, freq, angle_deg) for freq in FREQS_HZ)


def aiming_of(look: Look, one: Placed) -> Aiming | None:
    """Return toe-in, tilt, and what leaving a loudspeaker straight would cost at the main seat.

    Parameters
    ----------
    look
        Project, room and system.
    one
        The loudspeaker, aimed.

    Returns
    -------
    Aiming or None
        None for one without a place, and for an upward-firing one.
    """
    if one.at is None or one.aim is None or one.mount is Mount.UPWARD:
        return None
    straight = straight_aim(look, one)
    off = angle_off_deg(axis(straight.yaw_deg, straight.pitch_deg), one.at, look.head)
    levels = levels_off_axis(model_named(look, one.model), off)
    toe = 0.0 if one.mount is Mount.CEILING else wrap_deg(one.aim.yaw_deg - straight.yaw_deg)
    return Aiming(one.id, toe, one.aim.pitch_deg, off, levels, fine(levels))


def straight_aim(look: Look, one: Placed) -> Aim:
    """Return how a loudspeaker points if nobody turns it: down from a ceiling, square out from the wall behind it.

    Parameters
    ----------
    look
        Project, room and system.
    one
        The loudspeaker, with a place.

    Returns
    -------
    Aim
        Along the line from the screen to the seat where no wall is near.
    """
    assert one.at is not None
    plain = one.at[:2]
    if one.mount is Mount.CEILING:
        return Aim(0.0, -90.0)
    walls = look.survey.walls
    nearest = min(walls, key=lambda wall: round(distance_to_segment(plain, wall.start, wall.end), 6))
    if distance_to_segment(plain, nearest.start, nearest.end) < NEAR_WALL_M:
        return Aim(degrees(atan2(nearest.inward[1], nearest.inward[0])), 0.0)
    return Aim(bearing_deg(look.project.screen.centre[:2], look.head[:2]), 0.0)


def fine(levels: tuple[float | None, ...]) -> bool | None:
    """Tell whether levels off the axis are fine, None where the two that decide are not known."""
    known = [(level, FINE_DB[freq]) for freq, level in zip(FREQS_HZ, levels, strict=False) if freq in FINE_DB]
    decided = [(level, least) for level, least in known if level is not None]
    if any(level < least for level, least in decided):
        return False
    return True if len(decided) == len(FINE_DB) else None


def aim_findings(look: Look, one: Placed, key: str) -> Iterator[Finding]:
    """Find a loudspeaker whose own aim leaves the main seat too far off its axis.

    Parameters
    ----------
    look
        Project, room and system.
    one
        The loudspeaker, aimed.
    key
        Its place in the file.

    Yields
    ------
    Finding
        At most one.
    """
    if one.at is None or one.aim is None or one.mount is Mount.UPWARD:
        return
    off = angle_off_deg(axis(one.aim.yaw_deg, one.aim.pitch_deg), one.at, look.head)
    levels = levels_off_axis(model_named(look, one.model), off)
    behind = off > 90
    if fine(levels) is not False and not behind:
        return
    worst = levels[2] if levels[2] is not None else levels[3]
    lost = f"loses {-worst:.0f} dB of treble there" if worst is not None else "sends it no direct treble"
    yield Finding(
        "layout.off-axis",
        Severity.FIX if behind else Severity.NOTE,
        one.id,
        f"{one.plain_name.capitalize()} points {off:.0f}° past the main seat and {lost}.",
        measured=off,
        limit=0.0,
        unit="°",
        source=f"{SOURCE}, or the model's table; fine down to −3 dB at 4 kHz and −6 dB at 8 kHz: common practice, "
        "no source",
        advice="Turn it towards the main seat.",
        at=one.at,
        key=f"{key}.aim",
        trace=Trace(
            "angle between the aim and the way to the main seat's head",
            (Input("yaw", one.aim.yaw_deg, "°"), Input("pitch", one.aim.pitch_deg, "°")),
        ),
    )
