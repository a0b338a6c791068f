"""The level: how loud each channel gets at each seat, what limits it, and what that asks of ears."""

from dataclasses import replace

from seatfield.model import Loudness, Project, Seat
from seatfield.stages.bass.result import Bass
from seatfield.stages.cable.result import CablePlan
from seatfield.stages.layout import Layout
from seatfield.stages.level.bass_told import bass_findings
from seatfield.stages.level.channels import Work, channels_at, steady_level_db, with_usual
from seatfield.stages.level.hearing import WEEK_H, film_share, hearing, seat_hours, weekly_hours
from seatfield.stages.level.loads import Load, loads
from seatfield.stages.level.loads_told import amplifier_channel, load_findings
from seatfield.stages.level.result import ChannelLevel, Level, RoomSound, SeatLevel, WishLevel
from seatfield.stages.level.room import ASSUMED_ABSORPTION, room_sound
from seatfield.stages.level.subwoofers import FULL_RANGE_HZ, Low, seat_bass
from seatfield.stages.level.telling import missing_findings, room_findings, short_findings
from seatfield.stages.level.wishes import WISHES, need_of
from seatfield.stages.survey import Survey
from seatfield.stages.terminals import TerminalMap


def plan(
    project: Project,
    survey: Survey,
    layout: Layout,
    terminals: TerminalMap,
    cable: CablePlan | None = None,
    bass: Bass | None = None,
) -> Level:
    """Compute what each channel reaches at each seat.

    Parameters
    ----------
    project
        Everything that the person wrote.
    survey
        The room as surveyed.
    layout
        Where the loudspeakers are, and how far off their axes the seats lie.
    terminals
        Which amplifier drives each.
    cable
        What the runs lose; without it nothing is lost.
    bass
        The room's modes at the seats; without it the bass is estimated.

    Returns
    -------
    Level
        Per seat and channel, with the loads, the three wishes, and what there is to say.

    Notes
    -----
    Peaks are direct sound: what a room adds to steady sound takes longer to build up than a peak lasts.
    """
    every = loads(project, layout, terminals.uses)
    work = _work(every, project, layout, cable, room_sound(survey))
    main = project.main_seat
    bare = channels_at(work, main)
    at_main = with_usual(work, bare, bare)
    low = _low(project, layout, every, bass, work.room)
    seats = tuple(_seat(work, low, seat, at_main) for seat in project.seats)
    found = (
        *load_findings(project, every),
        *missing_findings(project, every),
        *short_findings(project, every, at_main),
        *bass_findings(low, seats),
        *room_findings(work.room, at_main, _doubt_db(work, survey, main, at_main)),
        hearing(project, seats),
    )
    return Level(
        work.wish.peak_db,
        seats,
        found,
        work.wish.usual_db,
        tuple(_wish(project, loudness, at_main) for loudness in Loudness),
        tuple(amplifier_channel(load, at_main) for load in every if load.amplifier is not None),
        work.room,
    )


def _work(
    every: tuple[Load, ...],
    project: Project,
    layout: Layout,
    cable: CablePlan | None,
    room: RoomSound | None,
) -> Work:
    losses = {run.id: run.loss_db for run in cable.runs if run.loss_db is not None} if cable else {}
    return Work(every, WISHES[project.loudness], {view.seat: view for view in layout.seats}, losses, room)


def _low(
    project: Project, layout: Layout, every: tuple[Load, ...], bass: Bass | None, room: RoomSound | None
) -> Low:
    models = {model.name: model for model in project.subwoofer_models}
    standing = tuple(
        (one, models[one.model]) for one in layout.subwoofers if one.at is not None and one.model in models
    )
    small = tuple(
        one.model
        for load in every
        for one in load.loudspeakers
        if one.model.low_corner_hz is None or one.model.low_corner_hz > FULL_RANGE_HZ
    )
    return Low(project, standing, small, bass, room, WISHES[project.loudness])


def _seat(work: Work, low: Low, seat: Seat, at_main: tuple[ChannelLevel, ...]) -> SeatLevel:
    channels = with_usual(work, channels_at(work, seat), at_main)
    hours = seat_hours((one.usual_db for one in channels), children=low.project.limits.children)
    return SeatLevel(seat.name, channels, seat_bass(low, seat), hours)


def _wish(project: Project, loudness: Loudness, at_main: tuple[ChannelLevel, ...]) -> WishLevel:
    wish, children = WISHES[loudness], project.limits.children
    return WishLevel(
        str(loudness),
        wish.usual_db,
        wish.peak_db,
        tuple(need_of(one, WISHES[project.loudness], wish) for one in at_main),
        min(weekly_hours(wish.usual_db, children=children), WEEK_H),
        film_share(wish.usual_db, children=children),
    )


def _doubt_db(work: Work, survey: Survey, main: Seat, at_main: tuple[ChannelLevel, ...]) -> float:
    """Return how far the steady sound at the main seat moves with half and with twice the absorption taken [dB]."""
    if work.room is None or not work.room.assumed:
        return 0.0
    known = {one.id: steady_level_db(one) for one in at_main}
    rooms = (room_sound(survey, share * ASSUMED_ABSORPTION) for share in (0.5, 2.0))
    moved = [
        abs(steady_level_db(one) - known[one.id])
        for room in rooms
        for one in channels_at(replace(work, room=room), main)
    ]
    return max(moved, default=0.0)
