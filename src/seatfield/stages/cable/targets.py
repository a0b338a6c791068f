"""Where the runs go: loudspeakers and subwoofers, each with the amplifier and the terminals at both ends."""

from dataclasses import dataclass

from seatfield.model import Amplifier, LoudspeakerModel, Point3, Project, TerminalKind
from seatfield.stages.cable.setting import End
from seatfield.stages.layout.result import Layout, Placed
from seatfield.stages.terminals import TerminalMap, TerminalUse


@dataclass(frozen=True, slots=True)
class Target:
    """A run to be: from an amplifier's terminal to a loudspeaker or subwoofer.

    Parameters
    ----------
    id
        The run's; a loudspeaker on two channels has two.
    end
        The loudspeaker or subwoofer.
    kinds
        Kinds of terminal at the amplifier and at the loudspeaker; None where the file does not say.
    """

    id: str
    channel: str
    end: End
    model: LoudspeakerModel | None
    line: bool
    amplifier: str
    terminal: str = ""
    kinds: tuple[TerminalKind | None, TerminalKind | None] = (None, None)


def targets_of(
    project: Project, layout: Layout, terminals: TerminalMap, places: dict[str, Point3]
) -> tuple[Target, ...]:
    """List the runs of a job, in the order of the layout, subwoofers beside it last.

    Parameters
    ----------
    places
        Of the amplifiers that have one; a run whose amplifier has none starts at the first.
    """
    by_radio = {sub.id for sub in project.subwoofers if not sub.cabled}
    active = {sub.id for sub in project.subwoofers if sub.at is not None}
    found = []
    for placed in layout.loudspeakers:
        if placed.at is None or placed.id in by_radio:
            continue
        line = placed.id in active or placed.channel.startswith("LFE")
        uses = [use for use in terminals.uses if use.loudspeaker == placed.id]
        main = next((use for use in uses if use.run == placed.id), None)
        found.append(_target(project, placed, main, places, line=line))
        upper = [use for use in uses if use is not main and use.amplifier]
        found += [_target(project, placed, use, places, line=line) for use in upper]
    seen = {target.id for target in found} | by_radio
    driven = {use.run: use.terminal for use in terminals.uses}
    for sub in project.subwoofers:
        if sub.at is not None and sub.id not in seen:
            end, first = End(sub.id, sub.at, None), next(iter(places), "")
            found.append(Target(sub.id, sub.channel, end, None, True, first, driven.get(sub.id, "")))
    return tuple(found)


def _target(
    project: Project, placed: Placed, use: TerminalUse | None, places: dict[str, Point3], *, line: bool
) -> Target:
    assert placed.at is not None
    model = next((model for model in project.models if model.name == placed.model), None)
    amplifier = use.amplifier if use and use.amplifier in places else next(iter(places), "")
    there = next((one for one in project.amplifiers if use and one.name == use.amplifier), None)
    terminal = use.terminal if use else ""
    kinds = (_kind(there, terminal) if there else None, model.terminal_kind if model else None)
    end = End(placed.id, placed.at, placed.mount)
    run = use.run if use else placed.id
    return Target(run, placed.channel, end, model, line, amplifier, terminal, kinds)


def _kind(amplifier: Amplifier, terminal: str) -> TerminalKind | None:
    own = next((one.kind for one in amplifier.terminals if one.name == terminal), None)
    return own or amplifier.terminal_kind
