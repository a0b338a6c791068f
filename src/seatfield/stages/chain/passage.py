"""One sound along one given path: what is left after each device and link."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from seatfield.stages.chain.box import Chosen
from seatfield.stages.chain.network import Hop, Network
from seatfield.stages.chain.sound import Sound, Worth, gain, worth


@dataclass(frozen=True, slots=True)
class Arrival:
    """A sound at one place, with how it came there."""

    sound: Sound
    conversions: int
    chosen: tuple[tuple[str, Chosen], ...]
    converted: bool = False

    @property
    def worth(self) -> Worth:
        """How good it would be if it ended here."""
        return worth(self.sound, self.conversions)


@dataclass(frozen=True, slots=True)
class Place:
    """A device, a link or the amplifier, with the best sound before and after it.

    Parameters
    ----------
    kind
        ``device``, ``link`` or ``amplifier``.
    name
        Name of the device, or the ports of the link.
    hop
        The link; None for devices.
    before, after
        The best that can be there, judged as if all that follows were perfect; None where nothing is left.
    """

    kind: str
    name: str
    hop: Hop | None
    before: Sound | None
    after: Sound | None

    @property
    def takes(self) -> bool:
        """Whether it takes something away."""
        if self.before is None:
            return False
        return self.after is None or gain(self.after) < gain(self.before)


@dataclass(frozen=True, slots=True)
class Passage:
    """What becomes of a service's offers along one path.

    Parameters
    ----------
    places
        The stations in order.
    end
        What the amplifier plays; None where nothing arrives.
    """

    places: tuple[Place, ...]
    end: Arrival | None

    @property
    def worth(self) -> Worth | None:
        """How good the end is, the length of the path left aside."""
        return self.end.worth if self.end else None


Layer = dict[Sound, Arrival]


def follow(
    network: Network,
    source: str,
    offers: Iterable[Sound],
    hops: Sequence[Hop],
    barred: Chosen | None = None,
) -> Passage:
    """Send all offers of a service along one path.

    Parameters
    ----------
    network
        Devices and amplifiers; the links need not be in it.
    source
        The device that plays the service.
    offers
        What it offers there.
    hops
        The links in order; the last one ends at an amplifier. Empty where the source is the amplifier.
    barred
        A device and the name of a setting whose gates stay shut, to see what the setting is worth.

    Returns
    -------
    Passage
        The best over all forms and settings on this path.
    """
    layer: Layer = {sound: Arrival(sound, 0, ()) for sound in offers}
    places: list[Place] = []
    name = source
    for hop in hops:
        sent = _through_device(network, name, layer, barred)
        places.append(Place("device", name, None, _best(layer), _best(sent)))
        arrived = _through_link(hop, sent)
        places.append(Place("link", hop.label, hop, _best(sent), _best(arrived)))
        layer, name = arrived, hop.target
    ends = _into_amplifier(network, name, layer)
    places.append(Place("amplifier", name, None, _best(layer), _best(ends)))
    return Passage(tuple(places), max(ends.values(), key=lambda arrival: arrival.worth, default=None))


def _best(layer: Layer) -> Sound | None:
    return max(layer.values(), key=lambda arrival: arrival.worth).sound if layer else None


def _through_device(network: Network, name: str, layer: Layer, barred: Chosen | None) -> Layer:
    found: Layer = {}
    for arrival in layer.values():
        for output in network.outputs(name, arrival.sound):
            if barred and barred[0] == name and any(setting == barred[1] for setting, _ in output.chosen):
                continue
            chosen = arrival.chosen + tuple((name, pair) for pair in output.chosen)
            conversions = arrival.conversions + output.conversions
            _keep(found, Arrival(output.sound, conversions, chosen, bool(output.conversions)))
    return found


def _through_link(hop: Hop, layer: Layer) -> Layer:
    found: Layer = {}
    for arrival in layer.values():
        sound = hop.carry(arrival.sound)
        if sound is not None:
            folded = int(sound != arrival.sound and not arrival.converted)
            _keep(found, Arrival(sound, arrival.conversions + folded, arrival.chosen))
    return found


def _into_amplifier(network: Network, name: str, layer: Layer) -> Layer:
    found: Layer = {}
    for arrival in layer.values():
        sound = network.played(name, arrival.sound)
        if sound is not None:
            _keep(found, Arrival(sound, arrival.conversions, arrival.chosen))
    return found


def _keep(layer: Layer, arrival: Arrival) -> None:
    known = layer.get(arrival.sound)
    if known is None or arrival.conversions < known.conversions:
        layer[arrival.sound] = arrival
