"""Where a number of a finding came from: formula, inputs, source."""

import click

from seatfield.cli.say import console
from seatfield.model import Finding


def say_explanations(findings: tuple[Finding, ...], wanted: str) -> None:
    """Print formula, inputs and source of every finding that `wanted` (CODE or CODE@SUBJECT) names."""
    code, _, subject = wanted.partition("@")
    chosen = [f for f in findings if f.code == code and subject in ("", f.subject)]
    if not chosen:
        known = ", ".join(sorted({f.code for f in findings})) or "none"
        raise click.UsageError(f"No finding is called {wanted!r} here; there are: {known}.")
    for finding in chosen:
        _say(finding)


def _say(finding: Finding) -> None:
    out = console()
    out.print(f"{finding.code}@{finding.subject}", style="bold")
    out.print(finding.message)
    if finding.measured is not None:
        out.print(f"  measured  {finding.measured:g} {finding.unit}".rstrip())
    if finding.limit is not None:
        out.print(f"  limit     {finding.limit:g} {finding.unit}".rstrip())
    if finding.trace:
        out.print(f"  formula   {finding.trace.formula}")
        for entry in finding.trace.inputs:
            value = f"{entry.value:g}" if isinstance(entry.value, float) else str(entry.value)
            out.print(f"            {entry.name} = {value} {entry.unit}".rstrip())
    if finding.source:
        out.print(f"  source    {finding.source}")
    if finding.advice:
        out.print(f"  do        {finding.advice}")
    if finding.key:
        out.print(f"  in file   {finding.key}")
