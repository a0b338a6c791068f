"""Write the sweeps to play, and the sheet that says how."""

from datetime import datetime
from pathlib import Path

import click

from seatfield.cli.entry import FINE
from seatfield.cli.files import json_option, open_or_tell, project_argument


@click.command("sweep")
@project_argument()
@click.option(
    "--out", required=True, type=click.Path(path_type=Path, file_okay=False), help="Folder for the files."
)
@click.option("--one-file", is_flag=True, help="All sweeps in one file, to record in one go.")
@click.option("--chirps", default="", metavar="CHANNEL", help="Who plays the chirps, or 'loopback'.")
@click.option("--seconds", default=10.0, show_default=True, help="Length of a sweep.")
@click.option("--level", default=-12.0, show_default=True, help="Peak of a sweep, in dBFS.")
@click.option("--rate", default=48000, show_default=True, help="Samples per second.")
@json_option()
def command(  # noqa: PLR0913
    project: Path,
    *,
    out: Path,
    one_file: bool,
    chirps: str,
    seconds: float,
    level: float,
    rate: int,
    as_json: bool,
) -> int:
    """Write the sweeps to play, and the sheet that says how.

    One WAV file for each loudspeaker, with a few pips that announce it, and a sheet in words: how the sweep gets
    to each loudspeaker, what to switch off before, what cannot be reached. Loud sound harms hearing: read the
    sheet's first lines before the first file.
    """
    from seatfield.cli.say import say_json
    from seatfield.pipeline.encoding import encode
    from seatfield.pipeline.measuring import (
        NotMeasurableError,
        folder_of,
        settings_for,
        sweeps_for,
        write_sweeps,
    )
    from seatfield.stages.takes import NoSuchChirpsError, SweepParams

    opened = open_or_tell(project, as_json=as_json)
    _check(seconds, level, rate)
    settings = settings_for(seconds, level, rate)
    try:
        planned = sweeps_for(opened, SweepParams(settings, chirps, one_file))
        now = datetime.now().astimezone().isoformat(timespec="seconds")
        written = write_sweeps(folder_of(project), planned, out, at=now)
    except (NoSuchChirpsError, NotMeasurableError) as refused:
        raise click.UsageError(str(refused)) from None
    except OSError as reason:
        raise click.UsageError(f"{out} cannot be written: {reason.strerror or reason}.") from None
    if as_json:
        say_json(
            {
                "format": "seatfield-sweeps",
                "version": 1,
                "files": [str(file) for file in written],
                **encode(planned),
            }
        )
    else:
        click.echo(written[0].read_text(encoding="utf-8"))
        click.echo(
            f"{len(written) - 1} sound files are written to {out}; sheet.txt says what to do with them."
        )
    return FINE


def _check(seconds: float, level: float, rate: int) -> None:
    if not 1.0 <= seconds <= 60.0:
        raise click.UsageError(f"A sweep of {seconds:g} s was asked for; 1 to 60 s can be made, 10 is usual.")
    if not -60.0 <= level <= -1.0:
        raise click.UsageError(
            f"A peak of {level:g} dBFS was asked for; -60 to -1 can be made, -12 is usual."
        )
    if rate not in (44100, 48000, 88200, 96000):
        raise click.UsageError(
            f"{rate} samples per second were asked for; 44100, 48000, 88200 or 96000 can be made."
        )
