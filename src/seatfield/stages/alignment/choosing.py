"""Times, trims and crossovers before they are rounded: what the responses ask for."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import dist

import numpy as np

from seatfield.dsp.align import Join, JoinSearch, join_subwoofer
from seatfield.model import ChannelSetting, EqFilter, LoudspeakerModel, Project
from seatfield.stages.alignment.bench import Array, Bench, Complex
from seatfield.stages.takes import Known, Spot, off_plan_m

CORNER_MARGIN, HIGHEST_HZ, USUAL_HZ = 1.25, 120.0, 80.0
"""A crossover lies a third of an octave over a loudspeaker's corner, not over 120 Hz, and at 80 Hz where it may:
common practice, no source."""
FRONT = ("M+000", "M+030", "M-030")
NEAR_S, FAR_S, FAR_GAIN_DB, TURN_GAIN_DB = 0.008, 0.025, 0.5, 0.3


def crossover_hz(model: LoudspeakerModel | None, offered: Sequence[float]) -> float | None:
    """Return the crossover for a loudspeaker from those that the menu offers; None where it offers none.

    Parameters
    ----------
    model
        With its lower corner; 80 Hz is taken to be fit for one that is not told.
    offered
        The menu [Hz].

    Returns
    -------
    float or None
        The one nearest to 80 Hz among those over 1.25 times its corner; the highest where none is [Hz].
    """
    if not offered:
        return None
    corner_hz = (model.low_corner_hz if model else None) or USUAL_HZ / CORNER_MARGIN
    fit = [hz for hz in offered if hz >= CORNER_MARGIN * corner_hz - 1e-9]
    return min(fit, key=lambda hz: abs(np.log(hz / USUAL_HZ))) if fit else max(offered)


def times_s(bench: Bench, known: Known, project: Project) -> tuple[dict[str, float], list[str]]:
    """Return each main's time of travel as its delay should count it, and those taken from the plan.

    Parameters
    ----------
    bench
        Responses, and whether all seats count.
    known
        Planned places, for a main whose arrival was refused.
    project
        Which seat is the main one.

    Returns
    -------
    times : dict of str to float
        At the main seat, or the mean over positions, which makes the squares of all differences least [s].
    planned : list of str
        Runs whose arrival was refused somewhere, or lies farther off the plan than can be at any position.
    """
    spots = seats_of(bench, project)
    found, planned = {}, []
    off = {run for spot in bench.spots for run in off_plan_m(spot, known)}
    for run in bench.mains:
        times = [_counts_s(known, run, spot, bench.heard(spot, run).arrival.time_s) for spot in spots]
        certain = [time for time in times if time is not None]
        if len(certain) == len(times) and run not in off:
            found[run] = float(np.mean(certain))
        elif run in known.places:
            away_m = np.mean([dist(known.places[run], spot.position) for spot in spots])
            found[run] = (float(away_m) + known.detour_m.get(run, 0.0)) / known.speed_of_sound_m_s
            planned.append(run)
    return found, planned


def _counts_s(known: Known, run: str, spot: Spot, time_s: float | None) -> float | None:
    """Return when the sound that counts arrives: by the ceiling, where only the box was heard first."""
    if time_s is None or run not in known.detour_m:
        return time_s
    detour_s = known.detour_m[run] / known.speed_of_sound_m_s
    straight_s = dist(known.places[run], spot.position) / known.speed_of_sound_m_s
    return time_s + detour_s if time_s - straight_s < 0.5 * detour_s else time_s


def seats_of(bench: Bench, project: Project) -> tuple[Spot, ...]:
    """Return the positions that delays and trims are for: the main seat's, or all."""
    main = [spot for spot in bench.spots if spot.seat == project.main_seat.name]
    return bench.spots if bench.wishes.all_seats or not main else tuple(main[:1])


def levels_db(bench: Bench, project: Project) -> dict[str, float]:
    """Return each main's level as its trim should count it: the power mean over the positions that count [dB]."""
    spots = seats_of(bench, project)
    found = {}
    for run in bench.mains:
        levels = [bench.heard(spot, run).told.level_db for spot in spots]
        certain = [level for level in levels if level is not None]
        if certain:
            found[run] = 10.0 * float(np.log10(np.mean(10.0 ** (np.array(certain) / 10.0))))
    return found


@dataclass(frozen=True, slots=True)
class Joined:
    """How one output's subwoofers join: what the engine found, and the gain that levels them [dB]."""

    join: Join
    gain_db: float


def joined(
    bench: Bench,
    settings: Mapping[str, ChannelSetting],
    latest_s: float,
    filters: Mapping[str, tuple[EqFilter, ...]] | None = None,
) -> dict[str, Joined]:
    """Return how each output's subwoofers join the front loudspeakers, over all positions.

    Parameters
    ----------
    bench
        Responses.
    settings
        Of the mains, delays made and trims set.
    latest_s
        When all mains arrive once they are delayed [s].
    filters
        Of each output's equaliser; none where left out.

    Returns
    -------
    dict of str to Joined
        One for each output; several are fitted in turn, twice round, each against the rest.
    """
    front = [run for run in front_of(bench) if settings[run].crossover_hz is not None]
    if not front or not bench.groups:
        return {}
    low_hz = float(np.median([settings[run].crossover_hz or USUAL_HZ for run in front]))
    eq = filters or {}
    placed = {output: ChannelSetting(output, filters=eq.get(output, ())) for output in bench.groups}
    found: dict[str, Joined] = {}
    for _ in range(1 if len(placed) == 1 else 2):
        for output in tuple(placed):
            plain = ChannelSetting(output, filters=placed[output].filters)
            gain_db = gain_of(bench, front, settings, plain, low_hz) - 20.0 * np.log10(len(placed))
            placed[output] = replace(plain, trim_db=float(gain_db))
            rest = _stacked(bench, front, settings, {k: v for k, v in placed.items() if k != output})
            own = np.concatenate(
                [bench.through_low(output, _crossover(settings, run), placed[output]) for run in front]
            )
            join = _join(bench, rest, own, low_hz, expected_s(bench, output, low_hz, latest_s))
            placed[output] = replace(placed[output], delay_s=join.delay_s, inverted=join.inverted)
            found[output] = Joined(join, float(gain_db))
    return found


def expected_s(bench: Bench, output: str, low_hz: float, latest_s: float) -> float:
    """Return the delay that geometry and filters let expect of an output's subwoofers; negative where they come late.

    Notes
    -----
    A filter of order n delays its corner by n / (√2 · 2π f), as Butterworth's second order does; the subwoofer's own
    latency is the maker's figure.
    """
    runs = bench.groups[output]
    subs = [sub for sub in bench.project.subwoofers if sub.id in runs]
    orders = bench.amplifier.low_pass_order - bench.amplifier.high_pass_order
    filters_s = orders / (2.0**0.5 * 2.0 * np.pi * low_hz)
    latency_s = max((bench.project.subwoofer_model_of(sub).latency_s for sub in subs), default=0.0)
    away = [
        float(np.linalg.norm(np.subtract(sub.at, spot.position)))
        for sub in subs
        if sub.at is not None
        for spot in bench.spots
    ]
    flight_s = float(np.mean(away)) / bench.amplifier.speed_of_sound_m_s if away else latest_s
    return float(latest_s - flight_s - filters_s - latency_s)


def _join(bench: Bench, rest: Complex, own: Complex, low_hz: float, near_s: float) -> Join:
    """Return the best join near the expected delay, or a farther one where it is better by half a decibel.

    Notes
    -----
    Whole periods of the crossover are nearly alike to a steady tone; the one that geometry expects keeps the onset of
    sounds together. The polarity is turned only where that gains 0.3 dB.
    """
    near = (bench.freq_hz >= low_hz / 2.0) & (bench.freq_hz <= low_hz * 2.0)
    parts = rest[:, near], own[:, near], bench.freq_hz[near]
    found = [join_subwoofer(*parts, JoinSearch(near_s - half, near_s + half)) for half in (NEAR_S, FAR_S)]
    best, half = (
        (found[1], FAR_S) if found[1].loss_db < found[0].loss_db - FAR_GAIN_DB else (found[0], NEAR_S)
    )
    straight = join_subwoofer(*parts, JoinSearch(near_s - half, near_s + half, may_invert=False))
    if best.inverted and straight.loss_db < best.loss_db + TURN_GAIN_DB:
        return replace(straight, other_polarity_db=best.loss_db)
    return best


def front_of(bench: Bench) -> tuple[str, ...]:
    """Return the front loudspeakers that were heard, or all mains where none was."""
    by_channel = {one.channel: one.run for one in bench.spots[0].heard if one.run in bench.mains}
    front = tuple(by_channel[channel] for channel in FRONT if channel in by_channel)
    return front or bench.mains


def _crossover(settings: Mapping[str, ChannelSetting], run: str) -> float:
    return settings[run].crossover_hz or USUAL_HZ


def _stacked(
    bench: Bench,
    front: Sequence[str],
    settings: Mapping[str, ChannelSetting],
    placed: Mapping[str, ChannelSetting],
) -> Complex:
    """Return the front loudspeakers with the other outputs' subwoofers, one row for each of them and position."""
    rows = []
    for run in front:
        total = bench.through_high(run, settings[run])
        for output, setting in placed.items():
            total = total + bench.through_low(output, _crossover(settings, run), setting)
        rows.append(total)
    return np.concatenate(rows)


def gain_of(
    bench: Bench,
    front: Sequence[str],
    settings: Mapping[str, ChannelSetting],
    output: ChannelSetting,
    low_hz: float,
) -> float:
    """Return the gain that levels an output's bass with the front above the crossover, on the target's line.

    Parameters
    ----------
    bench
        Responses.
    front, settings
        The front loudspeakers, and what is set for them.
    output
        The output's name as its run, and its filters.
    low_hz
        Crossover [Hz].

    Returns
    -------
    float
        Gain, whatever the output's own trim [dB].
    """
    freq = bench.freq_hz
    above, below = (freq >= 1.4 * low_hz) & (freq <= 300.0), (freq >= 0.45 * low_hz) & (freq <= 0.8 * low_hz)
    mains = np.concatenate([bench.through_high(run, settings[run]) for run in front])
    sub = bench.through_low(output.run, low_hz, ChannelSetting(output.run, filters=output.filters))
    target = target_db(bench, low_hz)
    return (
        _mean_db(mains[:, above])
        - _mean_db(sub[:, below])
        + float(np.mean(target[below]) - np.mean(target[above]))
    )


def _mean_db(values: Complex) -> float:
    return 10.0 * float(np.log10(np.mean(np.abs(values) ** 2)))


def target_db(bench: Bench, low_hz: float) -> Array:
    """Return the wished response: a slope, and the bass over it, growing over the octave under the crossover."""
    octaves = np.log2(bench.freq_hz / 1000.0)
    rise = np.clip(np.log2(low_hz / bench.freq_hz) + 0.5, 0.0, 1.0)
    return np.asarray(bench.wishes.slope_db_per_octave * octaves + bench.wishes.bass_db * rise)
