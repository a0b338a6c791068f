"""What the faults stage hands on: what is wrong, how sure that is, where to look, and what nobody can tell yet."""

from dataclasses import dataclass

from seatfield.model import FaultKind, Finding

IN_MENUS = (FaultKind.FULL_RANGE, FaultKind.LFE_LEVEL, FaultKind.SUB_FILTER)
"""Faults that a menu or a knob mends, with nothing to be touched that power is on."""


@dataclass(frozen=True, slots=True)
class FaultFound:
    """One fault that the takes show.

    Parameters
    ----------
    channel, run
        Whom it concerns first.
    with_runs
        The others it concerns: the partner of a swap, the ring of wrong terminals.
    confidence
        Estimated chance that it is so [-].
    look_at
        The terminal or the setting to look at first.
    message
        What was found, in a sentence.
    evidence
        The numbers behind it, a sentence each.
    """

    kind: FaultKind
    channel: str
    run: str
    with_runs: tuple[str, ...]
    confidence: float
    look_at: str
    message: str
    evidence: tuple[str, ...] = ()

    @property
    def advice(self) -> str:
        """What to do: where to look, with the power off where terminals are touched."""
        first = "" if self.kind in IN_MENUS else "Power off first. "
        return f"{first}Look at {self.look_at}."


@dataclass(frozen=True, slots=True)
class Undecided:
    """A question that these takes cannot answer, and what would.

    Parameters
    ----------
    kinds
        The faults between which, or between which and none, it is open.
    do
        What to do to find out.
    """

    kinds: tuple[FaultKind, ...]
    runs: tuple[str, ...]
    message: str
    do: str


@dataclass(frozen=True, slots=True)
class Faults:
    """All faults that the takes show, the surest first, and all questions that stay open."""

    faults: tuple[FaultFound, ...]
    undecided: tuple[Undecided, ...]
    findings: tuple[Finding, ...]
