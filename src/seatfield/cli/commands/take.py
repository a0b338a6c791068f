"""Read recordings of the sweeps, keep them, and say what they show."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from seatfield.cli.entry import FINE, STOPS
from seatfield.cli.files import json_option, open_or_tell, project_argument

if TYPE_CHECKING:
    from seatfield.model import Project, Take
    from seatfield.pipeline.measuring import TakeAsked
    from seatfield.stages.takes import Takes


SUFFIXES = (".wav", ".flac")


@click.command("take")
@project_argument()
@click.option(
    "--wav", multiple=True, type=click.Path(path_type=Path), help="Recordings, in the sheet's order."
)
@click.argument("more", nargs=-1, type=click.Path(path_type=Path), metavar="[FILE]...")
@click.option("--position", metavar="PLACE", help="Where the microphone stood: a seat, or x, y, z.")
@click.option("--channels", default="", help="Whose sweeps the files hold, in order, with commas between.")
@click.option("--as-used", is_flag=True, help="Bass management and settings were in force.")
@click.option("--microphone", type=int, help="Channel of the recording that is the microphone, from 1.")
@click.option("--loopback", type=int, help="Channel of the recording that is the loopback, from 1.")
@click.option(
    "--compensation", type=click.Path(path_type=Path, dir_okay=False), help="The microphone's file."
)
@click.option("--full-scale", type=float, help="Sound pressure level that reads 0 dBFS, in dB.")
@click.option("--device", metavar="NAME", help="Play and record now, through this sound device.")
@click.option("--input", "source", default="", metavar="NAME", help="Record from this one instead.")
@click.option("--inputs", default=1, show_default=True, help="Channels to record with --device.")
@click.option("--yes", is_flag=True, help="With --device: play without asking; the volume is already set.")
@click.option("--note", default="", help="Anything worth remembering.")
@json_option()
def command(project: Path, **given: object) -> int:
    """Read recordings of the sweeps, keep them, and say what they show.

    Any recorder will do: give its WAV or FLAC files in the order of the sheet, and where the microphone stood. A
    folder stands for the files in it, sorted by name. Takes are kept in the project's log and never overwritten;
    a bad recording is told in words and not used. Without files, every take that is kept is read again. With
    --device it plays the sweeps and records them itself: loud sound harms hearing, so it asks before the first.
    """
    as_json = bool(given["as_json"])
    opened = open_or_tell(project, as_json=as_json)
    files = _contents(_files([*given["wav"], *given["more"]]))  # type: ignore[misc]
    if not files and not given["device"]:
        return _tell_all(project, opened, as_json=as_json)
    asked = _asked(opened, files, given)
    if given["device"]:
        asked = replace(asked, files=_live(project, opened, asked.runs, given))
    take, takes = _kept(project, opened, asked)
    _tell(opened, take, takes, as_json=as_json, new=True)
    return STOPS if take is None else FINE


def _files(named: Sequence[Path]) -> list[Path]:
    found: list[Path] = []
    for path in named:
        if path.is_dir():
            found += _sounds_in(path)
        else:
            found.append(path)
    return found


def _sounds_in(folder: Path) -> list[Path]:
    """Return the recordings of a folder; one without any is refused, with the folders inside that hold some."""
    sounds = sorted(one for one in folder.iterdir() if one.suffix.lower() in SUFFIXES)
    if sounds:
        return sounds
    inside = sorted(one for one in folder.iterdir() if one.is_dir())
    full = [one.name for one in inside if any(each.suffix.lower() in SUFFIXES for each in one.iterdir())]
    if full:
        raise click.UsageError(
            f"{folder} holds no recordings itself; its folders do: {', '.join(full)}. Give one at a time, each "
            "with its own --position."
        )
    raise click.UsageError(f"{folder} holds no recordings: no file in it ends with .wav or .flac.")


def _contents(files: list[Path]) -> tuple[tuple[str, bytes], ...]:
    return tuple((file.name, _bytes(file)) for file in files)


def _live(
    project: Path, opened: "Project", runs: tuple[str, ...], given: dict[str, object]
) -> tuple[tuple[str, bytes], ...]:
    from seatfield.capture import DeviceFailedError, NoSoundLibraryError, NoSuchDeviceError
    from seatfield.pipeline.measuring import NotMeasurableError, folder_of
    from seatfield.pipeline.playing import LiveAsked, play_approach, play_sweeps, prepare_live
    from seatfield.stages.takes.sweeps import LOUDNESS

    asked = LiveAsked(str(given["device"]), str(given["source"]), int(str(given["inputs"])), runs)
    try:
        live = prepare_live(folder_of(project), opened, asked)
        if not given["yes"]:
            click.echo(LOUDNESS, err=True)
            click.confirm("Is the volume at its lowest? The bursts come now", abort=True, err=True)
            play_approach(live)
            click.confirm("Is it no louder than lively speech? The sweeps come now", abort=True, err=True)
        return play_sweeps(live, lambda sentence: click.pause(f"{sentence} Then press a key.", err=True))
    except (NoSoundLibraryError, NoSuchDeviceError, DeviceFailedError, NotMeasurableError) as refused:
        raise click.UsageError(str(refused)) from None


def _asked(opened: "Project", files: tuple[tuple[str, bytes], ...], given: dict[str, object]) -> "TakeAsked":
    from seatfield.cli.places import spot_or_tell
    from seatfield.model import TakeState
    from seatfield.pipeline.measuring import TakeAsked

    if not given["position"]:
        raise click.UsageError(
            "Say where the microphone stood: --position 'sofa middle', or --position x,y,z."
        )
    seat, position = spot_or_tell(opened, str(given["position"]))
    compensation = given["compensation"]
    runs = tuple(part.strip() for part in str(given["channels"]).split(",") if part.strip())
    return TakeAsked(
        files,
        position,
        seat,
        TakeState.AS_USED if given["as_used"] else TakeState.BARE,
        runs,
        _column(given["microphone"]),
        _column(given["loopback"]),
        _bytes(compensation) if isinstance(compensation, Path) else b"",
        given["full_scale"],  # type: ignore[arg-type]
        str(given["note"]),
    )


def _column(number: object) -> int | None:
    return int(number) - 1 if isinstance(number, int) else None


def _bytes(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except OSError as reason:
        raise click.UsageError(f"{file} cannot be read: {reason.strerror or reason}.") from None


def _kept(project: Path, opened: "Project", asked: "TakeAsked") -> "tuple[Take | None, Takes]":
    from seatfield.pipeline.measuring import NotMeasurableError, folder_of, keep_take

    now = datetime.now().astimezone().isoformat(timespec="seconds")
    try:
        return keep_take(folder_of(project), opened, asked, at=now)
    except NotMeasurableError as refused:
        raise click.UsageError(str(refused)) from None


def _tell_all(project: Path, opened: "Project", *, as_json: bool) -> int:
    from seatfield.pipeline.measuring import NotMeasurableError, folder_of, read_takes

    try:
        takes = read_takes(folder_of(project), opened)
    except NotMeasurableError as refused:
        raise click.UsageError(str(refused)) from None
    if not takes.takes:
        raise click.UsageError(
            "No take is kept yet. Give recordings: seatfield take PROJECT --wav FILES --position PLACE"
        )
    _tell(opened, None, takes, as_json=as_json)
    return FINE


def _tell(
    opened: "Project", take: "Take | None", takes: "Takes", *, as_json: bool, new: bool = False
) -> None:
    from seatfield.cli.say import say_json
    from seatfield.cli.sounds import say_faults_found, say_takes
    from seatfield.pipeline.measuring import encode_takes, faults_in

    faults = faults_in(opened, takes)
    if as_json:
        kept = None if take is None else take.id
        say_json({"format": "seatfield-takes", "version": 1, "kept": kept, **encode_takes(takes, faults)})
        return
    say_takes(takes)
    if not any(channel.used for one in takes.takes for channel in one.channels):
        click.echo("\nNothing of it can be used" + (", so it is not kept." if new else "."))
        return
    say_faults_found(faults)
    if take is not None:
        click.echo(f"\nKept as {take.id}. Read alone here; seatfield align weighs all takes together.")
