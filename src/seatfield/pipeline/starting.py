"""Start a project folder from a person's answers."""

import re
from pathlib import Path

from seatfield.catalogue.systems import BEST_THAT_FITS, nearest_system, system
from seatfield.model import LengthUnit
from seatfield.stages.survey import tell
from seatfield.stages.survey.ranges import (
    CEILING_M,
    DIAGONALS,
    PICTURE_M,
    SEAT_M,
    SIDE_M,
    WIDE_OF_DIAGONAL,
    of_picture,
    slips,
)
from seatfield.store import FILE_NAME, Answers, FileExistsAlreadyError, create, new_project
from seatfield.units import INCH_M, QuantityError, is_whole_inches, parse_length


class StartRefusedError(ValueError):
    """An answer that no project can start from; its message says which and what would be right."""


def start_project(folder: Path, answers: dict[str, str]) -> Path:
    """Write the starter file of a new project.

    Parameters
    ----------
    folder
        Made where it does not exist.
    answers
        Texts as a person typed them: `name`, `units`, `width`, `depth`, `height`, `seat`, `screen`, `layout`.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    StartRefusedError
        If an answer cannot be understood or is no living room's, the seat would stand outside the room, or a
        project stands there already.
    """
    units = LengthUnit(_one_of(answers["units"], tuple(LengthUnit)))
    lengths = {
        key: _length(key, answers[key], units) for key in ("width", "depth", "height", "seat", "screen")
    }
    filled = Answers(
        name=answers["name"],
        units=units,
        width_m=lengths["width"],
        depth_m=lengths["depth"],
        height_m=lengths["height"],
        seat_distance_m=lengths["seat"],
        screen_width_m=lengths["screen"],
        layout=_layout(answers["layout"]),
    )
    try:
        return create(folder, new_project(filled))
    except (FileExistsAlreadyError, ValueError, OSError) as refused:
        raise StartRefusedError(str(refused)) from refused


def understood(key: str, answer: str, units: str = LengthUnit.METRE) -> None:
    """Say whether one answer can be understood, as soon as it is given.

    Parameters
    ----------
    key, answer
        One of the answers of `start_project`.
    units
        The answer to `units`, which plain numbers are in.

    Raises
    ------
    StartRefusedError
        If it cannot, or no living room is so; its message says what would be right.
    """
    if key == "units":
        _one_of(answer, tuple(LengthUnit))
    elif key == "layout":
        _layout(answer)
    elif key != "name":
        _length(key, answer, LengthUnit(units))


def refuse_existing(folder: Path) -> None:
    """Refuse a folder that holds a project already, before anything is asked.

    Raises
    ------
    StartRefusedError
        If a project stands there.
    """
    if (folder / FILE_NAME).exists():
        raise StartRefusedError(str(FileExistsAlreadyError(folder / FILE_NAME)))


def _one_of(answer: str, allowed: tuple[str, ...]) -> str:
    if answer not in allowed:
        raise StartRefusedError(f"The unit {answer!r} is not one of {', '.join(allowed)}.")
    return answer


def _length(key: str, answer: str, units: LengthUnit) -> float:
    told = _DIAGONAL.fullmatch(answer) if key == "screen" else None
    try:
        length_m = parse_length(told[1] if told else answer, units.value)
    except QuantityError as refused:
        raise StartRefusedError(f"{key}: {refused}") from refused
    length_m *= WIDE_OF_DIAGONAL if told else 1.0
    what, low_m, high_m = _ORDINARY[key]
    if key == "screen" and not told:
        _refuse_diagonal(answer, length_m, units)
    if not low_m <= length_m <= high_m:
        likely = slips(length_m, low_m, high_m, units)
        slip = f" That looks like {likely[0]}." if likely else ""
        raise StartRefusedError(
            f"{key}: {what} of {tell(length_m, units)} is outside what living rooms have, {tell(low_m, units)} to "
            f"{tell(high_m, units)}.{slip} Write the unit beside the number, such as 240 cm or 8 ft."
        )
    return length_m


_DIAGONAL = re.compile(r"\s*(.+?)\s*(?:diagonal|diag\.?)\s*", re.IGNORECASE)
_ORDINARY = {
    "width": ("a room's width", *SIDE_M),
    "depth": ("a room's depth", *SIDE_M),
    "height": ("a ceiling's height", *CEILING_M),
    "seat": ("a distance from the screen", *SEAT_M),
    "screen": ("a picture's width", *PICTURE_M),
}


def _refuse_diagonal(answer: str, length_m: float, units: LengthUnit) -> None:
    """Ask about a number that pictures are sold by, instead of taking the diagonal for the width."""
    inches = round(length_m / INCH_M)
    whole = is_whole_inches(answer) and DIAGONALS[0] <= inches <= DIAGONALS[1]
    if not (whole or of_picture(length_m, units)):
        return
    inches = inches if whole else round(float(answer))
    wide = tell(inches * INCH_M * WIDE_OF_DIAGONAL, units)
    raise StartRefusedError(
        f"screen: pictures are sold by their diagonal; one of {inches} in across the corners is {wide} wide at 16:9. "
        f"Answer '{inches} in diagonal', or the width that you measured, as '{inches}.0 in' or in another unit."
    )


def _layout(answer: str) -> str:
    if answer != BEST_THAT_FITS and system(answer) is None:
        near = nearest_system(answer)
        hint = f" Did you mean {near!r}?" if near else ""
        raise StartRefusedError(f"There is no sound system {answer!r}.{hint}")
    return answer
