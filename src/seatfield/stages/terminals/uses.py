"""Uses of an amplifier's channels: pairs and singles of loudspeakers, and what the trade calls them."""

from dataclasses import dataclass

from seatfield.catalogue.systems import plain_name
from seatfield.model import Amplifier
from seatfield.stages.layout.result import Placed

HEIGHT_LAYERS = ("U", "T")
BACK = ("M+135", "M-135", "M+180")
SIDES = ("M+090", "M-090")

WORDS = {
    "height": "height",
    "heights": "height",
    "height pair": "height",
    "second height": "second height",
    "front height": "height",
    "back": "back",
    "backs": "back",
    "surround back": "back",
    "back pair": "back",
    "zone two": "zone two",
    "zone 2": "zone two",
    "second zone": "zone two",
    "bi-amp": "bi-amp",
    "bi-amping": "bi-amp",
    "wide": "wide",
    "wides": "wide",
}
"""Words in which a file names uses that shut each other out."""


ZONE, BI_AMP = "zone two", "bi-amp"
HIGH = " hi"
"""What follows a loudspeaker's id where its upper terminals have a run of their own: as short as a tag wants it."""


@dataclass(frozen=True, slots=True)
class Member:
    """What takes one amplifier channel.

    Parameters
    ----------
    id
        Of its run.
    channel
        Label; empty in the second zone.
    loudspeaker
        Where the run ends; empty in the second zone.
    words
        What a person calls it.
    """

    id: str
    channel: str
    loudspeaker: str
    words: str


@dataclass(frozen=True, slots=True)
class Unit:
    """What is driven alike: a left and right pair, a single, the second zone."""

    members: tuple[Member, ...]
    use: str


def units(loudspeakers: tuple[Placed, ...]) -> tuple[Unit, ...]:
    """Group loudspeakers into pairs and singles.

    Parameters
    ----------
    loudspeakers
        Of the layout; low-frequency channels are left out by the caller.

    Returns
    -------
    tuple
        In the order of the layout.
    """
    groups: dict[str, list[Placed]] = {}
    for speaker in loudspeakers:
        groups.setdefault(_pair(speaker.channel), []).append(speaker)
    labels = {speaker.channel for speaker in loudspeakers}
    return tuple(
        Unit(tuple(map(_member, group)), use_of(group[0].channel, labels)) for group in groups.values()
    )


def further_units(loudspeakers: tuple[Placed, ...], main: Amplifier) -> tuple[Unit, ...]:
    """Group what is wanted beside the layout: upper terminals on channels of their own, and a second zone.

    Parameters
    ----------
    loudspeakers
        Of the layout.
    main
        The amplifier with the wishes.
    """
    upper = tuple(speaker for speaker in loudspeakers if speaker.channel in main.bi_amp)
    found = [Unit(tuple(map(_upper, unit.members)), BI_AMP) for unit in units(upper)]
    if main.second_zone:
        found.append(Unit(tuple(_zone(n, main.second_zone) for n in range(main.second_zone)), ZONE))
    return tuple(found)


def _member(speaker: Placed) -> Member:
    words = f"{plain_name(speaker.channel)} ({speaker.channel})"
    return Member(speaker.id, speaker.channel, speaker.id, words)


def _upper(member: Member) -> Member:
    words = f"upper terminals of {member.words}"
    return Member(f"{member.id}{HIGH}", member.channel, member.loudspeaker, words)


def _zone(number: int, count: int) -> Member:
    sides = ("left", "right") if count == 2 else tuple(str(n + 1) for n in range(count))
    name = "second zone" if count == 1 else f"second zone {sides[number]}"
    return Member(name, "", "", name)


def _pair(channel: str) -> str:
    return channel.replace("-", "+", 1)


def use_of(channel: str, labels: set[str]) -> str:
    """Return the use that a channel counts as: ``height``, ``back``, ``wide``, or its own kind.

    Parameters
    ----------
    channel
        BS.2051 label.
    labels
        All labels of the system: back loudspeakers are such only beside a side pair.
    """
    if channel.startswith(HEIGHT_LAYERS):
        return "height"
    if channel in BACK and labels & set(SIDES):
        return "back"
    if channel in ("M+060", "M-060"):
        return "wide"
    if channel in ("M+030", "M-030"):
        return "front"
    return "centre" if channel == "M+000" else "surround"


def same_use(word: str, use: str) -> bool:
    """Tell whether a word of the file names a use."""
    return WORDS.get(word.strip().lower(), word.strip().lower()) == use
