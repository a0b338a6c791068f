"""Uses of an amplifier's channels: pairs and singles of loudspeakers, and what the trade calls them."""

from dataclasses import dataclass

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


@dataclass(frozen=True, slots=True)
class Unit:
    """Loudspeakers that are driven alike: a left and right pair, or a single."""

    members: tuple[Placed, ...]
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
    return tuple(Unit(tuple(group), use_of(group[0].channel, labels)) for group in groups.values())


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
