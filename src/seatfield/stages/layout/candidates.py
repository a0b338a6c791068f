"""Which sound systems suit the room: what each gives, what it asks, and at which change the choice tips."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from seatfield.catalogue.systems import BS_2051, SYSTEMS, VERDICT_LIMITS, Channel, SoundSystem, plain_name
from seatfield.geometry.batch import EDGE_M, Floats, Mask
from seatfield.geometry.direction import outside_window_deg
from seatfield.model import Mount, Project
from seatfield.stages.layout.behind import gap_behind
from seatfield.stages.layout.checking import CENTRE_BESIDE_DEG
from seatfield.stages.layout.placing.carriers import STAND_M, TALL_STAND_M, Box
from seatfield.stages.layout.placing.ground import Bits, Ground
from seatfield.stages.layout.placing.hearing import Indices, heard_from
from seatfield.stages.layout.placing.spots import floor_lattice, settled, wall_lattice
from seatfield.stages.layout.result import Candidate
from seatfield.stages.layout.windows import mirrored_label, widened
from seatfield.stages.survey import tell

ROUGH_M = 0.25
MOST_ROUGH = 2000
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
CENTRE_SHARE = 0.3
"""A centre under or over the picture, no further than is common, counts by this share: common practice, no source."""

BACK_GAP_M = 1.1
"""A back pair is worth it from so much room behind the head: common practice, no source [m]."""

INSIDE_DEG = 0.5
"""What the rough grid finds nearer to a window counts as inside [deg]."""

NO_PLACE_DEG = 180.0

EDGE_DEG = 1e-6
"""Directions nearer to a window's edge lie on it, whatever rounding says [deg]."""


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
        On a 25 cm grid; stands with all the elevations that their heights give.
    """
    box = Box()
    step = max(ROUGH_M, (ground.survey.area_m2 / MOST_ROUGH) ** 0.5)
    plan = floor_lattice(ground, step)
    ear = np.full((len(plan), 1), np.clip(ground.head[2], *STAND_M))
    stands = _part(ground, np.hstack((plan, ear)), Mount.STAND, box)
    parts = [
        stands,
        *_around_picture(ground, plan, stands, box),
        _part(ground, wall_lattice(ground, box, step), Mount.WALL, box),
        _part(ground, settled(ground, np.hstack((plan, ear)), Mount.CEILING, box), Mount.CEILING, box),
        _part(ground, np.hstack((plan, np.minimum(ear, 1.0))), Mount.UPWARD, box),
    ]
    return Reach(*(np.concatenate([getattr(part, name) for part in parts]) for name in Reach.__slots__))


def _around_picture(ground: Ground, plan: Floats, stands: Reach, box: Box) -> list[Reach]:
    """Return places under and over the picture, for stands that would hide it at the height of the ears."""
    number = next((i for i, obstacle in enumerate(ground.obstacles) if obstacle.name == "the picture"), 0)
    hiding = plan[stands.bits == np.uint64(1 << number)]
    if not len(hiding):
        return []
    heights = np.array([0.3, 0.45, 0.6, 0.75, 1.35, 1.5])
    points = np.column_stack((np.repeat(hiding, len(heights), axis=0), np.tile(heights, len(hiding))))
    part = _part(ground, points, Mount.STAND, box)
    level = heard_from(ground, points, Mount.STAND).elevation_deg
    return [replace(part, low_deg=level, high_deg=level)]


def _part(ground: Ground, points: Floats, mount: Mount, box: Box) -> Reach:
    heard = heard_from(ground, points, mount)
    low = high = heard.elevation_deg
    if mount is Mount.STAND:
        flat = np.maximum(np.hypot(*(points[:, :2] - ground.head[:2]).T), 1e-6)
        low, high = (
            np.degrees(np.arctan2(height - ground.head[2], flat)) for height in (STAND_M[0], TALL_STAND_M)
        )
    away = np.min(
        [np.sqrt(((points - np.array(s.head)) ** 2).sum(axis=1)) for s in ground.project.seats], axis=0
    )
    upward = np.full(len(points), mount is Mount.UPWARD)
    bits = ground.violations(points, mount, box)
    return Reach(heard.azimuth_deg, low, high, bits, away >= COMFORT_M - EDGE_M, upward)


@dataclass(frozen=True, slots=True)
class Fit:
    """How a channel fits: rough deviation at its best place [deg], what it counts as, and what it takes.

    Parameters
    ----------
    near, upward
        Only within a metre of a head, or by the ceiling.
    lenient_deg
        What a centre by the picture counts as [deg].
    on_floor
        True for a box too tall to be lifted into its window.
    tall
        True for a height loudspeaker that only a tall stand in the room would carry.
    """

    channel: Channel
    deviation_deg: float
    near: bool
    upward: bool
    lenient_deg: float | None = None
    on_floor: bool = False
    tall: bool = False

    @property
    def lacking(self) -> bool:
        """True where the channel has no comfortable place inside its window without a bounce, nor a box too tall."""
        return not self.on_floor and self._outside

    @property
    def _outside(self) -> bool:
        return self.deviation_deg > INSIDE_DEG or self.near or self.upward or self.tall

    @property
    def hinders(self) -> bool:
        """True where the system does not fit for want of a place for this channel."""
        return self.tall or self.counted_deg > VERDICT_LIMITS.usable_deg + EDGE_DEG

    @property
    def badness(self) -> tuple[bool, float, bool, bool]:
        """By which of two sides is the worse one, which is told."""
        return self.tall, self.deviation_deg, self.near, self.upward

    @property
    def counted_deg(self) -> float:
        """The deviation by which the system is judged [deg]."""
        return self.deviation_deg if self.lenient_deg is None else self.lenient_deg


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
        return Fit(channel, NO_PLACE_DEG, near=False, upward=False)
    deviation = _least(reach, channel, some)
    return Fit(
        channel, deviation, near=False, upward=False, lenient_deg=_lenient(reach, channel, deviation, some)
    )


def _lenient(reach: Reach, channel: Channel, deviation_deg: float, some: Indices) -> float | None:
    """Return what a centre under or over the picture counts as [deg]; None for every other channel."""
    wide = by_picture(channel)
    return None if wide is None else counted_by_picture(_least(reach, wide, some), deviation_deg)


def by_picture(channel: Channel) -> Channel | None:
    """Return the centre with the window that it has under and over the picture; None for every other channel."""
    if channel.label != "M+000" or channel.elevation_window is None:
        return None
    low, high = channel.elevation_window[0][0], channel.elevation_window[-1][1]
    return replace(channel, elevation_window=((min(low, -CENTRE_BESIDE_DEG), max(high, CENTRE_BESIDE_DEG)),))


def counted_by_picture(beyond_deg: float, deviation_deg: float) -> float:
    """Return what a centre by the picture counts as: what lies beyond that window, and a share of the rest [deg]."""
    return beyond_deg + CENTRE_SHARE * max(deviation_deg - beyond_deg, 0.0)


def _inside(reach: Reach, channel: Channel, some: Mask) -> Mask:
    """Tell which places lie inside a window, half a rough step beyond its edges still counting."""
    azimuths, elevations = widened(channel.azimuth_window or ()), widened(channel.elevation_window or ())
    around, level = np.zeros(len(some), bool), np.zeros(len(some), bool)
    for low, high in azimuths:
        slack = 1.5 if high - low < 8 else EDGE_DEG
        around |= np.remainder(reach.azimuth_deg - low + slack, 360) <= high - low + 2 * slack
    for low, high in elevations:
        slack = 2.0 if high - low < 8 else EDGE_DEG
        level |= (reach.high_deg >= low - slack) & (reach.low_deg <= high + slack)
    return np.asarray(some & around & level)


def _least(reach: Reach, channel: Channel, some: Indices) -> float:
    azimuths, elevations = widened(channel.azimuth_window or ()), widened(channel.elevation_window or ())
    middle = (elevations[0][0] + elevations[-1][1]) / 2
    height = np.clip(middle, reach.low_deg[some], reach.high_deg[some])
    return float(outside_window_deg(reach.azimuth_deg[some], height, azimuths, elevations).min())


def candidates(
    ground: Ground, reach: Reach | None = None, known: Mapping[Channel, Fit] | None = None
) -> tuple[Candidate, ...]:
    """Rank the sound systems for a room.

    Parameters
    ----------
    ground
        The room.
    reach
        Its rough places, where they are at hand.
    known
        How channels fit whose place is known; for the others the rough places are looked at.

    Returns
    -------
    tuple
        Feasible systems first, then by score.
    """
    fits = dict(known or {})
    reach = reach or reach_of(ground)
    ranked = [_candidate(ground, entry, fits_of(reach, entry, fits)) for entry in SYSTEMS]
    ranked.sort(key=lambda one: (not one.feasible, -round(one.score, 6), one.loudspeakers))
    return tuple(ranked)


def fits_of(reach: Reach, entry: SoundSystem, known: dict[Channel, Fit]) -> tuple[Fit, ...]:
    """Return how each channel of a system fits, in its order, and keep it in what is known."""
    for channel in entry.channels:
        if channel not in known:
            known[channel] = fit_of(reach, channel)
    return tuple(known[channel] for channel in entry.channels)


def _candidate(ground: Ground, entry: SoundSystem, fits: tuple[Fit, ...]) -> Candidate:
    full = [fit for fit in fits if not fit.channel.low_frequency]
    asked = _amplifier_reasons(ground.project, len(full))
    reasons = [*asked, *_place_reasons(ground, full)]
    usable = not any(fit.hinders for fit in full) and not _back_too_near(ground, full)
    score = sum(_score(fit) for fit in full)
    if usable:
        reasons.insert(len(asked), _fitting_reason(full))
    if not entry.standard:
        reasons.append("No standard names this system; its windows are borrowed.")
    return Candidate(entry.name, entry.shorthand, usable and not asked, score, len(full), tuple(reasons))


def _fitting_reason(full: list[Fit]) -> str:
    low = any(fit.deviation_deg > VERDICT_LIMITS.usable_deg + EDGE_DEG for fit in full)
    but = ", the centre under or over the picture as is common practice" if low else ""
    return f"Each of its {len(full)} loudspeakers has a place that is at least usable{but}."


def _back_too_near(ground: Ground, full: list[Fit]) -> bool:
    """Tell whether the back pair has its place only with more room behind the head than there is."""
    back = [fit for fit in full if fit.channel.label in ("M+135", "M-135")]
    lacking = any(fit.near or fit.deviation_deg > INSIDE_DEG for fit in back)
    return lacking and gap_behind(ground) < BACK_GAP_M - EDGE_M


def _score(fit: Fit) -> float:
    gives = _GIVES.get(fit.channel.label, OTHER_GIVES)
    share = max(0.0, 1 - fit.counted_deg / VERDICT_LIMITS.poor_deg) * (0.5 if fit.near else 1.0)
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
    """Say of each pair, by the worse of its sides, what keeps it from its place."""
    by_name: dict[str, Fit] = {}
    for fit in fits:
        name = side_free_name(fit.channel.label)
        worst = by_name.setdefault(name, fit)
        if fit.badness > worst.badness:
            by_name[name] = fit
    worst_first = sorted(by_name.items(), key=lambda item: not item[1].hinders)
    said = (_place_reason(ground, name, fit) for name, fit in worst_first)
    return [reason for reason in said if reason]


def _place_reason(ground: Ground, name: str, fit: Fit) -> str:
    if fit.deviation_deg > VERDICT_LIMITS.poor_deg:
        return f"The {name} has no place."
    if fit.tall:
        return f"The {name} has no sensible place, only a tall stand in the room."
    if fit.on_floor and fit.deviation_deg > INSIDE_DEG:
        return f"The {name} stands on the floor, {fit.deviation_deg:.0f}° outside its window."
    if fit.deviation_deg > INSIDE_DEG:
        return f"The {name} comes no nearer than {fit.deviation_deg:.0f}° outside its window."
    if fit.near:
        return f"The {name} would stand within {tell(COMFORT_M, ground.project.units)} of a head."
    return f"The {name} has to be thrown up to the ceiling and back." if fit.upward else ""


def side_free_name(label: str) -> str:
    """Return a channel's plain name without its side: ``back pair`` for M+135."""
    name = plain_name(label)
    bare = name.removesuffix(" left").removesuffix(" right")
    return f"{bare} pair" if mirrored_label(label) != label else bare


def best_system(found: tuple[Candidate, ...], listed: frozenset[str] = frozenset()) -> SoundSystem:
    """Return the system that suits best.

    Parameters
    ----------
    found
        The systems, ranked.
    listed
        Channels of the loudspeakers that the project lists; empty where it lists none.

    Returns
    -------
    SoundSystem
        Of the feasible ones that a standard names, the one that leaves the fewest listed loudspeakers unused; of
        those one whose channels they all cover, else the first; the first of all where none is feasible.
    """
    ranked = [next(one for one in SYSTEMS if one.name == candidate.system) for candidate in found]
    fitting = [
        entry
        for entry, candidate in zip(ranked, found, strict=True)
        if candidate.feasible and entry.source == BS_2051
    ]
    return min(fitting, key=lambda entry: leaves(entry, listed), default=ranked[0])


def leaves(entry: SoundSystem, listed: frozenset[str]) -> tuple[int, bool]:
    """Return how many listed loudspeakers a system leaves unused, and whether it asks for more than those.

    Parameters
    ----------
    entry
        The system.
    listed
        Channels of the loudspeakers that the project lists.

    Returns
    -------
    tuple
        What a system calls by another label but by the same name (a front height left at 30° or 45°) is owned.
    """
    asked = {plain_name(channel.label) for channel in entry.channels if not channel.low_frequency}
    owned = {plain_name(label) for label in listed}
    return sum(plain_name(label) not in asked for label in listed), bool(listed) and not asked <= owned
