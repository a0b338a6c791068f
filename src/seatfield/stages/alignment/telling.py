"""What an alignment leaves open, in words."""

from collections.abc import Mapping, Sequence

from seatfield.model import Finding, Severity
from seatfield.stages.alignment.bench import Bench
from seatfield.stages.alignment.choosing import Joined

CLEAR_WINNER_DB = 1.0


def polarity_gain_db(found: Mapping[str, Joined]) -> float | None:
    """Return by how much the chosen polarity beats the other, the least over outputs; None without subwoofers [dB]."""
    gains = [
        one.join.other_polarity_db - one.join.loss_db
        for one in found.values()
        if one.join.other_polarity_db is not None
    ]
    return min(gains, default=None)


def findings(
    bench: Bench, found: Mapping[str, Joined], planned: Sequence[str], short: Sequence[str]
) -> list[Finding]:
    """Say what the values leave open."""
    told = [
        _told(
            "alignment.from-plan",
            run,
            f"No take says credibly when {run} arrives, so its delay comes from the plan.",
            "Average more sweeps, or give the microphone free sight of it; measure its place with a tape.",
        )
        for run in planned
    ]
    told += [
        _told(
            "alignment.limit",
            run,
            f"What {run} needs lies beyond what the amplifier's menu takes.",
            "Turn its own level knob, or move it; then take it again.",
        )
        for run in dict.fromkeys(short)
    ]
    gain_db = polarity_gain_db(found)
    if gain_db is not None and gain_db < CLEAR_WINNER_DB:
        told.append(
            _told(
                "alignment.no-clear-winner",
                "subwoofers",
                f"The two polarities of the subwoofers differ by only {gain_db:.1f} dB over all positions: no clear "
                "winner.",
                "Leave the polarity as it is, or take more positions.",
            )
        )
    if len(bench.spots) == 1 and found:
        told.append(
            _told(
                "alignment.one-position",
                "subwoofers",
                "The bass was taken at one position only; what suits it may not suit the next seat.",
                "Take every seat, and let all of them decide.",
            )
        )
    return told


def _told(code: str, subject: str, message: str, advice: str) -> Finding:
    return Finding(code, Severity.NOTE, subject, message, source="the takes", advice=advice)
