"""Why not more: the places that take something away, and what each setting is worth."""

from collections.abc import Sequence

from seatfield.catalogue.formats import describe, layout_name
from seatfield.stages.chain.box import Box
from seatfield.stages.chain.network import Hop, Network
from seatfield.stages.chain.passage import Passage, Place, follow
from seatfield.stages.chain.result import Loss, NeededSetting
from seatfield.stages.chain.sound import Sound, gain
from seatfield.stages.chain.wire import capacity_text, need_text, over

_FIELDS = ("objects", "channels", "lossless", "sampling rate", "sample size", "bit rate")


def losses(network: Network, passage: Passage, source: str) -> tuple[Loss, ...]:
    """List the places of a path that take something away, the first cause first.

    Parameters
    ----------
    network
        Devices and amplifiers.
    passage
        The path with what is left at each place.
    source
        The device that plays the service.

    Returns
    -------
    tuple of Loss
        A place takes something away if the best that could arrive, were all places after it perfect, is less
        after it than before.
    """
    return tuple(_loss(network, place, source) for place in passage.places if place.takes)


def _loss(network: Network, place: Place, source: str) -> Loss:
    assert place.before is not None
    return Loss(
        where=place.name,
        kind=place.kind,
        why=_why(network, place, source),
        takes=_takes(place.before, place.after),
        before=describe(place.before.stream),
        after=describe(place.after.stream) if place.after else "nothing",
    )


def _takes(before: Sound, after: Sound | None) -> tuple[str, ...]:
    if after is None:
        return ("sound",)
    return tuple(name for name, was, now in zip(_FIELDS, gain(before), gain(after), strict=True) if now < was)


def _why(network: Network, place: Place, source: str) -> str:
    assert place.before is not None
    if place.hop is not None:
        return _sentence(f"{_wire_text(place.hop, place.before)}{_left(place)}")
    if place.kind == "amplifier":
        return _sentence(f"{_amplifier_text(network.amplifiers[place.name], place.before)}{_left(place)}")
    text = _box_text(network.boxes[place.name], place.before, at_source=place.name == source)
    return _sentence(f"{text}{_left(place)}")


def _left(place: Place) -> str:
    return f"; {describe(place.after.stream)} is left" if place.after else "; nothing is left"


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}."


def _wire_text(hop: Hop, sound: Sound) -> str:
    """Say why a link does not carry a sound."""
    carried = over(hop.kind, hop.rate_hz, sound)
    needs = need_text(sound.stream)
    if carried is not None and carried.channels == sound.channels and carried.rate_hz == sound.rate_hz:
        return f"{capacity_text(hop.kind, hop.rate_hz)}, so the original bits of {describe(sound.stream)} do not stay"
    return f"{capacity_text(hop.kind, hop.rate_hz)}, but {describe(sound.stream)} {needs}"


def _box_text(box: Box, sound: Sound, *, at_source: bool) -> str:
    """Say why a device does not hand a sound on."""
    wanted = describe(sound.stream)
    if not box.known:
        return f"nothing is said about the formats of {box.name}: two channels of LPCM are counted on, not {wanted}"
    verb = "puts out" if at_source else "hands on"
    return f"among the formats that {box.name} {verb} ({_listed(box)}) there is no {wanted}"


def _listed(box: Box) -> str:
    """List what a device hands on, extensions in place of their cores."""
    most = max((ability.channels or 8 for ability in box.lpcm), default=2)
    coded = [name + (f" {layout_name(limit)}" if limit else "") for name, limit in box.passes.items()]
    return ", ".join([f"LPCM of {most} channels", *sorted(coded)])


def _amplifier_text(amplifier: Box, sound: Sound) -> str:
    decodes = ", ".join(sorted(amplifier.decodes)) or "no coded format"
    return f"among the formats that {amplifier.name} decodes ({decodes}) there is no {describe(sound.stream)}"


def needed_settings(
    network: Network, source: str, offers: Sequence[Sound], hops: Sequence[Hop], passage: Passage
) -> tuple[NeededSetting, ...]:
    """List the settings that the best arrival takes, in the order of the path.

    Parameters
    ----------
    network, source, offers, hops
        As for `follow`.
    passage
        What it returned.

    Returns
    -------
    tuple of NeededSetting
        Each with what arrives where it stands otherwise.
    """
    if passage.end is None:
        return ()
    found = []
    for device, (setting, value) in passage.end.chosen:
        other = follow(network, source, offers, hops, barred=(device, setting)).end
        found.append(NeededSetting(device, setting, value, describe(other.sound.stream) if other else ""))
    return tuple(found)
