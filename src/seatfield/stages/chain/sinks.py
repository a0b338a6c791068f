"""What a sink's own description means for the project file: the formats that it decodes."""

from seatfield.catalogue.formats import Ability, audio_format, describe_ability
from seatfield.readers.sink import Sink, SinkFormat

# CTA-861 audio format codes. Code 11 stands for all DTS extensions; MPEG-H is extension type 11 of code 15.
_NAMES = {1: "LPCM", 2: "AC-3", 6: "AAC LC", 7: "DTS", 10: "E-AC-3", 11: "DTS lossless", 12: "MLP"}
_MPEG_H = (15, 11)


def formats_of(sink: Sink) -> tuple[str, ...]:
    """Say what a sink takes, in the words of the project file.

    Parameters
    ----------
    sink
        As its description was read.

    Returns
    -------
    tuple of str
        For ``decodes``: each format once, with the most channels and, for LPCM, the highest rate and largest size.

    Notes
    -----
    Where the description does not say whether objects are taken (ELD text), they are not claimed.
    """
    found: dict[str, Ability] = {}
    for entry in sink.abilities:
        ability = _ability(entry)
        if ability is not None:
            known = found.get(ability.format)
            found[ability.format] = ability if known is None else max(known, ability, key=_size)
    return tuple(describe_ability(ability) for ability in found.values())


def _size(ability: Ability) -> tuple[float, ...]:
    return (ability.channels or 0, ability.rate_hz or 0, ability.bits or 0)


def _ability(entry: SinkFormat) -> Ability | None:
    name = "MPEG-H 3D Audio" if (entry.code, entry.extended_code) == _MPEG_H else _NAMES.get(entry.code, "")
    if not name:
        return None
    if entry.objects and entry.code in {10, 12}:
        return Ability(f"{name} with objects")
    channels = min(entry.channels, audio_format(name).most_channels) if entry.channels else None
    if entry.code != 1:
        return Ability(name, channels)
    rate_hz = max(entry.rates_khz) * 1000 if entry.rates_khz else None
    return Ability(name, channels, rate_hz, max(entry.bits) if entry.bits else None)
