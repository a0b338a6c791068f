"""Tape readings looked at one by one: those that contradict each other, and those that nothing checks.

References
----------
.. [1] W. Baarda, A testing procedure for use in geodetic networks, Netherlands Geodetic Commission (1968).
"""

from itertools import combinations, islice
from math import atan2, degrees, hypot

from seatfield.geometry.adjustment import Adjustment
from seatfield.geometry.polygon import signed_area
from seatfield.geometry.rigidity import best_check, missing
from seatfield.model import Finding, Input, LengthUnit, Outline, Room, Severity, TapeReadings, Trace
from seatfield.stages.survey.naming import corner_name, wall_name
from seatfield.stages.survey.wording import tell, tell_area, tell_volume

BAARDA = "Baarda, A testing procedure for use in geodetic networks (1968)"

NOTICED_TOLERANCES = 10.0
"""A slip of this many tolerances must show, or the reading counts as unchecked: common practice, no source."""

CHECKED = (4.13 / (2 * NOTICED_TOLERANCES)) ** 2
"""Redundancy number from which such a slip is found in 8 of 10 cases: its expected standardised correction reaches
the non-centrality 4.13 of a test with 1 false alarm in 1000 [1]_, where the tolerance is two standard errors."""

ODD_DEG, OBLIQUE_DEG = 1.5, 15.0
"""A corner off square by less is square as rooms go, by more it is meant so: common practice, no source."""


def pairs_of(tape: TapeReadings) -> tuple[tuple[int, int], ...]:
    """Return the corners that each reading lies between: walls first, then diagonals."""
    count = len(tape.walls_m)
    return (*((i, (i + 1) % count) for i in range(count)), *(d.between for d in tape.diagonals))


def lengths_of(tape: TapeReadings) -> tuple[float, ...]:
    """Return what was read: walls first, then diagonals [m]."""
    return (*tape.walls_m, *(diagonal.length_m for diagonal in tape.diagonals))


def reading_name(tape: TapeReadings, number: int) -> str:
    """Return what a reading is called: walls come first, then diagonals.

    Parameters
    ----------
    tape
        The readings.
    number
        Place of the reading, from 0.

    Returns
    -------
    str
        Such as ``wall A–B`` or ``diagonal A–C``.
    """
    count = len(tape.walls_m)
    if number < count:
        return f"wall {wall_name(number, count)}"
    return f"diagonal {pair_name(tape.diagonals[number - count].between)}"


def pair_name(pair: tuple[int, int]) -> str:
    """Return two corners as people write a length between them, such as ``A–C``."""
    return f"{corner_name(pair[0])}–{corner_name(pair[1])}"


def key_of(tape: TapeReadings, number: int) -> str:
    """Return the place of a reading in the project file."""
    walls = len(tape.walls_m)
    return f"room.walls[{number}]" if number < walls else f"room.diagonals[{number - walls}].length"


def diagonals(count: int) -> str:
    """Write a number of diagonals."""
    return f"{count} diagonal" if count == 1 else f"{count} diagonals"


def contradictions(
    tape: TapeReadings, tolerance_m: float, units: LengthUnit, severity: Severity
) -> tuple[Finding, ...]:
    """Find three readings between the same three corners that make no triangle.

    Parameters
    ----------
    tape
        The readings.
    tolerance_m
        Of each [m].
    units
        Unit for the messages.
    severity
        Of what is found: whether an outline could be made all the same.

    Returns
    -------
    tuple
        One finding for each such triangle, the worst first, three at most.
    """
    lengths, places = lengths_of(tape), {frozenset(p): i for i, p in enumerate(pairs_of(tape))}
    found = []
    for corners in combinations(range(len(tape.walls_m)), 3):
        sides = [places.get(frozenset(pair)) for pair in combinations(corners, 2)]
        numbers = sorted((side for side in sides if side is not None), key=lambda i: -lengths[i])
        if len(numbers) < 3:
            continue
        over = lengths[numbers[0]] - lengths[numbers[1]] - lengths[numbers[2]]
        if over > 2 * tolerance_m:
            found.append((over, _contradiction(tape, (numbers[0], numbers[1], numbers[2]), units, severity)))
    return tuple(finding for _, finding in islice(sorted(found, key=lambda entry: -entry[0]), 3))


def _contradiction(
    tape: TapeReadings, numbers: tuple[int, int, int], units: LengthUnit, severity: Severity
) -> Finding:
    longest, second, third = ((reading_name(tape, i), lengths_of(tape)[i]) for i in numbers)
    both = second[1] + third[1]
    return Finding(
        "survey.readings-contradict",
        severity,
        longest[0],
        f"The {longest[0]} ({tell(longest[1], units)}) is longer than {second[0]} ({tell(second[1], units)}) and "
        f"{third[0]} ({tell(third[1], units)}) together ({tell(both, units)}), and they should make a triangle: "
        "one of the three is wrong.",
        measured=longest[1],
        limit=both,
        unit="m",
        source="no side of a triangle is longer than the two others together",
        advice="Measure these three again, the longest first; see that each belongs to the corners it is listed for.",
        key=key_of(tape, numbers[0]),
        trace=Trace(
            "side ≤ sum of the two others",
            tuple(Input(name, length, "m") for name, length in (longest, second, third)),
        ),
    )


def loose(tape: TapeReadings) -> Finding:
    """Tell that the readings leave corners free to move, and which further ones would hold them."""
    count = len(tape.walls_m)
    wanted = missing(count, pairs_of(tape))
    return Finding(
        "survey.diagonals-missing",
        Severity.FIX,
        "room",
        f"{count} wall lengths and {diagonals(len(tape.diagonals))} do not fix the outline: corners that nothing "
        "else decides were taken to be square, and everything that stands on them may be off.",
        measured=float(len(tape.diagonals)),
        limit=float(len(tape.diagonals) + len(wanted)),
        unit="diagonals",
        source="a polygon of n sides has 2n − 3 degrees of freedom",
        advice=f"Measure {diagonals(len(wanted))} more, such as {', '.join(map(pair_name, wanted))}; any that cut the "
        "floor into triangles will do. One beyond that checks them.",
        key="room.diagonals",
        trace=Trace("n − 3, where no two say the same", (Input("walls", float(count)),)),
    )


def unchecked(room: Room, tape: TapeReadings, adjusted: Adjustment) -> tuple[Finding, ...]:
    """Tell the readings whose slip would show nowhere, the corners that look like one, and what would check them.

    Parameters
    ----------
    room
        For the tolerance.
    tape, adjusted
        The readings and the outline that they gave; nothing is told of one that they do not fix.

    Returns
    -------
    tuple
        One note, or none where every reading is checked.
    """
    blind = tuple(i for i, number in enumerate(adjusted.redundancy_of) if number < CHECKED)
    if adjusted.squared or not blind:
        return ()
    every = len(blind) == len(adjusted.redundancy_of)
    named = "any reading" if every else _grouped(tape, blind)
    pairs = pairs_of(tape)
    further = best_check(adjusted.outline, pairs, blind, CHECKED)
    touched = {corner for place in blind for corner in pairs[place]}
    odd = [text for corner, text in _odd(adjusted.outline, room.tolerance_m) if corner in touched]
    looks = f" As they stand, {_listed(odd)}: is the room so?" if odd else ""
    advice = "Read them once more from the other end."
    if further:
        gained = "all of them" if further[1] == len(blind) else f"{further[1]} of these {len(blind)}"
        advice = f"The diagonal {pair_name(further[0])} would check {gained}. Or read each again from its other end."
    return (
        Finding(
            "survey.unchecked",
            Severity.NOTE,
            "room",
            f"Nothing checks {named}: a misreading there bends the outline and shows nowhere.{looks}",
            measured=float(len(blind)),
            limit=0.0,
            unit="readings",
            source=f"redundancy number below {CHECKED:.3f}, {BAARDA}",
            advice=advice,
            key="room.diagonals",
            trace=Trace(
                "readings whose slip of ten tolerances would stay below the test's threshold",
                tuple(
                    Input(f"redundancy number, {reading_name(tape, i)}", adjusted.redundancy_of[i])
                    for i in blind
                ),
            ),
        ),
    )


def _grouped(tape: TapeReadings, numbers: tuple[int, ...]) -> str:
    """Name several readings: walls together, diagonals together."""
    count, pairs = len(tape.walls_m), pairs_of(tape)
    kinds = (("wall", [i for i in numbers if i < count]), ("diagonal", [i for i in numbers if i >= count]))
    told = [
        f"{kind}{'s' if len(some) > 1 else ''} {_listed([pair_name(pairs[i]) for i in some])}"
        for kind, some in kinds
        if some
    ]
    return ", nor ".join(told)


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _odd(floor: Outline, tolerance_m: float) -> list[tuple[int, str]]:
    """Return the corners that are nearly square, past what the tape leaves open, with their angles in words."""
    found = []
    for corner, (angle, short_m) in enumerate(corner_angles(floor)):
        off = min(abs(angle - square) for square in (90.0, 270.0))
        if max(ODD_DEG, degrees(2 * tolerance_m / short_m)) < off < OBLIQUE_DEG:
            found.append((corner, f"corner {corner_name(corner)} has {angle:.1f}°"))
    return found


def corner_angles(floor: Outline) -> tuple[tuple[float, float], ...]:
    """Return the angle inside each corner and its shorter wall.

    Parameters
    ----------
    floor
        Corners in order, in either sense [m].

    Returns
    -------
    tuple
        Angle [deg], 0 to 360, and length [m] of each corner.
    """
    turn = 1.0 if signed_area(floor) > 0 else -1.0
    found = []
    for before, corner, after in zip((floor[-1], *floor[:-1]), floor, (*floor[1:], floor[0]), strict=True):
        to_next = after[0] - corner[0], after[1] - corner[1]
        back = before[0] - corner[0], before[1] - corner[1]
        angle = turn * degrees(
            atan2(
                to_next[0] * back[1] - to_next[1] * back[0],
                to_next[0] * back[0] + to_next[1] * back[1],
            )
        )
        found.append((angle % 360.0, max(1e-6, min(hypot(*to_next), hypot(*back)))))
    return tuple(found)


def read_back(floor: Outline, area_m2: float, volume_m3: float, units: LengthUnit) -> str:
    """Say what was made of an outline, for the eye that knows the room.

    Parameters
    ----------
    floor
        Corners [m].
    area_m2, volume_m3
        Of the room.
    units
        Unit of the project.

    Returns
    -------
    str
        Corners, area, volume, how far it reaches, and every corner that is not square.
    """
    xs, ys = [x for x, _ in floor], [y for _, y in floor]
    odd = [
        f"{corner_name(i)} {angle:.1f}°"
        for i, (angle, _) in enumerate(corner_angles(floor))
        if min(abs(angle - square) for square in (90.0, 270.0)) > ODD_DEG
    ]
    corners = f"all {len(floor)} of them square" if not odd else f"not square: {', '.join(odd)}"
    return (
        f"The room as read: {len(floor)} corners, {corners}; {tell_area(area_m2, units)}, "
        f"{tell_volume(volume_m3, units)}; {tell(max(xs) - min(xs), units)} by {tell(max(ys) - min(ys), units)} "
        "over all, as it lies on the plan."
    )
