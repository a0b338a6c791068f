"""A session with its plans: what the workbench asks, each question one call."""

from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from threading import Thread
from typing import Any

from seatfield.model import Fault, Finding, Project, Underlay
from seatfield.pipeline.beside import (
    Helper,
    PackTask,
    Planner,
    Progress,
    Task,
    WorkFailedError,
    WorkRefusedError,
)
from seatfield.pipeline.changes import changed
from seatfield.pipeline.comparing import Comparison, compare
from seatfield.pipeline.gauge import Gauge
from seatfield.pipeline.hearing_along import BassTask, HeardAlong
from seatfield.pipeline.planning import Watch
from seatfield.pipeline.screens import Look, reach
from seatfield.pipeline.session import Change, Revision, Session
from seatfield.pipeline.standing import Done, Stand, standing
from seatfield.pipeline.things import Thing, things
from seatfield.stages.plan import Plan
from seatfield.store import append_record, read_log

TICKS = "ticks"
PATIENCE_S = 120.0


@dataclass(frozen=True, slots=True)
class State:
    """What the workbench shows of a revision besides its drawing.

    Parameters
    ----------
    revision
        Its number.
    why
        What made it.
    name, units, currency
        Of the project; as in the file.
    read_only, can_undo, can_redo
        What may be done.
    faults
        Faults of the file; where there are any, the rest is of the last revision without.
    things
        What can be taken hold of.
    standing
        How the job stands.
    progress
        How planning beside the hand stands.
    whole
        Whether every stage is planned.
    data
        The file's plain data, as typed.
    underlay
        The picture under the plan.
    reach
        How far the drawing reaches: left, low, right, high [m].
    """

    revision: int
    why: str
    name: str
    units: str
    currency: str
    read_only: bool
    can_undo: bool
    can_redo: bool
    faults: tuple[Fault, ...]
    things: tuple[Thing, ...]
    standing: tuple[Stand, ...]
    progress: Progress
    whole: bool
    data: dict[str, Any]
    underlay: Underlay | None
    reach: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One step of the work: what to do, and how much there is of it."""

    what: str
    detail: str


class UnknownFindingError(LookupError):
    """A finding was asked for that this plan does not have."""

    def __init__(self, code: str, subject: str) -> None:
        super().__init__(f"No finding is called {code}@{subject} here; it may have been mended meanwhile.")


class Bench:
    """A session, the plans of its revisions, and the process that makes the slow ones.

    Parameters
    ----------
    folder, read_only
        As for `Session`.
    """

    def __init__(self, folder: Path | str, *, read_only: bool = False) -> None:
        self.session = Session(folder, read_only=read_only)
        self._told: list[Watch] = []
        self._helper = Helper()
        self._along = Helper(nice=0)
        self._running: dict[str, str] = {}
        self._planner = Planner(self._helper, self._tell)
        self.gauge = Gauge(self.session, self.shown, self._aside)
        self.session.listen(self._ask)

    def begin(self) -> None:
        """Start planning beside the hand; call it once the first view is out, for both want the processor."""
        self._ask(self.session.now)

    def watch(self, told: Watch) -> None:
        """Call `told` with the name of the stage that starts beside the hand; an empty one where it ends."""
        self._told.append(told)

    def close(self) -> None:
        """End the planner and its process."""
        self._planner.close()
        self._helper.close()
        self._along.close()
        self.gauge.close()

    def shown(self) -> Revision:
        """Return the newest revision without faults, which is what is shown; the newest where there is none."""
        now = self.session.now
        if now.opened.project is not None:
            return now
        numbers = range(now.number - 1, 0, -1)
        sound = (found for n in numbers if (found := self.session.revision(n)).opened.project is not None)
        return next(sound, now)

    def plan(self, revision: Revision) -> Plan:
        """Return the best plan that is there of a revision: whole, or what follows the hand."""
        return self._planner.plan(revision.number) or self.session.quick(revision.project)

    def whole_plan(self, revision: Revision) -> Plan:
        """Return the whole plan of a revision, waiting for it; what follows the hand where it does not come."""
        if self._planner.plan(revision.number) is None:
            self._planner.ask(revision.number, revision.project)
            self._planner.wait(revision.number, PATIENCE_S)
        return self.plan(revision)

    def hear_along(
        self, change: Change, look: Look, curves_mm: tuple[float, float] | None, *, base: int | None = None
    ) -> HeardAlong:
        """Return the bass as it would be after a change that is not saved.

        Parameters
        ----------
        change, base
            As for `Session.change`.
        look, curves_mm
            As for `BassTask`.
        """
        heard = self._along.do(BassTask(self.session.previewed(change, base=base), look, curves_mm))
        assert isinstance(heard, HeardAlong)
        return heard

    def ready_bass(self) -> None:
        """Start the process that lets the bass follow the hand, before the hand moves."""
        shown = self.shown()
        if shown.opened.project is not None and not self._along.runs:
            task = BassTask(shown.project, Look(50.0))
            Thread(target=self._warm, args=(task,), name="seatfield-along", daemon=True).start()

    def _warm(self, task: Task) -> None:
        """Do a task whose result nobody waits for; the hand will tell if it cannot be done."""
        with suppress(WorkFailedError, WorkRefusedError):
            self._along.do(task)

    def state(self) -> State:
        """Return what the workbench shows."""
        session, shown = self.session, self.shown()
        project = shown.opened.project
        plan = self.plan(shown) if project else None
        return State(
            session.now.number,
            session.now.why,
            project.name if project else "",
            project.units.value if project else "m",
            project.currency if project else "",
            session.read_only,
            session.can_undo,
            session.can_redo,
            session.now.faults,
            things(project, plan.survey) if project and plan else (),
            standing(project, plan, self._done()) if project and plan else (),
            replace(self._planner.progress, stage=self._stages()),
            self._planner.plan(shown.number) is not None,
            shown.data(),
            project.underlay if project else None,
            reach(plan) if plan else (0.0, 0.0, 1.0, 1.0),
        )

    def finding(self, code: str, subject: str) -> Finding:
        """Return a finding of what is shown.

        Raises
        ------
        UnknownFindingError
            If there is none of that code and subject.
        """
        for finding in self.plan(self.shown()).findings:
            if (finding.code, finding.subject) == (code, subject):
                return finding
        raise UnknownFindingError(code, subject)

    def work(self) -> tuple[WorkStep, ...]:
        """List the work in its order, as the first sheet of the pack has it."""
        from seatfield.pack import steps_of

        return tuple(WorkStep(what, detail) for what, detail in steps_of(self.plan(self.shown())))

    def compare(self, left: int, right: int) -> Comparison:
        """Compare two revisions by their whole plans."""
        sides = [self.session.revision(number) for number in (left, right)]
        one, other = [(side.project, self.whole_plan(side)) for side in sides]
        return compare(one, other, changed(sides[0].data(), sides[1].data()))

    def pack(self, *, paper: str, day: date) -> bytes:
        """Print the pack of what is shown, beside the hand."""
        shown = self.shown()
        made = self._helper.do(PackTask(shown.project, paper, day, str(shown.number)))
        assert isinstance(made, bytes)
        return made

    def stop(self) -> None:
        """Stop what is computed beside the hand."""
        self._planner.stop()
        if self._running.get("aside"):
            self._along.stop()

    def tick(self, what: str, *, done: bool, at: str) -> dict[str, bool]:
        """Keep that something was done, or was not after all, in the project's log; return all ticks."""
        self.session.refuse_if_read_only()
        append_record(self.session.folder, TICKS, {"what": what, "done": done}, at=at)
        return self.ticks()

    def ticks(self) -> dict[str, bool]:
        """Return what was ticked, by its last word."""
        entries = read_log(self.session.folder, TICKS).entries
        told = {str(entry.data.get("what", "")): bool(entry.data.get("done")) for entry in entries}
        return {what: done for what, done in told.items() if done}

    def _done(self) -> Done:
        takes, settings = (len(read_log(self.session.folder, name).entries) for name in ("takes", "settings"))
        return Done(takes, settings > 0, len(self.ticks()))

    def _ask(self, revision: Revision) -> None:
        project: Project | None = revision.opened.project
        if project is not None:
            self._planner.ask(revision.number, project)

    def _aside(self, task: Task) -> Any:
        """Do a task of measuring in the second process, and tell what runs meanwhile."""
        try:
            return self._along.do(task, lambda stage: self._tell_running("aside", stage))
        finally:
            self._tell_running("aside", "")

    def _tell(self, progress: Progress) -> None:
        self._tell_running("planner", progress.stage)

    def _tell_running(self, who: str, stage: str) -> None:
        self._running[who] = stage
        for told in tuple(self._told):
            told(self._stages())

    def _stages(self) -> str:
        return " and ".join(stage for stage in self._running.values() if stage)
