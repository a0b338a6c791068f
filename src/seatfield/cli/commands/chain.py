"""Say what really arrives of each service, and the first link that spoils it."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from seatfield.cli.entry import FINE, STOPS
from seatfield.cli.files import json_option, open_or_tell, project_argument
from seatfield.cli.say import console, say_findings, say_json, say_wrapped, stops
from seatfield.model import worst_first

if TYPE_CHECKING:
    from seatfield.stages.chain import Chain, ServiceSound


@click.command("chain")
@project_argument()
@json_option()
def command(project: Path, *, as_json: bool) -> int:
    """Say what really arrives of each service, and the first link that spoils it.

    For every service on every device of the project: the best format that reaches the amplifier, the settings that
    let it through, the first place that takes something away, the cheapest mend, and what the amplifier's display
    must show when it is right. Findings stand first, the worst on top.
    """
    from seatfield.pipeline import encode_stage, plan_stage

    made = plan_stage(open_or_tell(project, as_json=as_json), "chain")
    if as_json:
        say_json(encode_stage("chain", made))
    else:
        say_findings(worst_first(made.findings))
        console().print()
        _say(made)
    return STOPS if stops(made.findings) else FINE


def _say(made: "Chain") -> None:
    out = console()
    if not made.services:
        out.print("The project names no services; add [[device]], [[link]] and [[service]] to it.")
    for sound in made.services:
        _say_service(sound)
    if len(made.topologies) > 1:
        out.print("Two ways of wiring:", style="bold")
        for topology in made.topologies:
            mark = "better" if topology.name == made.better_topology else ""
            out.print(
                f"  {topology.name}: {topology.whole} of {len(topology.services)} services whole  {mark}".rstrip()
            )
        out.print()


def _say_service(sound: "ServiceSound") -> None:
    out = console()
    out.print(f"{sound.service} on {sound.device}", style="bold")
    arrives = f"{sound.format}, {sound.channels} channels" if sound.format else "nothing"
    lines = [f"offers {sound.offered}; {arrives} arrives" + (" with objects." if sound.objects else ".")]
    lines += [f"By way of {' → '.join(sound.path)}."]
    lines += [f"Set {entry.device}: {entry.setting} = {entry.value}." for entry in sound.settings]
    lines += [f"Lost at {loss.where}: {loss.why}" for loss in sound.losses]
    lines += [f"Mend ({mend.effort}): {mend.what}" for mend in sound.mends[:2]]
    lines += [f"The display must show: {sound.display_shows}"] if sound.display_shows else []
    for line in lines:
        say_wrapped(out, line, indent=2)
    out.print()
