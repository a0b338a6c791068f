"""What to type into the amplifier, which seat gains, and what another calibration is worth."""

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from seatfield.cli.entry import FINE, STOPS
from seatfield.cli.files import json_option, open_or_tell, project_argument

if TYPE_CHECKING:
    from seatfield.model import Project
    from seatfield.pipeline.aligning import Aligned
    from seatfield.stages.alignment import Typed, Wishes


@click.command("align")
@project_argument()
@click.option(
    "--for",
    "whom",
    type=click.Choice(["main", "all"]),
    default="main",
    show_default=True,
    help="Whose delays.",
)
@click.option("--slope", default=-0.5, show_default=True, help="Of the wished response, in dB per octave.")
@click.option("--bass", default=0.0, show_default=True, help="By how much the bass lies over it, in dB.")
@click.option("--lfe-limit", default="120", show_default=True, help="The amplifier's limit in Hz, or 'none'.")
@click.option("--filters", type=int, help="Bands of the equaliser; as many as the amplifier has if left out.")
@click.option(
    "--judge", "values", type=click.Path(path_type=Path, dir_okay=False), help="Values to judge, CSV."
)
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), help="Folder for CSV, JSON and FIR.")
@click.option("--room", is_flag=True, help="Fit the room model to what was measured, too.")
@click.option("--typed", is_flag=True, help="Note that these values are typed now.")
@json_option()
def command(project: Path, **given: object) -> int:
    """Say what to type into the amplifier, which seat gains, and what others' values are worth.

    Reads every take that is kept. Faults come first: mend them before you type anything. Then the values in the
    amplifier's own steps, what each seat gains, and, with --judge, a verdict on every line of another calibration.
    With --typed the values are noted; a take made --as-used after that is compared with the prediction.
    """
    as_json = bool(given["as_json"])
    opened = open_or_tell(project, as_json=as_json)
    aligned = _aligned(project, opened, given)
    if aligned.alignment is not None:
        _keep(project, opened, aligned, given)
    if as_json:
        from seatfield.cli.say import say_json
        from seatfield.pipeline.aligning import encode_aligned

        say_json(encode_aligned(aligned))
    else:
        from seatfield.cli.sounds import say_aligned

        say_aligned(aligned)
    return FINE if aligned.alignment is not None or aligned.judged else STOPS


def _wishes(given: dict[str, object]) -> "Wishes":
    from seatfield.stages.alignment import Wishes

    text = str(given["lfe_limit"]).strip().lower()
    try:
        limit_hz = None if text == "none" else float(text)
    except ValueError:
        raise click.UsageError(f"The limit {text!r} is no frequency in Hz, nor 'none'.") from None
    filters = given["filters"]
    return Wishes(
        all_seats=given["whom"] == "all",
        slope_db_per_octave=float(str(given["slope"])),
        bass_db=float(str(given["bass"])),
        lfe_limit_hz=limit_hz,
        filters=filters if isinstance(filters, int) else None,
    )


def _values(file: object, opened: "Project") -> "tuple[Typed, ...]":
    from seatfield.pipeline.values import ValuesRefusedError, read_values

    if not isinstance(file, Path):
        return ()
    try:
        return read_values(file.read_text(encoding="utf-8-sig"), opened)
    except OSError as reason:
        raise click.UsageError(f"{file} cannot be read: {reason.strerror or reason}.") from None
    except UnicodeDecodeError:
        raise click.UsageError(f"{file} is no text. Save the values as CSV in UTF-8.") from None
    except ValuesRefusedError as refused:
        raise click.UsageError(str(refused)) from None


def _aligned(project: Path, opened: "Project", given: dict[str, object]) -> "Aligned":
    from seatfield.pipeline.aligning import align
    from seatfield.pipeline.measuring import NotMeasurableError, folder_of

    try:
        typed = _values(given["values"], opened)
        return align(
            folder_of(project),
            opened,
            _wishes(given),
            typed=typed,
            with_room=bool(given["room"]),
            watch=None if given["as_json"] else lambda sentence: click.echo(f"{sentence} …", err=True),
        )
    except NotMeasurableError as refused:
        raise click.UsageError(str(refused)) from None


def _keep(project: Path, opened: "Project", aligned: "Aligned", given: dict[str, object]) -> None:
    from seatfield.pipeline.aligning import note_settings
    from seatfield.pipeline.measuring import folder_of
    from seatfield.pipeline.printing import NotWrittenError
    from seatfield.pipeline.values import write_values

    assert aligned.alignment is not None
    try:
        if isinstance(given["out"], Path):
            write_values(given["out"], aligned.alignment)
        if given["typed"]:
            now = datetime.now().astimezone().isoformat(timespec="seconds")
            note_settings(folder_of(project), opened, aligned.alignment, at=now)
    except (NotWrittenError, OSError) as reason:
        raise click.UsageError(str(reason)) from None
