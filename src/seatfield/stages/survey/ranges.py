"""Numbers outside any living room's range, with the slip that likely made them."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import hypot, isfinite

from seatfield.geometry.polygon import bounds
from seatfield.model import Finding, LengthUnit, Project, Room, Severity
from seatfield.stages.survey.naming import corner_name, wall_name
from seatfield.stages.survey.wording import tell
from seatfield.units import FOOT_M, INCH_M

SOURCE = "common practice, no source"
_SCALES = {
    "metres": 1.0,
    "centimetres": 0.01,
    "feet": FOOT_M,
    "millimetres": 0.001,
    "inches": INCH_M,
}


FAR_SHARE = 2.0
"""A corner that makes the room this many times as long as its other corners do is likely a slip."""

FAR_M = 2.0
"""A corner nearer than this to the others' bounds is no slip worth naming: common practice, no source [m]."""

ON_LINE_M = 0.05
"""A corner this near to its neighbour's line is meant to stand on it: common practice, no source [m]."""

LEAST_M = 0.1
"""A slip that would mean a smaller coordinate explains nothing [m]."""

WIDE_OF_DIAGONAL = 16 / hypot(16, 9)
"""Width over diagonal of a picture of 16:9."""

DIAGONALS = (24.0, 120.0)
"""Diagonals of pictures for living rooms: common practice, no source [in]."""

SMALLEST_DIAGONAL = 40.0
"""A width of more whole inches than this is likelier the diagonal that pictures are sold by: common practice [in]."""


SIDE_M, CEILING_M, SEAT_M, PICTURE_M = (1.5, 25.0), (1.8, 6.0), (0.5, 12.0), (0.3, 6.0)
"""A room's longer side, its height, the way from seat to screen, a picture's width: common practice, no source."""

TAPE_M = (0.002, 0.06)
"""What a tape in a living room is read to: common practice, no source [m]."""


@dataclass(frozen=True, slots=True)
class Checked:
    """A number of the file and the range that living rooms keep to; `picture` where it may be a picture's diagonal.

    A slip is looked for that brings it into the `usual` range, where that is another.
    """

    subject: str
    what: str
    value: float
    low: float
    high: float
    unit: str
    key: str
    picture: bool = False
    usual: tuple[float, float] | None = None


def out_of_range(project: Project, room: Room) -> tuple[Finding, ...]:
    """Find the numbers that no living room has, and name the likely slip.

    Parameters
    ----------
    project
        Everything that the person wrote.
    room
        The room with its outline settled.

    Returns
    -------
    tuple
        Findings to mend.
    """
    checks = (*_room(room), *_things(room), *_people(project), *_kit(project))
    outside = (check for check in checks if not check.low <= check.value <= check.high)
    return (
        *_far_corners(room, project.units),
        *(_told(check, project.units) for check in outside),
        *_diagonal(project),
    )


def _far_corners(room: Room, units: LengthUnit) -> Iterator[Finding]:
    """Find a corner that alone makes the room much longer than all its others do, with the slip that explains it."""
    if room.tape is not None or len(room.floor) < 4:
        return
    for i, corner in enumerate(room.floor):
        others = [other for j, other in enumerate(room.floor) if j != i]
        for axis, name in enumerate("xy"):
            low, high = min(o[axis] for o in others), max(o[axis] for o in others)
            beyond = max(low - corner[axis], corner[axis] - high)
            if not (beyond > FAR_M and beyond + high - low > FAR_SHARE * (high - low)):
                continue
            beside = (room.floor[i - 1][axis], room.floor[(i + 1) % len(room.floor)][axis])
            meant = _meant(corner[axis], beside, (low, high), units)
            likely = f" That looks like {meant[0]} (meant: {tell(meant[1], units)})." if meant else ""
            letter = corner_name(i)
            yield Finding(
                "survey.corner-far",
                Severity.FIX if meant else Severity.NOTE,
                f"corner {letter}",
                f"Corner {letter} has {name} = {tell(corner[axis], units)}, {tell(beyond, units)} beyond every other "
                f"corner: the others lie between {tell(low, units)} and {tell(high, units)}.{likely}",
                measured=beyond,
                limit=FAR_M,
                unit="m",
                source=SOURCE,
                advice=f"Measure the walls that meet at corner {letter}, and look its numbers up.",
                at=(*corner, 0.0),
                key=f"room.floor[{i}][{axis}]",
            )


def _meant(
    value_m: float, beside_m: tuple[float, float], span_m: tuple[float, float], units: LengthUnit
) -> tuple[str, float] | None:
    """Return the slip of the pen that brings a coordinate back among the others, those on a neighbour's line first."""
    own = _SCALES["feet" if units is LengthUnit.FOOT else "metres"]
    typed = f"{abs(value_m) / own:.6g}"
    sign = -1.0 if value_m < 0 else 1.0
    readings = [("feet typed as metres", value_m * FOOT_M)] if units is LengthUnit.METRE else []
    readings += [
        (f"{name} typed as {'feet' if units is LengthUnit.FOOT else 'metres'}", value_m / own * _SCALES[name])
        for name in ("centimetres", "inches", "millimetres")
    ]
    readings += [("a minus sign too many", -value_m)] if value_m < 0 else []
    shorter = {typed[:i] + typed[i + 1 :] for i in range(len(typed)) if typed[i].isdecimal()}
    readings += [
        ("a digit too many", sign * float(text) * own) for text in sorted(shorter) if text.strip(".")
    ]
    readings += [("a decimal point that slipped", value_m * shift) for shift in (0.1, 0.01)]
    inside = [
        r for r in readings if span_m[0] - ON_LINE_M <= r[1] <= span_m[1] + ON_LINE_M and abs(r[1]) > LEAST_M
    ]
    on_line = [r for r in inside if any(abs(r[1] - other) < ON_LINE_M for other in beside_m)]
    return next(iter(on_line or inside), None)


def _diagonal(project: Project) -> Iterator[Finding]:
    screen = project.screen
    inches = round(screen.width_m / INCH_M)
    if screen.whole_inches and inches > SMALLEST_DIAGONAL:
        wide = WIDE_OF_DIAGONAL * inches * INCH_M
        yield Finding(
            "survey.screen-diagonal",
            Severity.NOTE,
            "screen",
            f"The picture is said to be {inches} in wide. Pictures are sold by their diagonal: one of {inches} in "
            f"across the corners is {wide / INCH_M:.1f} in ({tell(wide, project.units)}) wide at 16:9. Which is it?",
            measured=screen.width_m,
            limit=wide,
            unit="m",
            source="16 / √(16² + 9²) of the diagonal; sold by the diagonal: common practice, no source",
            advice=f'If it is the diagonal, write width = "{wide / INCH_M:.1f} in"; if it is the width, write it as '
            f'"{inches}.0 in", and this note goes.',
            key="screen.width",
        )


def _length(subject: str, what: str, value_m: float, span_m: tuple[float, float], key: str) -> Checked:
    return Checked(subject, what, value_m, *span_m, "m", key)


def _room(room: Room) -> Iterator[Checked]:
    if room.floor and all(isfinite(value) for corner in room.floor for value in corner):
        left, low, right, high = bounds(room.floor)
        yield _length(
            "room", "The longer side of the room", max(right - left, high - low), SIDE_M, "room.floor"
        )
        yield _length(
            "room", "The shorter side of the room", min(right - left, high - low), (1.2, 20.0), "room.floor"
        )
        count = len(room.floor)
        for i, (a, b) in enumerate(zip(room.floor, (*room.floor[1:], *room.floor[:1]), strict=True)):
            length = hypot(b[0] - a[0], b[1] - a[1])
            yield _length(
                wall_name(i, count), f"Wall {wall_name(i, count)}", length, (0.03, 25.0), f"room.floor[{i}]"
            )
    if room.ceiling_m is not None:
        yield _length("ceiling", "The ceiling's height", room.ceiling_m, CEILING_M, "room.ceiling")
    for i, plane in enumerate(room.ceiling_planes):
        for point in plane.points:
            yield _length("ceiling", "A point of the ceiling", point[2], (0.0, 8.0), f"room.ceiling[{i}]")
    tape = _length("tape", "The tape's tolerance", room.tolerance_m, (0.0, 0.2), "room.tolerance")
    yield replace(tape, usual=TAPE_M)
    yield Checked("room", "The temperature", room.temperature_c, 5.0, 40.0, "°C", "room.temperature")


def _things(room: Room) -> Iterator[Checked]:
    for opening in room.openings:
        where = opening.key or "opening"
        name = opening.id
        yield _length(name, f"The width of {name}", opening.width_m, (0.2, 8.0), f"{where}.width")
        yield _length(name, f"The height of {name}", opening.height_m, (0.2, 4.0), f"{where}.height")
        yield _length(name, f"The sill of {name}", opening.sill_m, (0.0, 3.0), f"{where}.sill")
    for piece in room.furniture:
        where = piece.key or "furniture"
        yield _length(
            piece.name, f"The height of {piece.name}", piece.height_m, (0.005, 3.0), f"{where}.height"
        )
        yield _length(piece.name, f"The base of {piece.name}", piece.base_m, (0.0, 3.0), f"{where}.base")


def _people(project: Project) -> Iterator[Checked]:
    for seat in project.seats:
        for ear in dict.fromkeys(seat.ear_m):
            where = f"{seat.key or 'seat'}.ear"
            yield _length(seat.name, f"The ear height of seat {seat.name}", ear, (0.5, 1.6), where)
    screen = project.screen
    yield Checked(
        "screen", "The screen's width", screen.width_m, *PICTURE_M, "m", "screen.width", picture=True
    )
    yield _length(
        "screen", "The height of the screen's centre", screen.centre[2], (0.3, 3.0), "screen.centre"
    )
    for seat in project.seats:
        if seat.main:
            away = hypot(screen.centre[0] - seat.at[0], screen.centre[1] - seat.at[1])
            yield _length(
                seat.name, "The way from the main seat to the screen", away, SEAT_M, "screen.centre"
            )


def _kit(project: Project) -> Iterator[Checked]:
    spans = {
        "sensitivity_db": ("sensitivity", 70.0, 115.0, "dB"),
        "impedance_ohm": ("impedance", 2.0, 32.0, "ohm"),
        "lowest_impedance_ohm": ("lowest impedance", 1.0, 32.0, "ohm"),
        "power_w": ("power handling", 5.0, 3000.0, "W"),
        "max_level_db": ("highest level", 80.0, 140.0, "dB"),
        "weight_kg": ("weight", 0.2, 150.0, "kg"),
        "low_corner_hz": ("low corner", 15.0, 400.0, "Hz"),
        "woofer_m": ("woofer", 0.03, 0.5, "m"),
        "tweeter_m": ("tweeter", 0.008, 0.1, "m"),
    }
    for model in project.models:
        for field, (what, low, high, unit) in spans.items():
            value = getattr(model, field)
            if value is not None:
                where = f"{model.key or 'model'}.{field.rsplit('_', 1)[0]}"
                yield Checked(model.name, f"The {what} of {model.name}", value, low, high, unit, where)
    for amplifier in project.amplifiers:
        for field, what in (("watts_w", "power"), ("all_channels_w", "power with all channels driven")):
            value = getattr(amplifier, field)
            if value is not None:
                where = f"{amplifier.key or 'amplifier'}.{field.rsplit('_', 1)[0]}"
                yield Checked(
                    amplifier.name, f"The {what} of {amplifier.name}", value, 3.0, 1000.0, "W", where
                )


def slips(value_m: float, low_m: float, high_m: float, units: LengthUnit) -> tuple[str, ...]:
    """Name the slips of the pen that turn an ordinary length into the one given.

    Parameters
    ----------
    value_m
        The length as it was read [m].
    low_m, high_m
        The ordinary range [m].
    units
        Unit of the file's plain numbers.

    Returns
    -------
    tuple
        Half-sentences, the likeliest first; empty where none fits.
    """
    own = "feet" if units is LengthUnit.FOOT else "metres"
    typed = value_m / _SCALES[own]
    found = []
    for name, scale in _SCALES.items():
        meant = typed * scale
        if name != own and max(low_m, 0.3 * high_m if low_m == 0 else low_m) <= meant <= high_m:
            found.append(f"{name} typed as {own} (meant: {tell(meant, units)})")
    found.extend(
        f"a decimal point that slipped (meant: {tell(value_m * shift, units)})"
        for shift in (0.1, 10.0)
        if low_m <= value_m * shift <= high_m and value_m
    )
    if value_m < 0 and low_m <= -value_m <= high_m:
        found.append(f"a minus sign too many (meant: {tell(-value_m, units)})")
    return tuple(found)


def of_picture(width_m: float, units: LengthUnit) -> tuple[str, ...]:
    """Name the diagonal in inches that was typed as a width, where the number is one that pictures are sold by.

    Parameters
    ----------
    width_m
        As it was read [m].
    units
        Unit of the file's plain numbers.

    Returns
    -------
    tuple
        One half-sentence, or none.
    """
    typed = width_m / _SCALES["feet" if units is LengthUnit.FOOT else "metres"]
    if not (DIAGONALS[0] <= typed <= DIAGONALS[1] and abs(typed - round(typed)) < 1e-6):
        return ()
    wide = tell(typed * INCH_M * WIDE_OF_DIAGONAL, units)
    return (f"the diagonal in inches (a {typed:.0f} in picture of 16:9 is {wide} wide)",)


def _told(check: Checked, units: LengthUnit) -> Finding:
    is_length = check.unit == "m"
    value, low, high = (
        tell(number, units) if is_length else f"{number:g} {check.unit}"
        for number in (check.value, check.low, check.high)
    )
    likely = slips(check.value, *(check.usual or (check.low, check.high)), units) if is_length else ()
    if check.picture:
        likely = (*of_picture(check.value, units), *likely)
    slip = f" That looks like {' or '.join(likely[: 2 if check.picture else 1])}." if likely else ""
    return Finding(
        "survey.out-of-range",
        Severity.FIX,
        check.subject,
        f"{check.what} is {value}; living rooms keep between {low} and {high}.{slip}",
        measured=check.value,
        limit=check.high if check.value > check.high else check.low,
        unit=check.unit,
        source=SOURCE,
        advice="Write the unit beside the number, such as 240 cm or 8 ft, and it cannot be mistaken."
        if is_length
        else "Look the number up again.",
        key=check.key,
    )
