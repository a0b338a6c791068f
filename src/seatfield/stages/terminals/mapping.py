"""The terminal map: every loudspeaker on a terminal that can carry it, exclusions kept, external amplifiers used."""

from dataclasses import dataclass

from seatfield.catalogue.systems import plain_name, system
from seatfield.model import Amplifier, Finding, Project, Severity, Terminal
from seatfield.stages.layout.result import Layout, Placed
from seatfield.stages.terminals.result import CannotDo, TerminalMap, TerminalUse
from seatfield.stages.terminals.uses import BI_AMP, ZONE, Member, Unit, further_units, same_use, units

OWN, OUTSIDE, NOWHERE = 0, 1, 2
"""How a unit is driven: by the processor's own channels, by an external amplifier, or not at all."""

PRICE = {OWN: 0.0, OUTSIDE: 1.0, NOWHERE: 100.0}
LEAVING_OUT_A_FURTHER_USE = {BI_AMP: 5.0, ZONE: 20.0}
"""A wish beside the layout goes before any of its loudspeakers."""

OUTSIDE_FIRST = {
    BI_AMP: -0.1,
    "front": 0.0,
    "centre": 0.1,
    "surround": 0.2,
    "wide": 0.3,
    "back": 0.3,
    "height": 0.4,
}
"""An external amplifier best takes the front pair, whose load and level are highest: common practice, no source."""

LEFT_OUT_FIRST = {
    BI_AMP: 0.0,
    ZONE: 0.0,
    "wide": 0.0,
    "back": 1.0,
    "height": 2.0,
    "surround": 3.0,
    "centre": 4.0,
    "front": 5.0,
}
"""What is missed least when something must go: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Rack:
    """The processor and the external amplifiers."""

    main: Amplifier
    outside: tuple[Amplifier, ...]

    @property
    def outside_channels(self) -> int:
        """External channels that a line output can feed."""
        return min(self.main.pre_outs, sum(amplifier.channels for amplifier in self.outside))


def plan(project: Project, layout: Layout) -> TerminalMap:
    """Assign every loudspeaker and cabled subwoofer to a terminal.

    Parameters
    ----------
    project
        Amplifiers with their terminals, counts and exclusions; subwoofers.
    layout
        The loudspeakers of the chosen system.

    Returns
    -------
    TerminalMap
        Exact: every way to drive the pairs is tried, and the one that leaves out least, then uses the fewest external
        channels, is taken.

    Notes
    -----
    A left and right pair is driven alike. An amplifier without a list of terminals is taken to have one for every
    channel that it amplifies, named after the loudspeaker.
    """
    rack = _rack(project)
    if rack is None:
        return TerminalMap((), (), (), ())
    speakers = tuple(s for s in layout.loudspeakers if _has(layout.system, s.channel))
    grouped = (*units(speakers), *further_units(speakers, rack.main))
    ways = _best(rack, grouped)
    uses, spare = _names(rack, grouped, ways)
    missing = tuple(unit for unit, way in zip(grouped, ways, strict=True) if way == NOWHERE)
    cannot = tuple(_cannot(rack, unit, grouped, ways) for unit in missing)
    subs, sub_findings = _subwoofers(project, rack)
    runs = [*(s.id for s in speakers), *(m.id for unit in grouped for m in unit.members)]
    ordered = sorted(uses, key=lambda use: runs.index(use.run))
    findings = (*_rendering(rack, speakers), *map(_told, cannot), *sub_findings)
    return TerminalMap((*ordered, *subs), spare, cannot, findings)


def _has(name: str, channel: str) -> bool:
    """Tell whether a loudspeaker's channel belongs to the chosen system; to one that is not known, any does."""
    known = system(name)
    in_it = known is None or channel in {one.label for one in known.channels}
    return in_it and not channel.startswith("LFE")


def _rack(project: Project) -> Rack | None:
    amplifiers = project.amplifiers
    if not amplifiers:
        return None
    main = next((a for a in amplifiers if a.processed > 0), amplifiers[0])
    return Rack(main, tuple(a for a in amplifiers if a is not main))


def _best(rack: Rack, grouped: tuple[Unit, ...]) -> tuple[int, ...]:
    best: tuple[float, tuple[int, ...]] = (float("inf"), ())

    def extend(ways: tuple[int, ...], price: float) -> None:
        nonlocal best
        if price >= best[0] - 1e-9 or not _counted(rack, grouped, ways):
            return
        if len(ways) == len(grouped):
            if _possible(rack, grouped, ways):
                best = price, ways
            return
        for way in (OWN, NOWHERE) if grouped[len(ways)].use == ZONE else (OWN, OUTSIDE, NOWHERE):
            extend((*ways, way), price + _price(grouped[len(ways)], way))

    extend((), 0.0)
    return best[1]


def _price(unit: Unit, way: int) -> float:
    order = {OWN: 0.0, OUTSIDE: OUTSIDE_FIRST.get(unit.use, 0.0) / 100, NOWHERE: LEFT_OUT_FIRST[unit.use]}
    each = LEAVING_OUT_A_FURTHER_USE.get(unit.use, PRICE[way]) if way == NOWHERE else PRICE[way]
    return len(unit.members) * each + order[way]


def _counted(rack: Rack, grouped: tuple[Unit, ...], ways: tuple[int, ...]) -> bool:
    own = sum(len(u.members) for u, way in zip(grouped, ways, strict=False) if way == OWN)
    outside = sum(len(u.members) for u, way in zip(grouped, ways, strict=False) if way == OUTSIDE)
    return own <= rack.main.channels and outside <= rack.outside_channels


def _possible(rack: Rack, grouped: tuple[Unit, ...], ways: tuple[int, ...]) -> bool:
    driven = [unit for unit, way in zip(grouped, ways, strict=True) if way == OWN]
    uses = {unit.use for unit in driven}
    for group in rack.main.excludes:
        if sum(any(same_use(word, use) for use in uses) for word in group) > 1:
            return False
    return _matched(rack.main.terminals, driven) is not None


def _matched(terminals: tuple[Terminal, ...], driven: list[Unit]) -> dict[int, int] | None:
    """Return a terminal for every member by augmenting paths, or None; any will do where none is listed."""
    wanted = [_words(unit, member) for unit in driven for member in unit.members]
    if not terminals:
        return {place: place for place in range(len(wanted))}
    taken: dict[int, int] = {}

    def place(speaker: int, seen: set[int]) -> bool:
        for number, terminal in enumerate(terminals):
            if number not in seen and wanted[speaker] in map(_carried, terminal.carries):
                seen.add(number)
                if number not in taken or place(taken[number], seen):
                    taken[number] = speaker
                    return True
        return False

    if all(place(speaker, set()) for speaker in range(len(wanted))):
        return {speaker: number for number, speaker in taken.items()}
    return None


def _words(unit: Unit, member: Member) -> str:
    """Return what a terminal must carry for a member: a channel, or a use beside the layout."""
    return unit.use if unit.use in LEAVING_OUT_A_FURTHER_USE else member.channel


def _carried(word: str) -> str:
    return next((use for use in LEAVING_OUT_A_FURTHER_USE if same_use(word, use)), word)


def _names(
    rack: Rack, grouped: tuple[Unit, ...], ways: tuple[int, ...]
) -> tuple[list[TerminalUse], tuple[tuple[str, str], ...]]:
    own = [m for unit, way in zip(grouped, ways, strict=True) if way == OWN for m in unit.members]
    outside = [m for unit, way in zip(grouped, ways, strict=True) if way == OUTSIDE for m in unit.members]
    lost = [m for unit, way in zip(grouped, ways, strict=True) if way == NOWHERE for m in unit.members]
    driven = [unit for unit, way in zip(grouped, ways, strict=True) if way == OWN]
    matched = _matched(rack.main.terminals, driven) or {}
    uses = [
        TerminalUse(
            member.id,
            member.channel,
            rack.main.name,
            _own_name(rack.main, matched[place], member),
            loudspeaker=member.loudspeaker,
        )
        for place, member in enumerate(own)
    ]
    slots = [(amplifier, number) for amplifier in rack.outside for number in range(amplifier.channels)]
    for member, (amplifier, number) in zip(outside, slots, strict=False):
        terminal = (
            amplifier.terminals[number].name if number < len(amplifier.terminals) else f"channel {number + 1}"
        )
        uses.append(
            TerminalUse(
                member.id,
                member.channel,
                amplifier.name,
                terminal,
                f"{plain_name(member.channel)} pre-out",
                member.loudspeaker,
            )
        )
    uses += [TerminalUse(m.id, m.channel, "", "", loudspeaker=m.loudspeaker) for m in lost]
    free = [
        (rack.main.name, terminal.name)
        for number, terminal in enumerate(rack.main.terminals)
        if number not in matched.values()
    ]
    return uses, tuple(free)


def _own_name(main: Amplifier, number: int, member: Member) -> str:
    if main.terminals:
        return main.terminals[number].name
    further = member.id.removeprefix(member.loudspeaker) if member.loudspeaker else member.id
    return f"{plain_name(member.channel)}{further}" if member.channel else member.id


LINKED = "Drive each with one channel, and leave the links between its upper and lower terminals in."
"""The way out that costs nothing where no channel is left for the upper terminals."""


def _cannot(rack: Rack, unit: Unit, grouped: tuple[Unit, ...], ways: tuple[int, ...]) -> CannotDo:
    names = " and ".join(member.words for member in unit.members)
    missing = len(unit.members)
    used_outside = sum(len(u.members) for u, way in zip(grouped, ways, strict=True) if way == OUTSIDE)
    free_outputs = rack.main.pre_outs - used_outside
    total = sum(len(u.members) for u in grouped)
    if unit.use == ZONE:
        external = f"Feed the second zone from an amplifier of its own with {missing} channels."
    elif free_outputs >= missing:
        external = (
            f"Add an external amplifier with {missing} channels on free line outputs of {rack.main.name}."
        )
    else:
        external = (
            f"An external amplifier needs {missing} line outputs for these, and {rack.main.name} has "
            f"{max(free_outputs, 0)} free: ask whether its menu assigns another pair's."
        )
    return CannotDo(
        tuple(member.id for member in unit.members),
        _why(rack, unit, grouped, ways),
        (
            LINKED if unit.use == BI_AMP else f"Leave out {names}, and tell the amplifier so in its menu.",
            external,
            f"Use a receiver that amplifies {total} channels at once, or one without this exclusion.",
        ),
    )


def _why(rack: Rack, unit: Unit, grouped: tuple[Unit, ...], ways: tuple[int, ...]) -> str:
    own = [u for u, way in zip(grouped, ways, strict=True) if way == OWN]
    count = sum(len(u.members) for u in own)
    for group in rack.main.excludes:
        rivals = [u.use for u in own if any(same_use(word, u.use) for word in group) and u.use != unit.use]
        if rivals and any(same_use(word, unit.use) for word in group):
            return (
                f"{rack.main.name} cannot drive {_plain(unit.use)} and {_plain(rivals[0])} channels at once."
            )
    if count + len(unit.members) > rack.main.channels:
        return f"{rack.main.name} amplifies {rack.main.channels} channels, and {count} are taken."
    wanted = dict.fromkeys(_words(unit, member) for member in unit.members)
    return f"No free terminal of {rack.main.name} can carry {' or '.join(wanted)}."


def _plain(use: str) -> str:
    return {ZONE: "second-zone", BI_AMP: "bi-amped"}.get(use, use)


def _told(cannot: CannotDo) -> Finding:
    return Finding(
        "terminals.cannot-do",
        Severity.FIX,
        " ".join(cannot.runs),
        f"No amplifier channel is left for {' and '.join(cannot.runs)}: {cannot.why}",
        source="the amplifiers' counts in the project file",
        advice=" Or: ".join(cannot.ways_out),
    )


def _rendering(rack: Rack, speakers: tuple[Placed, ...]) -> tuple[Finding, ...]:
    if not 0 < rack.main.processed < len(speakers):
        return ()
    return (
        Finding(
            "terminals.not-rendered",
            Severity.FIX,
            rack.main.name,
            f"The layout has {len(speakers)} loudspeakers, and {rack.main.name} renders {rack.main.processed} "
            f"channels: the rest would stay silent or repeat others, however many amplifiers there are.",
            measured=len(speakers),
            limit=rack.main.processed,
            source="the amplifier's counts in the project file",
            advice="Choose a layout with fewer loudspeakers, or a processor that renders more channels.",
            key=f"{rack.main.key}.processed" if rack.main.key else "",
        ),
    )


def _subwoofers(project: Project, rack: Rack) -> tuple[tuple[TerminalUse, ...], tuple[Finding, ...]]:
    count, outputs = len(project.subwoofers), rack.main.sub_outputs
    driver = rack.main.name if outputs else ""
    uses = tuple(
        TerminalUse(sub.id, sub.channel, driver, _sub_output(number, outputs), loudspeaker=sub.id)
        for number, sub in enumerate(project.subwoofers, 1)
    )
    if count <= outputs:
        return uses, ()
    return uses, (_outputs_short(rack.main, count),)


def _outputs_short(main: Amplifier, count: int) -> Finding:
    message = f"{main.name} has no output for a subwoofer."
    advice = "Feed the subwoofer from the front loudspeakers' terminals if it takes that, or choose another processor."
    if main.sub_outputs:
        message = (
            f"{count} subwoofers share {main.sub_outputs} output of {main.name}, with one level and delay."
        )
        advice = "Split the line, match their levels by their own knobs first, then align them as one."
    return Finding(
        "terminals.subwoofer-outputs",
        Severity.NOTE if main.sub_outputs else Severity.FIX,
        main.name,
        message,
        measured=count,
        limit=main.sub_outputs,
        source="the amplifier's counts in the project file",
        advice=advice,
    )


def _sub_output(number: int, outputs: int) -> str:
    if outputs == 0:
        return ""
    return "subwoofer output" if outputs == 1 else f"subwoofer output {min(number, outputs)}"
