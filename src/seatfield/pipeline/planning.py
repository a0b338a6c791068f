"""Plan a project up to a stage."""

from collections.abc import Callable, Collection, Hashable
from functools import partial
from typing import Any

from seatfield.model import Project
from seatfield.pipeline.memo import Memo
from seatfield.pipeline.steps import ALONG, NAMES, STEPS, Results, Step, narrow
from seatfield.stages.plan import Plan

Watch = Callable[[str], None]


class UnknownStageError(ValueError):
    """A stage was asked for that does not exist."""

    def __init__(self, name: str) -> None:
        super().__init__(f"There is no stage {name!r}; the stages are {', '.join(NAMES)}.")


def plan(
    project: Project,
    upto: str = NAMES[-1],
    *,
    memo: Memo | None = None,
    watch: Watch | None = None,
    leave_out: frozenset[str] = frozenset(),
) -> Plan:
    """Compute every stage of the job, in order, up to and including one.

    Parameters
    ----------
    project
        What is there and what is wanted.
    upto
        Name of the last stage to compute.
    memo
        Where results are kept between calls; nothing is kept where it is left out.
    watch
        Called with the name of each stage before it starts.
    leave_out
        Names of stages not to compute, nor those that build on them: what is too slow to follow the hand.

    Returns
    -------
    Plan
        Stages that could not run (the outline is unfit) or were not asked for are None.

    Raises
    ------
    UnknownStageError
        If `upto` names no stage.
    """
    if upto not in NAMES:
        raise UnknownStageError(upto)
    names = [name for name in NAMES[: NAMES.index(upto) + 1] if name not in leave_out]
    return Plan(**_results(project, _named(names), memo or Memo(), watch))


def plan_along(project: Project, upto: str = NAMES[-1], *, memo: Memo) -> Plan:
    """Compute what follows the hand: no slow stage, and of the others only what is looked at meanwhile.

    Parameters
    ----------
    project, upto, memo
        As for `plan`.
    """
    names = NAMES[: NAMES.index(upto) + 1]
    return Plan(**_results(project, tuple(step for step in ALONG if step.name in names), memo, None))


def plan_stage(project: Project, name: str, *, memo: Memo | None = None, watch: Watch | None = None) -> Any:
    """Compute one stage and only what it builds on.

    Parameters
    ----------
    project, memo, watch
        As for `plan`.
    name
        Name of the stage.

    Returns
    -------
    object
        The stage's result; None where the outline is unfit and the stage builds on it.

    Raises
    ------
    UnknownStageError
        If `name` names no stage.
    """
    if name not in NAMES:
        raise UnknownStageError(name)
    return _results(project, _named(_needed(name)), memo or Memo(), watch).get(name)


def _named(names: Collection[str]) -> tuple[Step, ...]:
    return tuple(step for step in STEPS if step.name in names)


def _needed(name: str) -> tuple[str, ...]:
    """Names of a stage and of everything before it that it builds on, in the order of the job."""
    after = {step.name: (*step.after, *step.sharpened_by) for step in STEPS}
    wanted = {name}
    for step in reversed(STEPS):
        if step.name in wanted:
            wanted.update(after[step.name])
    return tuple(step.name for step in STEPS if step.name in wanted)


def _results(project: Project, steps: tuple[Step, ...], memo: Memo, watch: Watch | None) -> Results:
    """Compute the steps whose earlier results are there."""
    results: Results = {}
    keys: dict[str, Hashable] = {}
    for step in steps:
        if not all(name in results for name in step.after):
            continue
        if watch:
            watch(step.name)
        keys[step.name] = _key(step, project, keys)
        results[step.name] = memo.get(keys[step.name], partial(_run, step, project, results))
        if step.name == "survey" and not results["survey"].sound:
            break
    return results


def _key(step: Step, project: Project, keys: dict[str, Hashable]) -> Hashable:
    earlier = tuple(keys.get(name) for name in (*step.after, *step.sharpened_by))
    return step.run, narrow(project, step.reads), earlier


def _run(step: Step, project: Project, results: Results) -> Any:
    earlier = (results.get(name) for name in (*step.after, *step.sharpened_by))
    return step.run(narrow(project, step.reads), *earlier)
