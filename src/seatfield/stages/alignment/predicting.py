"""What the chosen values are predicted to do, at every position."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from seatfield.dsp.align import join_loss_db
from seatfield.dsp.level import smoothed
from seatfield.model import ChannelSetting
from seatfield.stages.alignment.bench import Array, Bench, Complex
from seatfield.stages.alignment.choosing import front_of, target_db
from seatfield.stages.alignment.result import Predicted, SeatGain
from seatfield.stages.takes import Spot

Settings = Mapping[str, ChannelSetting]


def usual_crossover(settings: Settings) -> float:
    """Return the middle one of the crossovers, 80 Hz where there is none [Hz]."""
    return float(np.median([one.crossover_hz for one in settings.values() if one.crossover_hz] or [80.0]))


@dataclass(frozen=True, slots=True)
class Figures:
    """What one position hears of settings: loss at the join, unevenness of the bass [dB], spread of the mains.

    Parameters
    ----------
    join_db, level_db
        None where there are no subwoofers, or no levels [dB].
    arrival_ms
        None where there are no arrivals [ms].
    """

    join_db: float | None
    uneven_db: float
    arrival_ms: float | None
    level_db: float | None


def figures(bench: Bench, place: int, settings: Settings) -> Figures:
    """Return what settings do at one position."""
    spot = bench.spots[place]
    front = [run for run in front_of(bench) if settings[run].crossover_hz is not None]
    low_hz = usual_crossover(settings)
    uneven = [uneven_db(bench, bench.whole(run, settings)[place], low_hz) for run in bench.mains]
    arrivals = _made(spot, bench, settings, delays=True)
    levels = _made(spot, bench, settings, delays=False)
    return Figures(
        _join_db(bench, place, front, settings) if bench.groups and front else None,
        float(np.mean(uneven)),
        1e3 * _spread(arrivals) if arrivals else None,
        _spread(levels) if levels else None,
    )


def untouched(settings: Settings) -> dict[str, ChannelSetting]:
    """Return the settings with nothing but their crossovers."""
    return {run: ChannelSetting(run, crossover_hz=one.crossover_hz) for run, one in settings.items()}


def seat_gain(bench: Bench, place: int, settings: Settings) -> SeatGain:
    """Return what the alignment gains at one position."""
    was, now = (figures(bench, place, one) for one in (untouched(settings), settings))
    spot = bench.spots[place]
    return SeatGain(
        spot.position,
        spot.seat,
        was.join_db,
        now.join_db,
        was.uneven_db,
        now.uneven_db,
        now.arrival_ms,
        now.level_db,
    )


def _made(spot: Spot, bench: Bench, settings: Settings, *, delays: bool) -> list[float]:
    """Return the mains' arrivals [s], or levels [dB], once the values are typed."""
    values = []
    for run in bench.mains:
        one = bench.heard(spot, run)
        measured = one.arrival.time_s if delays else one.told.level_db
        if measured is not None:
            values.append(measured + (settings[run].delay_s if delays else settings[run].trim_db))
    return values


def _spread(values: Sequence[float]) -> float:
    return max(values) - min(values)


def _join_db(bench: Bench, place: int, front: Sequence[str], settings: Settings) -> float:
    low_hz = usual_crossover(settings)
    near = (bench.freq_hz >= low_hz / 2.0) & (bench.freq_hz <= low_hz * 2.0)
    losses = []
    for run in front:
        own = settings[run]
        sub = sum(
            (
                bench.through_low(output, own.crossover_hz or low_hz, settings[runs[0]])
                for output, runs in bench.groups.items()
            ),
            start=np.zeros((len(bench.spots), len(bench.freq_hz)), dtype=np.complex128),
        )
        losses.append(float(np.mean(join_loss_db(bench.through_high(run, own), sub)[place, near])))
    return float(np.mean(losses))


def uneven_db(bench: Bench, row: Complex, low_hz: float) -> float:
    """Return the effective deviation of a response from the target, 30 to 250 Hz, its level set free [dB]."""
    level_db = level_of(bench.freq_hz, row, 12)
    inside = (bench.freq_hz >= 30.0) & (bench.freq_hz <= 250.0)
    off = (level_db - target_db(bench, low_hz))[inside]
    return float(np.std(off))


def level_of(freq_hz: Array, row: Complex, fraction: int = 6) -> Array:
    """Return a response's level, smoothed over a fraction of an octave [dB]."""
    power = smoothed(freq_hz, np.abs(row) ** 2, fraction)
    return np.asarray(10.0 * np.log10(np.maximum(power, 1e-15)))


def predictions(bench: Bench, settings: Settings) -> list[Predicted]:
    """Return the predicted response of every main channel at every position."""
    freq_hz = tuple(bench.freq_hz.tolist())
    found = []
    for run in (run for run in bench.mains if run in settings):
        levels = np.array([level_of(bench.freq_hz, row) for row in bench.whole(run, settings)])
        spread = tuple(np.std(levels, axis=0).tolist()) if len(levels) > 1 else ()
        found += [
            Predicted(
                run,
                spot.position,
                spot.seat,
                freq_hz,
                tuple(level.tolist()),
                spread,
                _arrival_s(bench.heard(spot, run).arrival.time_s, settings[run]),
            )
            for spot, level in zip(bench.spots, levels, strict=True)
        ]
    return found


def _arrival_s(measured_s: float | None, setting: ChannelSetting) -> float | None:
    return None if measured_s is None else measured_s + setting.delay_s
