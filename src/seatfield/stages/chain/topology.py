"""Two ways of wiring compared: all sources into the amplifier, or all into the display."""

from collections.abc import Sequence

from seatfield.model import LinkKind
from seatfield.stages.chain.mending import whole
from seatfield.stages.chain.network import RETURNS, Hop, Network
from seatfield.stages.chain.passage import follow
from seatfield.stages.chain.result import Topology, TopologySound
from seatfield.stages.chain.sound import Sound, gain
from seatfield.stages.chain.wire import FULL_RATE_HZ

INTO_AMPLIFIER, INTO_DISPLAY = "sources into the amplifier", "sources into the display"
NO_WINNER = "no clear winner"

Played = tuple[str, str, tuple[Sound, ...]]


def compare(network: Network, services: Sequence[Played]) -> tuple[tuple[Topology, ...], str]:
    """Compare the two ways of wiring.

    Parameters
    ----------
    network
        Devices, amplifiers and links as they are.
    services
        Each service with its device and what it offers there.

    Returns
    -------
    tuple of Topology, str
        Both ways and the name of the better one, or ``no clear winner`` where each is better for some service;
        nothing where there is no display with a link to the amplifier.

    Notes
    -----
    New links are HDMI at full frame rate. The display's own services and the link from the display to the
    amplifier stay as they are in both.
    """
    back = _way_back(network)
    if back is None:
        return (), ""
    away = [entry for entry in services if entry[1] not in {back.source, back.target}]
    if not away:
        return (), ""
    rows: dict[str, list[tuple[Played, Sound | None]]] = {INTO_AMPLIFIER: [], INTO_DISPLAY: []}
    for entry in services:
        name, device, offers = entry
        for way, hops in _ways(device, back).items():
            passage = follow(network, device, offers, hops)
            rows[way].append(((name, device, offers), passage.end.sound if passage.end else None))
    topologies = tuple(_topology(way, found) for way, found in rows.items())
    return topologies, _better(rows)


def _ways(device: str, back: Hop) -> dict[str, tuple[Hop, ...]]:
    if device == back.target:
        return {INTO_AMPLIFIER: (), INTO_DISPLAY: ()}
    if device == back.source:
        return {INTO_AMPLIFIER: (back,), INTO_DISPLAY: (back,)}
    return {
        INTO_AMPLIFIER: (_joined(device, back.target),),
        INTO_DISPLAY: (_joined(device, back.source), back),
    }


def _joined(source: str, target: str) -> Hop:
    return Hop(source, target, LinkKind.HDMI, FULL_RATE_HZ, f"{source} to {target}")


def _way_back(network: Network) -> Hop | None:
    """Find the link by which a display gives sound to an amplifier: a return channel before any other."""
    found = [
        hop
        for hop in network.hops
        if hop.target in network.amplifiers
        and hop.source in network.boxes
        and (hop.kind in RETURNS or network.boxes[hop.source].shows_picture)
    ]
    order = (LinkKind.ENHANCED_RETURN, LinkKind.RETURN)
    return min(
        found, key=lambda hop: order.index(hop.kind) if hop.kind in order else len(order), default=None
    )


def _topology(way: str, rows: Sequence[tuple[Played, Sound | None]]) -> Topology:
    services = tuple(
        TopologySound(
            service=name,
            device=device,
            format=end.format if end else "",
            channels=end.channels if end else 0,
            objects=end.objects if end else False,
            lossless=end.faithful if end else False,
        )
        for (name, device, _), end in rows
    )
    return Topology(way, services, sum(whole(end, offers) for (_, _, offers), end in rows))


def _better(rows: dict[str, list[tuple[Played, Sound | None]]]) -> str:
    pairs = list(zip(rows[INTO_AMPLIFIER], rows[INTO_DISPLAY], strict=True))
    first = sum(_more(a[1], b[1]) for a, b in pairs)
    second = sum(_more(b[1], a[1]) for a, b in pairs)
    if first and not second:
        return INTO_AMPLIFIER
    if second and not first:
        return INTO_DISPLAY
    return NO_WINNER


def _more(one: Sound | None, other: Sound | None) -> bool:
    return one is not None and (other is None or gain(one) > gain(other))
