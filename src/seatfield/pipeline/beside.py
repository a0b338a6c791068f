"""Work beside the hand: slow stages and printing in a process of their own, so that a drag never waits for them."""

import multiprocessing
import os
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from multiprocessing.connection import Connection
from threading import Condition, RLock, Thread
from typing import Any, Protocol

from seatfield.model import Project
from seatfield.pipeline.memo import Memo
from seatfield.stages.plan import Plan

Watch = Callable[[str], None]
GENTLE = 5
"""How much the process gives way to the one that follows the hand (nice)."""
KEPT = 16
"""Whole plans that are kept, for comparing."""


class WorkFailedError(RuntimeError):
    """Work beside the hand ended without a result; the message says why."""


class WorkStoppedError(WorkFailedError):
    """Work beside the hand was stopped on purpose."""

    def __init__(self) -> None:
        super().__init__("This was stopped; change anything, or ask again, to start it anew.")


class WorkRefusedError(ValueError):
    """A task that cannot be done as it was asked; the message says why and what to do."""


class Task(Protocol):
    """Work that can be sent to another process."""

    def run(self, memo: Memo, watch: Watch) -> Any:
        """Do it, keeping what may be of use again in `memo`."""


@dataclass(frozen=True, slots=True)
class PlanTask:
    """Plan a project with every stage."""

    project: Project

    def run(self, memo: Memo, watch: Watch) -> Plan:
        """Plan."""
        from seatfield.pipeline.planning import plan

        return plan(self.project, memo=memo, watch=watch)


@dataclass(frozen=True, slots=True)
class PackTask:
    """Plan a project and print its pack."""

    project: Project
    paper: str
    day: date
    revision: str

    def run(self, memo: Memo, watch: Watch) -> bytes:
        """Plan and print."""
        from seatfield.pipeline.planning import plan
        from seatfield.pipeline.printing import print_pack

        made = plan(self.project, memo=memo, watch=watch)
        watch("paper")
        return print_pack(self.project, made, paper=self.paper, day=self.day, revision=self.revision)


class Helper:
    """A process that does one task at a time; it starts with the first and ends with `close`.

    Parameters
    ----------
    nice
        How much it gives way to others; 0 for what the hand waits for.
    """

    def __init__(self, nice: int = GENTLE) -> None:
        self._nice = nice
        self._turn = RLock()
        self._process: Any = None
        self._pipe: Connection | None = None
        self._stopped = False
        self._closed = False

    def do(self, task: Task, watch: Watch = lambda _stage: None) -> Any:
        """Do a task in the other process and wait for its result.

        Parameters
        ----------
        task
            What to do.
        watch
            Called with the name of each stage as it starts.

        Raises
        ------
        WorkFailedError
            If the task raised, or the process ended.
        WorkStoppedError
            If `stop` was called meanwhile.
        WorkRefusedError
            If the task refuses.
        """
        with self._turn:
            if self._closed:
                raise WorkStoppedError
            self._stopped = False
            try:
                return self._done(task, watch)
            except (EOFError, OSError):
                self._end()
            return self._done_anew(task, watch)

    def _done_anew(self, task: Task, watch: Watch) -> Any:
        """Do a task again in a new process, once: the old one ended, perhaps killed from outside."""
        if self._stopped:
            raise WorkStoppedError
        try:
            return self._done(task, watch)
        except (EOFError, OSError) as ended:
            self._end()
            if self._stopped:
                raise WorkStoppedError from ended
            raise WorkFailedError("The process that computes beside the hand has ended.") from ended

    def _done(self, task: Task, watch: Watch) -> Any:
        pipe = self._running()
        if self._stopped:
            raise WorkStoppedError
        pipe.send(task)
        while True:
            kind, value = pipe.recv()
            if kind == "stage":
                watch(value)
            elif kind == "done":
                return value
            elif kind == "refused":
                raise WorkRefusedError(value)
            else:
                raise WorkFailedError(value)

    @property
    def runs(self) -> bool:
        """Whether the process is there."""
        return self._process is not None

    def start(self) -> None:
        """Start the process, if it does not run, so that the first task need not wait for it."""
        with self._turn:
            self._running()

    def stop(self) -> None:
        """Stop the task that runs, from any thread."""
        self._stopped = True
        if self._process is not None:
            self._process.terminate()

    def close(self) -> None:
        """End the process; what is asked for later is refused."""
        self._closed = True
        self.stop()
        with self._turn:
            self._end()

    def _running(self) -> Connection:
        if self._pipe is None:
            context = multiprocessing.get_context("spawn")
            ours, theirs = context.Pipe()
            process = context.Process(
                target=_serve, args=(theirs, self._nice), daemon=True, name="seatfield-beside"
            )
            process.start()
            theirs.close()
            self._process, self._pipe = process, ours  # only now can another thread end it
        return self._pipe

    def _end(self) -> None:
        if self._process is not None:
            self._process.terminate()
            self._process.join(5.0)
        if self._pipe is not None:
            self._pipe.close()
        self._process, self._pipe = None, None


def _serve(pipe: Connection, nice: int) -> None:
    """Do tasks until the pipe is closed."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the terminal's interrupt is the other process's to answer
    with suppress(OSError, AttributeError):
        os.nice(nice)
    memo = Memo()
    with suppress(EOFError, OSError):
        while True:
            task = pipe.recv()
            try:
                result = task.run(memo, lambda stage: pipe.send(("stage", stage)))
            except WorkRefusedError as refused:
                pipe.send(("refused", str(refused)))
            except Exception as defect:  # noqa: BLE001  (whatever it is, the other process must hear of it)
                pipe.send(("failed", f"This could not be computed ({type(defect).__name__}: {defect})."))
            else:
                pipe.send(("done", result))


@dataclass(frozen=True, slots=True)
class Progress:
    """How planning beside the hand stands.

    Parameters
    ----------
    revision
        The revision that is planned, or was last.
    stage
        The stage that runs; empty where none does.
    trouble
        Why the last one gave no result; empty where it did.
    """

    revision: int = 0
    stage: str = ""
    trouble: str = ""


Asked = tuple[int, Project]


class Planner:
    """Plans the newest revision with every stage, beside the hand; only the newest waits.

    Parameters
    ----------
    helper
        The process to use.
    told
        Called with each change of progress, in the planner's own thread.
    """

    def __init__(self, helper: Helper, told: Callable[[Progress], None]) -> None:
        self._helper, self._told = helper, told
        self._wake = Condition()
        self._asked: Asked | None = None
        self._open = True
        self._plans: dict[int, Plan] = {}
        self.progress = Progress()
        self._thread = Thread(target=self._work, name="seatfield-planner", daemon=True)
        self._thread.start()

    def ask(self, revision: int, project: Project) -> None:
        """Ask for the plan of a revision; one that still waits is forgotten."""
        with self._wake:
            self._asked = (revision, project)
            self._wake.notify_all()

    def plan(self, revision: int) -> Plan | None:
        """Return the whole plan of a revision, if it is there."""
        return self._plans.get(revision)

    def wait(self, revision: int, timeout_s: float) -> Plan | None:
        """Wait for the whole plan of a revision; None where it does not come."""
        with self._wake:
            self._wake.wait_for(
                lambda: revision in self._plans or self._settled(revision) or not self._open, timeout_s
            )
            return self._plans.get(revision)

    def stop(self) -> None:
        """Stop what is planned."""
        with self._wake:
            self._asked = None
        self._helper.stop()

    def close(self) -> None:
        """End the planner."""
        with self._wake:
            self._open = False
            self._wake.notify_all()

    def _settled(self, revision: int) -> bool:
        return self.progress.revision == revision and not self.progress.stage

    def _work(self) -> None:
        while True:
            with self._wake:
                self._wake.wait_for(lambda: self._asked is not None or not self._open)
                if not self._open:
                    return
                assert self._asked is not None
                (revision, project), self._asked = self._asked, None
            self._plan(revision, project)

    def _plan(self, revision: int, project: Project) -> None:
        self._say(Progress(revision, "survey"))
        try:
            made = self._helper.do(PlanTask(project), lambda stage: self._say(Progress(revision, stage)))
        except WorkFailedError as failed:
            self._say(Progress(revision, "", str(failed)))
            return
        with self._wake:
            self._plans = dict([*self._plans.items(), (revision, made)][-KEPT:])
        self._say(Progress(revision))

    def _say(self, progress: Progress) -> None:
        with self._wake:
            self.progress = progress
            self._wake.notify_all()
        self._told(progress)
