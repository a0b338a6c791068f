"""What the wish asks of ears: the weekly sound allowance of ITU-T H.870."""

from seatfield.decibel import power_ratio
from seatfield.model import Finding, Input, Project, Severity, Trace
from seatfield.stages.level.wishes import WISHES

ALLOWANCE_DB = {False: 80.0, True: 75.0}
"""Level that may last 40 h a week, for adults (False) and where children listen (True) [dB(A)]."""

ALLOWANCE_H = 40.0
SOURCE = "ITU-T H.870: 80 dB(A), for children 75 dB(A), 40 h a week; made for personal devices, borrowed here"


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


def hearing(project: Project) -> Finding:
    """Say how long the wished loudness may last each week.

    Parameters
    ----------
    project
        Everything that the person wrote.

    Returns
    -------
    Finding
        A note.
    """
    wish, children = WISHES[project.loudness], project.limits.children
    hours = weekly_hours(wish.usual_db, children=children)
    share = 100 * 2 / hours
    who = "children" if children else "adults"
    reach = f"{hours:.0f} hours a week" if hours < 168 else "all week"
    return Finding(
        "level.hearing",
        Severity.NOTE,
        "hearing",
        f"At {wish.usual_db:.0f} dB, the level of a “{project.loudness}” wish, {who} may listen {reach}; a film of two "
        f"hours is {share:.0f} % of the week's sound allowance. Loud sound harms hearing for good.",
        measured=wish.usual_db,
        limit=ALLOWANCE_DB[children],
        unit="dB",
        source=f"{SOURCE}; the programme's level is taken as A-weighted, which errs on the safe side",
        advice="Turn it down if ears ring or voices sound dull afterwards.",
        key="system.loudness",
        trace=Trace(
            "hours = 40 / 10^((L − allowance)/10)",
            (Input("L", wish.usual_db, "dB"), Input("allowance", ALLOWANCE_DB[children], "dB")),
        ),
    )
