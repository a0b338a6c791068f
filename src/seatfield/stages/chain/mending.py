"""Changes that bring more of a service to the amplifier, the cheapest first."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from seatfield.catalogue.formats import Ability, describe
from seatfield.model import LinkKind
from seatfield.stages.chain.box import Box
from seatfield.stages.chain.network import RETURNS, Hop, Network
from seatfield.stages.chain.passage import Passage, follow
from seatfield.stages.chain.result import Mend
from seatfield.stages.chain.sound import Gain, Sound, gain
from seatfield.stages.chain.wire import FULL_RATE_HZ, article

EFFORTS = (
    "nothing to buy",
    "one cable",
    "one cable and sockets for it",
    "several cables",
    "one box",
    "another amplifier",
)
SPARE = "a new box"


@dataclass(frozen=True, slots=True)
class Case:
    """One service on one device, with the way that its sound takes now.

    Parameters
    ----------
    network
        Devices, amplifiers and links.
    source, offers
        The device, and what the service offers on it.
    hops
        The way now; empty where the source is the amplifier or nothing leads there.
    amplifier
        Where it ends, or should end.
    end
        What arrives now.
    """

    network: Network
    source: str
    offers: tuple[Sound, ...]
    hops: tuple[Hop, ...]
    amplifier: str
    end: Sound | None


def mends(case: Case, elsewhere: Mapping[str, Sound | None]) -> tuple[Mend, ...]:
    """List the changes worth making.

    Parameters
    ----------
    case
        The service as it is now.
    elsewhere
        What arrives of the same service on the other devices that play it.

    Returns
    -------
    tuple of Mend
        The cheapest first; a dearer one stays only where it brings more.
    """
    best = max(gain(sound) for sound in case.offers)
    now = gain(case.end) if case.end else None
    if now is not None and now >= best:
        return ()
    kept: list[Mend] = []
    limit = now
    for effort, what, end in sorted(
        _changes(case, elsewhere), key=lambda change: (change[0], _falling(change[2]))
    ):
        if limit is None or gain(end) > limit:
            limit = gain(end)
            kept.append(_mend(effort, what, end, whole=limit >= best))
    return tuple(kept)


def _falling(sound: Sound) -> tuple[float, ...]:
    return tuple(-float(value) for value in gain(sound))


def _mend(effort: int, what: str, end: Sound, *, whole: bool) -> Mend:
    return Mend(what, EFFORTS[effort], end.format, end.channels, end.objects, end.faithful, whole)


def _changes(case: Case, elsewhere: Mapping[str, Sound | None]) -> Iterator[tuple[int, str, Sound]]:
    """Yield effort, words and what then arrives, for every change that is tried."""
    for device, sound in elsewhere.items():
        if sound is not None:
            yield 0, f"Play it on {device}: {describe(sound.stream)} arrives from there.", sound
    if not case.amplifier or case.source == case.amplifier:
        return
    yield from _new_links(case)
    yield from _better_links(case)
    yield from _new_box(case)
    yield from _new_amplifier(case)


def _new_links(case: Case) -> Iterator[tuple[int, str, Sound]]:
    box = case.network.boxes[case.source]
    if box.shows_picture:
        kind, words = LinkKind.ENHANCED_RETURN, "if both have sockets for it"
    else:
        kind, words = LinkKind.HDMI, "if it has a free input"
    if any(
        hop.source == case.source and hop.target == case.amplifier and hop.kind is kind for hop in case.hops
    ):
        return
    end = _end(follow(case.network, case.source, case.offers, (_direct(case.source, case.amplifier, kind),)))
    if end:
        what = f"Join {case.source} to {case.amplifier} by {article(kind)}, {words}: {describe(end.stream)} arrives."
        yield 2 if box.shows_picture else 1, what, end


def _direct(source: str, target: str, kind: LinkKind) -> Hop:
    return Hop(source, target, kind, FULL_RATE_HZ, f"{source} to {target}")


def _better_links(case: Case) -> Iterator[tuple[int, str, Sound]]:
    """Try a better kind for each link that takes something, alone; then for one after the other until none does."""
    if not case.hops:
        return
    for place in _taking(follow(case.network, case.source, case.offers, case.hops)):
        yield from _changed(case, [place])
    places: list[int] = []
    hops = case.hops
    while taking := [
        n for n in _taking(follow(case.network, case.source, case.offers, hops)) if n not in places
    ]:
        places.append(taking[0])
        hops = _with_better(case, places)
    if len(places) > 1:
        yield from _changed(case, sorted(places))


def _taking(passage: Passage) -> list[int]:
    """Return which links of a way take something, counted from 0."""
    links = [place for place in passage.places if place.hop is not None]
    return [number for number, place in enumerate(links) if place.takes]


def _with_better(case: Case, places: Sequence[int]) -> tuple[Hop, ...]:
    return tuple(_better(case.network, hop) if n in places else hop for n, hop in enumerate(case.hops))


def _changed(case: Case, places: Sequence[int]) -> Iterator[tuple[int, str, Sound]]:
    hops = _with_better(case, places)
    end = _end(follow(case.network, case.source, case.offers, hops))
    if end:
        changed = " and ".join(f"{case.hops[place].label} to {article(hops[place].kind)}" for place in places)
        effort = 3 if len(places) > 1 else 2 if hops[places[0]].kind in RETURNS else 1
        words = (
            f"Change the link {changed}, if both ends have sockets for it: {describe(end.stream)} arrives."
        )
        yield effort, words, end


def _better(network: Network, hop: Hop) -> Hop:
    source = network.boxes.get(hop.source)
    kind = LinkKind.ENHANCED_RETURN if source is not None and source.shows_picture else LinkKind.HDMI
    if hop.kind in RETURNS:
        kind = LinkKind.ENHANCED_RETURN
    return replace(hop, kind=kind, rate_hz=FULL_RATE_HZ)


def _new_box(case: Case) -> Iterator[tuple[int, str, Sound]]:
    """Try a new source at the amplifier that hands on everything that the service offers."""
    passes: dict[str, int | None] = {sound.format: None for sound in case.offers if sound.coded}
    spare = Box(SPARE, (Ability("LPCM"),), passes, passes, ())
    network = Network({**case.network.boxes, SPARE: spare}, case.network.amplifiers, ())
    end = _end(follow(network, SPARE, case.offers, (_direct(SPARE, case.amplifier, LinkKind.HDMI),)))
    if end:
        what = (
            f"Play it on a box of its own that puts out {describe(max(case.offers, key=gain).stream)} and is joined to "
            f"{case.amplifier} by an HDMI link: {describe(end.stream)} arrives."
        )
        yield 4, what, end


def _new_amplifier(case: Case) -> Iterator[tuple[int, str, Sound]]:
    perfect = Box(case.amplifier, (Ability("LPCM"),), {}, {}, (), known=False)
    network = Network(case.network.boxes, {**case.network.amplifiers, case.amplifier: perfect}, ())
    end = _end(follow(network, case.source, case.offers, case.hops)) if case.hops else None
    if end:
        yield 5, f"With an amplifier that decodes it, {describe(end.stream)} arrives on the same links.", end


def _end(passage: Passage) -> Sound | None:
    return passage.end.sound if passage.end else None


def whole(end: Sound | None, offers: Sequence[Sound]) -> bool:
    """Tell whether the best that a service offers arrives."""
    best: Gain = max(gain(sound) for sound in offers)
    return end is not None and gain(end) >= best
