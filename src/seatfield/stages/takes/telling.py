"""From the engine's reading of one sweep to what is told of it."""

from dataclasses import dataclass, replace
from math import dist

import numpy as np

from seatfield.dsp.arrival import Arrival
from seatfield.dsp.bands import nominal_hz
from seatfield.dsp.heard import Heard as EngineHeard
from seatfield.dsp.impulse import ImpulseResponse
from seatfield.dsp.level import BandLevel, Curve, log_axis, response_curve
from seatfield.dsp.reading import Reading
from seatfield.dsp.trouble import Trouble
from seatfield.model import Point3, Take
from seatfield.stages.takes.columns import LOOPBACK
from seatfield.stages.takes.knowing import Known
from seatfield.stages.takes.result import (
    BandTold,
    ChannelTaken,
    DecayTold,
    DistortionTold,
    Heard,
    RattleTold,
    ReflectionTold,
)

SINE_DB = 10.0 * float(np.log10(0.5))
MAIN_BAND_HZ, LOW_BAND_HZ = (500.0, 2000.0), (40.0, 80.0)
BEFORE = (
    "Its sound would arrive before it was played, so the chirps or the arrival were misread. Take it again; if it says "
    "so again, compare the place of the loudspeaker that plays the chirps with the plan."
)

Pairs = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Placing:
    """How a reading lies on its position's clock: what to add to its times [s], whether the clock's zero is known."""

    shift_s: float
    anchored: bool


def is_low(channel: str) -> bool:
    """Whether a channel is a low-frequency one."""
    return channel.startswith("LFE")


def on_clock(reading: Reading, shift_s: float) -> tuple[ImpulseResponse, Arrival]:
    """Return a reading's response and arrival with their times moved."""
    assert reading.heard is not None
    response, heard = reading.heard.response, reading.heard
    first = heard.arrival if heard.bass_arrival is None else heard.bass_arrival
    moved = ImpulseResponse(response.samples, response.sample_rate_hz, response.start_s + shift_s)
    time_s = None if first.time_s is None else first.time_s + shift_s
    return moved, replace(first, time_s=time_s, near_s=first.near_s + shift_s)


def taken(  # noqa: PLR0913
    take: Take, run: str, channel: str, reading: Reading, known: Known, *, clock: Placing, compensation: Pairs
) -> tuple[ChannelTaken, Heard | None]:
    """Say what one reading tells, and hand on its response.

    Parameters
    ----------
    take
        Position, calibration, reference.
    run, channel
        Whose sweep it is.
    reading
        What the engine read.
    known
        From the plan.
    clock
        From the reading's clock to the position's.
    compensation
        The microphone's deviation [Hz], [dB].

    Returns
    -------
    told : ChannelTaken
        What is printed.
    heard : Heard or None
        None where a trouble stopped the reading.
    """
    drift_ppm = reading.clock.drift_ppm if reading.clock else None
    if reading.heard is None:
        nothing = ChannelTaken(channel, run, snr_db=reading.snr_db, drift_ppm=drift_ppm)
        return replace(nothing, troubles=reading.troubles), None
    response, first = on_clock(reading, clock.shift_s)
    troubles = reading.troubles
    if clock.anchored and first.time_s is not None and first.time_s < 0.0:
        first = replace(first, time_s=None, refusal=BEFORE)
        troubles = (*troubles, _before(first.near_s))
    told = _told(take, run, channel, reading, compensation)
    told = replace(told, troubles=troubles, drift_ppm=drift_ppm)
    told = _placed(told, take, first, known, anchored=clock.anchored)
    return told, Heard(
        run, channel, response, first, told, is_low(channel), reading.heard.bass_only, compensation
    )


def _before(time_s: float) -> Trouble:
    return Trouble("no-arrival", BEFORE, stops=False, measured=1e3 * time_s, limit=0.0, unit="ms")


def _placed(told: ChannelTaken, take: Take, first: Arrival, known: Known, *, anchored: bool) -> ChannelTaken:
    reference = take.sweeps.reference_run
    place = known.places.get(reference) if reference else None
    if first.time_s is None:
        return told
    arrival_from = reference or LOOPBACK
    distance_m, distance_from = first.time_s * known.speed_of_sound_m_s, LOOPBACK
    if not anchored or (reference and place is None):
        return replace(told, arrival_ms=1e3 * first.time_s, arrival_from=arrival_from)
    if reference:
        distance_from = f"{reference} stands where the plan says"
    return replace(
        told,
        arrival_ms=1e3 * first.time_s,
        arrival_from=arrival_from,
        distance_m=distance_m,
        distance_from=distance_from,
    )


def reference_flight_s(take: Take, known: Known) -> float:
    """Return the time of flight from where the plan of that day had the reference; 0 where unknown [s]."""
    run = take.sweeps.reference_run
    place: Point3 | None = dict(take.places).get(run, known.places.get(run))
    return 0.0 if place is None else dist(place, take.position) / known.speed_of_sound_m_s


def _told(take: Take, run: str, channel: str, reading: Reading, compensation: Pairs) -> ChannelTaken:
    heard = reading.heard
    assert heard is not None
    low = is_low(channel)
    offset_db = take.full_scale_db or 0.0
    gain_db = band_gain_db(heard.levels, LOW_BAND_HZ if low else MAIN_BAND_HZ, compensation)
    curve = response_curve(heard.response, heard.arrival.near_s, log_axis(20.0, 20000.0, 12))
    level_db = None if gain_db is None else gain_db + take.sweeps.settings.level_db + SINE_DB + offset_db
    return ChannelTaken(
        channel,
        run,
        polarity="unknown" if low else heard.polarity.sign,
        polarity_confidence=0.5 if low else heard.polarity.confidence,
        polarity_reason="a subwoofer's polarity is judged with the mains" if low else heard.polarity.reason,
        level_db=level_db,
        level_unit="dBFS" if take.full_scale_db is None else "dB SPL",
        snr_db=reading.snr_db,
        bands=_bands(heard.levels, reading.noise_db, compensation, offset_db),
        response_hz=tuple(curve.freq_hz.tolist()),
        response_db=tuple(compensated(curve, compensation).tolist()),
        noise_db=_sum_db(reading.noise_db, offset_db),
        hum_hz=reading.hum.mains_hz if reading.hum else None,
        hum_db=reading.hum.level_db + offset_db if reading.hum and reading.hum.level_db is not None else None,
        **_room(heard, low=low),
    )


def _room(heard: EngineHeard, *, low: bool) -> dict:  # type: ignore[type-arg]
    decays = tuple(
        DecayTold(nominal_hz(one.band.mid_hz), one.time_s, one.range_used, one.curvature_percent, one.remark)
        for one in heard.decays
        if not low or one.band.mid_hz < 200.0
    )
    distortions = tuple(
        DistortionTold(nominal_hz(one.band.mid_hz), one.level_db, one.at_most_db)
        for one in heard.distortion
        if not low or one.band.mid_hz < 120.0
    )
    reflections = tuple(
        ReflectionTold(1e3 * one.delay_s, one.delay_s * 343.0, one.level_db) for one in heard.reflections
    )
    return {
        "decay_s": decays,
        "distortion_db": distortions,
        "reflections": () if low else reflections,
        "rattles": tuple(RattleTold(one.low_hz, one.high_hz, one.level_db) for one in heard.rattles),
    }


def deviation_db(compensation: Pairs, freq_hz: np.ndarray) -> np.ndarray:
    """Return how much too high the microphone reads at frequencies [dB]; 0 without a compensation."""
    if not compensation:
        return np.zeros_like(freq_hz)
    known_hz, level_db = np.array(compensation).T
    return np.asarray(np.interp(np.log(freq_hz), np.log(known_hz), level_db))


def compensated(curve: Curve, compensation: Pairs) -> np.ndarray:
    """Return a curve's levels without the microphone's deviation [dB]."""
    return np.asarray(curve.level_db - deviation_db(compensation, curve.freq_hz))


def band_gain_db(
    levels: tuple[BandLevel, ...], limits_hz: tuple[float, float], compensation: Pairs = ()
) -> float | None:
    """Return the mean power gain of the bands between two mid-band frequencies; None where one is refused [dB]."""
    low_hz, high_hz = limits_hz
    inside = [one for one in levels if low_hz * 0.95 <= one.band.mid_hz <= high_hz * 1.05]
    if not inside or any(one.level_db is None for one in inside):
        return None
    mids_hz = np.array([one.band.mid_hz for one in inside])
    level_db = np.array([one.level_db for one in inside], dtype=float) - deviation_db(compensation, mids_hz)
    return 10.0 * float(np.log10(np.mean(10.0 ** (level_db / 10.0))))


def _bands(
    levels: tuple[BandLevel, ...], noise_db: tuple[float, ...], compensation: Pairs, offset_db: float
) -> tuple[BandTold, ...]:
    mids_hz = np.array([one.band.mid_hz for one in levels])
    off_db = deviation_db(compensation, mids_hz)
    return tuple(
        BandTold(
            nominal_hz(one.band.mid_hz),
            None if one.level_db is None else one.level_db - float(off),
            noise + offset_db if noise is not None else None,
        )
        for one, off, noise in zip(levels, off_db, noise_db or (None,) * len(levels), strict=True)
    )


def _sum_db(levels_db: tuple[float, ...], offset_db: float) -> float | None:
    if not levels_db:
        return None
    return 10.0 * float(np.log10(np.sum(10.0 ** (np.array(levels_db) / 10.0)))) + offset_db
