"""The floor's outline: settled from tape readings where it was read so, and fit for computing or not.

References
----------
.. [1] W. Baarda, A testing procedure for use in geodetic networks, Netherlands Geodetic Commission (1968).
"""

from dataclasses import dataclass, replace
from math import hypot, isfinite, sqrt

from seatfield.geometry.adjustment import Adjustment, adjust
from seatfield.geometry.polygon import area, crossings, edges, signed_area
from seatfield.model import Finding, Input, LengthUnit, Outline, Room, Severity, TapeReadings, Trace, Wall
from seatfield.stages.survey.naming import wall_name
from seatfield.stages.survey.readings import (
    BAARDA,
    contradictions,
    key_of,
    lengths_of,
    loose,
    reading_name,
    unchecked,
)
from seatfield.stages.survey.result import Closure, WallFrame
from seatfield.stages.survey.wording import tell, tell_area

LARGEST_M = 200.0
"""No room is larger; past this nothing is computed."""

HOPELESS_M = 0.5
"""A reading that has to be corrected by more makes the others worthless too: common practice, no source."""

TOLERANCE_ERRORS = 2.0
"""The tolerance holds for 95 of 100 readings: two standard errors."""

SNOOPED = 3.29
"""Standardised correction past which a reading is suspected: a right one passes it once in a thousand times [1]_."""

CHANCE = 0.001
"""Chance with which right readings fail the test of all of them together [1]_."""

LARGER_SLIP = 3.0
"""A slip this many times as large as another that explains as much is not as likely: common practice, no source."""

SAME = 0.99
"""Readings whose standardised corrections reach this share of the largest cannot be told apart."""


def settle(room: Room, units: LengthUnit) -> tuple[Room, Closure | None, tuple[Finding, ...]]:
    """Return the room with its outline settled, how tape readings closed, and what was found.

    Parameters
    ----------
    room
        The room as described.
    units
        Unit for the messages.

    Returns
    -------
    tuple
        The room (its floor still empty where no outline can be made), the closure, the findings.
    """
    if room.floor or room.tape is None:
        return room, None, ()
    adjusted = _adjusted(room.tape, room.tolerance_m)
    severity = Severity.STOP if adjusted is None else Severity.FIX
    findings = contradictions(room.tape, room.tolerance_m, units, severity)
    if adjusted is None:
        return room, None, findings or (_impossible(room.tape, units),)
    suspects = _suspects(room.tape, adjusted)
    closure = _closure(room.tape, adjusted, suspects)
    if adjusted.squared:
        findings = (*findings, loose(room.tape))
    closes = not (adjusted.redundancy and suspects) or _closes(adjusted, room.tolerance_m)
    if not findings and not closes:
        findings = (_misclosure(room, adjusted, suspects, units),)
    if not findings:
        findings = unchecked(room, room.tape, adjusted)
    return replace(room, floor=adjusted.outline), closure, findings


def _adjusted(tape: TapeReadings, tolerance_m: float) -> Adjustment | None:
    readings = lengths_of(tape)
    corners = [corner for diagonal in tape.diagonals for corner in diagonal.between]
    if len(tape.walls_m) < 3 or not all(isfinite(length) and 0 < length < LARGEST_M for length in readings):
        return None
    if any(not 0 <= corner < len(tape.walls_m) for corner in corners):
        return None
    if 2 * max(tape.walls_m) >= sum(tape.walls_m):
        return None
    found = adjust(
        tape.walls_m, tuple((d.between, d.length_m) for d in tape.diagonals), tolerance_m / TOLERANCE_ERRORS
    )
    return None if found is None or max(map(abs, found.corrections_m)) > HOPELESS_M else found


@dataclass(frozen=True, slots=True)
class Suspect:
    """A reading that alone may explain why the others do not close.

    Parameters
    ----------
    number
        Place of the reading, walls first.
    name
        What it is called.
    read_m
        What was read [m].
    over_m
        By how much it was read too long; negative where too short [m].
    """

    number: int
    name: str
    read_m: float
    over_m: float


def _suspects(tape: TapeReadings, adjusted: Adjustment) -> tuple[Suspect, ...]:
    """Return the readings with the largest standardised correction, the longest first: it errs the most.

    Those whose error would have to be much larger than another's are left out: small slips are the likelier ones.
    The error that a reading must carry to be corrected so is its correction over its redundancy number, which is what
    the adjustment divided by: standardised = |correction| / (standard error · √redundancy number).
    """
    readings = lengths_of(tape)
    worst = max(adjusted.standardised)
    if worst <= 0:
        return ()
    alike = [i for i, value in enumerate(adjusted.standardised) if value >= SAME * worst]
    found = [
        Suspect(i, reading_name(tape, i), readings[i], -adjusted.corrections_m[i] / adjusted.redundancy_of[i])
        for i in alike
        if adjusted.redundancy_of[i] > 1e-6
    ]
    smallest = min((abs(suspect.over_m) for suspect in found), default=0.0)
    likely = (suspect for suspect in found if abs(suspect.over_m) <= LARGER_SLIP * smallest)
    return tuple(sorted(likely, key=lambda suspect: -suspect.read_m))


def _closes(adjusted: Adjustment, tolerance_m: float) -> bool:
    """Tell whether the corrections are what a tape of this tolerance leads one to expect.

    No reading stands out by its standardised correction, and all together pass the test of their sum of squares.
    """
    from scipy.special import chdtri

    error_m = max(tolerance_m / TOLERANCE_ERRORS, 1e-6)
    total = sum((value / error_m) ** 2 for value in adjusted.corrections_m)
    return max(adjusted.standardised) <= SNOOPED and total <= float(chdtri(adjusted.redundancy, CHANCE))


def _closure(tape: TapeReadings, adjusted: Adjustment, suspects: tuple[Suspect, ...]) -> Closure:
    corrections = adjusted.corrections_m
    misclosure = sqrt(sum(value**2 for value in corrections) / len(corrections))
    again = suspects[0].name if suspects else reading_name(tape, 0)
    return Closure(misclosure, corrections, again, adjusted.redundancy)


def _misclosure(
    room: Room, adjusted: Adjustment, suspects: tuple[Suspect, ...], units: LengthUnit
) -> Finding:
    worst, first = max(adjusted.standardised), suspects[0]
    outlying = worst > SNOOPED
    if not outlying:
        told = "No reading stands out, but all together they miss by more than the tape's tolerance explains."
        advice = f"Measure {first.name} again first, or put the tolerance that the tape really has into `tolerance`."
    elif len(suspects) == 1:
        told = f"The tape readings do not close: {_slip(first, units)}; the others agree with one another."
        advice = f"Measure {first.name} again."
    else:
        more = " or ".join(_slip(suspect, units) for suspect in suspects[1:3])
        rest = f" or one of {len(suspects) - 3} more" if len(suspects) > 3 else ""
        told = (
            f"The tape readings do not close: {_slip(first, units)}, or as likely {more}{rest}; they do not tell "
            "which."
        )
        advice = f"Measure {first.name} again, then {suspects[1].name}; more diagonals would single the wrong one out."
    return Finding(
        "survey.misclosure",
        Severity.FIX,
        first.name,
        f"{told} The outline is the one that fits all of them best.",
        measured=worst,
        limit=SNOOPED,
        unit="standard errors",
        source=f"least squares; largest standardised correction, {BAARDA}",
        advice=advice,
        key=key_of(room.tape, first.number) if room.tape and outlying else "room.walls",
        trace=Trace(
            "correction / (half the tolerance · √redundancy number), the largest of all readings; "
            "likely error = −correction / redundancy number",
            (
                Input("tolerance", room.tolerance_m, "m"),
                Input("readings beyond need", float(adjusted.redundancy)),
                Input("correction", adjusted.corrections_m[first.number], "m"),
                Input("redundancy number", adjusted.redundancy_of[first.number]),
            ),
        ),
    )


def _slip(suspect: Suspect, units: LengthUnit) -> str:
    return (
        f"{suspect.name} ({tell(suspect.read_m, units)}) reads about {tell(abs(suspect.over_m), units)} "
        f"too {'long' if suspect.over_m > 0 else 'short'}"
    )


def _impossible(tape: TapeReadings, units: LengthUnit) -> Finding:
    longest = max(range(len(tape.walls_m)), key=lambda i: tape.walls_m[i], default=0)
    longer = ""
    if len(tape.walls_m) > 2:
        rest = sum(tape.walls_m) - tape.walls_m[longest]
        if tape.walls_m[longest] >= rest:
            longer = (
                f" The {reading_name(tape, longest)} ({tell(tape.walls_m[longest], units)}) is longer than all "
                f"others together ({tell(rest, units)})."
            )
    return Finding(
        "survey.readings-impossible",
        Severity.STOP,
        "room",
        f"No outline can be made of these wall lengths and diagonals.{longer}",
        advice="Look for a reading that was mistyped or belongs to another pair of corners; corners are counted "
        "from 0 in the order of the walls, counter-clockwise seen from above.",
        key="room.walls",
    )


def unsound(floor: Outline, units: LengthUnit) -> tuple[Finding, ...]:
    """Find what makes an outline unfit for computing.

    Parameters
    ----------
    floor
        Corners [m].
    units
        Unit for the messages.

    Returns
    -------
    tuple
        Findings that stop the job; empty for a sound outline.
    """
    if len(floor) < 3:
        return (
            _stop(
                "survey.outline-empty", f"The floor has {len(floor)} corners; a room needs at least three."
            ),
        )
    largest = max((abs(value) for corner in floor for value in corner), default=0.0)
    if not isfinite(largest) or largest > 1e4 or _extent(floor) > LARGEST_M:
        return (
            _stop(
                "survey.outline-huge",
                f"The floor reaches {tell(_extent(floor), units)} across; no room does.",
            ),
        )
    crossed = crossings(floor)
    if crossed:
        return tuple(_crossing(floor, pair) for pair in crossed[:3])
    if area(floor) < 0.1:
        return (_stop("survey.outline-empty", f"The floor encloses only {tell_area(area(floor), units)}."),)
    return ()


def _extent(floor: Outline) -> float:
    xs, ys = [x for x, _ in floor], [y for _, y in floor]
    return max(max(xs) - min(xs), max(ys) - min(ys))


def _stop(code: str, message: str) -> Finding:
    advice = "Give the corners in order round the room, in either direction, in the file's units."
    return Finding(code, Severity.STOP, "room", message, advice=advice, key="room.floor")


def _crossing(floor: Outline, pair: tuple[int, int]) -> Finding:
    one, two = (wall_name(number, len(floor)) for number in pair)
    (x, y), _ = edges(floor)[pair[1]]
    return Finding(
        "survey.outline-crosses",
        Severity.STOP,
        "room",
        f"Walls {one} and {two} cross, touch or lie over each other, so the floor has no inside.",
        advice="Look for two corners listed in the wrong order, or one typed twice.",
        at=(x, y, 0.0),
        key="room.floor",
    )


def frames(room: Room) -> tuple[WallFrame, ...]:
    """Return each wall as an axis with the normal that points into the room.

    Parameters
    ----------
    room
        A room with a sound outline.

    Returns
    -------
    tuple
        One frame per wall, in order.
    """
    turn = 1.0 if signed_area(room.floor) > 0 else -1.0
    built = []
    for number, (start, end) in enumerate(edges(room.floor)):
        x, y = end[0] - start[0], end[1] - start[1]
        length = hypot(x, y)
        along = (x / length, y / length)
        wall = room.walls[number] if number < len(room.walls) else Wall(number, room.floor_finish)
        built.append(WallFrame(wall, start, end, length, along, (-turn * along[1], turn * along[0])))
    return tuple(built)
