"""Everyday words for keys, choices and channels: suggested where a file holds them, never read in their stead.

Common practice, no source; a label that depends on the system is that of the commonest one.
"""

from difflib import get_close_matches

LONGEST_WORD = 200

_KEYS = {
    "screen": ("tv", "television", "display", "projector", "picture", "monitor"),
    "loudspeaker": ("speaker", "speakers", "loudspeakers", "box", "boxes"),
    "subwoofer": ("sub", "subs", "subwoofers", "bass"),
    "amplifier": ("amp", "avr", "receiver", "amplifiers", "av_receiver"),
    "furniture": ("sofa", "couch", "table", "cabinet", "shelf", "bookcase", "bed"),
    "opening": ("door", "doors", "window", "windows", "archway", "openings"),
    "seat": ("chair", "listener", "seats", "listening_position", "mlp", "person"),
    "cover": ("rug", "carpet", "curtain", "raceway", "trunking"),
    "socket": ("outlet", "plug", "mains", "sockets", "receptacle"),
    "radiator": ("heater", "heating", "radiators"),
    "treatment": ("panel", "absorber", "panels"),
    "model": ("type", "speaker_model", "models"),
    "link": ("wire", "connection", "links"),
    "device": ("source", "player", "console", "devices"),
    "cable": ("cables", "wiring"),
    "system": ("layout", "format", "sound"),
    "limits": ("rules", "constraints", "forbidden"),
    "at": ("position", "pos", "location", "place", "xy", "xyz", "coordinates"),
    "centre": ("center", "middle", "at", "position", "pos"),
    "ear": ("ears", "ear_height", "height", "head"),
    "floor": ("corners", "outline", "points", "shape", "floorplan", "polygon"),
    "kind": ("type", "what"),
    "outline": ("corners", "points", "shape", "footprint", "polygon"),
    "channel": ("label", "role", "speaker"),
    "impedance": ("ohm", "ohms", "nominal", "nominal_impedance", "resistance"),
    "sensitivity": ("spl", "efficiency"),
    "size": ("dimensions", "dims", "box"),
    "watts": ("power", "w", "wattage"),
    "power": ("watts", "power_handling", "wattage"),
    "start": ("from", "at", "offset", "position", "distance"),
    "from": ("start",),
    "to": ("end",),
    "hinge": ("hinges", "hung"),
    "sill": ("sill_height", "bottom"),
    "ceiling": ("height", "ceiling_height"),
    "main": ("primary", "sweet_spot"),
    "layout": ("format", "name", "speakers"),
    "conductor": ("gauge", "awg", "size", "cross_section"),
    "price": ("cost",),
    "number": ("wall", "no", "nr", "index"),
}

_CHOICES = {
    "stand": ("floor", "tripod", "pole", "floorstanding", "floor-standing"),
    "shelf": ("table", "desk", "cabinet", "furniture", "bookshelf"),
    "none": ("no", "not allowed"),
    "archway": ("arch", "opening", "passage"),
    "loudspeaker": ("speaker",),
    "subwoofer": ("sub",),
    "vented": ("ported", "bass reflex", "reflex"),
    "sealed": ("closed", "closed box"),
    "masonry": ("brick", "concrete", "stone", "block"),
    "return": ("arc", "audio return", "audio return channel", "return channel"),
    "enhanced return": ("earc", "enhanced audio return channel"),
    "optical": ("fibre", "fiber", "light"),
    "coaxial": ("coax", "spdif", "s/pdif", "digital"),
    "analogue": ("analog", "line", "stereo"),
    "radio": ("wireless", "wifi", "wi-fi"),
    "stud": ("plasterboard", "drywall", "studs", "partition"),
}
"""Choices by what people write for them."""

_LEFT = {
    "M+030": ("l", "fl", "lf", "left", "front l", "left front", "main left", "front"),
    "M+110": ("ls", "sl", "surround l", "left surround", "surround left"),
    "M+135": ("lb", "bl", "sbl", "lbs", "lrs", "rl", "left back", "back left", "rear left", "left rear",
              "surround back left"),
    "M+060": ("lw", "fwl", "wide left", "left wide", "front wide left"),
    "U+030": ("ltf", "tfl", "fhl", "lfh", "top front left", "front height left", "left height"),
    "U+045": ("tl", "left top"),
    "U+090": ("ltm", "tml", "tsl", "top middle left", "top side left"),
    "U+135": ("ltr", "trl", "ltb", "tbl", "top rear left", "top back left", "rear height left"),
}  # fmt: skip
_MIDDLE = {
    "M+000": ("c", "cc", "fc", "cen", "center", "centre", "middle"),
    "LFE1": ("lfe", "sw", "sub", "subwoofer", "sub 1", ".1", "bass"),
}


def _mirrored(word: str) -> str:
    """Return the word of the right side for one of the left."""
    if "left" in word:
        return word.replace("left", "right")
    return word[::-1].replace("l", "r", 1)[::-1] if word.endswith("l") else word.replace("l", "r", 1)


_CHANNELS = {word: label for label, words in (_MIDDLE | _LEFT).items() for word in words}
_CHANNELS |= {
    _mirrored(word): label.replace("+", "-")
    for label, words in _LEFT.items()
    for word in words
    if "l" in word
}
_CHANNELS |= {"rr": "M-135", "front": "M+030"}


def nearest_of(word: str, known: tuple[str, ...]) -> str:
    """Return the known word closest to one that is not known; empty where none is close.

    Parameters
    ----------
    word : str
        What was found.
    known : tuple of str
        What is known.

    Returns
    -------
    str
        One of `known`, or empty.
    """
    lowered = {item.lower(): item for item in reversed(known)}
    close = get_close_matches(word[:LONGEST_WORD].lower(), lowered, n=1, cutoff=0.6)
    return lowered[close[0]] if close else ""


def nearest_key(key: str, known: tuple[str, ...]) -> str:
    """Return the known key that an unknown one is a slip of, or an everyday word for; empty where there is none.

    Parameters
    ----------
    key : str
        What was found.
    known : tuple of str
        The keys that may stand there.

    Returns
    -------
    str
        One of `known`, or empty.
    """
    plain = key.strip().lower().replace("-", "_").replace(" ", "_")
    meant = (name for name in known if plain == name.lower() or plain in _KEYS.get(name, ()))
    return next(meant, "") or nearest_of(key, known)


def nearest_choice(value: str, known: tuple[str, ...]) -> str:
    """Return the choice that a value means: alike but for its letters' case, one of its words, or a slip of it.

    Parameters
    ----------
    value : str
        What was found.
    known : tuple of str
        The choices.

    Returns
    -------
    str
        One of `known`, or empty.
    """
    plain = value.strip().lower()
    words = plain.replace("-", " ").split()
    meant = [word for word in known if plain in _CHOICES.get(word, ())]
    begun = [word for word in known if len(plain) > 1 and word.startswith(plain)]
    inside = [word for word in known if word.lower() in words]
    close = nearest_of(value, known)
    told = next((one[0] for one in (begun, inside) if len(one) == 1), "")
    return meant[0] if len(meant) == 1 else close or told


def channel_of(word: str) -> str:
    """Return the label of the channel that an everyday word or letters such as FL stand for; empty for others."""
    return _CHANNELS.get(" ".join(word.lower().replace("_", " ").replace("-", " ").split()), "")
