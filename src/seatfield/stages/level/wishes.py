"""How loud the three wishes are, and what each of them takes."""

from dataclasses import dataclass

from seatfield.decibel import power_ratio
from seatfield.model import Loudness
from seatfield.stages.level.result import ChannelLevel, ChannelNeed


@dataclass(frozen=True, slots=True)
class Wish:
    """A loudness wish.

    Parameters
    ----------
    usual_db
        Level of the programme at the main seat, over its length [dB SPL].
    peak_db
        Level that one channel should reach in the loudest moments, as a meter reads a steady tone [dB SPL].
    """

    usual_db: float
    peak_db: float
    source: str


_CINEMA = (
    "SMPTE RP 200 (from memory): pink noise at −20 dB plays at 85 dB(C), so a tone at full scale at 105 dB"
)
_LOWER = "common practice, no source; 20 dB between programme and peak as in SMPTE RP 200 (from memory)"

WISHES = {
    Loudness.QUIET: Wish(65.0, 85.0, _LOWER),
    Loudness.USUAL: Wish(75.0, 95.0, _LOWER),
    Loudness.REFERENCE: Wish(85.0, 105.0, _CINEMA),
}
"""The three wishes; each step is 10 dB, which most people call twice as loud."""


def need_of(one: ChannelLevel, own: Wish, other: Wish) -> ChannelNeed:
    """Return what another wish takes of a channel at the main seat.

    Parameters
    ----------
    one
        The channel at the main seat, reckoned for the project's own wish.
    own, other
        The project's wish and the other.

    Returns
    -------
    ChannelNeed
        Ten decibels more take ten times the power.
    """
    watts = one.watts_needed_w
    if watts is not None:
        watts *= power_ratio(other.peak_db - own.peak_db)
    if one.peak_db is None:
        return ChannelNeed(one.id, watts, None, one.limited_by)
    lacks = max(other.peak_db - one.peak_db, 0.0)
    if one.limited_by == "load":
        return ChannelNeed(one.id, watts, lacks, "load")
    return ChannelNeed(one.id, watts, lacks, "wish" if lacks == 0 else _physical(one))


def _physical(one: ChannelLevel) -> str:
    """Return which of amplifier and loudspeaker gives out first."""
    known = {"amplifier": one.amplifier_db, "loudspeaker": one.loudspeaker_db}
    limits = {name: level for name, level in known.items() if level is not None}
    return min(limits, key=lambda name: limits[name])
