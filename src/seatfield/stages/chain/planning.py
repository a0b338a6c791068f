"""The stage: from devices, links and services to what arrives, why not more, and how to prove it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from seatfield.catalogue.formats import UnknownFormatError, describe, parse_format
from seatfield.model import Amplifier, Project, Service
from seatfield.stages.chain.explaining import losses, needed_settings
from seatfield.stages.chain.mending import Case, mends
from seatfield.stages.chain.network import Hop, Network, read_network
from seatfield.stages.chain.passage import Passage, follow
from seatfield.stages.chain.proof import proof_line, shown
from seatfield.stages.chain.result import Chain, Loss, ServiceSound
from seatfield.stages.chain.search import Route, Solver
from seatfield.stages.chain.sound import Sound, gain, offered
from seatfield.stages.chain.timing import delay_findings, lip_sync
from seatfield.stages.chain.topology import compare
from seatfield.stages.chain.troubles import chain_findings


@dataclass(frozen=True, slots=True)
class Heard:
    """A service on one device, with the best way that was found.

    Parameters
    ----------
    service, device
        Their names.
    offers
        What the service offers there.
    hops
        The best way, or the shortest one where nothing arrives.
    amplifier
        Where it ends, or should end; empty where there is none.
    passage
        What is left at each place of that way.
    """

    service: str
    device: str
    offers: tuple[Sound, ...]
    hops: tuple[Hop, ...]
    amplifier: str
    passage: Passage | None

    @property
    def end(self) -> Sound | None:
        """What the amplifier plays."""
        return self.passage.end.sound if self.passage and self.passage.end else None


def plan(project: Project) -> Chain:
    """Work out what really arrives of each service, and the first place that spoils it.

    Parameters
    ----------
    project
        With its devices, links, services and amplifiers.

    Returns
    -------
    Chain
        One entry per service and device, in the order of the file.

    Notes
    -----
    For each service the best form, path and setting of every menu is found exactly. Services are judged one by
    one: where two want the same menu to stand differently, a finding says so.
    """
    network = read_network(project)
    played = [
        (service.name, device, offers)
        for service in project.services
        if (offers := offers_of(service))
        for device in service.on
        if device in network.boxes or device in network.amplifiers
    ]
    solver = Solver(network, [(device, sound) for _, device, offers in played for sound in offers])
    heard = [
        _heard(network, name, device, offers, solver.best(device, offers)) for name, device, offers in played
    ]
    services = tuple(_service(project, network, entry, heard) for entry in heard)
    topologies, better = compare(network, played)
    delays = lip_sync(project, network, services)
    return Chain(
        services=services,
        topologies=topologies,
        better_topology=better,
        lip_sync=delays,
        proof=tuple(proof_line(project, entry) for entry in services),
        findings=chain_findings(project, network, services) + delay_findings(project, delays),
    )


def offers_of(service: Service) -> tuple[Sound, ...]:
    """Read what a service offers, leaving out what is not understood."""
    found = []
    for text in service.offers:
        try:
            found.append(offered(parse_format(text)))
        except UnknownFormatError:
            continue
    return tuple(dict.fromkeys(found))


def _heard(
    network: Network, service: str, device: str, offers: tuple[Sound, ...], route: Route | None
) -> Heard:
    hops = route.hops if route else _shortest(network, device)
    amplifier = hops[-1].target if hops else device if device in network.amplifiers else _only(network)
    reaches = bool(hops) or device in network.amplifiers
    passage = follow(network, device, offers, hops) if reaches else None
    return Heard(service, device, offers, hops, amplifier, passage)


def _only(network: Network) -> str:
    """Return the first amplifier, as the one that a source without any link should reach."""
    return next(iter(network.amplifiers), "")


def _shortest(network: Network, source: str) -> tuple[Hop, ...]:
    """Return the way with the fewest links to an amplifier, whatever it carries; empty where there is none."""
    ways: dict[str, tuple[Hop, ...]] = {source: ()}
    waiting = [source]
    for name in waiting:
        if name in network.amplifiers:
            return ways[name]
        for hop in network.leaving.get(name, ()):
            if hop.target not in ways:
                ways[hop.target] = (*ways[name], hop)
                waiting.append(hop.target)
    return ()


def _service(project: Project, network: Network, entry: Heard, heard: Sequence[Heard]) -> ServiceSound:
    end = entry.end
    case = Case(network, entry.device, entry.offers, entry.hops, entry.amplifier, end)
    amplifier = next((known for known in project.amplifiers if known.name == entry.amplifier), None)
    return ServiceSound(
        service=entry.service,
        device=entry.device,
        path=(entry.device, *(hop.target for hop in entry.hops)) if end else (entry.device,),
        links=tuple(f"{hop.label} ({hop.kind.value})" for hop in entry.hops) if end else (),
        offered=describe(max(entry.offers, key=gain).stream),
        format=end.format if end else "",
        channels=end.channels if end else 0,
        rate_hz=end.rate_hz if end else 0.0,
        bits=end.bits if end else 0,
        objects=end.objects if end else False,
        lossless=end.faithful if end else False,
        rendered=_rendered(project, amplifier, end),
        settings=needed_settings(network, entry.device, entry.offers, entry.hops, entry.passage)
        if entry.passage
        else (),
        losses=losses(network, entry.passage, entry.device) if entry.passage else (_no_way(entry),),
        mends=mends(case, _elsewhere(entry, heard)),
        display_shows=shown(amplifier, end),
    )


def _elsewhere(entry: Heard, heard: Sequence[Heard]) -> Mapping[str, Sound | None]:
    return {
        other.device: other.end
        for other in heard
        if other.service == entry.service and other.device != entry.device
    }


def _no_way(entry: Heard) -> Loss:
    what = describe(max(entry.offers, key=gain).stream)
    return Loss(
        where=entry.device,
        kind="device",
        why=f"No link leads from {entry.device} to an amplifier; nothing is left.",
        takes=("sound",),
        before=what,
        after="nothing",
    )


def _rendered(project: Project, amplifier: Amplifier | None, end: Sound | None) -> int | None:
    """Count the loudspeakers that a sound can drive: all with objects, else at most one per channel."""
    there = len(project.loudspeakers) + bool(project.subwoofers)
    if end is None or not there:
        return None
    able = min(there, amplifier.processed) if amplifier and amplifier.processed else there
    return able if end.objects else min(able, end.channels)
