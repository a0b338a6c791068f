"""Cut a recording of all sweeps in one go into the part of each."""

from dataclasses import dataclass

import numpy as np

from seatfield.dsp.arrays import Vector
from seatfield.dsp.chirps import find_chirps
from seatfield.dsp.trouble import Trouble
from seatfield.model import SweepSet
from seatfield.stages.takes.playing import block_s, stimulus_of

SLACK_S = 0.4  # 300 ppm of 16 sweeps, and the room


@dataclass(frozen=True, slots=True)
class Parts:
    """The beginning of each sweep's part in a recording [samples], or why it cannot be cut."""

    starts: tuple[int, ...]
    length: int
    trouble: Trouble | None = None


def split(timing: Vector, rate_hz: float, sweeps: SweepSet, count: int) -> Parts:
    """Find the sweeps in a recording that holds several of them one after another.

    Parameters
    ----------
    timing
        The column in which the chirps are heard. [1]
    rate_hz
        Rate that the file states. [Hz]
    sweeps
        What was played.
    count
        How many sweeps the recording should hold.

    Returns
    -------
    Parts
        One beginning for each sweep; or a trouble where the recording does not hold exactly so many pairs of
        chirps, for then nobody can say which ones are missing.
    """
    step, length = block_s(sweeps.settings) * rate_hz, round(_needed_s(sweeps) * rate_hz)
    known = _any_pair(timing, rate_hz, sweeps, step)
    if known is None:
        return Parts((), length, _miscounted(0, count))
    firsts = [
        *_walk(timing, rate_hz, sweeps, known, -step),
        known,
        *_walk(timing, rate_hz, sweeps, known, step),
    ]
    if len(firsts) != count:
        return Parts((), length, _miscounted(len(firsts), count))
    lead = stimulus_of(sweeps.settings).lead_s * rate_hz
    return Parts(tuple(max(0, round(first - lead)) for first in sorted(firsts)), length)


def _needed_s(sweeps: SweepSet) -> float:
    stimulus = stimulus_of(sweeps.settings)
    return stimulus.duration_s + 0.2


def _any_pair(timing: Vector, rate_hz: float, sweeps: SweepSet, step: float) -> float | None:
    """Return a first chirp somewhere in the recording [samples]."""
    span = round(2.0 * step)
    for start in range(0, max(1, len(timing) - round(0.5 * step)), round(step)):
        found = find_chirps(timing[start : start + span], rate_hz, stimulus_of(sweeps.settings))
        if found is not None:
            return start + found.first_s * rate_hz
    return None


def _walk(timing: Vector, rate_hz: float, sweeps: SweepSet, known: float, step: float) -> list[float]:
    """Return the first chirps that follow, or precede, a known one at the block's distance [samples]."""
    stimulus = stimulus_of(sweeps.settings)
    before, after = SLACK_S * rate_hz, (stimulus.spacing_s + SLACK_S) * rate_hz
    firsts: list[float] = []
    place = known + step
    while place - before > -2.0 * before and place + after < len(timing) + before:
        start = max(0, round(place - before))
        found = find_chirps(timing[start : round(place + after)], rate_hz, stimulus)
        first = start + found.first_s * rate_hz if found else np.inf
        if abs(first - place) > before:
            break
        firsts.append(first)
        place = first + step
    return firsts


def _miscounted(found: int, count: int) -> Trouble:
    return Trouble(
        "miscounted",
        f"The recording should hold {count} sweeps one after another, and {found} pairs of chirps stand out of it, so "
        "nobody can say which sweep is which. Record the whole file again, from before its beginning to after its end.",
        stops=True,
        measured=float(found),
        limit=float(count),
        unit="sweeps",
    )
