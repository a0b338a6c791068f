"""What changed over the years: takes of one seat, the first against the last."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from seatfield.stages.takes import ChannelTaken, TakeRead

LEVEL_DB, DISTANCE_M, DISTORTION_DB = 1.5, 0.08, 6.0
"""What is worth telling: more than the microphone's place and the room's air change by themselves. Common practice, no
source."""


@dataclass(frozen=True, slots=True)
class Aged:
    """One channel at one seat, then and now.

    Parameters
    ----------
    level_db, distance_m, distortion_db
        Change against what all channels changed by; None where one of the takes does not say [dB], [m], [dB].
    worth_telling
        Sentences about what changed by more than it should; empty where nothing did.
    """

    run: str
    seat: str
    since: str
    until: str
    level_db: float | None
    distance_m: float | None
    distortion_db: float | None
    worth_telling: tuple[str, ...]


def aged(takes: Sequence[TakeRead]) -> tuple[Aged, ...]:
    """Compare the first and the last take of each seat and state.

    Parameters
    ----------
    takes
        All takes of a project.

    Returns
    -------
    tuple of Aged
        One for each channel that was taken twice; a volume that was set differently, or a chirp's clock that began
        elsewhere, is common to all channels and taken off.
    """
    groups: dict[tuple[str, str], list[TakeRead]] = {}
    for take in sorted(takes, key=lambda one: one.at):
        if take.seat:
            groups.setdefault((take.seat, take.state.value), []).append(take)
    return tuple(
        one
        for seat, group in groups.items()
        if len(group) > 1
        for one in _compared(seat[0], group[0], group[-1])
    )


def _compared(seat: str, first: TakeRead, last: TakeRead) -> list[Aged]:
    before = {one.run: one for one in first.channels if one.used}
    now = {one.run: one for one in last.channels if one.used and one.run in before}
    level = _changes({run: (before[run].level_db, one.level_db) for run, one in now.items()})
    distance = _changes({run: (before[run].distance_m, one.distance_m) for run, one in now.items()})
    return [
        _aged(
            run, seat, (first.at, last.at), level.get(run), distance.get(run), _worse(before[run], now[run])
        )
        for run in now
    ]


def _changes(pairs: Mapping[str, tuple[float | None, float | None]]) -> dict[str, float]:
    """Return how much each value changed against the middle of all changes."""
    told = {run: now - then for run, (then, now) in pairs.items() if then is not None and now is not None}
    middle = median(told.values()) if len(told) > 2 else 0.0
    return {run: change - middle for run, change in told.items()}


def _worse(before: ChannelTaken, now: ChannelTaken) -> float | None:
    """Return by how much the worst distortion between 100 Hz and 2 kHz grew [dB]."""
    worst = [
        max(
            (
                one.level_db
                for one in told.distortion_db
                if one.level_db is not None and 100 <= one.band_hz <= 2000
            ),
            default=None,
        )
        for told in (before, now)
    ]
    return None if worst[0] is None or worst[1] is None else worst[1] - worst[0]


def _aged(
    run: str,
    seat: str,
    span: tuple[str, str],
    level_db: float | None,
    distance_m: float | None,
    distortion_db: float | None,
) -> Aged:
    told = []
    if level_db is not None and abs(level_db) > LEVEL_DB:
        told.append(
            f"{run} is {abs(level_db):.1f} dB {'louder' if level_db > 0 else 'quieter'} than it was: a terminal, a "
            "trim, or something in its way."
        )
    if distance_m is not None and abs(distance_m) > DISTANCE_M:
        told.append(
            f"{run} sounds {abs(distance_m):.2f} m {'farther' if distance_m > 0 else 'nearer'}: it was moved."
        )
    if distortion_db is not None and distortion_db > DISTORTION_DB:
        told.append(f"{run} distorts {distortion_db:.0f} dB more than it did: a driver may be failing.")
    return Aged(run, seat, *span, level_db, distance_m, distortion_db, tuple(told))
