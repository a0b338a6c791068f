"""The room model corrected by what was measured: its decay in octaves, its effective size and losses in the bass."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

import numpy as np
from numpy.typing import NDArray

from seatfield.acoustics import Doubt
from seatfield.dsp.level import smoothed, transfer_at
from seatfield.model import Point3, Project, SubwooferModel, TakeState
from seatfield.stages.bass.shell import shell_of as bass_shell
from seatfield.stages.bass.space import Space, Span, solve
from seatfield.stages.survey import Survey
from seatfield.stages.takes import Known, Spot
from seatfield.stages.takes.filters import lfe_limit
from seatfield.stages.takes.rehearsal.boxes import sub_response
from seatfield.stages.takes.rehearsal.rooms import shell_of as decay_shell

Array = NDArray[np.float64]

BASS_HZ, BASS_STEPS = (24.0, 100.0), 77
SMOOTHED = 6
SIZES = tuple(float(size) for size in np.linspace(0.94, 1.06, 13))
LOSSES = (0.4, 0.6, 0.8, 1.0, 1.3, 1.7, 2.2, 3.0, 4.0, 5.5, 7.5)
FINE_SIZE = 0.0033
WORTH_DB = 0.2


@dataclass(frozen=True, slots=True)
class DecayFitted:
    """Decay in one octave: as the finishes let expect and as measured [s], and the mean absorption of each [-]."""

    band_hz: float
    expected_s: float
    measured_s: float
    expected_absorption: float
    measured_absorption: float


@dataclass(frozen=True, slots=True)
class BassFitted:
    """The bass model's room, fitted to the subwoofers' responses.

    Parameters
    ----------
    size
        By how much every length of the model grows [-].
    absorption
        By how much every loss grows [-].
    off_before_db, off_after_db
        Effective difference of modelled and measured level over the positions fitted [dB].
    kept_back_before_db, kept_back_after_db
        The same at the position that the fit did not see; None where there were fewer than three [dB].
    """

    size: float
    absorption: float
    off_before_db: float
    off_after_db: float
    kept_back_before_db: float | None
    kept_back_after_db: float | None


@dataclass(frozen=True, slots=True)
class RoomFitted:
    """What the takes say of the room; each part empty or None where they say nothing."""

    decays: tuple[DecayFitted, ...]
    bass: BassFitted | None


def fit_room(project: Project, survey: Survey, known: Known, spots: Sequence[Spot]) -> RoomFitted:
    """Correct the room model by what was measured.

    Parameters
    ----------
    project, survey, known
        The plan.
    spots
        Positions; those with the amplifier bare count.

    Returns
    -------
    RoomFitted
        With the improvement, so that nobody has to believe it.

    Notes
    -----
    Absorption from decay after Eyring (J. Acoust. Soc. Am. 1 (1930) 217, from memory), the median over loudspeakers
    and positions. In the bass the model's lengths and losses are scaled until its levels, smoothed over a sixth of an
    octave and each with its mean taken off, lie nearest to the measured ones: a grid, then between its steps.
    """
    bare = [spot for spot in spots if spot.state is TakeState.BARE]
    return RoomFitted(_decays(survey, known, bare), _bass(project, survey, known, bare))


def _decays(survey: Survey, known: Known, spots: Sequence[Spot]) -> tuple[DecayFitted, ...]:
    measured: dict[float, list[float]] = {}
    for spot in spots:
        for one in spot.heard:
            for told in one.told.decay_s:
                if told.time_s is not None and not one.low:
                    measured.setdefault(told.band_hz, []).append(told.time_s)
    shell = decay_shell(survey, known.speed_of_sound_m_s)
    surface = _surface_m2(survey)
    found = []
    for band_hz, times in sorted(measured.items()):
        expected = shell.decay_at(band_hz)
        time_s = median(times)
        both = (_absorption(survey, surface, known, time) for time in (expected, time_s))
        found.append(DecayFitted(band_hz, expected, time_s, *both))
    return tuple(found)


def _surface_m2(survey: Survey) -> float:
    mean_height = survey.volume_m3 / survey.area_m2
    return 2.0 * survey.area_m2 + mean_height * sum(frame.length_m for frame in survey.walls)


def _absorption(survey: Survey, surface_m2: float, known: Known, time_s: float) -> float:
    """Return the mean absorption that gives a decay time after Eyring [-]."""
    exponent = 24.0 * np.log(10.0) * survey.volume_m3 / (known.speed_of_sound_m_s * surface_m2 * time_s)
    return float(1.0 - np.exp(-exponent))


@dataclass(frozen=True, slots=True)
class _Measured:
    """Levels of subwoofers at positions, smoothed, shape (subwoofers, positions, frequencies) [dB]."""

    sources: tuple[Point3, ...]
    ears: tuple[Point3, ...]
    level_db: Array
    box_db: Array


def _bass(project: Project, survey: Survey, known: Known, spots: Sequence[Spot]) -> BassFitted | None:
    freq_hz = np.linspace(*BASS_HZ, BASS_STEPS)
    measured = _measured(project, known, spots, freq_hz)
    if measured is None:
        return None
    try:
        space = solve(
            bass_shell(survey),
            (),
            (*measured.sources, *measured.ears),
            known.speed_of_sound_m_s,
            Span(to_hz=1.3 * BASS_HZ[1], freq_hz=freq_hz),
        )
    except ValueError:  # the outline has no modes that can be found
        return None
    fitted = slice(0, len(measured.ears) - 1) if len(measured.ears) > 2 else slice(0, len(measured.ears))
    size, absorption = _searched(space, measured, fitted)
    before, after = (_off(space, measured, doubt) for doubt in (Doubt(), Doubt(absorption, size)))
    kept = len(measured.ears) > 2
    return BassFitted(
        size,
        absorption,
        _effective(before[:, fitted]),
        _effective(after[:, fitted]),
        _effective(before[:, -1:]) if kept else None,
        _effective(after[:, -1:]) if kept else None,
    )


def _measured(project: Project, known: Known, spots: Sequence[Spot], freq_hz: Array) -> _Measured | None:
    models = {sub.id: project.subwoofer_model_of(sub) for sub in project.subwoofers}
    runs = [
        run
        for run in models
        if run in known.places and spots and all(spot.of(run) is not None for spot in spots)
    ]
    if not runs:
        return None
    levels = [[_level_db(spot, run, freq_hz) for spot in spots] for run in runs]
    return _Measured(
        tuple(known.places[run] for run in runs),
        tuple(spot.position for spot in spots),
        np.array(levels),
        np.array([_box_db(models[run], freq_hz) for run in runs]),
    )


def _level_db(spot: Spot, run: str, freq_hz: Array) -> Array:
    one = spot.of(run)
    assert one is not None
    response = transfer_at(one.response, freq_hz, -0.03, 1.2) / lfe_limit(freq_hz)
    return _smooth_db(freq_hz, np.abs(response))


def _box_db(model: SubwooferModel, freq_hz: Array) -> Array:
    return np.asarray(20.0 * np.log10(np.abs(sub_response(model, freq_hz))))


def _smooth_db(freq_hz: Array, size: Array) -> Array:
    return np.asarray(10.0 * np.log10(np.maximum(smoothed(freq_hz, size**2, SMOOTHED), 1e-15)))


def _off(space: Space, measured: _Measured, doubt: Doubt) -> Array:
    """Return modelled less measured level, each with its mean taken off, shape (subwoofers, positions, frequencies)."""
    heard = np.abs(space.hear(np.array(measured.sources), np.array(measured.ears), doubt))
    shape = heard.shape
    level = (
        np.array([_smooth_db(space.freq_hz, row) for row in heard.reshape(-1, shape[-1])]).reshape(shape)
        + measured.box_db[:, None, :]
    )
    off = level - measured.level_db
    return np.asarray(off - np.mean(off, axis=(1, 2), keepdims=True))


def _effective(off: Array) -> float:
    return float(np.sqrt(np.mean(off**2)))


def _searched(space: Space, measured: _Measured, fitted: slice) -> tuple[float, float]:
    """Return the size and the losses that fit best; the described room where little is gained."""

    def cost(size: float, absorption: float) -> float:
        return _effective(_off(space, measured, Doubt(absorption, size))[:, fitted])

    best = min((cost(size, absorption), size, absorption) for size in SIZES for absorption in (0.7, 1.3, 2.2))
    best = min((cost(best[1], absorption), best[1], absorption) for absorption in LOSSES)
    near = (best[1] + step * FINE_SIZE for step in (-2, -1, 0, 1, 2))
    best = min((cost(size, best[2]), size, best[2]) for size in near)
    if best[0] > cost(1.0, 1.0) - WORTH_DB:
        return 1.0, 1.0
    return best[1], best[2]
