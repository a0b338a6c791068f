"""Findings in full, as the sheets print them."""

import math
from collections.abc import Iterable
from typing import Any

from seatfield.model import Finding, Severity

WORDS = {Severity.STOP: "Stop", Severity.FIX: "Mend", Severity.NOTE: "Note"}


def gathered(findings: Iterable[Finding]) -> list[dict[str, Any]]:
    """Give findings as printable text, those of one code, severity and advice as one with all their subjects.

    Parameters
    ----------
    findings
        In the order in which they are to be told; each group stands where its first one stood.

    Returns
    -------
    list of dict
        `messages` holds each sentence once: where sentences differ in their subject alone, it lists the subjects.
    """
    groups: dict[tuple[str, Severity, str], list[Finding]] = {}
    for finding in findings:
        groups.setdefault((finding.code, finding.severity, finding.advice), []).append(finding)
    return [_told(group) for group in groups.values()]


def listed(names: Iterable[str]) -> str:
    """Join names with commas and a last ``and``, each once."""
    distinct = list(dict.fromkeys(names))
    return distinct[0] if len(distinct) == 1 else f"{', '.join(distinct[:-1])} and {distinct[-1]}"


def _told(group: list[Finding]) -> dict[str, Any]:
    first = group[0]
    return {
        "word": WORDS[first.severity],
        "code": first.code,
        "subject": listed(finding.subject for finding in group),
        "messages": _messages(group),
        "advice": first.advice,
        "measured": _span([finding.measured for finding in group], first.unit),
        "limit": _span([finding.limit for finding in group], first.unit),
        "traces": _traces(group),
        "source": "; ".join(dict.fromkeys(finding.source for finding in group if finding.source)),
        "key": ", ".join(dict.fromkeys(finding.key for finding in group if finding.key)),
    }


def _messages(group: list[Finding]) -> list[str]:
    subjects: dict[tuple[str, ...], list[str]] = {}
    for finding in group:
        about = finding.subject or finding.message
        subjects.setdefault(tuple(finding.message.split(about)), []).append(about)
    return [listed(names).join(parts) for parts, names in subjects.items()]


def _span(values: list[float | str | None], unit: str) -> str:
    """Write the least and the greatest of some numbers; texts one after the other."""
    numbers = [value for value in values if isinstance(value, int | float)]
    if len(numbers) < len(values):
        return ", ".join(dict.fromkeys(text for value in values if (text := quantity(value, unit))))
    low, high = quantity(min(numbers), unit), quantity(max(numbers), unit)
    return low if low == high else f"{quantity(min(numbers), '')} to {high}"


def _traces(group: list[Finding]) -> list[dict[str, str]]:
    """Give each formula once, with the numbers of every subject that it was used for."""
    found: dict[str, list[str]] = {}
    for finding in group:
        if finding.trace is None:
            continue
        inputs = ", ".join(f"{one.name} = {quantity(one.value, one.unit)}" for one in finding.trace.inputs)
        whose = f"{finding.subject}: " if len(group) > 1 and inputs else ""
        found.setdefault(finding.trace.formula, []).append(f"{whose}{inputs}")
    return [
        {"formula": formula, "inputs": "; ".join(dict.fromkeys(filter(None, inputs)))}
        for formula, inputs in found.items()
    ]


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
