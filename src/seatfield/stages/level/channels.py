"""Each channel at each seat: how far amplifier and loudspeaker go, what gives out first, what the wish takes."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import dist, sqrt

from seatfield.decibel import distance_loss_db
from seatfield.model import Point3, Seat
from seatfield.stages.layout.result import SeatView
from seatfield.stages.level.driving import (
    amplifier_volts,
    direct_level_db,
    nominal_ohm,
    voltage_sensitivity_db,
    watts_for,
)
from seatfield.stages.level.loads import Driven, Load
from seatfield.stages.level.result import ChannelLevel, RoomSound
from seatfield.stages.level.room import programme_off_axis_db, steady_db
from seatfield.stages.level.wishes import Wish


@dataclass(frozen=True, slots=True)
class Work:
    """What every channel is reckoned with.

    Parameters
    ----------
    views
        Layout's view from each seat, by the seat's name.
    cable_loss_db
        By run [dB].
    room
        None where the room encloses nothing.
    """

    loads: tuple[Load, ...]
    wish: Wish
    views: dict[str, SeatView]
    cable_loss_db: dict[str, float]
    room: RoomSound | None


@dataclass(frozen=True, slots=True)
class Way:
    """The way from one loudspeaker to one seat: its length [m], and levels off the axis at 1 to 8 kHz [dB]."""

    distance_m: float
    off_axis_db: tuple[float | None, ...]


def channels_at(work: Work, seat: Seat) -> tuple[ChannelLevel, ...]:
    """Return every channel at a seat, without its usual level.

    Parameters
    ----------
    work
        Loads, wish, room and layout.
    seat
        The seat.

    Returns
    -------
    tuple
        Loudspeakers with a place, in the order of the layout.
    """
    return tuple(
        _channel(work, load, one, _way(work, one, one.placed.at, seat))
        for load in work.loads
        for one in load.loudspeakers
        if one.placed.at is not None
    )


def _way(work: Work, one: Driven, at: Point3, seat: Seat) -> Way:
    """Return the way as the layout has it: from its image in the ceiling for an upward-firing loudspeaker."""
    view = work.views.get(seat.name)
    heard = next((entry for entry in view.channels if entry.id == one.placed.id), None) if view else None
    return Way(heard.distance_m, heard.off_axis_db) if heard else Way(dist(at, seat.head), ())


def _channel(work: Work, load: Load, one: Driven, way: Way) -> ChannelLevel:
    sensitivity = voltage_sensitivity_db(one.model)
    off = programme_off_axis_db(way.off_axis_db)
    loss = work.cable_loss_db.get(one.placed.id)
    watts = None
    if sensitivity is not None:
        wanted = work.wish.peak_db + (loss or 0.0) - (off or 0.0)
        watts = watts_for(wanted, sensitivity, way.distance_m, nominal_ohm(one.model))
    limits = dict(_limits(load, one, way, loss or 0.0))
    peak, first = _first(load, limits, work.wish.peak_db)
    steady = steady_db(work.room, way.distance_m, way.off_axis_db) if work.room else None
    return ChannelLevel(
        one.placed.id,
        one.placed.channel,
        way.distance_m,
        peak,
        None if load.refused else watts,
        first,
        None,
        steady[1] - steady[0] if steady else None,
        off,
        loss,
        limits.get("amplifier"),
        limits.get("loudspeaker"),
    )


def _first(load: Load, limits: dict[str, float], wish_db: float) -> tuple[float | None, str]:
    """Return how far the channel goes and what gives out first."""
    if load.refused:
        return None, "load"
    if load.left_out:
        return None, "amplifier"
    if not limits:
        return None, "" if load.allowed else "load"
    first = min(limits, key=lambda name: limits[name])
    if not load.allowed:
        return limits[first], "load"
    return limits[first], "wish" if limits[first] >= wish_db else first


def _limits(load: Load, one: Driven, way: Way, loss_db: float) -> Iterator[tuple[str, float]]:
    """Yield how far amplifier, load and loudspeaker go at a distance, where the figures are known."""
    model, sensitivity = one.model, voltage_sensitivity_db(one.model)
    off = programme_off_axis_db(way.off_axis_db) or 0.0
    if sensitivity is not None:
        for name, volts in _volts(load):
            yield name, direct_level_db(sensitivity, volts, way.distance_m) - loss_db + off
    if model.max_level_db is not None:
        yield "loudspeaker", model.max_level_db - distance_loss_db(max(way.distance_m, 0.1)) + off
    elif sensitivity is not None and model.power_w:
        volts = sqrt(model.power_w * nominal_ohm(model))
        yield "loudspeaker", direct_level_db(sensitivity, volts, way.distance_m) + off


def _volts(load: Load) -> Iterator[tuple[str, float]]:
    """Yield the voltage of the amplifier, and that at which a load that is not allowed draws all that is allowed."""
    amplifier = load.amplifier
    if amplifier is None:
        return
    volts = amplifier_volts(amplifier, load.nominal_ohm)
    if volts is not None:
        yield "amplifier", volts
    lowest = amplifier.lowest_load_ohm
    if lowest and not load.allowed:
        allowed = amplifier_volts(amplifier, lowest)
        if allowed is not None:
            yield "load", allowed * load.rated_ohm / lowest


def with_usual(
    work: Work, at_seat: tuple[ChannelLevel, ...], at_main: tuple[ChannelLevel, ...]
) -> tuple[ChannelLevel, ...]:
    """Return the channels of a seat with the level of the programme there.

    Parameters
    ----------
    work
        Wish and room.
    at_seat, at_main
        Channels at this seat, and at the main seat.

    Returns
    -------
    tuple
        The channels with `usual_db`.

    Notes
    -----
    A meter at the main seat reads the wish, direct sound and room together, or as much less as the channel's peaks
    lack there, so that they stay whole. Another seat differs by distance, aim and room.
    """
    main = {one.id: one for one in at_main}
    return tuple(replace(one, usual_db=_usual_db(work, one, main[one.id])) for one in at_seat)


def _usual_db(work: Work, here: ChannelLevel, main: ChannelLevel) -> float | None:
    if main.peak_db is None:
        return None
    lacks = max(work.wish.peak_db - main.peak_db, 0.0)
    return work.wish.usual_db - lacks + steady_level_db(here) - steady_level_db(main)


def steady_level_db(one: ChannelLevel) -> float:
    """Return a steady programme at a seat, room included, against the direct sound at 1 m on the axis [dB]."""
    return (one.room_db or 0.0) + (one.off_axis_db or 0.0) - distance_loss_db(max(one.distance_m, 0.1))
