"""Alignment: the values that a person types so that every seat gains."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import dist

import numpy as np

from seatfield.dsp.equalise import EqualiserLimits, Steps, equalise, in_steps
from seatfield.model import ChannelSetting, EqFilter, Project, TakeState
from seatfield.stages.alignment.bench import Bench, Complex, Wishes
from seatfield.stages.alignment.choosing import (
    Joined,
    crossover_hz,
    front_of,
    gain_of,
    joined,
    levels_db,
    seats_of,
    target_db,
    times_s,
)
from seatfield.stages.alignment.predicting import predictions, seat_gain, uneven_db, usual_crossover
from seatfield.stages.alignment.result import Alignment, ChannelAligned, Predicted
from seatfield.stages.alignment.telling import findings, polarity_gain_db
from seatfield.stages.alignment.typing import distances_m, made_delays_s, trims_db
from seatfield.stages.alignment.worth import worth
from seatfield.stages.layout import Layout
from seatfield.stages.takes import Known, Spot, Takes, known_of
from seatfield.stages.terminals import TerminalMap

Settings = dict[str, ChannelSetting]
FILTERS_AT_MOST = 5
GAIN_STEP_DB = 0.5
CUT_DB, Q_HIGH = 8.0, 6.0
LEAST_GAIN_DB, SEAT_LOSS_DB = 0.1, 0.15
LATE = "the distance holds the delay of its filters; a tape measure reads less, and that is right"
EARLY = (
    "a tape measure reads more, but so it sounds fullest with the others at the crossover; take it again afterwards, "
    "and leave it at the tape's distance where that shows no gain"
)

NO_TAKE = (
    "No take shows two or more loudspeakers with the amplifier bare (everything off, full range). Take the main seat "
    "so first."
)


class NothingToAlignError(ValueError):
    """There are no takes that an alignment can be made from."""

    def __init__(self, reason: str = NO_TAKE) -> None:
        super().__init__(reason)


def plan(
    project: Project,
    layout: Layout,
    terminals: TerminalMap,
    takes: Takes,
    wishes: Wishes | None = None,
    noted: Sequence[ChannelSetting] = (),
) -> Alignment:
    """Choose delays, trims, crossovers, the subwoofers' settings and filters.

    Parameters
    ----------
    project, layout, terminals
        The plan: the amplifier's menus, which subwoofers share an output.
    takes
        What was read; only positions with the amplifier bare are used.
    wishes
        For whom, and the target.
    noted
        What was typed the last time, to say whether anything gains over it.

    Returns
    -------
    Alignment
        In the amplifier's steps, with the predicted response of every channel at every position.

    Raises
    ------
    NothingToAlignError
        If no such position heard two mains, or the main seat has moved since it was taken.

    Notes
    -----
    Delays from arrivals, trims from levels between 500 Hz and 2 kHz. The subwoofers' delay and polarity are the best of
    a grid over all positions, against the front loudspeakers through the amplifier's own crossover orders. Filters act
    under 300 Hz only and come from all positions together; they delay, too, so the subwoofers are joined anew.
    """
    bench = _bench(project, terminals, takes, wishes or Wishes())
    known = known_of(project, layout)
    times, planned = times_s(bench, known, project)
    trims, short = trims_db(
        {run: -level for run, level in levels_db(bench, project).items()}, bench.amplifier
    )
    mains = _mains(project, layout, bench, times, trims)
    found = joined(bench, mains, max(times.values(), default=0.0))
    settings, distances, near = _typed(bench, mains, found, times)
    settings = _equalised(bench, settings)
    if any(one.filters for one in settings.values()):
        mains = {run: replace(one, filters=settings[run].filters) for run, one in mains.items()}
        filters = {output: settings[runs[0]].filters for output, runs in bench.groups.items()}
        found = joined(bench, mains, max(times.values(), default=0.0), filters)
        settings, distances, near = _typed(bench, mains, found, times, filters)
    channels = tuple(
        _channel(bench, settings[run], distances[run], [*planned, *short, *near], known)
        for run in (*bench.mains, *bench.subs)
        if run in settings
    )
    return Alignment(
        "all seats" if len(seats_of(bench, project)) > 1 else "main seat",
        channels,
        tuple(settings.values()),
        tuple(seat_gain(bench, place, settings) for place in range(len(bench.spots))),
        tuple(predictions(bench, settings)),
        polarity_gain_db(found),
        (
            *worth(bench, _counted(bench, project), settings, {one.run: one for one in noted}),
            *findings(bench, found, planned, [*short, *near]),
        ),
    )


def predict(
    project: Project,
    terminals: TerminalMap,
    takes: Takes,
    settings: Sequence[ChannelSetting],
    wishes: Wishes | None = None,
) -> tuple[Predicted, ...]:
    """Return the response of every main channel at every position with settings that were typed.

    Parameters
    ----------
    project, terminals, takes, wishes
        As for `plan`.
    settings
        What was typed; a run without one is left out.

    Returns
    -------
    tuple of Predicted
        One for each main channel and position.
    """
    bench = _bench(project, terminals, takes, wishes or Wishes())
    return tuple(predictions(bench, {one.run: one for one in settings}))


def _counted(bench: Bench, project: Project) -> list[int]:
    seats = seats_of(bench, project)
    return [place for place, spot in enumerate(bench.spots) if any(spot is one for one in seats)]


def _spots(project: Project, takes: Takes) -> list[Spot]:
    """Return the positions to align by: those with every run, where they still have the main seat, else all."""
    main = project.main_seat.name
    bare = [spot for spot in takes.spots if spot.state is TakeState.BARE]
    spots = [spot for spot in bare if spot.left is None]
    seated = any(spot.seat == main for spot in spots)
    if not seated and any(spot.left is not None and spot.left.name == main for spot in bare):
        raise NothingToAlignError(
            f"The main seat ({main}) has moved since it was taken, so these takes do not say what to type. Take it "
            "where it is now."
        )
    whole = [spot for spot in spots if not spot.aside]
    enough = any(spot.seat == main for spot in whole) if seated else bool(whole)
    return whole if enough else spots


def _bench(project: Project, terminals: TerminalMap, takes: Takes, wishes: Wishes) -> Bench:
    spots = _spots(project, takes)
    seats = [seat.name for seat in project.seats]
    at_seats = [spot for spot in spots if spot.seat in seats]
    bench = Bench(project, spots, {use.run: use.terminal for use in terminals.uses}, wishes)
    if len(bench.mains) < 2 and at_seats:
        bench = Bench(project, at_seats, bench.outputs, wishes)
    if len(bench.mains) < 2:
        raise NothingToAlignError
    return bench


def _mains(
    project: Project, layout: Layout, bench: Bench, times: Mapping[str, float], trims: Mapping[str, float]
) -> Settings:
    models = {model.name: model for model in project.models}
    model_of = {one.id: models.get(one.model) for one in layout.loudspeakers}
    latest = max(times.values(), default=0.0)
    managed = bool(bench.subs)
    return {
        run: ChannelSetting(
            run,
            latest - times.get(run, latest),
            trims.get(run, 0.0),
            crossover_hz(model_of.get(run), bench.amplifier.crossovers_hz) if managed else None,
        )
        for run in bench.mains
    }


def _typed(
    bench: Bench,
    mains: Settings,
    found: Mapping[str, Joined],
    times: Mapping[str, float],
    filters: Mapping[str, tuple[EqFilter, ...]] | None = None,
) -> tuple[Settings, dict[str, float], list[str]]:
    """Return all settings as the amplifier makes them of what is typed."""
    latest = max(times.values(), default=0.0)
    wanted = dict(times)
    for output, one in found.items():
        wanted |= dict.fromkeys(bench.groups[output], latest - one.join.delay_s)
    typed, short = distances_m(wanted, bench.amplifier)
    delays = made_delays_s(typed, bench.amplifier)
    settings = {run: replace(one, delay_s=delays.get(run, 0.0)) for run, one in mains.items()}
    low, high = bench.amplifier.trim_range_db
    for output, one in found.items():
        step = bench.amplifier.trim_step_db
        gain_db = min(max(round(one.gain_db / step) * step, low), high)
        if abs(gain_db - one.gain_db) > step:
            short += list(bench.groups[output])
        settings |= {
            run: ChannelSetting(
                run, delays[run], gain_db, None, one.join.inverted, (filters or {}).get(output, ())
            )
            for run in bench.groups[output]
        }
    return settings, typed, short


def _equalised(bench: Bench, settings: Settings) -> Settings:
    """Return the settings with filters where they help, within the number of bands that the amplifier has.

    A main is fitted without its high-pass, whose skirt the subwoofers fill.
    """
    count = bench.amplifier.eq_bands if bench.wishes.filters is None else bench.wishes.filters
    if count <= 0:
        return settings
    done = dict(settings)
    for run in bench.mains:
        low_hz = done[run].crossover_hz or bench.freq_hz[0]
        limits = _limits((max(1.1 * low_hz, 25.0), 300.0), count)
        filters = _fitted(bench, bench.responses[run], low_hz, limits)
        tried = _levelled(bench, done | {run: replace(done[run], filters=filters)})
        done = _better(bench, done, tried, (run,))
    for output, runs in bench.groups.items():
        low_hz = usual_crossover(done)
        level = bench.through_low(output, low_hz, done[runs[0]])
        filters = _fitted(bench, level, low_hz, _limits((25.0, 1.1 * low_hz), count))
        tried = _levelled(bench, done | {run: replace(done[run], filters=filters) for run in runs})
        done = _better(bench, done, tried, bench.mains)
    return done


def _levelled(bench: Bench, settings: Settings) -> Settings:
    """Return the settings with the subwoofers' trims as the filters now ask for them."""
    front = [run for run in front_of(bench) if settings[run].crossover_hz is not None]
    if not front:
        return settings
    low_hz = usual_crossover(settings)
    step, (low, high) = bench.amplifier.trim_step_db, bench.amplifier.trim_range_db
    done = dict(settings)
    for output, runs in bench.groups.items():
        filters = settings[runs[0]].filters
        gain_db = gain_of(bench, front, settings, ChannelSetting(output, filters=filters), low_hz)
        share_db = 20.0 * float(np.log10(len(bench.groups)))
        trim_db = min(max(round((gain_db - share_db) / step) * step, low), high)
        done |= {run: replace(done[run], trim_db=trim_db) for run in runs}
    return done


def _better(bench: Bench, before: Settings, after: Settings, runs: Sequence[str]) -> Settings:
    """Return the second settings where the mean over positions gains and none loses, else the first."""
    low_hz = usual_crossover(before)
    was, now = (
        np.array([[uneven_db(bench, row, low_hz) for row in bench.whole(run, one)] for run in runs]).mean(
            axis=0
        )
        for one in (before, after)
    )
    gains = bool(np.mean(now) < np.mean(was) - LEAST_GAIN_DB and np.all(now < was + SEAT_LOSS_DB))
    return after if gains else before


def _limits(range_hz: tuple[float, float], count: int) -> EqualiserLimits:
    return EqualiserLimits(*range_hz, filters=min(count, FILTERS_AT_MOST), cut_db=CUT_DB, q_high=Q_HIGH)


def _fitted(bench: Bench, level: Complex, low_hz: float, limits: EqualiserLimits) -> tuple[EqFilter, ...]:
    level_db = 20.0 * np.log10(np.maximum(np.abs(level), 1e-9))
    found = equalise(bench.freq_hz, level_db, target_db(bench, low_hz), limits)
    typed = in_steps(found.filters, Steps(gain_db=GAIN_STEP_DB), limits)
    return tuple(EqFilter(round(one.freq_hz, 1), round(one.q, 2), one.gain_db) for one in typed)


def _channel(
    bench: Bench,
    setting: ChannelSetting,
    distance_m: float,
    doubtful: Sequence[str],
    known: Known,
) -> ChannelAligned:
    channel = next(one.channel for one in bench.spots[0].heard if one.run == setting.run)
    remarks = []
    if setting.run in doubtful:
        remarks.append(
            "at a limit of the menu, or from the plan because no take says it credibly: see the findings"
        )
    if setting.run in bench.subs and setting.run in known.places:
        tape_m = dist(known.places[setting.run], bench.project.main_seat.head)
        remarks.append(LATE if distance_m >= tape_m else EARLY)
    if setting.run in known.detour_m:
        remarks.append(
            "the distance is that of the way by the ceiling, which a tape to the box does not read"
        )
    return ChannelAligned(
        channel,
        setting.run,
        1e3 * setting.delay_s,
        round(distance_m, 6),
        setting.trim_db,
        setting.crossover_hz,
        setting.inverted,
        setting.filters,
        tuple(remarks),
    )
