"""The bass: the room solved once, and everything that follows for seats and subwoofers."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely

from seatfield.acoustics import (
    Bands,
    damping,
    decay_time,
    response_band,
    schroeder_frequency,
    score_response,
    speed_of_sound,
)
from seatfield.geometry.polygon import boundary_distance
from seatfield.model import (
    Finding,
    Input,
    Loudness,
    Mount,
    OpeningKind,
    Point3,
    Project,
    Severity,
    Trace,
)
from seatfield.stages.bass.crossing import Subs, crossovers_of
from seatfield.stages.bass.hearing import Heard, hear_all, levels_db
from seatfield.stages.bass.mapping import MAP_WORDS, SEAT_WORDS, Grid, bands_of, models_of, spots_of
from seatfield.stages.bass.modes_told import modes_of
from seatfield.stages.bass.moving import Walk, moves_of, walks_of
from seatfield.stages.bass.params import BassParams
from seatfield.stages.bass.result import Bass, Curve, DoorOpen, Now, Reach, RoomResponse, SubwooferSet, Try
from seatfield.stages.bass.sets import Ground, Sets, seek_all, told_sets
from seatfield.stages.bass.shell import Shell, shell_of
from seatfield.stages.bass.space import (
    FULL_HZ,
    LEAST_HZ,
    Complex,
    Floats,
    Space,
    Span,
    in_room,
    listeners,
    reachable_hz,
    solve,
)
from seatfield.stages.bass.spots import Floor, floor_of
from seatfield.stages.bass.telling import Told, findings_of
from seatfield.stages.layout import Layout, Mark
from seatfield.stages.layout.marking import ToMark, mark
from seatfield.stages.survey import Survey

Watch = Callable[[str], None]

SMALLEST_M2, SMALLEST_M3 = 1.0, 1.0
RESPONSE_HZ = (15.0, 300.0)
RESPONSE_STEPS = 209
"""Even on a logarithmic axis: 48 an octave."""
CURVE_HZ = (20.0, 150.0)
NEAR_WALL_M = 0.6
WISH_DB = {Loudness.QUIET: 95.0, Loudness.USUAL: 105.0, Loudness.REFERENCE: 115.0}
"""Peaks of the low-frequency channel, 10 dB over those of the others (ITU-R BS.775 and SMPTE RP 200, from memory)."""
LOWEST_LOUD_HZ = 25.0
"""Below this, and below its low corner, nobody asks a subwoofer to be loud: common practice, no source [Hz]."""
FLOOR_DB = 6.0
"""What the floor adds where makers measure outdoors: the pressure of a source and its image."""


def plan(
    project: Project,
    survey: Survey,
    layout: Layout,
    params: BassParams | None = None,
    *,
    seed: int = 0,
    watch: Watch | None = None,
) -> Bass:
    """Compute the bass in the room as it is.

    Parameters
    ----------
    project
        Everything that the person wrote.
    survey
        The room as surveyed, with `sound` true.
    layout
        Where the loudspeakers are.
    params
        What is wanted.
    seed
        Not used: nothing here is random.
    watch
        Called with the name of each part before it starts.

    Returns
    -------
    Bass
        Where the room cannot be solved, or no ears are in it, what is left out is empty and a finding says why.

    Notes
    -----
    Valid up to about 150 Hz for merits and crossovers, 300 Hz for responses. Furniture absorbs and does not stand in
    the way of the sound; walls are hard but for their losses, and what they give is in the doubt.
    """
    del seed
    params = params or BassParams()
    speed = float(speed_of_sound(min(max(survey.room.temperature_c, -20.0), 50.0)))
    try:
        shell = shell_of(survey)
        work = _solved(project, survey, layout, params, (shell, speed))
    except ValueError as reason:
        return Bass(speed, (), (_unfit(str(reason)),))
    told = watch or (lambda _: None)
    told("modes")
    bass = _modes(work, speed)
    if len(work.space.seats) == 0:
        return replace(bass, findings=(*_found(work, None, bass), _nobody()))
    return _with_parts(work, bass, told)


@dataclass(frozen=True, slots=True)
class Work:
    """What all parts work on: the description, the room solved, the subwoofers that stand in it."""

    project: Project
    survey: Survey
    layout: Layout
    params: BassParams
    space: Space
    standing: tuple[tuple[str, Point3], ...]

    @property
    def at(self) -> tuple[Point3, ...]:
        """Where the subwoofers stand [m]."""
        return tuple(at for _, at in self.standing)


def _solved(
    project: Project, survey: Survey, layout: Layout, params: BassParams, room: tuple[Shell, float]
) -> Work:
    shell, speed = room
    if shell.floor.area < SMALLEST_M2 or shell.volume_m3 < SMALLEST_M3:
        raise ValueError(
            f"It has {shell.floor.area:.2f} m² and {shell.volume_m3:.2f} m³, less than any room."
        )
    reach = reachable_hz(shell, None, speed)
    if reach < LEAST_HZ:
        raise ValueError(
            f"It is so large that its modes overlap and cannot be told apart beyond {reach:.0f} Hz; check its measures."
        )
    standing = tuple(
        (one.id, one.at) for one in project.subwoofers if one.at is not None and in_room(survey, one.at)
    )
    near, span = tuple(at for _, at in standing), Span(params.to_hz)
    space = solve(shell, listeners(project, survey), near, speed, span)
    return Work(project, survey, layout, params, space, standing)


def _unfit(reason: str) -> Finding:
    return Finding(
        "bass.room-unfit",
        Severity.FIX,
        "room",
        f"The bass of this room cannot be computed. {reason}",
        source="what modes one by one can be computed of",
        advice="Check the outline and the ceiling.",
        key="room",
        trace=Trace(
            "the least floor and volume, and how far the lowest modes can be told apart",
            (Input("found", reason),),
        ),
    )


def _nobody() -> Finding:
    return Finding(
        "bass.no-ears",
        Severity.FIX,
        "seat",
        "No seat has its ears inside the room, so nothing can be said of the bass there.",
        advice="Check `at` and `ear` of the seats.",
        key="seat",
    )


def _modes(work: Work, speed: float) -> Bass:
    modes = work.space.modes
    low = decay_time(damping(modes, work.space.losses))
    reverberation = float(np.median(low)) if len(low) else 0.5
    return Bass(
        speed,
        tuple(float(freq) for freq in modes.freq_hz),
        (),
        modes_of(work.survey, work.space, work.standing),
        float(schroeder_frequency(work.space.shell.volume_m3, reverberation, speed_of_sound_m_s=speed)),
        work.space.shell.volume_m3,
    )


def _with_parts(work: Work, bass: Bass, watch: Watch) -> Bass:
    """Add the parts asked for, each resting on those before it."""
    parts, floor, best = set(work.params.parts), None, None
    if parts:
        watch("map")
        floor = floor_of(work.project, work.survey, work.layout, work.params)
    if floor is not None and parts & {"places", "map", "ears"}:
        bass = _fields(work, bass, floor)
    if floor is not None and parts & {"sets", "seats"}:
        watch("sets")
        bass, best = _sets_and_seats(work, bass, floor)
    playing = _playing(work, best)
    if "crossovers" in parts and playing is not None:
        watch("crossovers")
        placed = tuple(
            one for one in work.layout.loudspeakers if one.at is not None and in_room(work.survey, one.at)
        )
        bass = replace(bass, crossovers=crossovers_of(work.project, work.space, placed, playing))
    if "doors" in parts and playing is not None:
        watch("doors")
        bass = replace(bass, doors=tuple(_doors(work, playing)))
    if work.params.responses:
        watch("responses")
        bass = replace(bass, responses=_responses(work))
    return replace(bass, findings=_found(work, floor, bass))


def _found(work: Work, floor: Floor | None, bass: Bass) -> tuple[Finding, ...]:
    return findings_of(
        Told(work.project, work.survey, work.space, floor, work.params, work.layout.system), bass
    )


def _fields(work: Work, bass: Bass, floor: Floor) -> Bass:
    """Score what stands there, every place, and the points of both fields, as far as wanted, from one solution."""
    wanted, bands = work.params.parts, bands_of(work.space, work.project, work.params)
    standing = np.array(work.at, dtype=float).reshape(-1, 3)
    grid = Grid(work.survey, floor.height_m) if "map" in wanted else None
    ear_grid = Grid(work.survey, _ear_m(work)) if "ears" in wanted and work.at else None
    groups = (
        standing,
        floor.places if "places" in wanted else standing[:0],
        grid.points if grid else standing[:0],
        ear_grid.points if ear_grid else standing[:0],
    )
    seats = work.space.seats
    heard = work.space.hear(np.concatenate(groups), np.concatenate([seats, standing]) if ear_grid else seats)
    now, places, floor_points, ears = np.split(heard, np.cumsum([len(group) for group in groups])[:-1])
    if "places" in wanted:
        bass = replace(bass, spots=spots_of(floor, score_response(places[:, : len(seats)], bands)))
    if grid:
        merit = score_response(floor_points[:, : len(seats)], bands).merit_db
        bass = replace(bass, map=grid.field(merit, MAP_WORDS))
    if ear_grid:
        alone = bands_of(work.space, work.project, work.params, seats=1)
        listening = score_response(ears[:, len(seats) :].sum(axis=1, keepdims=True), alone)
        bass = replace(bass, seat_map=ear_grid.field(listening.merit_db, SEAT_WORDS))
    if not work.at:
        return bass
    together = now[:, : len(seats)]
    curves = tuple(_curves(work.space, "now", together.sum(axis=0)[None, None]))
    return replace(bass, now=_now(work, floor, together, bands), curves=curves)


def _ear_m(work: Work) -> float:
    names, seats = work.space.names, work.space.seats
    main = work.project.main_seat.name
    return float(seats[names.index(main) if main in names else 0, 2])


def _now(work: Work, floor: Floor, heard: Complex, bands: Bands) -> Now | None:
    if not work.standing:
        return None
    score = score_response(heard.sum(axis=0, keepdims=True), bands)
    against = [(id_, floor.why_not(at)) for id_, at in work.standing]
    why = "; ".join(f"{id_} stands where {says}" for id_, says in against if says)
    return Now(
        tuple(id_ for id_, _ in work.standing),
        float(score.merit_db[0]),
        float(score.uneven_db[0]),
        float(score.spread_db[0]),
        float(score.level_db[0]),
        not why,
        f"{why}." if why else "",
    )


def _sets_and_seats(work: Work, bass: Bass, floor: Floor) -> tuple[Bass, Sets | None]:
    """Hear everything under every doubt, then find the best sets and what the seats can do."""
    walks = walks_of(work.project, work.survey, work.space) if "seats" in work.params.parts else ()
    standing = np.array(work.at, dtype=float).reshape(-1, 3)
    ears = np.concatenate([np.empty((0, 3)), *(walk.ears.reshape(-1, 3) for walk in walks)])
    wanted = "sets" in work.params.parts and len(floor.places) > 0
    heard = hear_all(work.space, standing, floor.places if wanted else standing[:0], ears)
    bands, best = bands_of(work.space, work.project, work.params), None
    if wanted:
        bass, best = _sets(work, bass, floor, heard, bands)
    if walks:
        bass = _seats(work, bass, (walks, heard), best, bands)
    return bass, best


def _sets(work: Work, bass: Bass, floor: Floor, heard: tuple[Heard, ...], bands: Bands) -> tuple[Bass, Sets]:
    """Find the best sets of the size wanted, and what one more would bring."""
    shown = work.params.subwoofers or min(max(len(work.project.subwoofers), 1), 4)
    most = min(max(shown, len(work.project.subwoofers) + 1, 2), 4)
    stands = len(work.at)
    doubted = tuple(run.places[stands:, 0] for run in heard)
    plan_ = shapely.Polygon(work.survey.room.floor)
    ground = Ground(work.space, floor.places, doubted[0], doubted, bands, work.params, plan_, floor.sides)
    sets, counts = seek_all(ground, shown, most)
    now = None
    if stands:
        together = np.stack([run.places[:stands, 0].sum(axis=0) for run in heard])
        now = score_response(together, bands).merit_db
    best = told_sets(sets, now)
    tries = (
        *(_try(work, number, one) for number, one in enumerate(best, start=1)),
        *_try_now(work, bass, len(best)),
    )
    return replace(bass, best=best, counts=counts, tries=tries, tones_hz=_tones(bass)), sets


def _try(work: Work, number: int, one: SubwooferSet) -> Try:
    places = tuple(place.at for place in one.subwoofers)
    return Try(number, _marks(work, str(number), places), places, one.merit, one.misplaced)


def _try_now(work: Work, bass: Bass, count: int) -> tuple[Try, ...]:
    if bass.now is None:
        return ()
    return (Try(count + 1, _marks(work, "now", work.at), work.at, bass.now.merit, bass.now.merit, now=True),)


def _marks(work: Work, name: str, places: tuple[Point3, ...]) -> tuple[Mark, ...]:
    """Say how to find places: along a wall and out from it, or by two tapes on the floor."""
    made = []
    for letter, at in zip("abcd", places, strict=False):
        near = boundary_distance(work.survey.room.floor, at[:2]) < NEAR_WALL_M
        id_ = name if len(places) == 1 else f"{name}{letter}" if name.isdigit() else f"{name} {letter}"
        made.append(mark(work.survey, ToMark(id_, "LFE1", at, Mount.WALL if near else None)))
    return tuple(made)


def _tones(bass: Bass) -> tuple[float, ...]:
    """Return tones to try with: the lowest modes a third of an octave or more apart, from 25 to 110 Hz."""
    tones: list[float] = []
    for freq in bass.modes_hz:
        if 25.0 <= freq <= 110.0 and (not tones or freq >= tones[-1] * 2 ** (1 / 3)):
            tones.append(round(freq, 1))
    return tuple(tones[:6])


def _playing(work: Work, best: Sets | None) -> Subs | None:
    """Return the subwoofers that play: those that stand there, else the best set; None where there is neither."""
    model = next(iter(models_of(work.project)), None)
    if work.standing:
        return Subs(work.at, np.ones((len(work.at), len(work.space.freq_hz)), dtype=complex), model)
    if best is None or not len(best.places):
        return None
    places = tuple((float(x), float(y), float(z)) for x, y, z in best.places[0])
    return Subs(places, best.factor[0], model)


def _seats(
    work: Work,
    bass: Bass,
    heard: tuple[tuple[Walk, ...], tuple[Heard, ...]],
    best: Sets | None,
    bands: Bands,
) -> Bass:
    """Add gaps and moves, the curves, and how loud it gets."""
    walks, runs = heard
    stands = len(work.at)
    curves: list[Curve] = []
    if stands:
        now = np.stack([run.places[:stands].sum(axis=0) for run in runs])
        curves += _curves(work.space, "now", now)
    if best is not None and len(best.index):
        at, turned = stands + best.index[0], best.factor[0][:, None, None]
        curves += _curves(
            work.space, "best", np.stack([(run.places[at] * turned).sum(axis=0) for run in runs])
        )
    moves = moves_of(work.space, walks, now[:, 0], _moved(walks, runs), bands) if stands else ()
    return replace(bass, moves=moves, curves=tuple(curves), reach=tuple(_reach(work, runs)))


def _moved(walks: tuple[Walk, ...], runs: tuple[Heard, ...]) -> tuple[Complex, ...]:
    """Return the subwoofers together at the ears of each walk, by doubt, shift, seat and frequency."""
    together = np.stack([run.moved.sum(axis=1) for run in runs])
    ends = np.cumsum([0, *(walk.ears.shape[0] * walk.ears.shape[1] for walk in walks)])
    return tuple(
        together[:, start:end].reshape(len(runs), *walk.ears.shape[:2], together.shape[-1])
        for walk, (start, end) in zip(walks, pairwise(ends), strict=True)
    )


def _curves(space: Space, which: str, runs: Complex) -> Iterator[Curve]:
    """Yield the level at every seat with its band, from runs by doubt, rise of the ears, seat and frequency."""
    shown = (space.freq_hz >= CURVE_HZ[0]) & (space.freq_hz <= CURVE_HZ[1])
    freq, level = _numbers(space.freq_hz[shown]), levels_db(runs[..., shown])
    for seat, name in enumerate(space.names):
        own = level[:, :, seat]
        low, high = own.min(axis=(0, 1)), own.max(axis=(0, 1))
        yield Curve(which, name, freq, _numbers(own[0, 0]), _numbers(low), _numbers(high))


def _numbers(values: Floats) -> tuple[float, ...]:
    return tuple(round(float(value), 2) for value in values)


def _reach(work: Work, runs: tuple[Heard, ...]) -> Iterator[Reach]:
    """Yield how loud each subwoofer gets at the main seat, where its maker's figures say."""
    space, name = work.space, work.project.main_seat.name
    if name not in space.names:
        return
    seat, freq = space.names.index(name), space.freq_hz
    models = {model.name: model for model in work.project.subwoofer_models}
    by_id = {one.id: one for one in work.project.subwoofers}
    wish = WISH_DB[work.project.loudness]
    for i, (id_, _) in enumerate(work.standing):
        lowest = max(
            getattr(models.get(by_id[id_].model), "low_corner_hz", None) or LOWEST_LOUD_HZ, LOWEST_LOUD_HZ
        )
        power = np.stack([np.abs(run.places[i, 0, seat]) ** 2 for run in runs])
        model = models.get(by_id[id_].model)
        for at, level in sorted(model.max_level) if model is not None else ():
            if 0.9 * lowest <= at <= freq[-1]:
                near = (freq >= at / 2 ** (1 / 6)) & (freq <= at * 2 ** (1 / 6))
                gain = 10 * np.log10(power[:, near].mean(axis=-1)) + level - FLOOR_DB
                yield Reach(id_, float(at), float(gain[0]), float(gain.min()), float(gain.max()), wish)


def _doors(work: Work, playing: Subs) -> Iterator[DoorOpen]:
    """Yield what opening each door does at the main seat, in thirds of an octave."""
    doors = [one for one in work.survey.room.openings if one.kind is OpeningKind.DOOR]
    name = work.project.main_seat.name
    if name not in work.space.names:
        return
    seat = work.space.names.index(name)
    shut = _thirds(work.space, work.space.hear(playing.places)[:, seat], playing)
    for door in doors:
        opened = work.space.with_boundary(shell_of(work.survey, door.id))
        change = _thirds(opened, opened.hear(playing.places)[:, seat], playing)[1] - shut[1]
        most = int(np.abs(change).argmax())
        yield DoorOpen(door.id, float(change[most]), float(shut[0][most]))


def _thirds(space: Space, heard: Complex, playing: Subs) -> tuple[Floats, Floats]:
    """Return middles and levels of thirds of an octave from 25 to 126 Hz [Hz], [dB]."""
    middles = 1000.0 * 10 ** (np.arange(-16, -8) / 10)  # IEC 61260-1
    power = np.abs((heard * playing.factor).sum(axis=0)) ** 2
    edges = 10**0.05
    level = [
        10 * np.log10(power[(space.freq_hz >= at / edges) & (space.freq_hz < at * edges)].mean() + 1e-24)
        for at in middles
    ]
    return middles, np.array(level)


def _responses(work: Work) -> tuple[RoomResponse, ...]:
    """Return every source at every seat, from 15 to 300 Hz or as far as the room's modes are found."""
    sources = [
        *(
            (one.id, one.at)
            for one in work.layout.loudspeakers
            if one.at is not None and in_room(work.survey, one.at)
        ),
        *work.standing,
    ]
    if not sources:
        return ()
    seats = listeners(work.project, work.survey)
    speed = work.space.modes.speed_of_sound_m_s
    top = min(RESPONSE_HZ[1], reachable_hz(work.space.shell, FULL_HZ, speed) / 1.1)
    freq = np.geomspace(RESPONSE_HZ[0], top, RESPONSE_STEPS)
    full = solve(work.space.shell, seats, work.at, speed, Span(FULL_HZ, freq))
    band = response_band(full.modes, full.losses, full.under([at for _, at in sources]), full.seats, freq)
    return tuple(
        RoomResponse(
            source,
            name,
            _numbers(freq),
            *(_numbers(part[i, j]) for part in (band.level_db, band.low_db, band.high_db)),
        )
        for i, (source, _) in enumerate(sources)
        for j, name in enumerate(full.names)
    )
