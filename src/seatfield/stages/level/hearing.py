"""What the wish asks of ears: the weekly sound allowance of ITU-T H.870."""

from collections.abc import Iterable

from seatfield.decibel import power_db, power_ratio
from seatfield.model import Finding, Input, Project, Severity, Trace
from seatfield.stages.level.result import SeatLevel
from seatfield.stages.level.wishes import WISHES

ALLOWANCE_DB = {False: 80.0, True: 75.0}
"""Level that may last 40 h a week, for adults (False) and where children listen (True) [dB(A)]."""

ALLOWANCE_H = 40.0
WEEK_H = 168.0
FILM_H = 2.0
LOUDER_DB = 1.0
SOURCE = "ITU-T H.870: 80 dB(A), for children 75 dB(A), 40 h a week; made for personal devices, borrowed here"
SAFE_SIDE = (
    "the programme's level is taken as A-weighted, which errs on the safe side: pink noise reads 2 dB less so"
)


def weekly_hours(level_db: float, *, children: bool = False) -> float:
    """Return how long a level may last within the weekly allowance.

    Parameters
    ----------
    level_db
        A-weighted level [dB(A)].
    children
        True where children listen.

    Returns
    -------
    float
        Hours a week; equal energy, so half for every 3.01 dB.

    References
    ----------
    ITU-T H.870 (2018), Guidelines for safe listening devices and systems.
    """
    return ALLOWANCE_H / power_ratio(level_db - ALLOWANCE_DB[children])


def film_share(level_db: float, *, children: bool = False) -> float:
    """Return the share of the week's allowance that a film of two hours takes [-]."""
    return FILM_H / weekly_hours(level_db, children=children)


def seat_hours(usual_db: Iterable[float | None], *, children: bool) -> float | None:
    """Return how long one may listen at a seat in a week.

    Parameters
    ----------
    usual_db
        Level of the programme by channel, None where it is not known [dB].
    children
        True where children listen.

    Returns
    -------
    float or None
        For the mean of the channels' powers: the programme is taken to move among them [h]; 168 at most.
    """
    known = [level for level in usual_db if level is not None]
    if not known:
        return None
    return min(weekly_hours(mean_db(known), children=children), WEEK_H)


def mean_db(levels_db: list[float]) -> float:
    """Return the level of the mean power of levels [dB]."""
    return power_db(sum(map(power_ratio, levels_db)) / len(levels_db))


def hearing(project: Project, seats: tuple[SeatLevel, ...]) -> Finding:
    """Say how long the wished loudness may last each week.

    Parameters
    ----------
    project
        Everything that the person wrote.
    seats
        Levels at the seats: one that hears more than the main seat is named.

    Returns
    -------
    Finding
        A note.
    """
    wish, children = WISHES[project.loudness], project.limits.children
    hours = weekly_hours(wish.usual_db, children=children)
    share = 100 * film_share(wish.usual_db, children=children)
    allowance = ALLOWANCE_DB[children]
    who = "children" if children else "adults"
    reach = f"{hours:.0f} hours a week" if hours < WEEK_H else "all week"
    return Finding(
        "level.hearing",
        Severity.NOTE,
        "hearing",
        f"At {wish.usual_db:.0f} dB, the level of a “{project.loudness}” wish, {who} may listen {reach}; a film of two "
        f"hours is {share:.0f} % of the week's sound allowance. {_louder(project, seats)}Loud sound harms hearing for "
        "good.",
        measured=wish.usual_db,
        limit=allowance,
        unit="dB",
        source=f"{SOURCE}; {SAFE_SIDE}",
        advice="Turn it down if ears ring or voices sound dull afterwards.",
        key="system.loudness",
        trace=Trace(
            "hours = 40 / 10^((L − allowance)/10); share = 2 / hours",
            (
                Input("L", wish.usual_db, "dB"),
                Input("allowance", allowance, "dB"),
                Input("hours", hours, "h"),
            ),
        ),
    )


def _louder(project: Project, seats: tuple[SeatLevel, ...]) -> str:
    """Name the seat that hears more than the main one, if one does."""
    levels = {
        seat.seat: mean_db(known)
        for seat in seats
        if (known := [one.usual_db for one in seat.channels if one.usual_db is not None])
    }
    main = levels.get(project.main_seat.name)
    if main is None:
        return ""
    loudest = max(levels, key=lambda name: levels[name])
    more = levels[loudest] - main
    return f"The seat “{loudest}” hears {more:.0f} dB more. " if more >= LOUDER_DB else ""
