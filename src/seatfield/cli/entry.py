"""The entry point: commands load only when they are called, and no traceback reaches a person."""

import os
import sys
from importlib import import_module
from typing import Any, Never

import click

import seatfield

FINE, STOPS, AT_FAULT = 0, 1, 2

ONE_THREAD = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS")
"""Set before numpy loads: the matrices are small, and threads that wait for each other cost half of the processor."""

# Name → (one line of help, in the order of the job). The module is seatfield.cli.commands.<name>.
COMMANDS = {
    "sheet": "Print the blank survey sheet, to fill in by pencil.",
    "new": "Start a project folder by asking a few things.",
    "check": "Read the project file and say what is wrong with the file or the room.",
    "plan": "Compute everything: places, levels, cable, chain, findings.",
    "bass": "Say how even the bass is, where a subwoofer stands best, what moving a seat does.",
    "chain": "Say what really arrives of each service, and the first link that spoils it.",
    "sink": "Read what a display or receiver reports of itself (EDID or ELD).",
    "compare": "Say what a change gives and what it costs: two projects side by side.",
    "pack": "Print the hand-over pack as one PDF.",
    "serve": "Open the workbench: the whole job on one page in the browser.",
    "sweep": "Write the sweeps to play, and the sheet that says how.",
    "take": "Read recordings of the sweeps, keep them, and say what they show.",
    "align": "What to type into the amplifier, which seat gains, what others' values are worth.",
    "rehearse": "Make recordings from the project's own room, to practise on.",
    "systems": "List the sound systems and where their loudspeakers belong.",
    "schema": "Print the JSON Schema of the project file, for editors.",
}


class Job(click.Group):
    """The commands in the order of the job, each imported when it is called."""

    def list_commands(self, _context: click.Context) -> list[str]:
        """Return the commands in the order of the job."""
        return list(COMMANDS)

    def get_command(self, _context: click.Context, name: str) -> click.Command | None:
        """Return the command, importing its module; None for an unknown name."""
        if name not in COMMANDS:
            return None
        module = import_module(f"seatfield.cli.commands.{name}")
        return module.command  # type: ignore[no-any-return]

    def resolve_command(
        self, context: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Resolve the command, naming the nearest known one where it is unknown."""
        from difflib import get_close_matches

        if args[0] not in COMMANDS:
            near = get_close_matches(args[0], COMMANDS, n=1)
            hint = f" Did you mean {near[0]!r}?" if near else ""
            context.fail(f"There is no command {args[0]!r}.{hint}")
        return super().resolve_command(context, args)

    def format_commands(self, _context: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands without importing any."""
        with formatter.section("The job, in its order"):
            formatter.write_dl(list(COMMANDS.items()))


HELP = """Fit surround sound into a room that people live in.

Describe the room and the kit once, in a text file. Seatfield computes where every loudspeaker goes, in
distances that a tape can measure, how each cable runs and how long it is, what to buy and what to label,
and prints a pack that a stranger can work from.

\b
  seatfield new study          start a folder; answer a few questions
  seatfield check study        is the file right, and the room?
  seatfield plan study         everything, on screen
  seatfield pack study         everything, on paper
  seatfield compare study two  what a change costs: two is a changed copy

Every command takes a project folder or its project.toml. With --json it prints exactly one object.
It ends with 0 when all is fine, 1 when a finding stops the job, 2 when the file or the call is at fault.
"""


@click.group(
    cls=Job, help=HELP, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80}
)
@click.version_option(seatfield.__version__, prog_name="seatfield")
def job() -> None:
    """Hold the commands together."""


def main(arguments: list[str] | None = None) -> Never:
    """Run the command line and end the process with its exit code.

    Parameters
    ----------
    arguments
        Words after the program's name; those of the process where left out.
    """
    arguments = sys.argv[1:] if arguments is None else arguments
    for name in ONE_THREAD:
        os.environ.setdefault(name, "1")
    sys.exit(_run(arguments))


def _run(arguments: list[str]) -> int:
    try:
        code: Any = job.main(arguments, prog_name="seatfield", standalone_mode=False)
    except click.exceptions.Exit as ended:
        return ended.exit_code
    except click.ClickException as misuse:
        return _tell_misuse(misuse, as_json="--json" in arguments)
    except (click.Abort, KeyboardInterrupt):
        click.echo("Stopped; nothing was changed.", err=True)
        return AT_FAULT
    except BrokenPipeError:
        return FINE
    except Exception as defect:  # noqa: BLE001  (the last line of defence: a person never sees a traceback)
        return _tell_defect(defect, as_json="--json" in arguments)
    return code if isinstance(code, int) else FINE


def _tell_misuse(misuse: click.ClickException, *, as_json: bool) -> int:
    if as_json:
        _print_fault("the command line", misuse.format_message())
    else:
        misuse.show()
    return AT_FAULT


def _tell_defect(defect: Exception, *, as_json: bool) -> int:
    import tempfile
    import traceback
    from pathlib import Path

    with tempfile.NamedTemporaryFile(
        "w", prefix="seatfield-", suffix=".log", delete=False, encoding="utf-8"
    ) as log:
        traceback.print_exception(defect, file=log)
    sentence = (
        f"Seatfield failed ({type(defect).__name__}). This is a defect of the program, not of your file, "
        f"and nothing was changed. Details are in {Path(log.name)}."
    )
    if as_json:
        _print_fault("seatfield", sentence)
    else:
        click.echo(sentence, err=True)
    return AT_FAULT


def _print_fault(where: str, sentence: str) -> None:
    import json

    from seatfield.model import Fault
    from seatfield.pipeline.encoding import encode_faults

    fault = Fault(where, 0, "", sentence, "a call as `seatfield --help` shows it")
    click.echo(json.dumps(encode_faults((fault,)), ensure_ascii=False, indent=1))
