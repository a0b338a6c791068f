"""Make recordings of the sweeps from the project's own room, to practise on."""

import json
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from seatfield.cli.entry import FINE
from seatfield.cli.files import json_option, open_or_tell, project_argument

if TYPE_CHECKING:
    from seatfield.model import Project, SweepSet
    from seatfield.pipeline.rehearsing import Practised, RehearsalAsked
    from seatfield.stages.takes.rehearsal import Planted


@click.command("rehearse")
@project_argument()
@click.option(
    "--out",
    required=True,
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder for the recordings.",
)
@click.option("--seed", default=1, show_default=True, help="The same seed gives the same recordings.")
@click.option(
    "--positions", type=click.IntRange(1, 8), default=1, show_default=True, help="Places round the main seat."
)
@click.option("--seats", is_flag=True, help="Visit the other seats too.")
@click.option("--fault", "named", multiple=True, metavar="WORDS", help="Such as 'inverted M+030'.")
@click.option(
    "--faults",
    "chance",
    type=click.IntRange(0, 20),
    default=0,
    show_default=True,
    help="How many to hide by chance.",
)
@click.option("--as-used", is_flag=True, help="With bass management and the noted values in force.")
@click.option("--snr", default=40.0, show_default=True, help="Sweep over the room's noise, in dB.")
@click.option(
    "--seconds", type=click.FloatRange(1, 60), help="Length of a sweep; the sweeps written last if left out."
)
@click.option("--one-file", is_flag=True, help="All sweeps in one recording.")
@click.option("--reveal", is_flag=True, help="Print the hidden faults at once.")
@json_option()
def command(project: Path, **given: object) -> int:
    """Make recordings of the sweeps from the project's own room, to practise on.

    No hardware is needed: the recordings come from the room in the project file, with noise, a clock that drifts,
    and faults, named or hidden by chance. Read them with `seatfield take`. What was hidden stands in answers.json.
    """
    opened = open_or_tell(project, as_json=bool(given["as_json"]))
    sweeps, written, faults = _written(project, opened, _asked(project, given), Path(str(given["out"])))
    if given["as_json"]:
        _tell_json(written, faults, given)
    else:
        _tell(project, sweeps, written, faults, given)
    return FINE


def _asked(project: Path, given: dict[str, object]) -> "RehearsalAsked":
    from seatfield.model import SweepSettings, TakeState
    from seatfield.pipeline.aligning import noted_settings
    from seatfield.pipeline.measuring import folder_of
    from seatfield.pipeline.rehearsing import RehearsalAsked
    from seatfield.stages.takes import SweepParams

    noted = noted_settings(folder_of(project)) if given["as_used"] else None
    seconds = given["seconds"]
    params = None
    if isinstance(seconds, float) or given["one_file"]:
        length_s = seconds if isinstance(seconds, float) else SweepSettings().length_s
        params = SweepParams(SweepSettings(length_s=length_s), one_file=bool(given["one_file"]))
    return RehearsalAsked(
        seed=int(str(given["seed"])),
        positions=int(str(given["positions"])),
        seats=bool(given["seats"]),
        state=TakeState.AS_USED if given["as_used"] else TakeState.BARE,
        faults=tuple(given["named"]),  # type: ignore[arg-type]
        chance_faults=int(str(given["chance"])),
        snr_db=float(str(given["snr"])),
        params=params,
        in_force=noted.settings if noted else (),
    )


def _written(
    project: Path, opened: "Project", asked: "RehearsalAsked", out: Path
) -> "tuple[SweepSet, list[Practised], tuple[Planted, ...]]":
    from seatfield.pipeline.encoding import encode
    from seatfield.pipeline.measuring import NotMeasurableError, folder_of
    from seatfield.pipeline.rehearsing import planted_faults, rehearsed_sweeps, write_rehearsal
    from seatfield.stages.takes.rehearsal import NoSuchFaultError

    try:
        now = datetime.now().astimezone().isoformat(timespec="seconds")
        sweeps = rehearsed_sweeps(folder_of(project), opened, asked, at=now)
        faults = planted_faults(opened, asked)
        written = list(write_rehearsal(opened, sweeps, asked, faults, out))
        (out / "answers.json").write_text(json.dumps(encode(faults), indent=1) + "\n", encoding="utf-8")
    except (NotMeasurableError, NoSuchFaultError) as refused:
        raise click.UsageError(str(refused)) from None
    except OSError as reason:
        raise click.UsageError(f"{out} cannot be written: {reason.strerror or reason}.") from None
    return sweeps, written, faults


def _tell_json(
    written: "list[Practised]",
    faults: "tuple[Planted, ...]",
    given: dict[str, object],
) -> None:
    from seatfield.cli.say import say_json
    from seatfield.pipeline.encoding import encode

    positions = [
        {"folder": str(folder), "seat": spell.seat, "position": list(spell.position)}
        for folder, spell in {one.file.parent: one.spell for one in written}.items()
    ]
    hidden = {"faults": encode(faults)} if given["reveal"] else {}
    say_json({"format": "seatfield-rehearsal", "version": 1, "positions": positions, **hidden})


def _tell(
    project: Path,
    sweeps: "SweepSet",
    written: "list[Practised]",
    faults: "tuple[Planted, ...]",
    given: dict[str, object],
) -> None:
    used = "" if sweeps.reference_run else " --loopback 2"
    used += " --as-used" if given["as_used"] else ""
    for folder, spell in {one.file.parent: one.spell for one in written}.items():
        place = spell.seat or ",".join(f"{value:.3f} m" for value in spell.position)
        click.echo(f'seatfield take {project} --wav "{folder}" --position "{place}"{used}')
    answers = Path(str(given["out"])) / "answers.json"
    click.echo(f"{len(written)} recordings are written. What was hidden stands in {answers}.")
    for fault in faults if given["reveal"] else ():
        click.echo(f"  {fault.kind.value}: {' '.join(fault.runs)}")
