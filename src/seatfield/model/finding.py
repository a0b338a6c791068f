"""A finding: trouble with the room or the design, as a value."""

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a finding matters: the job stops, should be mended, or is worth knowing."""

    STOP = "stop"
    FIX = "fix"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Input:
    """One quantity that a number was computed from.

    Parameters
    ----------
    name
        What it is, in words or as the symbol of the formula.
    value
        The number or the text that went in.
    unit
        Its unit; empty for counts, ratios and text.
    """

    name: str
    value: float | str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Trace:
    """How a printed number came about: the formula in words or symbols, and what went into it."""

    formula: str
    inputs: tuple[Input, ...] = ()


@dataclass(frozen=True, slots=True)
class Finding:
    """Trouble with the room or the design, said so that a person can act on it.

    Parameters
    ----------
    code
        Stage and matter in plain words, such as ``layout.azimuth-outside``.
    severity
        Whether the job stops, should be mended, or the reader should merely know.
    subject
        The id or name of the thing spoken of, such as ``M+110`` or ``sofa``.
    message
        One or two full sentences.
    measured, limit
        The number found and the number allowed, in `unit`, where there are such numbers.
    unit
        Unit of both; empty where there are none.
    source
        The publication behind the limit, or 'common practice, no source', or 'from memory'.
    advice
        What to do about it, the cheapest mend first.
    at
        The place in the room that it speaks of [m], where there is one.
    key
        The place in the project file, such as ``loudspeaker[3].at``, where there is one.
    trace
        Formula and inputs of `measured`.
    """

    code: str
    severity: Severity
    subject: str
    message: str
    measured: float | None = None
    limit: float | None = None
    unit: str = ""
    source: str = ""
    advice: str = ""
    at: tuple[float, float, float] | None = None
    key: str = ""
    trace: Trace | None = None


def worst_first(findings: "tuple[Finding, ...]") -> tuple[Finding, ...]:
    """Order findings by severity, keeping the order of the job within each."""
    rank = {severity: place for place, severity in enumerate(Severity)}
    return tuple(sorted(findings, key=lambda finding: rank[finding.severity]))
