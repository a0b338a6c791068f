"""The bass by itself, with wishes of its own: more subwoofers, every response, or only what follows the hand."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from seatfield.model import Project
from seatfield.pipeline.memo import Memo
from seatfield.pipeline.planning import plan, plan_along
from seatfield.stages.plan import Plan

if TYPE_CHECKING:
    from seatfield.stages.bass import BassParams


def plan_bass(project: Project, params: "BassParams | None" = None, *, memo: Memo | None = None) -> Plan:
    """Compute the bass as wished for, and what it builds on.

    Parameters
    ----------
    project
        What is there and what is wanted.
    params
        What is wanted of the bass.
    memo
        Where results are kept between calls.

    Returns
    -------
    Plan
        Survey, layout, bass and level, without the cable's losses; all but the first are None where the outline is
        unfit.
    """
    from seatfield.pipeline.steps import STEPS, narrow
    from seatfield.stages import bass, level

    made = plan(project, "terminals", memo=memo)
    if made.layout is None or made.terminals is None:
        return made
    reads = {step.name: step.reads for step in STEPS}
    heard = bass.plan(narrow(project, reads["bass"]), made.survey, made.layout, params)
    loud = level.plan(narrow(project, reads["level"]), made.survey, made.layout, made.terminals, None, heard)
    return replace(made, bass=heard, level=loud)


def bass_along(project: Project, field: str, *, memo: Memo) -> Plan:
    """Compute the bass as far as it follows the hand, and only what it builds on.

    Parameters
    ----------
    project, memo
        As for `plan_bass`.
    field
        Which field over the floor is wanted besides what the seats hear: ``map`` or ``ears``, as in `PARTS`.
    """
    from seatfield.pipeline.steps import STEPS, narrow
    from seatfield.stages import bass

    made = plan_along(project, "layout", memo=memo)
    if made.layout is None:
        return made
    reads = next(step.reads for step in STEPS if step.name == "bass")
    params = bass.BassParams(parts=(field,), to_hz=bass.ALONG_HZ, spots=0)
    return replace(made, bass=bass.plan(narrow(project, reads), made.survey, made.layout, params))


def draw_bass(project: Project, made: Plan, target: Path, *, mode: int | None = None) -> None:
    """Write the map of the bass, or the pressure of one mode, as a picture.

    Parameters
    ----------
    project, made
        The project and its plan with the bass.
    target
        An SVG file, or a PNG file.
    mode
        Number of the mode, from 1; the map of the subwoofer if None.

    Raises
    ------
    ValueError
        If there is nothing to draw, or no mode has that number.
    NotWrittenError
        If the file cannot be written.
    """
    from seatfield.drawing import svg
    from seatfield.drawing.bass_map import bass_map, mode_picture
    from seatfield.pipeline.printing import write_whole

    scene = bass_map(project, made) if mode is None else mode_picture(project, made, mode)
    if target.suffix.lower() == ".png":
        from seatfield.pack import picture

        write_whole(target, picture(scene))
    else:
        write_whole(target, svg(scene).encode())
