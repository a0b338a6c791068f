"""How channels fit whose places are known: what is said of systems and what is printed of places is one number."""

from collections.abc import Iterable
from math import dist

from seatfield.catalogue.systems import SYSTEMS, Channel
from seatfield.geometry.batch import EDGE_M
from seatfield.model import Mount
from seatfield.stages.layout.candidates import COMFORT_M, NO_PLACE_DEG, Fit, by_picture, counted_by_picture
from seatfield.stages.layout.checking import Look
from seatfield.stages.layout.result import Placed
from seatfield.stages.layout.standing import on_floor_m, on_tall_stand, too_low
from seatfield.stages.layout.windows import deviation_deg


def fits_as_placed(look: Look, labels: Iterable[str], speakers: Iterable[Placed]) -> dict[Channel, Fit]:
    """Return how the channels fit whose places are known.

    Parameters
    ----------
    look
        Project, room and system.
    labels
        The system's channels that have their place, given or sought, or for which there is none.
    speakers
        The loudspeakers as judged.

    Returns
    -------
    dict
        By channel. A given place outside its window says nothing of the room, so it is left out; other systems
        know of a place only what lies inside their own windows.
    """
    by_label = {one.channel: one for one in speakers if one.at is not None}
    fits = {}
    for channel in (one for one in look.system.channels if one.label in labels):
        one = by_label.get(channel.label)
        if one is None:
            fits[channel] = Fit(channel, NO_PLACE_DEG, near=False, upward=False)
        elif one.placed or not one.deviation_deg:
            fits[channel] = _fit(look, channel, one)
    for channel in {one for entry in SYSTEMS for one in entry.channels}.difference(look.system.channels):
        one = by_label.get(channel.label)
        fit = None if one is None else _fit(look, channel, one)
        if fit is not None and fit.deviation_deg == 0 and not fit.tall:
            fits[channel] = fit
    return fits


def _fit(look: Look, channel: Channel, one: Placed) -> Fit:
    seen = one.azimuth_deg or 0.0, one.elevation_deg or 0.0
    deviation, wide = deviation_deg(channel, *seen), by_picture(channel)
    lenient = None if wide is None else counted_by_picture(deviation_deg(wide, *seen), deviation)
    away = min(dist(one.at, seat.head) for seat in look.project.seats) if one.at else 0.0
    return Fit(
        channel,
        deviation,
        near=away < COMFORT_M - EDGE_M,
        upward=one.mount is Mount.UPWARD,
        lenient_deg=lenient,
        on_floor=on_floor_m(look, one) is not None and too_low(channel, seen),
        tall=on_tall_stand(one),
    )
