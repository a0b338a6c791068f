"""How results are said in a terminal: findings as sentences, tables within 80 columns, faults with their lines."""

import json
import re
import sys
import textwrap
from typing import IO, TYPE_CHECKING, Any, cast

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


class _Trimmed:
    """A stream that leaves out blanks before a line's end, with which tables fill their last column."""

    def __init__(self, stream: "IO[str]") -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        """Write without those blanks."""
        return self._stream.write(_BLANKS_AT_END.sub("", text))

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


_BLANKS_AT_END = re.compile(r" +(?=\n)")


def console(*, err: bool = False) -> "Console":
    """Return a console that is at most 80 columns wide and colours only on a terminal."""
    from rich.console import Console

    stream = sys.stderr if err else sys.stdout
    made = Console(
        file=cast("IO[str]", _Trimmed(stream)), highlight=False, soft_wrap=False, emoji=False, markup=False
    )
    made.width = min(made.width, WIDTH)
    return made


def say_json(value: dict[str, Any]) -> None:
    """Print exactly one object on standard output."""
    click.echo(json.dumps(value, ensure_ascii=False, indent=1))


def say_faults(faults: tuple[Fault, ...]) -> None:
    """Print every fault of a file on the error stream."""
    out = console(err=True)
    for fault in faults:
        say_wrapped(out, str(fault), hanging=2)
    many = "fault" if len(faults) == 1 else "faults"
    out.print(f"{len(faults)} {many}; nothing was computed.")


def say_wrapped(out: "Console", text: str, *, indent: int = 0, hanging: int = 0, style: str = "") -> None:
    """Print text wrapped to the console's width, without blanks at the ends of its lines.

    Parameters
    ----------
    out
        Where to.
    text
        One paragraph.
    indent, hanging
        Blanks before every line, and further ones before all but the first.
    style
        Of the whole text.
    """
    first, rest = " " * indent, " " * (indent + hanging)
    for line in textwrap.wrap(
        text,
        out.width,
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=False,
        break_on_hyphens=False,
    ):
        out.print(line, style=style or None, soft_wrap=True)


def say_findings(findings: tuple[Finding, ...], *, explained: bool = True) -> None:
    """Print findings, the worst first; those of one kind stand together, the same sentence once with its subjects.

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
    say_wrapped(out, _tally(findings) + (where if explained else "."))


MOST_OF_A_KIND = 3
"""Findings of one code that are told in full; the rest are named."""


def _say_kind(out: "Console", alike: list[Finding]) -> None:
    from rich.text import Text

    mark, style = _MARKS[alike[0].severity]
    out.print(Text.assemble((f"{mark:<5}", style), (f"{alike[0].code}@{alike[0].subject}", "bold")))
    groups: dict[str, list[Finding]] = {}
    for finding in alike:
        groups.setdefault(_plain(finding), []).append(finding)
    told, rest = list(groups.values())[:MOST_OF_A_KIND], list(groups.values())[MOST_OF_A_KIND:]
    advised = ""
    for place, (first, *others) in enumerate(told):
        say_wrapped(out, first.message if place == 0 else f"{first.subject}: {first.message}", indent=5)
        if first.advice and first.advice != advised:
            say_wrapped(out, first.advice, indent=5, style="italic")
            advised = first.advice
        if others:
            say_wrapped(out, f"Likewise: {_subjects(others)}.", indent=5)
    if rest:
        more = [finding for group in rest for finding in group]
        say_wrapped(out, f"Also {_subjects(more)}: in full with --explain {alike[0].code}", indent=5)


def _subjects(findings: list[Finding]) -> str:
    return ", ".join(dict.fromkeys(finding.subject for finding in findings))


def _plain(finding: Finding) -> str:
    """Return the message without its subject and its numbers: what is left tells whether two findings say the same."""
    return re.sub(r"\d+(?:[.,/]\d+)*", "0", finding.message.replace(finding.subject, ""))


def _tally(findings: tuple[Finding, ...]) -> str:
    counts = [(sum(f.severity is severity for f in findings), severity) for severity in Severity]
    stop = "stops the job" if counts[0][0] == 1 else "stop the job"
    words = {Severity.STOP: stop, Severity.FIX: "should be mended", Severity.NOTE: "worth knowing"}
    return "; ".join(f"{count} {words[severity]}" for count, severity in counts if count)


def stops(findings: tuple[Finding, ...]) -> bool:
    """Whether any finding stops the job."""
    return any(finding.severity is Severity.STOP for finding in findings)
