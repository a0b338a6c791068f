"""Every seat: how far outside its window each loudspeaker is heard there, and how late it arrives."""

from math import dist

import numpy as np

from seatfield.catalogue.systems import Channel
from seatfield.geometry.direction import seen_from
from seatfield.geometry.mirror import ceiling_facet, image
from seatfield.model import Mount, Point3, Seat
from seatfield.stages.layout.aiming import levels_off_axis, model_named
from seatfield.stages.layout.checking import Look
from seatfield.stages.layout.directivity import angle_off_deg, axis
from seatfield.stages.layout.placing.bounces import bounce_directions
from seatfield.stages.layout.result import Placed, SeatChannel, SeatView
from seatfield.stages.layout.windows import deviation_deg, turn_outside_deg, widened

SPEED_OF_SOUND_M_S = 343.2
"""At 20 °C (ISO 9613-1) [m/s]."""


def speed_of_sound_m_s(temperature_c: float) -> float:
    """Return the speed of sound in air.

    Parameters
    ----------
    temperature_c
        Temperature [°C].

    Returns
    -------
    float
        343.2·√(T/293.15 K) [m/s].

    References
    ----------
    ISO 9613-1:1993, equation for dry air near sea level.
    """
    return float(SPEED_OF_SOUND_M_S * np.sqrt(max(temperature_c + 273.15, 1.0) / 293.15))


def heard_at(look: Look, one: Placed, ear: Point3) -> Point3:
    """Return the point from which an ear hears a loudspeaker: itself, or its image in the ceiling.

    Parameters
    ----------
    look
        Project, room and system.
    one
        The loudspeaker, with a place.
    ear
        The ear [m].

    Returns
    -------
    tuple
        A point [m]; for an upward-firing one, the image in the plane that throws it to this ear, or to the main
        seat where none does.
    """
    assert one.at is not None
    if one.mount is not Mount.UPWARD:
        return one.at
    slopes = np.array(look.survey.ceiling)
    for listener in (ear, look.head):
        which = int(bounce_directions(np.array([one.at]), np.array(listener), slopes)[2][0])
        if which >= 0:
            return image(ceiling_facet(look.survey.ceiling[which]), one.at)
    return one.at


def azimuth_outside_deg(channel: Channel, azimuth_deg: float) -> float:
    """Return how far an azimuth lies outside a channel's azimuth window.

    Parameters
    ----------
    channel
        The channel.
    azimuth_deg
        The azimuth [deg].

    Returns
    -------
    float
        0 inside, and where none is prescribed [deg].
    """
    if channel.azimuth_window is None:
        return 0.0
    return turn_outside_deg(widened(channel.azimuth_window), azimuth_deg)


def seat_view(look: Look, seat: Seat, speakers: tuple[Placed, ...]) -> SeatView:
    """Return every loudspeaker as one seat hears it, in its own frame.

    Parameters
    ----------
    look
        Project, room and system.
    seat
        The seat; straight ahead is the screen's centre as seen from here.
    speakers
        The loudspeakers, aimed.

    Returns
    -------
    SeatView
        Those with a place and a channel of the system.
    """
    views = tuple(
        _heard(look, seat, one, channel)
        for one in speakers
        if one.at is not None and (channel := look.system.channel(one.channel)) is not None
    )
    late = [view.arrival_ms for view in views]
    worst = max(views, key=lambda view: round(view.deviation_deg, 6), default=None)
    return SeatView(
        seat.name,
        views,
        max(late) - min(late) if late else 0.0,
        worst.id if worst is not None and worst.deviation_deg > 1e-6 else "",
    )


def _heard(look: Look, seat: Seat, one: Placed, channel: Channel) -> SeatChannel:
    source = heard_at(look, one, seat.head)
    azimuth, elevation, distance = seen_from(seat.head, look.project.screen.centre[:2], source)
    at_main = dist(heard_at(look, one, look.head), look.head)
    late = (distance - at_main) / speed_of_sound_m_s(look.survey.room.temperature_c) * 1000
    off: float | None = None
    levels: tuple[float | None, ...] = ()
    if one.aim is not None and one.at is not None and one.mount is not Mount.UPWARD:
        off = angle_off_deg(axis(one.aim.yaw_deg, one.aim.pitch_deg), one.at, seat.head)
        levels = levels_off_axis(model_named(look, one.model), off)
    return SeatChannel(
        one.id,
        one.channel,
        azimuth,
        elevation,
        distance,
        _azimuth_error(channel, azimuth, elevation),
        deviation_deg(channel, azimuth, elevation),
        late,
        off,
        levels,
    )


def _azimuth_error(channel: Channel, azimuth: float, elevation: float) -> float:
    """Straight above there is no azimuth to be wrong."""
    return 0.0 if abs(elevation) > 89.9 else azimuth_outside_deg(channel, azimuth)
