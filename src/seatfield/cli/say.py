"""How results are said in a terminal: findings as sentences, tables within 80 columns, faults with their lines."""

import json
import sys
from typing import TYPE_CHECKING, Any

import click

from seatfield.model import Fault, Finding, Severity

if TYPE_CHECKING:
    from rich.console import Console

WIDTH = 80
_MARKS = {
    Severity.STOP: ("STOP", "bold red"),
    Severity.FIX: ("FIX", "yellow"),
    Severity.NOTE: ("note", "dim"),
}


def console(*, err: bool = False) -> "Console":
    """Return a console that is at most 80 columns wide and colours only on a terminal."""
    from rich.console import Console

    stream = sys.stderr if err else sys.stdout
    made = Console(file=stream, highlight=False, soft_wrap=False, emoji=False, markup=False)
    made.width = min(made.width, WIDTH)
    return made


def say_json(value: dict[str, Any]) -> None:
    """Print exactly one object on standard output."""
    click.echo(json.dumps(value, ensure_ascii=False, indent=1))


def say_faults(faults: tuple[Fault, ...]) -> None:
    """Print every fault of a file on the error stream."""
    out = console(err=True)
    for fault in faults:
        out.print(str(fault), soft_wrap=True)
    many = "fault" if len(faults) == 1 else "faults"
    out.print(f"{len(faults)} {many}; nothing was computed.")


def say_findings(findings: tuple[Finding, ...], *, explained: bool = True) -> None:
    """Print findings, the worst first; those of one kind stand together, the first in full.

    With `explained` the last line names the command that says where a number comes from.
    """
    out = console()
    if not findings:
        out.print("Nothing found that needs mending.")
        return
    kinds = {(finding.severity, finding.code): None for finding in findings}
    for severity, code in kinds:
        _say_kind(out, [f for f in findings if (f.severity, f.code) == (severity, code)])
    where = ". Where a number comes from: seatfield plan PROJECT --explain CODE@SUBJECT"
    out.print(_tally(findings) + (where if explained else "."))


def _say_kind(out: "Console", alike: list[Finding]) -> None:
    from rich.padding import Padding
    from rich.text import Text

    first, *rest = alike
    mark, style = _MARKS[first.severity]
    out.print(Text.assemble((f"{mark:<5}", style), (f"{first.code}@{first.subject}", "bold")))
    out.print(Padding(Text(first.message), (0, 0, 0, 5)))
    if first.advice:
        out.print(Padding(Text(first.advice, style="italic"), (0, 0, 0, 5)))
    said = {(_plain(first.message, first), first.advice)}
    for finding in rest:
        told = (_plain(finding.message, finding), finding.advice)
        if told in said:
            continue
        said.add(told)
        out.print(Padding(Text(f"{finding.subject}: {finding.message}"), (0, 0, 0, 5)))
        if finding.advice and finding.advice != first.advice:
            out.print(Padding(Text(finding.advice, style="italic"), (0, 0, 0, 5)))
    alike_subjects = [f.subject for f in rest if _plain(f.message, f) == _plain(first.message, first)]
    if alike_subjects:
        out.print(Padding(Text(f"Likewise: {', '.join(dict.fromkeys(alike_subjects))}."), (0, 0, 0, 5)))


def _plain(message: str, finding: Finding) -> str:
    """Return the message without its subject: what is left tells whether two findings say the same."""
    return message.replace(finding.subject, "")


def _tally(findings: tuple[Finding, ...]) -> str:
    counts = [(sum(f.severity is severity for f in findings), severity) for severity in Severity]
    words = {Severity.STOP: "stop the job", Severity.FIX: "should be mended", Severity.NOTE: "worth knowing"}
    return "; ".join(f"{count} {words[severity]}" for count, severity in counts if count)


def stops(findings: tuple[Finding, ...]) -> bool:
    """Whether any finding stops the job."""
    return any(finding.severity is Severity.STOP for finding in findings)
