"""Devices and links as a network that sound flows through, from its sources to the amplifiers."""

from dataclasses import dataclass, replace
from functools import cached_property

from seatfield.model import Link, LinkKind, Project
from seatfield.stages.chain.box import Box, Output, played, read_amplifier, read_box
from seatfield.stages.chain.sound import Sound
from seatfield.stages.chain.wire import over, rate_of

RETURNS = (LinkKind.RETURN, LinkKind.ENHANCED_RETURN)


@dataclass(frozen=True, slots=True)
class Hop:
    """One link in the direction in which sound flows.

    Parameters
    ----------
    source, target
        Names of the devices at its ends.
    kind
        Kind of the link.
    rate_hz
        Highest IEC 60958 frame rate of both ends. [Hz]
    label
        Its two ports, for people.
    stated
        Whether the file states the frame rate.
    key
        Its place in the project file.
    """

    source: str
    target: str
    kind: LinkKind
    rate_hz: float
    label: str
    stated: bool = True
    key: str = ""

    def carry(self, sound: Sound) -> Sound | None:
        """Send a sound over it."""
        return over(self.kind, self.rate_hz, sound)


@dataclass(frozen=True)
class Network:
    """All devices, amplifiers and links; what devices and amplifiers do with a sound is worked out once."""

    boxes: dict[str, Box]
    amplifiers: dict[str, Box]
    hops: tuple[Hop, ...]

    @cached_property
    def leaving(self) -> dict[str, tuple[Hop, ...]]:
        """Links by the device that they leave."""
        found: dict[str, list[Hop]] = {}
        for hop in self.hops:
            found.setdefault(hop.source, []).append(hop)
        return {name: tuple(hops) for name, hops in found.items()}

    @cached_property
    def _outputs(self) -> dict[tuple[str, Sound], tuple[Output, ...]]:
        return {}

    def outputs(self, name: str, sound: Sound) -> tuple[Output, ...]:
        """List what a device can send when it is given a sound."""
        known = self._outputs.get((name, sound))
        if known is None:
            known = self._outputs[name, sound] = self.boxes[name].outputs(sound)
        return known

    def played(self, name: str, sound: Sound) -> Sound | None:
        """Return what an amplifier makes of a sound."""
        return played(self.amplifiers[name], sound)


def read_network(project: Project) -> Network:
    """Read devices, amplifiers and links of a project.

    Parameters
    ----------
    project
        The project.

    Returns
    -------
    Network
        Sound flows from the first end of a link to the second. A return channel of which the amplifier is named
        first is turned round, because sound can only come to it there; who sends over a return channel is a
        display. External amplifiers, which process nothing, are left out where another one processes.
    """
    amplifiers = {
        entry.name: read_amplifier(entry) for entry in project.amplifiers if entry.processed or entry.decodes
    }
    if not amplifiers:
        amplifiers = {entry.name: read_amplifier(entry) for entry in project.amplifiers}
    boxes = {device.name: read_box(device) for device in project.devices}
    names = (*boxes, *amplifiers)
    hops = tuple(hop for link in project.links if (hop := _hop(link, names, amplifiers)) is not None)
    displays = {hop.source for hop in hops if hop.kind in RETURNS} & boxes.keys()
    boxes |= {name: replace(boxes[name], shows_picture=True) for name in displays}
    return Network(boxes, amplifiers, hops)


def _hop(link: Link, names: tuple[str, ...], amplifiers: dict[str, Box]) -> Hop | None:
    first, second = link.between
    if link.kind in RETURNS and owner(first, names) in amplifiers:
        first, second = second, first
    source, target = owner(first, names), owner(second, names)
    if not source or not target or source == target:
        return None
    label = f"{first} to {second}"
    return Hop(source, target, link.kind, rate_of(link), label, link.frame_rate_hz is not None, link.key)


def owner(end: str, names: tuple[str, ...]) -> str:
    """Return the device that a port such as ``player.out`` belongs to; empty where there is none."""
    return max((name for name in names if end == name or end.startswith(f"{name}.")), key=len, default="")
