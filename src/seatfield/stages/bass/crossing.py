"""Where each group of loudspeakers hands over to the subwoofers, and the delay and polarity to start from."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import dist

import numpy as np

from seatfield.acoustics import (
    Bands,
    MeritParams,
    alignment_start,
    butterworth,
    linkwitz_riley,
    make_bands,
    score_response,
    sealed_response,
    vented_response,
)
from seatfield.model import AmplifierSettings, LoudspeakerModel, Point3, Project, SubwooferModel
from seatfield.stages.bass.result import AtPlace, GroupCrossover
from seatfield.stages.bass.space import Complex, Floats, Space
from seatfield.stages.layout import Placed

AROUND = 2.0
"""The sum is judged from a frequency over this to one times this, the same for all that are compared."""
LOWEST_SHARE = 0.9
"""A crossover lies no lower than this share of the loudspeakers' low corner: common practice, no source."""
HEARD_WHERE_HZ = 100.0
"""Above it a subwoofer's place is heard: common practice, no source [Hz]."""
WORSE_DB, WORTH_DB = 0.5, 0.5
USUAL_HZ = 80.0
"""Of crossovers within half a decibel the one nearest to this is taken, and a delay only where it gains as much over
none: common practice, no source [Hz]."""
BASS_HZ, MAINS_HZ = (30.0, 100.0), (80.0, 160.0)
"""Where subwoofers and loudspeakers are trimmed to the same level: common practice, no source [Hz]."""
ASSUMED_CORNER_HZ = 80.0
"""Low corner of loudspeakers whose file does not say: common practice, no source [Hz]."""


@dataclass(frozen=True, slots=True)
class Subs:
    """The subwoofers that hand over.

    Parameters
    ----------
    places
        Acoustic centres [m].
    factor
        Their settings as complex gains, shape (subwoofers, frequencies) [1].
    model
        Figures of the first; None where the file names none.
    """

    places: tuple[Point3, ...]
    factor: Complex
    model: SubwooferModel | None


def crossovers_of(
    project: Project, space: Space, placed: tuple[Placed, ...], subs: Subs
) -> tuple[GroupCrossover, ...]:
    """Find the crossover of each group of loudspeakers.

    Parameters
    ----------
    project
        Models and the amplifier's settings.
    space
        The room.
    placed
        Loudspeakers in the room.
    subs
        The subwoofers.

    Returns
    -------
    tuple
        Groups in the order of the layout.

    Notes
    -----
    Every loudspeaker and the subwoofers are first made to arrive together at the main seat by their distances, as an
    amplifier does; what is told is on top of that. The loudspeaker's own roll-off and the amplifier's high pass follow
    one another; the low pass is a Linkwitz-Riley of the amplifier's order, a Butterworth for an odd one.
    """
    if not placed or not subs.places:
        return ()
    settings = project.amplifiers[0].settings if project.amplifiers else AmplifierSettings()
    mains = space.hear([one.at for one in placed if one.at is not None])
    bass = space.hear(subs.places)
    head, speed = project.main_seat.head, space.modes.speed_of_sound_m_s
    phase = 2j * np.pi * space.freq_hz
    mains = mains * np.exp(phase * _times(placed, head, speed)[:, None])[:, None]
    nearest = min(dist(at, head) for at in subs.places) / speed - (
        subs.model.latency_s if subs.model else 0.0
    )
    low = (
        (bass * subs.factor[:, None]).sum(axis=0)
        * np.exp(phase * nearest)
        * _box_of_sub(space.freq_hz, subs.model)
    )
    low = low / _usual(low, space.freq_hz, BASS_HZ)
    return tuple(
        _group(project, space, settings, (name, space.names), ([placed[i] for i in index], mains[index], low))
        for name, index in _groups(placed)
    )


def _usual(heard: Complex, freq_hz: Floats, span_hz: tuple[float, float]) -> float:
    """Return the root of the mean power over the seats and a range: levels are trimmed to be alike there."""
    near = (freq_hz >= span_hz[0]) & (freq_hz <= span_hz[1])
    return float(np.sqrt((np.abs(heard[..., near]) ** 2).mean()))


def _times(placed: tuple[Placed, ...], head: Point3, speed: float) -> Floats:
    return np.array([dist(one.at, head) / speed for one in placed if one.at is not None])


def _groups(placed: tuple[Placed, ...]) -> Iterator[tuple[str, list[int]]]:
    """Yield the pairs and singles that an amplifier sets together."""
    groups: dict[str, list[int]] = {}
    for number, one in enumerate(placed):
        groups.setdefault(_name(one.channel), []).append(number)
    yield from groups.items()


def _name(channel: str) -> str:
    layer, side = channel[:1], channel[1:].lstrip("+-")
    angle = int(side) if side.isdigit() else 0
    if layer != "M":
        return {"U": "height", "T": "height", "B": "bottom"}.get(layer, channel)
    return "centre" if angle == 0 else "front" if angle <= 60 else "surround" if angle < 130 else "back"


def box_response(freq_hz: Floats, enclosure: str, low_corner_hz: float, q: float = 0.7071) -> Complex:
    """Return the roll-off of a box, sealed of second order, vented of fourth [1]."""
    if enclosure == "vented":
        return vented_response(freq_hz, low_corner_hz)
    return sealed_response(freq_hz, low_corner_hz, min(max(q, 0.3), 2.0))


def _box_of_sub(freq_hz: Floats, model: SubwooferModel | None) -> Complex:
    if model is None or not model.low_corner_hz:
        return np.ones(len(freq_hz), dtype=complex)
    return box_response(freq_hz, model.enclosure, model.low_corner_hz, model.q)


def _group(
    project: Project,
    space: Space,
    settings: AmplifierSettings,
    names: tuple[str, tuple[str, ...]],
    heard: tuple[list[Placed], Complex, Complex],
) -> GroupCrossover:
    placed, mains, low = heard
    models = {model.name: model for model in project.models}
    own = [models.get(one.model) for one in placed]
    corners = [model.low_corner_hz for model in own if model is not None and model.low_corner_hz]
    corner = max(corners, default=ASSUMED_CORNER_HZ)
    level = [_usual(part, space.freq_hz, MAINS_HZ) for part in mains]
    boxed = np.stack(
        [part / one * _box(space.freq_hz, model) for part, one, model in zip(mains, level, own, strict=True)]
    )
    choices = _choices(settings, corner, space.freq_hz[-1])
    bands = _judged(space.freq_hz, choices, len(space.seats))
    weighed = [_weigh(space.freq_hz, boxed, low, settings, at) for at in choices]
    merits = [float(np.mean(score_response(total, bands).merit_db)) for total, _ in weighed]
    best = _chosen(choices, merits)
    later, inverted, together = weighed[best][1]
    seats = _seat_levels(space.freq_hz, (boxed, low), settings, (choices[best], later, inverted))
    return GroupCrossover(
        names[0],
        tuple(one.id for one in placed),
        max(corners, default=None),
        choices[best],
        merits[best],
        tuple(zip(choices, merits, strict=True)),
        later * 1000,
        inverted,
        together,
        tuple(AtPlace(name, float(level)) for name, level in zip(names[1], seats, strict=True)),
    )


def _box(freq_hz: Floats, model: LoudspeakerModel | None) -> Complex:
    corner = model.low_corner_hz if model is not None and model.low_corner_hz else ASSUMED_CORNER_HZ
    return box_response(freq_hz, model.enclosure if model is not None else "sealed", corner)


def _choices(settings: AmplifierSettings, corner_hz: float, top_hz: float) -> tuple[float, ...]:
    """Return the amplifier's crossovers that the loudspeakers and the prediction reach, or the closest one."""
    offered = sorted(settings.crossovers_hz) or [USUAL_HZ]
    within = [freq for freq in offered if 25.0 <= freq <= top_hz / 1.2] or [
        min(max(offered[0], 25.0), top_hz / 1.2)
    ]
    fit = [freq for freq in within if freq >= LOWEST_SHARE * corner_hz]
    quiet = [freq for freq in fit if freq <= HEARD_WHERE_HZ]
    return tuple(quiet or fit[:1] or within[-1:])


def _judged(freq_hz: Floats, choices: tuple[float, ...], seats: int) -> Bands:
    low, high = max(choices[0] / AROUND, freq_hz[0]), min(choices[-1] * AROUND, freq_hz[-1])
    return make_bands(freq_hz, seats, MeritParams(low, high))


def _filters(freq_hz: Floats, settings: AmplifierSettings, at_hz: float) -> tuple[Complex, Complex]:
    high = butterworth(freq_hz, at_hz, max(settings.high_pass_order, 1), "high")
    order = max(settings.low_pass_order, 1)
    low = (
        butterworth(freq_hz, at_hz, order, "low")
        if order % 2
        else linkwitz_riley(freq_hz, at_hz, order, "low")
    )
    return high, low


def _weigh(
    freq_hz: Floats, mains: Complex, low: Complex, settings: AmplifierSettings, at_hz: float
) -> tuple[Complex, tuple[float, bool, float]]:
    """Return the sum of each loudspeaker with the subwoofers as they add best, and that delay, polarity and level."""
    high_pass, low_pass = _filters(freq_hz, settings, at_hz)
    tops, bottom = mains * high_pass, low * low_pass
    together = np.concatenate(list(tops)), np.concatenate([bottom] * len(tops))
    delay, inverted, level = alignment_start(*together, freq_hz, at_hz)
    for turned in (False, True):
        plain = _together_db(freq_hz, *together, (at_hz, 0.0, turned))
        if plain >= level - WORTH_DB:
            delay, inverted, level = 0.0, turned, plain
            break
    return tops + bottom * _turned(freq_hz, delay, inverted), (delay, inverted, level)


def _turned(freq_hz: Floats, delay_s: float, inverted: bool) -> Complex:  # noqa: FBT001  (a polarity is a truth value)
    return np.asarray(np.exp(-2j * np.pi * freq_hz * delay_s) * (-1 if inverted else 1))


def _seat_levels(
    freq_hz: Floats,
    heard: tuple[Complex, Complex],
    settings: AmplifierSettings,
    chosen: tuple[float, float, bool],
) -> Floats:
    """Return the mean level of the sum of each loudspeaker with the subwoofers at each seat [dB]."""
    high_pass, low_pass = _filters(freq_hz, settings, chosen[0])
    tops, bottom = heard[0] * high_pass, heard[1] * low_pass
    seats = range(bottom.shape[0])
    return np.array([_together_db(freq_hz, tops[:, seat], bottom[None, seat], chosen) for seat in seats])


def _together_db(freq_hz: Floats, top: Complex, bottom: Complex, chosen: tuple[float, float, bool]) -> float:
    """Return the mean level of a sum within half an octave of the crossover, over both added as powers [dB]."""
    at_hz, delay, inverted = chosen
    near = (freq_hz >= at_hz / np.sqrt(2)) & (freq_hz <= at_hz * np.sqrt(2))
    one, other = top[..., near], (bottom * _turned(freq_hz, delay, inverted))[..., near]
    gain = np.abs(one + other) ** 2 / (np.abs(one) ** 2 + np.abs(other) ** 2)
    return float(10 * np.log10(np.maximum(gain, 1e-6)).mean())


def _chosen(choices: tuple[float, ...], merits: list[float]) -> int:
    """Return the crossover nearest the usual one among those that are about as good as the best."""
    close = [i for i, merit in enumerate(merits) if merit <= min(merits) + WORSE_DB]
    return min(close, key=lambda i: (abs(np.log(choices[i] / USUAL_HZ)), merits[i]))
