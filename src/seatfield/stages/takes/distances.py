"""Measured distances that neither a tape nor the way a home is built explains: never to be typed unseen."""

from collections.abc import Mapping
from math import dist
from statistics import median

from seatfield.stages.takes.knowing import Known
from seatfield.stages.takes.result import Spot

LIMIT_M = 0.5
"""Three standard deviations of two loudspeakers that stand within 12 cm of the plan each, the chirps' and one's own."""
SHARED_M, SHARE = 0.25, 0.75
"""All others off alike, to a quarter of a metre, in three of four: the chirps' own loudspeaker is off, not they."""


def off_plan_m(spot: Spot, known: Known) -> dict[str, float]:
    """Return by how much mains read farther than the plan has them, where that is more than may be [m].

    Parameters
    ----------
    spot
        A position with the amplifier bare.
    known
        The plan.

    Returns
    -------
    dict of str to float
        Empty where the clock's zero is unknown. Where nearly all others are off alike, the loudspeaker that plays the
        chirps is named in their stead.
    """
    if not spot.anchored:
        return {}
    off = _off_m(spot, known)
    others = [value for run, value in off.items() if run != spot.reference]
    shared = median(others) if others else 0.0
    alike = sum(abs(value - shared) < SHARED_M for value in others)
    if spot.reference in off and len(others) > 2 and abs(shared) > LIMIT_M and alike >= SHARE * len(others):
        off = {run: value - shared for run, value in off.items()}
    return {run: value for run, value in off.items() if abs(value) > LIMIT_M}


def _off_m(spot: Spot, known: Known) -> Mapping[str, float]:
    off = {
        one.run: one.arrival.time_s * known.speed_of_sound_m_s - dist(known.places[one.run], spot.position)
        for one in spot.heard
        if not one.low and not one.bass_only and one.arrival.time_s is not None and one.run in known.places
    }
    # What fires at the ceiling is heard first from its box or from its bounce, whichever the ear is nearer to.
    return {run: min(far, far - known.detour_m.get(run, 0.0), key=abs) for run, far in off.items()}
