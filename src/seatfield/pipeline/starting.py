"""Start a project folder from a person's answers."""

from pathlib import Path

from seatfield.catalogue.systems import BEST_THAT_FITS, nearest_system, system
from seatfield.model import LengthUnit
from seatfield.store import FILE_NAME, Answers, FileExistsAlreadyError, create, new_project
from seatfield.units import QuantityError, parse_length


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
        If an answer cannot be understood, the seat would stand outside the room, or a project stands there already.
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


def understood(key: str, answer: str) -> None:
    """Say whether one answer can be understood, as soon as it is given.

    Raises
    ------
    StartRefusedError
        If it cannot; its message says what would be right.
    """
    if key == "units":
        _one_of(answer, tuple(LengthUnit))
    elif key == "layout":
        _layout(answer)
    elif key != "name":
        _length(key, answer, LengthUnit.METRE)


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
    try:
        return parse_length(answer, units.value)
    except QuantityError as refused:
        raise StartRefusedError(f"{key}: {refused}") from refused


def _layout(answer: str) -> str:
    if answer != BEST_THAT_FITS and system(answer) is None:
        near = nearest_system(answer)
        hint = f" Did you mean {near!r}?" if near else ""
        raise StartRefusedError(f"There is no sound system {answer!r}.{hint}")
    return answer
