"""One project folder at work: every change saved at once, undone and redone, and kept in step with other editors."""

import tomllib
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from threading import RLock
from typing import Any

from seatfield.model import Fault, Project
from seatfield.pipeline.changes import changed_briefly
from seatfield.pipeline.memo import Memo
from seatfield.pipeline.planning import plan, plan_along
from seatfield.pipeline.projects import ProjectFaultsError
from seatfield.pipeline.rebasing import rebased
from seatfield.pipeline.steps import NAMES, SLOW
from seatfield.stages.plan import Plan
from seatfield.store import (
    Edit,
    FileChangedError,
    Opened,
    edited,
    edited_data,
    open_data,
    open_folder,
    open_text,
    save,
)

Listener = Callable[["Revision"], None]
TRIES = 25
"""How often a save is made again when somebody else saves in the same moment."""


class ReadOnlyError(PermissionError):
    """A change was asked for of a project that is only shown."""

    def __init__(self) -> None:
        super().__init__(
            "This project is only shown; start `seatfield serve` without --read-only to change it."
        )


class UnknownRevisionError(LookupError):
    """A revision was named that this session does not know."""

    def __init__(self, number: int, latest: int) -> None:
        super().__init__(
            f"Revision {number} is unknown here; this session has 1 to {latest}. Load the page again."
        )


class NothingToTakeBackError(LookupError):
    """Undo or redo was asked for where there is nothing to take back."""

    def __init__(self, what: str) -> None:
        super().__init__(f"There is nothing to {what}.")


@dataclass(frozen=True, slots=True, eq=False)
class Revision:
    """One state of the project file in this session; equal to itself only.

    Parameters
    ----------
    number
        Counted from 1; a later state has a higher number, also after undo.
    opened
        The file as opened: its project, or its faults.
    why
        What made it, in words.
    at
        When, by this machine's clock.
    """

    number: int
    opened: Opened
    why: str
    at: datetime

    @property
    def project(self) -> Project:
        """The project.

        Raises
        ------
        ProjectFaultsError
            If the file has faults.
        """
        if self.opened.project is None:
            raise ProjectFaultsError(self.opened.faults)
        return self.opened.project

    @property
    def faults(self) -> tuple[Fault, ...]:
        """Faults of the file; none where there is a project."""
        return self.opened.faults

    def data(self) -> dict[str, Any]:
        """Return the file's plain data, as it was typed, to be read only; empty where the text is no TOML."""
        return _plain_data(self.opened.text)


@lru_cache(maxsize=16)
def _plain_data(text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError, ValueError):
        return {}


Change = Callable[[Revision], Iterable[Edit]]


class Session:
    """A project folder that is being worked on, possibly from several places at once.

    Parameters
    ----------
    folder
        The project's folder, or its ``project.toml``.
    read_only
        Whether changes are refused.

    Notes
    -----
    Everything here may be called from several threads. Texts of all revisions are kept while the session lasts, so
    that undo has no limit; the disk holds the newest only.
    """

    def __init__(self, folder: Path | str, *, read_only: bool = False) -> None:
        self.read_only = read_only
        self._lock, self._solving = RLock(), RLock()
        self._listeners: list[Listener] = []
        self._memo = Memo()
        self._past: list[str] = []
        self._future: list[str] = []
        self._revisions = [Revision(1, open_folder(Path(folder)), "as opened", datetime.now().astimezone())]
        self._stamp = self._stamped()

    @property
    def now(self) -> Revision:
        """The state that stands."""
        return self._revisions[-1]

    @property
    def file(self) -> Path:
        """The project file."""
        return self.now.opened.path

    @property
    def folder(self) -> Path:
        """The project's folder."""
        return self.file.parent

    @property
    def can_undo(self) -> bool:
        """Whether there is a change to take back."""
        return bool(self._past) and not self.read_only

    @property
    def can_redo(self) -> bool:
        """Whether there is a change that was taken back."""
        return bool(self._future) and not self.read_only

    def revision(self, number: int) -> Revision:
        """Return a revision by its number.

        Raises
        ------
        UnknownRevisionError
            If this session has none of that number.
        """
        if not 1 <= number <= len(self._revisions):
            raise UnknownRevisionError(number, len(self._revisions))
        return self._revisions[number - 1]

    def revisions(self) -> tuple[Revision, ...]:
        """Return all revisions of this session, the oldest first."""
        return tuple(self._revisions)

    def listen(self, listener: Listener) -> Callable[[], None]:
        """Call `listener` with each new revision, in the thread that made it; the result stops it."""
        self._listeners.append(listener)
        return lambda: self._listeners.remove(listener)

    def change(self, change: Change, *, base: int | None = None) -> Revision:
        """Make edits and save them at once.

        Parameters
        ----------
        change
            Makes the edits for the revision that it is handed.
        base
            Number of the revision that the person saw; the newest where left out.

        Returns
        -------
        Revision
            The new state, saved; the one that stands where the change changes nothing.

        Raises
        ------
        ReadOnlyError
            If the project is only shown.
        UnknownRevisionError
            If `base` is unknown.
        NoLongerFitsError
            If the place was changed since `base`.
        EditRefusedError
            If the file has no place for the edit.
        ProjectFaultsError
            If the file has faults, or would have after the change.
        OSError
            If the folder cannot be written.
        """
        self.refuse_if_read_only()
        with self._lock:
            for left in range(TRIES, 0, -1):
                self.look()
                before = self.now.opened.text
                text = self._changed(change, base).text
                if text == before:
                    return self.now
                try:
                    opened = self._saved(text)
                except FileChangedError:
                    if left == 1:
                        raise
                    continue
                self._past.append(before)
                self._future.clear()
                return self._add(opened)
        raise AssertionError

    def preview(self, change: Change, *, base: int | None = None) -> tuple[Project, Plan]:
        """Compute what a change would give, without saving it.

        Parameters
        ----------
        change, base
            As for `change`.

        Returns
        -------
        tuple of Project and Plan
            The project after the change, and its plan as far as it follows the hand.
        """
        project = self.previewed(change, base=base)
        with self._solving:
            return project, plan_along(project, memo=self._memo)

    def previewed(self, change: Change, *, base: int | None = None) -> Project:
        """Return the project as it would be after a change, without saving or planning it."""
        with self._lock:
            edits, data = self._edits(change, base), self.now.data()
        opened = open_data(edited_data(data, edits), self.file)
        if opened.project is None:
            raise ProjectFaultsError(opened.faults)
        return opened.project

    def undo(self) -> Revision:
        """Take the latest change back, whoever made it, and save.

        Raises
        ------
        NothingToTakeBackError
            If there is none.
        """
        return self._step(self._past, self._future, "undo")

    def redo(self) -> Revision:
        """Make the latest change that was taken back again, and save.

        Raises
        ------
        NothingToTakeBackError
            If there is none.
        """
        return self._step(self._future, self._past, "redo")

    def look(self) -> bool:
        """Look whether somebody else has changed the file; if so, their text becomes a new revision.

        Returns
        -------
        bool
            Whether there is a new revision.
        """
        with self._lock:
            stamp = self._stamped()
            if stamp == self._stamp and stamp:
                return False
            if self._digest() == self.now.opened.digest:
                self._stamp = stamp
                return False
            opened = open_folder(self.file)
            self._stamp = stamp
            if (opened.digest, opened.text) == (self.now.opened.digest, self.now.opened.text):
                return False
            self._past.append(self.now.opened.text)
            self._future.clear()
            self._add(replace(opened, path=self.file), "changed outside")
            return True

    def refuse_if_read_only(self) -> None:
        """Refuse to change what is only shown.

        Raises
        ------
        ReadOnlyError
            If the project is only shown.
        """
        if self.read_only:
            raise ReadOnlyError

    def quick(self, project: Project) -> Plan:
        """Plan every stage that takes no longer than a blink."""
        with self._solving:
            return plan(project, NAMES[-1], memo=self._memo, leave_out=SLOW)

    def _changed(self, change: Change, base: int | None) -> Opened:
        """Return the file as it would be after a change made on the revision `base`."""
        opened = open_text(edited(self.now.opened.text, self._edits(change, base)), self.file)
        if opened.project is None:
            raise ProjectFaultsError(opened.faults)
        return opened

    def _edits(self, change: Change, base: int | None) -> tuple[Edit, ...]:
        """Return the edits of a change made on the revision `base`, for the text that stands."""
        now = self.now
        seen = now if base is None else self.revision(base)
        for revision in (now, seen):
            if revision.opened.project is None:
                raise ProjectFaultsError(revision.faults)
        edits = tuple(change(seen))
        return edits if seen is now else rebased(edits, seen.data(), now.data())

    def _step(self, source: list[str], target: list[str], what: str) -> Revision:
        self.refuse_if_read_only()
        with self._lock:
            self.look()
            if not source:
                raise NothingToTakeBackError(what)
            before = self.now.opened.text
            opened = self._saved(source[-1])
            target.append(before)
            source.pop()
            return self._add(opened, {"undo": "undone", "redo": "redone"}[what])

    def _saved(self, text: str) -> Opened:
        digest = save(self.file, text, self.now.opened.digest)
        self._stamp = ()  # somebody may have saved since; the next look compares contents
        return replace(open_text(text, self.file), digest=digest)

    def _add(self, opened: Opened, how: str = "") -> Revision:
        """Add a revision; what made it is told by what differs, and how that came about where nobody typed it."""
        told = changed_briefly(self.now.data(), _plain_data(opened.text)) if opened.project else ""
        why = ": ".join(part for part in (how, told) if part) or "changed"
        revision = Revision(len(self._revisions) + 1, opened, why, datetime.now().astimezone())
        self._revisions.append(revision)
        for listener in tuple(self._listeners):
            listener(revision)
        return revision

    def _digest(self) -> str:
        try:
            return sha256(self.file.read_bytes()).hexdigest()
        except OSError:
            return ""

    def _stamped(self) -> tuple[int, ...]:
        """Return what tells cheaply that the file is another one."""
        try:
            found = self.file.stat()
        except OSError:
            return ()
        return found.st_mtime_ns, found.st_size, found.st_ino
