"""Findings in full, as the sheets print them."""

import math
from typing import Any

from seatfield.model import Finding, Severity

WORDS = {Severity.STOP: "Stop", Severity.FIX: "Mend", Severity.NOTE: "Note"}


def told(finding: Finding) -> dict[str, Any]:
    """Give everything that a finding carries as printable text."""
    inputs = finding.trace.inputs if finding.trace else ()
    return {
        "word": WORDS[finding.severity],
        "code": finding.code,
        "subject": finding.subject,
        "message": finding.message,
        "advice": finding.advice,
        "measured": quantity(finding.measured, finding.unit),
        "limit": quantity(finding.limit, finding.unit),
        "formula": finding.trace.formula if finding.trace else "",
        "inputs": ", ".join(f"{one.name} = {quantity(one.value, one.unit)}" for one in inputs),
        "source": finding.source,
        "key": finding.key,
    }


def quantity(value: float | str | None, unit: str) -> str:
    """Write a number to three significant figures with its unit; text as it is, nothing for None."""
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    return f"{figure(value)}{'' if unit in {'', '°'} else ' '}{unit}".replace("-", "−", 1 if value < 0 else 0)


def figure(value: float) -> str:
    """Write a number to three significant figures, large ones to the unit, without an exponent."""
    if value == 0 or not math.isfinite(value):
        return f"{value:g}"
    digits = max(0, 2 - math.floor(math.log10(abs(value))))
    text = f"{value:.{min(digits, 6)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
