"""At which change the choice of a sound system tips: holes allowed, the main seat moved, amplifiers added."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from seatfield.catalogue.systems import SYSTEMS, Channel
from seatfield.stages.layout.behind import gap_behind
from seatfield.stages.layout.candidates import Fit, Reach, fit_of, fits_of, reach_of, side_free_name
from seatfield.stages.layout.placing.changes import shifted_ground
from seatfield.stages.layout.placing.ground import Ground
from seatfield.stages.layout.result import Candidate
from seatfield.stages.layout.windows import mirrored_label
from seatfield.stages.survey import tell

SEAT_STEPS_M = (0.15, 0.3, 0.45, 0.6, 0.8, 1.0, 1.3)


@dataclass(frozen=True, slots=True)
class Tip:
    """A change, as an imperative without its full stop, and what then holds besides."""

    change: str
    besides: str = ""


Sides = tuple[Channel, ...]
"""A channel, with its mirror image where that lacks a place too."""


def tipped(
    ground: Ground, reach: Reach, ranked: tuple[Candidate, ...], known: Mapping[Channel, Fit]
) -> tuple[Candidate, ...]:
    """Say of each system at which change its channels without a place would have one.

    Parameters
    ----------
    ground
        The room.
    reach
        Its rough places.
    ranked
        The systems.
    known
        How channels fit whose place is known.

    Returns
    -------
    tuple
        The systems in the same order, with their flips.
    """
    fits = dict(known)
    for entry in SYSTEMS:
        fits_of(reach, entry, fits)
    tips = _tips(
        ground, reach, {sides for fit in fits.values() if fit.lacking for sides in (_sides(fit, fits),)}
    )
    return tuple(replace(one, flips=tuple(_sentences(one, fits, tips))) for one in ranked)


def _sides(fit: Fit, fits: Mapping[Channel, Fit]) -> Sides:
    """Return a lacking channel with its mirror image, left before right, where that is lacking too."""
    channel = fit.channel
    mirrored = tuple((-high, -low) for low, high in reversed(channel.azimuth_window or ()))
    for other in fits.values():
        alike = other.channel.elevation_window == channel.elevation_window and other.lacking
        same = other.channel.label == mirrored_label(channel.label) != channel.label
        if alike and same and other.channel.azimuth_window == mirrored:
            return (channel, other.channel) if "+" in channel.label else (other.channel, channel)
    return (channel,)


def _tips(ground: Ground, reach: Reach, lacking: set[Sides]) -> dict[Sides, Tip]:
    lifts = {sides: _lift(ground, reach, sides) for sides in lacking}
    told = {sides: tip for sides, tip in lifts.items() if tip is not None}
    left = [sides for sides in lacking if sides not in told]
    for step in SEAT_STEPS_M:
        shifted = shifted_ground(ground, step) if left else None
        if shifted is None:
            break
        moved = reach_of(shifted)
        for sides in tuple(left):
            if _all_fit(moved, sides, 0):
                told[sides] = _seat(ground, step)
                left.remove(sides)
    return told


def _lift(ground: Ground, reach: Reach, sides: Sides) -> Tip | None:
    """Return which holes, allowed, give all sides their place: those in the walls, in the ceiling, in both."""
    bars = [
        (1 << number, one.change)
        for number, one in enumerate(ground.obstacles)
        if one.name.startswith("no holes")
    ]
    options = [
        *bars,
        *([(bars[0][0] | bars[1][0], "Allow holes in walls and ceiling")] if len(bars) > 1 else []),
    ]
    return next((Tip(change) for bits, change in options if _all_fit(reach, sides, bits)), None)


def _all_fit(reach: Reach, sides: Sides, lifted: int) -> bool:
    return not any(fit_of(reach, channel, lifted).lacking for channel in sides)


def _seat(ground: Ground, step_m: float) -> Tip:
    units = ground.project.units
    behind = tell(gap_behind(ground) + step_m, units)
    return Tip(f"Move the main seat {tell(step_m, units)} forward", f", with {behind} behind the head")


def _sentences(one: Candidate, fits: Mapping[Channel, Fit], tips: Mapping[Sides, Tip]) -> Iterator[str]:
    """Yield one sentence per change, for all that it gives a place to."""
    entry = next(entry for entry in SYSTEMS if entry.name == one.system)
    gains: dict[Tip, dict[str, None]] = defaultdict(dict)
    for channel in entry.channels:
        tip = tips.get(_sides(fits[channel], fits)) if fits[channel].lacking else None
        if tip is not None:
            gains[tip][side_free_name(channel.label)] = None
    for tip, names in gains.items():
        whole = " and ".join(f"the {name}" for name in names)
        have = "have their places" if len(names) > 1 else "has its place"
        yield f"{tip.change}, and {whole} {have}{tip.besides}."
