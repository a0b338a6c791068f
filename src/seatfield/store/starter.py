"""A starter project file from few answers, with comments that teach its keys."""

from dataclasses import dataclass

from seatfield.model import LengthUnit
from seatfield.store.door import open_text
from seatfield.store.encoding import toml_value


@dataclass(frozen=True, slots=True)
class Answers:
    """What a new project needs to know.

    Parameters
    ----------
    name
        What the project is called.
    units
        Unit of the plain numbers in the file.
    width_m, depth_m, height_m
        Of the room, seen from the seat that faces the screen [m]: along the screen's wall, away from it, and up.
    seat_distance_m
        From the screen to the middle seat's ears [m]; where None, two thirds of the depth.
    screen_width_m
        Width of the picture [m].
    layout
        Sound system: a BS.2051 name, the trade's shorthand, or ``best that fits``.
    currency
        Of prices.
    """

    name: str
    units: LengthUnit = LengthUnit.METRE
    width_m: float = 4.0
    depth_m: float = 5.0
    height_m: float = 2.5
    seat_distance_m: float | None = None
    screen_width_m: float = 1.25
    layout: str = "best that fits"
    currency: str = ""


SCREEN_OFF_WALL_M = 0.05
EAR_M = 1.05
"""Ears of a person seated on a sofa [m]; common practice, no source."""


def new_project(answers: Answers) -> str:
    """Return the text of a project file for a rectangular room, ready to be opened and added to.

    Parameters
    ----------
    answers : Answers
        The room, the seat, the screen and the sound system.

    Returns
    -------
    str
        TOML with comments; the screen hangs on wall 0 (y = 0) and the seat faces it, so the listener's left is +x.

    Raises
    ------
    ValueError
        If the seat would stand outside the room, or an answer is none that a project file may hold.
    """
    told_m = answers.seat_distance_m
    distance_m = answers.depth_m * 2 / 3 if told_m is None else told_m
    if not 0 < distance_m < answers.depth_m - SCREEN_OFF_WALL_M:
        raise ValueError(
            f"a seat {distance_m:.2f} m from the screen is given in a room {answers.depth_m:.2f} m deep; "
            "the seat must stand inside the room"
        )
    text = _TEXT.format(**_fields(answers, distance_m))
    if faults := open_text(text).faults:
        told = "; ".join(f"{fault.key}: found {fault.found}, wanted {fault.wanted}" for fault in faults)
        raise ValueError(f"these answers make no project: {told}")
    return text


def _fields(answers: Answers, distance_m: float) -> dict[str, str]:
    def plain(length_m: float) -> str:
        return _number(length_m, answers.units)

    middle = answers.width_m / 2
    unit = "metres" if answers.units is LengthUnit.METRE else "feet"
    example = '"35 cm"' if answers.units is LengthUnit.METRE else '"11 ft 6 in"'
    width, depth = plain(answers.width_m), plain(answers.depth_m)
    return {
        "name": toml_value(answers.name),
        "units": toml_value(answers.units.value),
        "unit": unit,
        "example": example,
        "currency": toml_value(answers.currency),
        "floor": f"[[0, 0], [{width}, 0], [{width}, {depth}], [0, {depth}]]",
        "ceiling": plain(answers.height_m),
        "seat": f"[{plain(middle)}, {plain(SCREEN_OFF_WALL_M + distance_m)}]",
        "ear": plain(EAR_M),
        "centre": f"[{plain(middle)}, {plain(SCREEN_OFF_WALL_M)}, {plain(EAR_M)}]",
        "screen": plain(answers.screen_width_m),
        "layout": toml_value(answers.layout),
        "door": plain(0.3),
        "door_width": plain(0.85),
        "door_height": plain(2.0),
        "sofa": ", ".join(
            f"[{plain(x)}, {plain(y)}]"
            for x, y in _box(middle, SCREEN_OFF_WALL_M + distance_m, min(2.0, answers.width_m), 0.9)
        ),
        "sofa_height": plain(0.8),
    }


def _box(x_m: float, y_m: float, width_m: float, depth_m: float) -> tuple[tuple[float, float], ...]:
    left, right, front, back = x_m - width_m / 2, x_m + width_m / 2, y_m - depth_m / 2, y_m + depth_m / 2
    return (left, front), (right, front), (right, back), (left, back)


def _number(length_m: float, units: LengthUnit) -> str:
    """Write a length as a plain number; of feet, with three decimals where two would look like feet and inches."""
    if units is LengthUnit.METRE:
        return f"{round(length_m, 3):g}"
    return f"{round(length_m / 0.3048, 3):g}"


_TEXT = """\
# One room and its kit. Everything that Seatfield computes follows from this file; keep it by hand or in the workbench.
# Plain numbers are {unit}; text with a unit works everywhere, such as {example}.
# x runs right and y up the page, z up from the floor. Lines that start with # are remarks: take the # away to use one.
format = 1
name = {name}
units = {units}
currency = {currency}

[room]
# Corners in order. Wall 0, the screen's here, runs from the first corner to the second, wall 1 from there, and so on.
floor = {floor}
ceiling = {ceiling}
# Finishes are yours to name, from the built-in table or as octave bands {{ 125 = 0.1, 250 = 0.1 }}; such as:
# finishes = {{ floor = "wood floor on joists", ceiling = "plasterboard on battens", walls = "plastered masonry" }}

# [[opening]]                 # doors, windows and archways: kind, wall, and place from the wall's first corner
# kind = "door"
# wall = 2
# start = {door}
# width = {door_width}
# height = {door_height}

# [[furniture]]               # what blocks sight, hides cable or carries a loudspeaker
# name = "sofa"
# outline = [{sofa}]
# height = {sofa_height}

[[seat]]
name = "middle"
at = {seat}
ear = {ear}  # height of the ears; a range [lowest, highest] for a recliner
main = true                   # exactly one seat is the main one

[screen]
centre = {centre}  # x, y and height of the picture's middle
width = {screen}

[limits]
holes = "none"                # none, walls, or walls and ceiling
pets = false
children = false

[system]
layout = {layout}  # a BS.2051 name such as "4+5+0", the trade's "5.1.4", or "best that fits"
loudness = "usual"            # quiet, usual, reference

# [[amplifier]]
# name = "receiver"
# channels = 7                # amplified
# processed = 9               # channels that it can render
# lowest_load = 6             # ohm, as its maker prints it

# [[model]]                   # by its maker's figures, under your own name
# name = "front pair"
# sensitivity = 86
# impedance = 8
# power = 80

# [[loudspeaker]]             # one for each channel; leave `at` out to have it placed
# channel = "M+030"
# model = "front pair"

# [[cable.stock]]
# conductor = "2x2.5 mm2"     # or "14/2", "16 AWG"
# price = 2.40
"""
