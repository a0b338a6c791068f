"""Print sheets, and put finished bytes on the disk in one step."""

import os
import tempfile
from datetime import date
from pathlib import Path

from seatfield.model import LengthUnit, Project
from seatfield.stages.plan import Plan

PAPERS = ("a4", "letter")


class NotWrittenError(OSError):
    """A file that could not be written; the message names it and the reason."""

    def __init__(self, target: Path, reason: OSError) -> None:
        super().__init__(f"{target} could not be written: {reason.strerror or reason}.")


def print_pack(project: Project, plan: Plan, *, paper: str, day: date, revision: str) -> bytes:
    """Return the hand-over pack as a PDF; the same bytes for the same arguments."""
    from seatfield import pack

    return pack.render(project, plan, paper=paper, day=day, revision=revision)


def print_survey_sheet(*, paper: str, unit: LengthUnit, day: date) -> bytes:
    """Return the blank survey sheet as a PDF."""
    from seatfield import pack

    return pack.survey_sheet(paper=paper, unit=unit, day=day)


def write_whole(target: Path, content: bytes) -> None:
    """Write a file so that a reader finds the old content or the new, never a part.

    Raises
    ------
    NotWrittenError
        If the folder cannot be written.
    """
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        Path(name).chmod(0o644)
        Path(name).replace(target)
    except OSError as reason:
        raise NotWrittenError(target, reason) from reason
