"""The level: how loud each channel gets at each seat, what limits it, and what that asks of ears."""

from collections.abc import Iterator
from math import dist, sqrt

from seatfield.decibel import power_db
from seatfield.model import Finding, Loudness, LoudspeakerModel, Point3, Project, Seat, Severity
from seatfield.stages.layout import Layout
from seatfield.stages.level.driving import (
    amplifier_volts,
    direct_level_db,
    nominal_ohm,
    voltage_sensitivity_db,
    watts_for,
)
from seatfield.stages.level.hearing import hearing
from seatfield.stages.level.loads import Load, load_findings, loads
from seatfield.stages.level.result import ChannelLevel, Level, SeatLevel
from seatfield.stages.level.wishes import WISHES
from seatfield.stages.survey import Survey


def plan(project: Project, survey: Survey, layout: Layout) -> Level:
    """Compute what each channel reaches at each seat.

    Parameters
    ----------
    project
        Everything that the person wrote.
    survey
        The room as surveyed.
    layout
        Where the loudspeakers are.

    Returns
    -------
    Level
        Per seat and channel, with the loads and the hearing caution as findings.
    """
    del survey
    every = loads(project)
    places = {one.id: one.at for one in layout.loudspeakers if one.at is not None}
    seats = tuple(
        SeatLevel(seat.name, tuple(_channels(project, every, places, seat))) for seat in project.seats
    )
    wish = WISHES[project.loudness]
    found = (
        *load_findings(project, every),
        *_missing(project, every),
        *_short(project, seats),
        hearing(project),
    )
    return Level(wish.peak_db, seats, found)


def _channels(
    project: Project, every: tuple[Load, ...], places: dict[str, Point3], seat: Seat
) -> Iterator[ChannelLevel]:
    for load in every:
        for one in load.loudspeakers:
            if one.id in places:
                distance = dist(places[one.id], seat.head)
                yield _channel(project, load, one.id, distance)


def _channel(project: Project, load: Load, id_: str, distance_m: float) -> ChannelLevel:
    one = next(entry for entry in load.loudspeakers if entry.id == id_)
    model = project.model_of(one)
    wish = WISHES[project.loudness].peak_db
    sensitivity = voltage_sensitivity_db(model)
    watts = None if sensitivity is None else watts_for(wish, sensitivity, distance_m, nominal_ohm(model))
    limits = dict(_limits(model, sensitivity, load, distance_m))
    if not load.allowed:
        return ChannelLevel(id_, one.channel, distance_m, min(limits.values(), default=None), watts, "load")
    if not limits:
        return ChannelLevel(id_, one.channel, distance_m, None, watts, "")
    first = min(limits, key=lambda name: limits[name])
    peak = limits[first]
    return ChannelLevel(id_, one.channel, distance_m, peak, watts, "wish" if peak >= wish else first)


def _limits(
    model: LoudspeakerModel, sensitivity_db: float | None, load: Load, distance_m: float
) -> Iterator[tuple[str, float]]:
    """Yield what the amplifier and the loudspeaker can do at a distance, where the figures are known."""
    volts = amplifier_volts(load.amplifier) if load.amplifier else None
    if sensitivity_db is not None and volts is not None:
        yield "amplifier", direct_level_db(sensitivity_db, volts, distance_m)
    if model.max_level_db is not None:
        yield "loudspeaker", model.max_level_db - 2 * power_db(max(distance_m, 0.1))
    elif sensitivity_db is not None and model.power_w:
        yield (
            "loudspeaker",
            direct_level_db(sensitivity_db, sqrt(model.power_w * nominal_ohm(model)), distance_m),
        )


def _missing(project: Project, every: tuple[Load, ...]) -> Iterator[Finding]:
    used = dict.fromkeys(one.model for load in every for one in load.loudspeakers)
    for model in project.models:
        if model.name in used and model.sensitivity_db is None:
            yield Finding(
                "level.sensitivity-unknown",
                Severity.NOTE,
                model.name,
                f"The file does not say how sensitive {model.name} is, so its level at the seats is not known.",
                advice="Type the maker's sensitivity, and whether it holds for 2.83 V or for 1 W.",
                key=f"{model.key}.sensitivity",
            )
    if every and not any(amplifier.watts_w or amplifier.all_channels_w for amplifier in project.amplifiers):
        yield Finding(
            "level.power-unknown",
            Severity.NOTE,
            "amplifier",
            "The file does not say what power the amplifier gives, so only the loudspeakers' own limits count.",
            advice="Type `watts` per channel with two driven, and `all_channels_watts` if the maker gives it.",
            key="amplifier",
        )


def _short(project: Project, seats: tuple[SeatLevel, ...]) -> Iterator[Finding]:
    wish = WISHES[project.loudness]
    main = next(seat for seat in project.seats if seat.main)
    for channel in next(entry.channels for entry in seats if entry.seat == main.name):
        if (
            channel.peak_db is None
            or channel.peak_db >= wish.peak_db
            or channel.limited_by in ("wish", "load")
        ):
            continue
        lacking = wish.peak_db - channel.peak_db
        needed = (
            f" The amplifier would have to give {channel.watts_needed_w:.0f} W."
            if channel.watts_needed_w
            else ""
        )
        yield Finding(
            "level.short",
            Severity.NOTE if lacking < 6 or project.loudness is not Loudness.QUIET else Severity.FIX,
            channel.id,
            f"{channel.id} reaches {channel.peak_db:.0f} dB at the main seat, {lacking:.0f} dB less than the wish of "
            f"{wish.peak_db:.0f} dB in peaks; the {channel.limited_by} gives out first.{needed}",
            measured=channel.peak_db,
            limit=wish.peak_db,
            unit="dB",
            source=wish.source,
            advice="Turn it down by that much, sit nearer, or take a loudspeaker with more sensitivity: 3 dB more "
            "does as much as twice the power.",
            key="system.loudness",
        )
