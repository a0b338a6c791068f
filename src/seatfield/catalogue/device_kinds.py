"""Kinds of device in a signal chain and what they usually do; no products.

What a kind does is common practice, no source: it stands in only where the project file says nothing, and the
printed manual of the device outranks it.
"""

from dataclasses import dataclass
from difflib import get_close_matches

_COMPRESSED = ("AC-3", "E-AC-3", "E-AC-3 with objects")
_DISC = (
    *_COMPRESSED,
    "DTS",
    "DTS with extensions",
    "DTS lossless",
    "DTS lossless with objects",
    "MLP",
    "MLP with objects",
)
_ALL = ("LPCM 8", *_DISC)


@dataclass(frozen=True, slots=True)
class DeviceKind:
    """What a kind of device usually does with sound.

    Parameters
    ----------
    name
        What the trade calls it.
    also
        Other words for it.
    shows_picture
        Whether it is where the picture ends: it then has no picture output to give sound to.
    decodes, passes
        Formats that it usually decodes, and hands on untouched.
    converts
        Formats that it usually turns into others.
    check
        What to look up in the manual, because it differs most.
    """

    name: str
    also: tuple[str, ...]
    shows_picture: bool
    decodes: tuple[str, ...]
    passes: tuple[str, ...]
    converts: tuple[tuple[str, str], ...]
    check: str


DEVICE_KINDS = (
    DeviceKind(
        "display",
        ("television", "tv", "screen"),
        True,
        ("LPCM 2", "AC-3", "E-AC-3"),
        ("LPCM 2", *_COMPRESSED),
        (("E-AC-3", "AC-3"),),
        "which formats it hands on from its inputs, and on which socket sound returns to the amplifier",
    ),
    DeviceKind(
        "projector",
        ("beamer",),
        True,
        ("LPCM 2",),
        ("LPCM 2",),
        (),
        "whether it returns sound at all",
    ),
    DeviceKind(
        "disc player",
        ("player",),
        False,
        ("LPCM 8", "AC-3", "E-AC-3", "DTS", "DTS lossless", "MLP"),
        _ALL,
        (),
        "the menu that chooses between untouched and decoded sound, and secondary sound that forces decoding",
    ),
    DeviceKind(
        "streaming box",
        ("streamer", "media box", "stick"),
        False,
        ("LPCM 8", "AC-3", "E-AC-3"),
        ("LPCM 8", *_COMPRESSED),
        (),
        "whether each app offers objects on it",
    ),
    DeviceKind(
        "games console",
        ("console", "game console"),
        False,
        ("LPCM 8", "AC-3", "E-AC-3", "MLP", "DTS"),
        ("LPCM 8", *_COMPRESSED),
        (),
        "the menu for the kind of sound output; games make multichannel LPCM",
    ),
    DeviceKind(
        "set-top box",
        ("receiver box", "tuner", "cable box", "satellite box"),
        False,
        ("LPCM 2", "AC-3", "E-AC-3", "AAC LC"),
        ("LPCM 2", "AC-3", "E-AC-3"),
        (),
        "the menu that chooses between stereo and multichannel sound",
    ),
    DeviceKind(
        "computer",
        ("pc", "laptop"),
        False,
        ("LPCM 8",),
        ("LPCM 8", "AC-3", "E-AC-3", "DTS"),
        (),
        "the loudspeaker layout chosen in its sound settings",
    ),
    DeviceKind(
        "splitter",
        ("distribution amplifier",),
        False,
        ("LPCM 2",),
        ("LPCM 2",),
        (),
        "its switch for the description that it reports: many report the poorest of the sinks behind it",
    ),
    DeviceKind(
        "switch",
        ("switcher", "matrix"),
        False,
        ("LPCM 8",),
        _ALL,
        (),
        "whether it reports the amplifier's description or one of its own",
    ),
    DeviceKind(
        "sound extractor",
        ("extractor", "audio extractor"),
        False,
        ("LPCM 8",),
        _ALL,
        (),
        "which of its outputs carries more than two channels, and its switch for the description that it reports",
    ),
    DeviceKind(
        "stereo source",
        ("turntable", "record player", "cassette deck", "cd player", "tape deck"),
        False,
        ("LPCM 2",),
        ("LPCM 2",),
        (),
        "its output level",
    ),
)

_BY_WORD = {word: kind for kind in DEVICE_KINDS for word in (kind.name, *kind.also)}


def device_kind(text: str) -> DeviceKind | None:
    """Look up a kind by its name or another word for it; None where no kind is known by it."""
    return _BY_WORD.get(" ".join(text.lower().split()))


def nearest_kind(text: str) -> str:
    """Return the known word that a misspelt kind comes closest to, or an empty text."""
    found = get_close_matches(text.lower(), _BY_WORD, n=1, cutoff=0.6)
    return found[0] if found else ""
