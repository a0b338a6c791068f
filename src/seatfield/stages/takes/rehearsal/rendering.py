"""Recordings of sweeps in the project's own room, with noise, a drifting clock and chosen faults."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from zlib import crc32

import numpy as np

from seatfield.dsp.arrays import Spectrum, Vector, bin_frequencies
from seatfield.dsp.crossover import crossover_response
from seatfield.dsp.stimulus import marker_track, sweep_track
from seatfield.model import (
    AmplifierSettings,
    ChannelSetting,
    FaultKind,
    Point3,
    Project,
    Sounding,
    SweepSet,
    TakeState,
)
from seatfield.stages.layout import Layout
from seatfield.stages.survey import Survey
from seatfield.stages.takes.columns import LOOPBACK
from seatfield.stages.takes.filters import high_pass, lfe_limit, low_pass, setting_response
from seatfield.stages.takes.knowing import known_of, usual_crossover_hz
from seatfield.stages.takes.playing import (
    announcement,
    approach,
    block_frames,
    block_s,
    stimulus_of,
    stimulus_start_s,
)
from seatfield.stages.takes.rehearsal.bass import with_modes
from seatfield.stages.takes.rehearsal.boxes import (
    Box,
    box_of,
    box_response,
    joint_response,
    sub_response,
)
from seatfield.stages.takes.rehearsal.planting import Planted
from seatfield.stages.takes.rehearsal.rooms import LENGTH_S, Room, renderer, shell_of

PEAK = 0.35
LEAD_S = (0.4, 1.6)
DOUBLED_ORDER = 4


@dataclass(frozen=True, slots=True)
class Spell:
    """Where the microphone stands: a seat's name, or empty, and the place [m]."""

    seat: str
    position: Point3


@dataclass(frozen=True, slots=True)
class RehearsalParams:
    """What to rehearse.

    Parameters
    ----------
    seed
        Of noise, drift and errors of placing; room and kit are the project's and stay the same.
    spells
        Where the microphone stands, one after another.
    state
        How the amplifier is set.
    faults
        What is wrong.
    in_force
        Settings of the amplifier, where it is set as used; the usual crossover everywhere where left out.
    snr_db
        Power of a sweep over that of the room's noise [dB].
    drift_ppm
        By how much the recorder's clock runs fast [ppm]; by chance within 50 where left out.
    microphone_sigma_m
        How far the microphone stands from where it is said to stand, each coordinate [m].
    build_sigma_m
        How far the loudspeakers stand from where they are planned, each coordinate [m].
    modes
        Whether the bass comes from the room's modes; from image sources alone if not.
    """

    seed: int
    spells: tuple[Spell, ...]
    state: TakeState = TakeState.BARE
    faults: tuple[Planted, ...] = ()
    in_force: tuple[ChannelSetting, ...] = ()
    snr_db: float = 40.0
    drift_ppm: float | None = None
    microphone_sigma_m: float = 0.0
    build_sigma_m: float = 0.0
    modes: bool = True


@dataclass(frozen=True, slots=True)
class Rehearsed:
    """One recording.

    Parameters
    ----------
    soundings
        The sweeps that it holds, in order.
    samples
        Shape (n, 1), or (n, 2) with the loopback second [1].
    """

    spell: Spell
    soundings: tuple[Sounding, ...]
    samples: Vector
    drift_ppm: float


@dataclass(frozen=True, slots=True)
class Kit:
    """The kit as it really is wired and set.

    Parameters
    ----------
    attached
        For each run's terminal the loudspeakers that sound from it.
    """

    project: Project
    boxes: dict[str, Box]
    places: dict[str, Point3]
    channels: dict[str, str]
    attached: dict[str, tuple[str, ...]]
    faults: tuple[Planted, ...]
    settings: dict[str, ChannelSetting]
    amplifier: AmplifierSettings
    state: TakeState
    freq_hz: Vector = field(repr=False)


def rehearse(
    project: Project,
    survey: Survey,
    layout: Layout,
    sweeps: SweepSet,
    params: RehearsalParams,
    *,
    room: Room | None = None,
) -> Iterator[Rehearsed]:
    """Make the recordings that a person would make.

    Parameters
    ----------
    project, survey, layout
        The plan.
    sweeps
        What is played.
    params
        Where the microphone stands, noise, drift, faults.
    room
        From source and microphone to an impulse response; from the project's own room where left out.

    Yields
    ------
    Rehearsed
        For each position one recording of every file, in order. The same input gives the same samples.
    """
    rng = np.random.default_rng([params.seed, 1])
    speed_m_s = known_of(project, layout).speed_of_sound_m_s
    kit = _kit(project, layout, sweeps, params, rng)
    room = room or _own_room(survey, kit, speed_m_s, params, sweeps.settings.rate_hz)
    ppm = params.drift_ppm if params.drift_ppm is not None else float(rng.uniform(-50.0, 50.0))
    gain = 0.0
    for spell in params.spells:
        stands = tuple(spell.position + rng.normal(size=3) * params.microphone_sigma_m)
        paths = _paths(kit, sweeps, room, stands)
        gain = gain or _recorder_gain(paths, sweeps)
        noise = _noise_level(paths, sweeps, params.snr_db)
        for soundings in _files(sweeps):
            samples = _recording(soundings, paths, sweeps, ppm, rng) * gain
            samples[:, 0] += gain * noise * _pink(rng, len(samples), sweeps.settings.rate_hz)
            yield Rehearsed(spell, soundings, samples, ppm)


def _own_room(survey: Survey, kit: Kit, speed_m_s: float, params: RehearsalParams, rate_hz: int) -> Room:
    room = renderer(shell_of(survey, speed_m_s), rate_hz)
    if not params.modes:
        return room
    return with_modes(room, survey, tuple(kit.places.values()), speed_m_s, rate_hz)


def _files(sweeps: SweepSet) -> list[tuple[Sounding, ...]]:
    return [sweeps.soundings] if sweeps.one_file else [(one,) for one in sweeps.soundings]


def _kit(
    project: Project, layout: Layout, sweeps: SweepSet, params: RehearsalParams, rng: np.random.Generator
) -> Kit:
    placed = dict(known_of(project, layout).places)
    mains = {one.id: one for one in layout.loudspeakers if one.id in placed}
    models = {model.name: model for model in project.models}
    boxes = {
        run: box_of(models[one.model], order=_order(one.model))
        for run, one in mains.items()
        if one.model in models
    }
    places = {run: _moved(place, rng.normal(size=3) * params.build_sigma_m) for run, place in placed.items()}
    channels = {one.run: one.channel for one in sweeps.soundings}
    count = 2 * round(0.625 * LENGTH_S * sweeps.settings.rate_hz)
    processor = next((one for one in project.amplifiers if one.processed), None)
    return Kit(
        project,
        boxes,
        places,
        channels,
        _attached(boxes, params.faults),
        params.faults,
        _in_force(project, boxes, params),
        processor.settings if processor else AmplifierSettings(),
        params.state,
        bin_frequencies(count, sweeps.settings.rate_hz),
    )


def _order(model: str) -> int:
    """Return the order of a model's own crossover: by its name, so that a project's kit stays the same."""
    return 4 if crc32(model.encode()) % 2 else 2


def _moved(place: Point3, away: Vector) -> Point3:
    x, y, z = (np.asarray(place) + away).tolist()
    return x, y, z


def _attached(boxes: dict[str, Box], faults: tuple[Planted, ...]) -> dict[str, tuple[str, ...]]:
    attached: dict[str, tuple[str, ...]] = {run: (run,) for run in boxes}
    for fault in faults:
        if fault.kind is FaultKind.DEAD:
            attached[fault.runs[0]] = ()
        elif fault.kind in {FaultKind.SWAPPED, FaultKind.WRONG_TERMINAL}:
            ring = (*fault.runs[1:], fault.runs[0])
            attached |= {run: (other,) for run, other in zip(fault.runs, ring, strict=True)}
    return attached


def _in_force(project: Project, boxes: dict[str, Box], params: RehearsalParams) -> dict[str, ChannelSetting]:
    usual_hz = usual_crossover_hz(project)
    settings = {run: ChannelSetting(run, crossover_hz=usual_hz) for run in boxes}
    settings |= {one.run: one for one in params.in_force}
    for fault in params.faults:
        if fault.kind is FaultKind.FULL_RANGE:
            held = settings[fault.runs[0]]
            settings[held.run] = ChannelSetting(
                held.run, held.delay_s, held.trim_db, None, held.inverted, held.filters
            )
    return settings


@dataclass(frozen=True, slots=True)
class Paths:
    """Impulse responses from each column of the file to the microphone: of each sweep, and of the chirps."""

    sweeps: dict[str, Vector]
    chirps: Vector


def _paths(kit: Kit, sweeps: SweepSet, room: Room, microphone: tuple[float, ...]) -> Paths:
    from scipy.fft import rfft

    count = 2 * (len(kit.freq_hz) - 1)
    x, y, z = microphone
    heard = {
        run: rfft(room(place, (x, y, z)), count) * _own_response(kit, run)
        for run, place in kit.places.items()
    }
    by_run = {one.run: _heard(kit, one.run, heard, count) for one in sweeps.soundings}
    chirps = _heard(kit, sweeps.reference_run, heard, count) if sweeps.reference_run else np.zeros(count)
    return Paths(by_run, chirps)


def _heard(kit: Kit, run: str, heard: dict[str, Spectrum], count: int) -> Vector:
    """Return the impulse response from a channel's input to the microphone."""
    from scipy.fft import irfft

    total = np.zeros(len(kit.freq_hz), dtype=np.complex128)
    for loudspeaker, drive in _drives(kit, run).items():
        total += drive * heard[loudspeaker]
    response: Vector = irfft(total, count)
    return response


def _drives(kit: Kit, run: str) -> dict[str, Spectrum]:
    """Return what each loudspeaker and subwoofer gets when one channel is fed."""
    subs = [sub for sub in kit.project.subwoofers if sub.id in kit.places]
    if kit.channels.get(run, "").startswith("LFE"):
        limit = lfe_limit(kit.freq_hz) * 10.0 ** (_amount(kit, FaultKind.LFE_LEVEL, run) / 20.0)
        sounding = [sub for sub in subs if sub.id == run] if kit.state is TakeState.BARE else subs
        return {sub.id: limit * _set(kit, sub.id) for sub in sounding}
    managed = kit.state is TakeState.AS_USED
    setting = kit.settings.get(run)
    crossover_hz = setting.crossover_hz if managed and setting else None
    main = _set(kit, run)
    if crossover_hz is None:
        return dict.fromkeys(kit.attached.get(run, ()), main)
    drives: dict[str, Spectrum] = {
        one: main * high_pass(kit.amplifier, crossover_hz, kit.freq_hz) for one in kit.attached.get(run, ())
    }
    low = low_pass(kit.amplifier, crossover_hz, kit.freq_hz)
    return drives | {sub.id: low * _set(kit, sub.id) for sub in subs}


def _set(kit: Kit, run: str) -> Spectrum:
    """Return what trim, delay, polarity and equaliser of an output do; nothing where the amplifier is bare."""
    one = kit.settings.get(run)
    if one is None or kit.state is TakeState.BARE:
        return np.ones(len(kit.freq_hz), dtype=np.complex128)
    return setting_response(one, kit.freq_hz, 2.0 * float(kit.freq_hz[-1]))


def _own_response(kit: Kit, run: str) -> Spectrum:
    """Return a loudspeaker's or a subwoofer's own response, with the faults that go with it."""
    box = kit.boxes.get(run)
    if box is None:
        sub = next(one for one in kit.project.subwoofers if one.id == run)
        own = sub_response(kit.project.subwoofer_model_of(sub), kit.freq_hz)
        corner_hz = _amount(kit, FaultKind.SUB_FILTER, run)
        if corner_hz:
            own = own * crossover_response("low", "linkwitz-riley", DOUBLED_ORDER, corner_hz, kit.freq_hz)
        return own
    own = box_response(box, kit.freq_hz, tweeter=not _has(kit, FaultKind.TWEETER_SILENT, run))
    joint_ohm = _amount(kit, FaultKind.JOINT, run)
    if joint_ohm:
        own = own * joint_response(box, joint_ohm, kit.freq_hz)
    return -own if _has(kit, FaultKind.INVERTED, run) else own


def _has(kit: Kit, kind: FaultKind, run: str) -> bool:
    return any(fault.kind is kind and run in fault.runs for fault in kit.faults)


def _amount(kit: Kit, kind: FaultKind, run: str) -> float:
    return next((fault.amount for fault in kit.faults if fault.kind is kind and run in fault.runs), 0.0)


def _recorder_gain(paths: Paths, sweeps: SweepSet) -> float:
    """Return the gain that puts the loudest sweep at 9 dB under full scale."""
    from scipy.fft import rfft

    loudest = max(float(np.max(np.abs(rfft(one)))) for one in (*paths.sweeps.values(), paths.chirps))
    peak = 10.0 ** (sweeps.settings.level_db / 20.0)
    return float(PEAK / max(peak * loudest, 1e-6))


def _noise_level(paths: Paths, sweeps: SweepSet, snr_db: float) -> float:
    """Return the effective value of the noise that lies as asked under the middle one of the sweeps."""
    from scipy.fft import rfft

    count = len(paths.chirps)
    freq_hz = bin_frequencies(count, sweeps.settings.rate_hz)[1:]
    inside = (freq_hz > sweeps.settings.low_hz) & (freq_hz < sweeps.settings.high_hz)
    weight = inside / freq_hz / np.sum(inside / freq_hz)
    powers = [float(np.sum(weight * np.abs(rfft(one)[1:]) ** 2)) for one in paths.sweeps.values()]
    peak = 10.0 ** (sweeps.settings.level_db / 20.0)
    return float(peak * np.sqrt(0.5 * np.median(powers)) * 10.0 ** (-snr_db / 20.0))


def _recording(
    soundings: tuple[Sounding, ...], paths: Paths, sweeps: SweepSet, ppm: float, rng: np.random.Generator
) -> Vector:
    """Return what the recorder takes, without noise: microphone, and loopback where there is one."""
    settings = sweeps.settings
    true_hz = settings.rate_hz * (1.0 + 1e-6 * ppm)
    lead_s = float(rng.uniform(*LEAD_S))
    before_s = lead_s + (len(approach(sweeps)) / settings.rate_hz if sweeps.one_file else 0.0)
    total = round((before_s + len(soundings) * block_s(settings) + 0.8) * true_hz)
    samples = np.zeros((total, 2 if sweeps.reference == LOOPBACK else 1))
    for place, sounding in enumerate(soundings):
        first = round((before_s + place * block_s(settings)) * true_hz)
        for column, part in enumerate(_block(sounding, paths, sweeps, true_hz)):
            _add(samples[:, column], part, first)
    return samples


def _block(sounding: Sounding, paths: Paths, sweeps: SweepSet, true_hz: float) -> list[Vector]:
    from scipy.signal import oaconvolve

    stimulus = stimulus_of(sweeps.settings)
    begins = round(stimulus_start_s(sweeps.settings) * true_hz)
    named = announcement(sounding.number, sweeps.settings, low=sounding.channel.startswith("LFE"))
    own = np.zeros(block_frames(sweeps.settings))
    _add(own, named, 0)
    _add(own, sweep_track(stimulus, true_hz), begins)
    chirps = np.zeros(len(own))
    _add(chirps, marker_track(stimulus, true_hz), begins)
    heard = oaconvolve(own, paths.sweeps[sounding.run])
    if sweeps.reference == LOOPBACK:
        return [heard, chirps]
    return [heard + oaconvolve(chirps, paths.chirps)]


def _add(samples: Vector, part: Vector, first: int) -> None:
    """Add a part into samples from a place on; what sticks out is left off."""
    last = min(len(samples), first + len(part))
    if last > first:
        samples[first:last] += part[: last - first]


def _pink(rng: np.random.Generator, count: int, rate_hz: int) -> Vector:
    """Return noise whose power falls by 3 dB an octave, with an effective value of 1."""
    from scipy.fft import irfft, next_fast_len

    length = next_fast_len(count, real=True)
    freq_hz = np.maximum(bin_frequencies(length, rate_hz), 10.0)
    turned = rng.normal(size=len(freq_hz)) + 1j * rng.normal(size=len(freq_hz))
    noise: Vector = irfft(turned / np.sqrt(freq_hz), length)[:count]
    return noise / np.std(noise)
