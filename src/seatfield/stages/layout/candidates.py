"""Which sound systems suit the room: what each gives, what it asks, and at which change the choice tips."""

from dataclasses import dataclass, replace

import numpy as np

from seatfield.catalogue.systems import BS_2051, SYSTEMS, VERDICT_LIMITS, Channel, SoundSystem, plain_name
from seatfield.geometry.batch import Floats, Mask
from seatfield.geometry.direction import outside_window_deg
from seatfield.model import Mount, Project
from seatfield.stages.layout.placing.carriers import STAND_M, Box
from seatfield.stages.layout.placing.changes import shifted_ground
from seatfield.stages.layout.placing.ground import Bits, Ground
from seatfield.stages.layout.placing.merit import heard_from
from seatfield.stages.layout.placing.spots import floor_lattice, settled, wall_lattice
from seatfield.stages.layout.result import Candidate
from seatfield.stages.layout.symmetry import mirrored_label
from seatfield.stages.layout.windows import widened
from seatfield.stages.survey import tell

ROUGH_M = 0.2
MOST_ROUGH = 3000
COMFORT_M = 1.0
"""A loudspeaker that is to count stands at least so far from every head: common practice, no source [m]."""

_GIVES = {
    "M+030": 5.0, "M-030": 5.0, "M+000": 3.0, "M+090": 3.0, "M-090": 3.0, "M+110": 3.0, "M-110": 3.0,
    "M+135": 1.5, "M-135": 1.5, "U+030": 2.0, "U-030": 2.0, "U+045": 2.0, "U-045": 2.0,
    "U+110": 1.5, "U-110": 1.5, "U+135": 1.5, "U-135": 1.5,
}  # fmt: skip
OTHER_GIVES = 0.5
ASKS = 0.8
"""What each further loudspeaker asks in money and work, against what it gives: common practice, no source."""

UPWARD_ASKS = 0.7


@dataclass(frozen=True, slots=True)
class Reach:
    """Rough places with the span of elevations that each allows, as arrays of one length.

    Parameters
    ----------
    bits
        What forbids each, one bit per obstacle.
    comfortable
        True where no head is nearer than a metre.
    """

    azimuth_deg: Floats
    low_deg: Floats
    high_deg: Floats
    bits: Bits
    comfortable: Mask
    upward: Mask


def reach_of(ground: Ground) -> Reach:
    """Return rough places on floor, walls and ceiling, and by the ceiling's mirror.

    Parameters
    ----------
    ground
        The room.

    Returns
    -------
    Reach
        On a 20 cm grid; stands with all the elevations that their heights give.
    """
    box = Box()
    step = max(ROUGH_M, (ground.survey.area_m2 / MOST_ROUGH) ** 0.5)
    plan = floor_lattice(ground, step)
    ear = np.full((len(plan), 1), np.clip(ground.head[2], *STAND_M))
    parts = [
        _part(ground, np.hstack((plan, ear)), Mount.STAND, box),
        _part(ground, wall_lattice(ground, box, step), Mount.WALL, box),
        _part(ground, settled(ground, np.hstack((plan, ear)), Mount.CEILING, box), Mount.CEILING, box),
        _part(ground, np.hstack((plan, np.minimum(ear, 1.0))), Mount.UPWARD, box),
    ]
    return Reach(*(np.concatenate([getattr(part, name) for part in parts]) for name in Reach.__slots__))


def _part(ground: Ground, points: Floats, mount: Mount, box: Box) -> Reach:
    heard = heard_from(ground, points, mount)
    low = high = heard.elevation_deg
    if mount is Mount.STAND:
        flat = np.maximum(np.hypot(*(points[:, :2] - ground.head[:2]).T), 1e-6)
        low, high = (np.degrees(np.arctan2(height - ground.head[2], flat)) for height in STAND_M)
    away = np.min(
        [np.sqrt(((points - np.array(s.head)) ** 2).sum(axis=1)) for s in ground.project.seats], axis=0
    )
    upward = np.full(len(points), mount is Mount.UPWARD)
    bits = ground.violations(points, mount, box)
    return Reach(heard.azimuth_deg, low, high, bits, away >= COMFORT_M, upward)


@dataclass(frozen=True, slots=True)
class Fit:
    """How a channel fits: rough deviation at its best place [deg], and what it takes to get there."""

    channel: Channel
    deviation_deg: float
    near: bool
    upward: bool


def fit_of(reach: Reach, channel: Channel, lifted: int = 0) -> Fit:
    """Return how near to its window a channel's best rough place comes.

    Parameters
    ----------
    reach
        Rough places.
    channel
        The channel.
    lifted
        Bits of obstacles that are thought away.

    Returns
    -------
    Fit
        0° where a place lies inside the window, or within half a step of the grid of it.
    """
    if channel.azimuth_window is None or channel.elevation_window is None:
        return Fit(channel, 0.0, near=False, upward=False)
    free = (reach.bits & ~np.uint64(lifted)) == 0
    free &= ~reach.upward | channel.label.startswith("U")
    for near, upward in ((False, False), (False, True), (True, False)):
        some = free & (reach.comfortable | near) & (~reach.upward | upward)
        if some.any() and _inside(reach, channel, some).any():
            return Fit(channel, 0.0, near=near, upward=upward)
    some = np.flatnonzero(free & reach.comfortable)
    if not len(some):
        return Fit(channel, 180.0, near=False, upward=False)
    return Fit(channel, _least(reach, channel, some), near=False, upward=False)


def _inside(reach: Reach, channel: Channel, some: Mask) -> Mask:
    """Tell which places lie inside a window, half a rough step beyond its edges still counting."""
    azimuths, elevations = widened(channel.azimuth_window or ()), widened(channel.elevation_window or ())
    around, level = np.zeros(len(some), bool), np.zeros(len(some), bool)
    for low, high in azimuths:
        slack = 1.5 if high - low < 8 else 0.0
        around |= np.remainder(reach.azimuth_deg - low + slack, 360) <= high - low + 2 * slack
    for low, high in elevations:
        slack = 2.0 if high - low < 8 else 0.0
        level |= (reach.high_deg >= low - slack) & (reach.low_deg <= high + slack)
    return np.asarray(some & around & level)


def _least(reach: Reach, channel: Channel, some: np.ndarray) -> float:
    azimuths, elevations = widened(channel.azimuth_window or ()), widened(channel.elevation_window or ())
    middle = (elevations[0][0] + elevations[-1][1]) / 2
    height = np.clip(middle, reach.low_deg[some], reach.high_deg[some])
    return float(outside_window_deg(reach.azimuth_deg[some], height, azimuths, elevations).min())


def candidates(ground: Ground, *, thorough: bool) -> tuple[Candidate, ...]:
    """Rank the sound systems for a room.

    Parameters
    ----------
    ground
        The room.
    thorough
        Whether to look also at which change the choice tips (the seat moved, holes allowed).

    Returns
    -------
    tuple
        Feasible systems first, then by score.
    """
    reach = reach_of(ground)
    fits: dict[Channel, Fit] = {}
    ranked = [_candidate(ground, entry, _fits(reach, entry, fits)) for entry in SYSTEMS]
    ranked.sort(key=lambda candidate: (not candidate.feasible, -round(candidate.score, 6)))
    if not thorough:
        return tuple(ranked)
    flips = _flips(ground, reach, fits)
    return tuple(replace(c, flips=_own_flips(c, flips)) for c in ranked)


def _fits(reach: Reach, entry: SoundSystem, known: dict[Channel, Fit]) -> tuple[Fit, ...]:
    for channel in entry.channels:
        if channel not in known:
            known[channel] = fit_of(reach, channel)
    return tuple(known[channel] for channel in entry.channels)


def _candidate(ground: Ground, entry: SoundSystem, fits: tuple[Fit, ...]) -> Candidate:
    full = [fit for fit in fits if not fit.channel.low_frequency]
    reasons = [*_amplifier_reasons(ground.project, len(full)), *_place_reasons(ground, full)]
    usable = all(fit.deviation_deg <= VERDICT_LIMITS.usable_deg for fit in full)
    enough = not _amplifier_reasons(ground.project, len(full))
    score = sum(_score(fit) for fit in full)
    if usable and enough:
        reasons.insert(0, f"Each of its {len(full)} loudspeakers has a place that is at least usable.")
    if not entry.standard:
        reasons.append("No standard names this system; its windows are borrowed.")
    return Candidate(entry.name, entry.shorthand, usable and enough, score, len(full), tuple(reasons))


def _score(fit: Fit) -> float:
    gives = _GIVES.get(fit.channel.label, OTHER_GIVES)
    share = max(0.0, 1 - fit.deviation_deg / VERDICT_LIMITS.poor_deg) * (0.5 if fit.near else 1.0)
    return gives * share - ASKS - (UPWARD_ASKS if fit.upward else 0.0)


def _amplifier_reasons(project: Project, count: int) -> list[str]:
    if not project.amplifiers:
        return []
    rendered = max((amplifier.processed or amplifier.channels for amplifier in project.amplifiers), default=0)
    driven = sum(amplifier.channels for amplifier in project.amplifiers)
    reasons = []
    if rendered and rendered < count:
        reasons.append(f"It has {count} loudspeakers and the processor renders {rendered} channels.")
    if driven and driven < count:
        reasons.append(f"It has {count} loudspeakers and the amplifiers drive {driven}.")
    return reasons


def _place_reasons(ground: Ground, fits: list[Fit]) -> list[str]:
    reasons = []
    for fit in fits:
        name = side_free_name(fit.channel.label)
        if fit.deviation_deg > 0.5:
            where = "has no place" if fit.deviation_deg > VERDICT_LIMITS.poor_deg else "comes no nearer than"
            how = (
                ""
                if fit.deviation_deg > VERDICT_LIMITS.poor_deg
                else f" {fit.deviation_deg:.0f}° outside its window"
            )
            reasons.append(f"{plain_name(fit.channel.label).capitalize()} {where}{how}.")
        elif fit.near:
            reasons.append(
                f"The {name} would stand within {tell(COMFORT_M, ground.project.units)} of a head."
            )
        elif fit.upward:
            reasons.append(f"The {name} has to be thrown up to the ceiling and back.")
    return list(dict.fromkeys(reasons))


def side_free_name(label: str) -> str:
    """Return a channel's plain name without its side: ``back pair`` for M+135."""
    name = plain_name(label)
    bare = name.removesuffix(" left").removesuffix(" right")
    return f"{bare} pair" if mirrored_label(label) != label else bare


def _flips(ground: Ground, reach: Reach, fits: dict[Channel, Fit]) -> dict[Channel, str]:
    """Say for channels that do not fit now what would make them fit: holes allowed, else the seat moved."""
    lacking = [channel for channel, fit in fits.items() if fit.deviation_deg > 0.5 or fit.near or fit.upward]
    told: dict[Channel, str] = {}
    for number, obstacle in enumerate(ground.obstacles):
        if obstacle.name.startswith("no holes"):
            for channel in lacking:
                fit = fit_of(reach, channel, 1 << number)
                if channel not in told and fit.deviation_deg <= 0.5 and not fit.near and not fit.upward:
                    what = side_free_name(channel.label)
                    told[channel] = f"{obstacle.change}, and the {what} has its place."
    left = [channel for channel in lacking if channel not in told]
    for step in (0.15, 0.3, 0.45, 0.6, 0.8, 1.0, 1.3):
        shifted = shifted_ground(ground, step) if left else None
        if shifted is None:
            break
        moved = reach_of(shifted)
        for channel in tuple(left):
            fit = fit_of(moved, channel)
            if fit.deviation_deg <= 0.5 and not fit.near and not fit.upward:
                told[channel] = _seat_flip(ground, channel, step)
                left.remove(channel)
    return told


def _seat_flip(ground: Ground, channel: Channel, step: float) -> str:
    units = ground.project.units
    gap = _gap_behind(ground) + step
    return (
        f"Move the main seat {tell(step, units)} forward: with {tell(gap, units)} behind the head "
        f"the {side_free_name(channel.label)} becomes worth it."
    )


def _gap_behind(ground: Ground) -> float:
    """Return the way from the main seat's head straight back to the wall [m]."""
    from seatfield.geometry.polygon import edges
    from seatfield.geometry.segment import crossing_fraction

    far = 50.0
    start = (float(ground.head[0]), float(ground.head[1]))
    end = (start[0] - far * float(ground.ahead[0]), start[1] - far * float(ground.ahead[1]))
    hits = [crossing_fraction(start, end, a, b) for a, b in edges(ground.floor)]
    return far * min((hit for hit in hits if hit is not None), default=0.0)


def _own_flips(candidate: Candidate, flips: dict[Channel, str]) -> tuple[str, ...]:
    entry = next(one for one in SYSTEMS if one.name == candidate.system)
    return tuple(dict.fromkeys(flips[channel] for channel in entry.channels if channel in flips))


def best_system(found: tuple[Candidate, ...]) -> SoundSystem:
    """Return the system that suits best: the first feasible one that a standard names, else the first of all."""
    for candidate in found:
        entry = next(one for one in SYSTEMS if one.name == candidate.system)
        if candidate.feasible and entry.source == BS_2051:
            return entry
    return next(one for one in SYSTEMS if one.name == found[0].system)
