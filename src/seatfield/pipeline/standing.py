"""Where the job stands: its steps in order, what is there, and what is missing, in plain words."""

from collections.abc import Callable
from dataclasses import dataclass

from seatfield.drawing.measures import length_text
from seatfield.model import Project, Severity
from seatfield.pipeline.steps import NAMES
from seatfield.stages.layout.result import Verdict
from seatfield.stages.plan import Plan
from seatfield.stages.survey import tell_area

# The rail of the job, and the stages whose findings belong to each step; a step shows when one of its stages exists.
STAGES_OF = {
    "room": ("survey",),
    "seats": (),
    "places": ("layout", "level"),
    "bass": ("bass",),
    "cable": ("cable",),
    "terminals": ("terminals",),
    "signal": ("chain",),
    "work": ("mounting", "work"),
    "takes": ("takes", "faults"),
    "settings": ("alignment",),
    "paper": (),
}
ALWAYS = {"room", "seats", "work", "takes", "settings", "paper"}


@dataclass(frozen=True, slots=True)
class Stand:
    """How one step of the job stands.

    Parameters
    ----------
    step
        Its word on the rail.
    about
        What is there, in a phrase.
    missing
        What is missing, in a sentence; empty where nothing is.
    stops, mends
        Findings of its stages that stop the job, and that should be mended.
    """

    step: str
    about: str
    missing: str
    stops: int
    mends: int


@dataclass(frozen=True, slots=True)
class Done:
    """What was done already: takes that are kept, whether settings were noted as typed, ticks."""

    takes: int = 0
    typed: bool = False
    ticks: int = 0


def step_of(code: str) -> str:
    """Return the step of the job that a finding's code belongs to."""
    stage = code.partition(".")[0]
    return next((step for step, stages in STAGES_OF.items() if stage in stages), "room")


def standing(project: Project, plan: Plan, done: Done | None = None) -> tuple[Stand, ...]:
    """Say for every step that exists how it stands, in the order of the job."""
    steps = [step for step, stages in STAGES_OF.items() if step in ALWAYS or set(stages) & set(NAMES)]
    return tuple(_stand(step, project, plan, done or Done()) for step in steps)


def _stand(step: str, project: Project, plan: Plan, done: Done) -> Stand:
    of_step = [f.severity for f in plan.findings if step_of(f.code) == step]
    teller = _TELLERS.get(step)
    about, missing = teller(project, plan) if teller else _DONE.get(step, _silent)(done)
    return Stand(step, about, missing, of_step.count(Severity.STOP), of_step.count(Severity.FIX))


Told = tuple[str, str]


def _silent(_done: Done) -> Told:
    return "", ""


def _work(done: Done) -> Told:
    return f"{_count(done.ticks, 'tick')} kept" if done.ticks else "nothing ticked yet", ""


def _takes(done: Done) -> Told:
    return (
        (f"{_count(done.takes, 'take')} kept", "")
        if done.takes
        else ("", "No take yet; it can be rehearsed.")
    )


def _settings(done: Done) -> Told:
    if done.typed:
        return "typed", ""
    return ("ready to type", "") if done.takes else ("", "Takes come first.")


def _room(project: Project, plan: Plan) -> Told:
    survey = plan.survey
    mean_m = survey.volume_m3 / survey.area_m2 if survey.area_m2 else 0.0
    high = f"{length_text(mean_m, project.units)} high{' on average' if len(survey.ceiling) > 1 else ''}"
    openings = _count(len(project.room.openings), "opening")
    about = f"{len(survey.walls)} walls, {tell_area(survey.area_m2, project.units)}, {high}, {openings}"
    return about, "" if plan.survey.sound else "The outline cannot be computed with yet; mend it first."


def _seats(project: Project, _plan: Plan) -> Told:
    about = f"{_count(len(project.seats), 'seat')}, picture {length_text(project.screen.width_m, project.units)} wide"
    return about, ""


def _places(_project: Project, plan: Plan) -> Told:
    if plan.layout is None:
        return "", "The room must be sound first."
    placed = plan.layout.loudspeakers
    good = sum(one.verdict is Verdict.GOOD for one in placed)
    about = (
        f"{plan.layout.shorthand or plan.layout.system}: {good} of {_count(len(placed), 'loudspeaker')} good"
    )
    lost = [one.id for one in placed if one.at is None]
    if not placed:
        return about, "No loudspeakers yet; add them, then move them."
    return about, f"No place yet for {', '.join(lost)}." if lost else ""


def _terminals(project: Project, plan: Plan) -> Told:
    if not project.amplifiers:
        return "", "No amplifier yet, so there is no terminal."
    if plan.terminals is None:
        return "", ""
    driven = sum(bool(use.amplifier) for use in plan.terminals.uses)
    lost = [run for one in plan.terminals.cannot for run in one.runs]
    return (
        f"{_count(driven, 'terminal')} taken",
        f"No amplifier channel for {', '.join(lost)}." if lost else "",
    )


def _bass(project: Project, plan: Plan) -> Told:
    if plan.bass is None:
        return "", ""
    now = plan.bass.now
    if now is None:
        return "", "No subwoofer has a place yet." if project.subwoofers else "No subwoofer yet."
    about = f"{_count(len(now.ids), 'subwoofer')}, uneven by {now.merit:.1f} dB"
    return about, "" if now.allowed else now.why


def _signal(project: Project, plan: Plan) -> Told:
    if plan.chain is None or not plan.chain.services:
        return "", "" if project.devices else "No device yet, so nothing can be followed."
    whole = sum(not one.losses and bool(one.format) for one in plan.chain.services)
    return f"{whole} of {_count(len(plan.chain.services), 'service')} arrive whole", ""


def _cable(project: Project, plan: Plan) -> Told:
    if not project.amplifiers:
        return "", "No amplifier yet, so no run can start."
    if all(one.at is None for one in project.amplifiers):
        return "", "The amplifier has no place yet, so no run can start."
    if plan.cable is None:
        return "", ""
    cut = sum(run.cut_m for run in plan.cable.runs)
    return f"{_count(len(plan.cable.runs), 'run')}, {length_text(cut, project.units)} to cut", ""


def _paper(_project: Project, plan: Plan) -> Told:
    stops = sum(f.severity is Severity.STOP for f in plan.findings)
    if stops:
        return (
            "",
            f"{_count(stops, 'finding')} stop{'s' if stops == 1 else ''} the job; the pack says so on its first page.",
        )
    return "ready to print", ""


def _count(number: int, one: str) -> str:
    return f"{number} {one}{'' if number == 1 else 's'}"


_TELLERS: dict[str, Callable[[Project, Plan], Told]] = {
    "room": _room,
    "seats": _seats,
    "places": _places,
    "bass": _bass,
    "cable": _cable,
    "terminals": _terminals,
    "signal": _signal,
    "paper": _paper,
}

_DONE: dict[str, Callable[[Done], Told]] = {"work": _work, "takes": _takes, "settings": _settings}
