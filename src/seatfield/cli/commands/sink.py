"""Read what a display or receiver reports of itself."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from seatfield.cli.entry import AT_FAULT, FINE
from seatfield.cli.files import json_option
from seatfield.cli.say import console, say_json

if TYPE_CHECKING:
    from seatfield.readers.sink import Sink, SinkFormat


@click.command("sink")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--into", "project", type=click.Path(path_type=Path), help="Project to write the formats into.")
@click.option("--device", help="Device or amplifier of that project that the file describes.")
@json_option()
def command(file: Path, *, project: Path | None, device: str | None, as_json: bool) -> int:
    """Read what a display or receiver reports of itself (EDID or ELD).

    FILE is an EDID as binary or as hex text, or the text of /proc/asound/card*/eld*. On Linux the EDID of a display
    that is plugged in stands in /sys/class/drm/card*/edid. A file without
    a sound base block is refused; damage further on is told, and what is sound is kept.

    With --into and --device the formats are written as `decodes` of that device into the project file.
    """
    from seatfield.pipeline.sinks import UNKNOWN, SinkRefusedError, encode_sink, read_sink_file, write_sink

    if bool(project) != bool(device):
        raise click.UsageError("--into and --device belong together: which project, and which device in it.")
    try:
        sink = read_sink_file(file)
        if project and device:
            write_sink(sink, project, device)
    except SinkRefusedError as refused:
        raise click.UsageError(str(refused)) from None
    if as_json:
        say_json(encode_sink(sink))
    elif sink.kind == UNKNOWN:
        click.echo(f"{file}: {' '.join(sink.warnings)}", err=True)
    else:
        _say(sink)
        if project:
            click.echo(f"The formats are written into {project} as what {device} decodes.")
    return AT_FAULT if sink.kind == UNKNOWN else FINE


def _say(sink: "Sink") -> None:
    from rich.table import Table

    out = console()
    table = Table(box=None, pad_edge=False)
    for heading in ("format", "channels", "rates (kHz)", "bits or kbit/s", "objects"):
        table.add_column(heading)
    for entry in sink.abilities:
        table.add_row(*_row(entry))
    out.print(table)
    out.print(f"Loudspeakers: {', '.join(sink.speakers) or 'not told'}")
    for warning in sink.warnings:
        out.print(f"Note: {warning}")


def _row(entry: "SinkFormat") -> tuple[str, ...]:
    size = "/".join(map(str, entry.bits)) or (str(entry.max_kbps) if entry.max_kbps else "")
    objects = {True: "yes", False: "", None: "not told"}[entry.objects]
    rates = ", ".join(f"{rate:g}" for rate in entry.rates_khz)
    return entry.format, str(entry.channels or "–"), rates, size, objects
