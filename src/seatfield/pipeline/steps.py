"""The steps of a plan: which stage reads which part of the project, and which results it builds on.

A stage is handed a project in which everything that it does not declare is blank, so that its result can be kept
for as long as the declared parts stay equal.
"""

from collections.abc import Callable
from dataclasses import MISSING, dataclass, fields, replace
from typing import Any

from seatfield.model import Project

Results = dict[str, Any]

ALWAYS = ("room", "seats", "screen", "units")
"""Fields that every stage may read: what is there, and the unit that sentences are told in."""


@dataclass(frozen=True, slots=True)
class Step:
    """One stage in the order of the job.

    Parameters
    ----------
    name
        Name of the stage, and of its field in the plan.
    reads
        Fields of the project that it depends on.
    after
        Earlier steps whose results it takes, in the order of its arguments.
    sharpened_by
        Earlier steps whose results it takes where they are there, after those, and None where they are left out.
    run
        The stage's function; called with the narrowed project and the earlier results.
    slow
        True where it takes longer than a blink, so that the workbench computes it beside the hand.
    along
        As `run`, without what nobody looks at while a hand moves; `run` where None.
    """

    name: str
    reads: tuple[str, ...]
    after: tuple[str, ...]
    run: Callable[..., Any]
    sharpened_by: tuple[str, ...] = ()
    slow: bool = False
    along: Callable[..., Any] | None = None


def narrow(project: Project, reads: tuple[str, ...]) -> Project:
    """Return the project with every field outside `reads` and `ALWAYS` blank, or at its default."""
    return replace(project, **{f.name: _blank(f) for f in fields(project) if f.name not in (*ALWAYS, *reads)})


def _blank(field: Any) -> Any:
    if field.default_factory is not MISSING:
        return field.default_factory()
    return "" if field.default is MISSING else field.default


def _survey(project: Project) -> Any:
    from seatfield.stages import survey

    return survey.plan(project)


def _layout(project: Project, surveyed: Any) -> Any:
    from seatfield.stages import layout

    return layout.plan(project, surveyed)


def _layout_along(project: Project, surveyed: Any) -> Any:
    from seatfield.stages import layout

    return layout.plan(project, surveyed, layout.LayoutParams(parts=layout.DRAGGING))


def _terminals(project: Project, laid_out: Any) -> Any:
    from seatfield.stages import terminals

    return terminals.plan(project, laid_out)


def _bass(project: Project, surveyed: Any, laid_out: Any) -> Any:
    from seatfield.stages import bass

    return bass.plan(project, surveyed, laid_out)


def _cable(project: Project, surveyed: Any, laid_out: Any, mapped: Any) -> Any:
    from seatfield.stages import cable

    return cable.plan(project, surveyed, laid_out, mapped)


def _level(*earlier: Any) -> Any:
    from seatfield.stages import level

    return level.plan(*earlier)


def _chain(project: Project) -> Any:
    from seatfield.stages import chain

    return chain.plan(project)


_KIT = ("amplifiers", "models", "subwoofer_models", "loudspeakers", "subwoofers")

STEPS = (
    Step(
        "survey",
        ("limits", "loudspeakers", "subwoofers", "models", "subwoofer_models", "amplifiers"),
        (),
        _survey,
    ),
    Step(
        "layout",
        (*_KIT, "layout", "limits", "viewing_angle_deg", "loudness"),
        ("survey",),
        _layout,
        along=_layout_along,
    ),
    Step("terminals", ("amplifiers", "subwoofers"), ("layout",), _terminals),
    Step("bass", (*_KIT, "limits", "loudness"), ("survey", "layout"), _bass, slow=True),
    Step("cable", (*_KIT, "limits", "cable", "costs"), ("survey", "layout", "terminals"), _cable, slow=True),
    Step(
        "level",
        (*_KIT, "limits", "loudness"),
        ("survey", "layout", "terminals"),
        _level,
        sharpened_by=("cable", "bass"),
    ),
    Step("chain", ("amplifiers", "devices", "links", "services", "loudspeakers", "subwoofers"), (), _chain),
)

NAMES = tuple(step.name for step in STEPS)
SLOW = frozenset(step.name for step in STEPS if step.slow)
ALONG = tuple(replace(step, run=step.along or step.run) for step in STEPS if not step.slow)
"""The steps that follow the hand."""
