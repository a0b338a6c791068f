"""What a device does with a sound: hand it on, decode it, or turn it into another format."""

from dataclasses import dataclass

from seatfield.catalogue.device_kinds import DeviceKind, device_kind
from seatfield.catalogue.formats import Ability, UnknownFormatError, audio_format, parse_ability
from seatfield.model import Amplifier, Device, Setting
from seatfield.stages.chain.sound import Sound

BASIC_LPCM = Ability("LPCM", 2)  # CTA-861: whoever takes sound takes this

# What a decoder understands besides: ETSI TS 102 366 annex E asks E-AC-3 decoders to decode AC-3.
_ALSO = {"E-AC-3": "AC-3"}

Chosen = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Output:
    """A sound that a device can send.

    Parameters
    ----------
    sound
        The sound.
    conversions
        1 where it was decoded, folded down or coded anew; else 0.
    chosen
        Settings that it takes: pairs of the setting's name and value.
    """

    sound: Sound
    conversions: int
    chosen: tuple[Chosen, ...] = ()


@dataclass(frozen=True, slots=True)
class Box:
    """A device with its formats read.

    Parameters
    ----------
    name
        The device's name.
    lpcm
        The LPCM that it handles.
    passes, decodes
        Coded formats, each with the most channels (None: as many as the format has).
    converts
        Pairs of a coded format and what it becomes.
    settings
        Its settings.
    shows_picture
        Whether the picture ends here.
    known
        Whether the file or its kind says anything about its sound.
    """

    name: str
    lpcm: tuple[Ability, ...]
    passes: dict[str, int | None]
    decodes: dict[str, int | None]
    converts: tuple[tuple[Ability, Ability], ...]
    settings: tuple[Setting, ...] = ()
    shows_picture: bool = False
    known: bool = True

    def outputs(self, sound: Sound) -> tuple[Output, ...]:
        """List what the device can send when it is given a sound.

        Parameters
        ----------
        sound
            What arrives, or what a service on it offers.

        Returns
        -------
        tuple of Output
            Each sound once, with the settings that it takes.
        """
        found = self._lpcm(sound, 0) if not sound.coded else [*self._handed_on(sound), *self._decoded(sound)]
        found += self._converted(sound)
        best: dict[Sound, int] = {}
        for out, conversions in found:
            best[out] = min(conversions, best.get(out, conversions))
        return tuple(Output(out, conversions, self._chosen(out)) for out, conversions in best.items())

    def _handed_on(self, sound: Sound) -> list[tuple[Sound, int]]:
        return [(form, 0) for form in forms(sound) if fits(self.passes, form)]

    def _decoded(self, sound: Sound) -> list[tuple[Sound, int]]:
        for form in forms(sound):
            if form.format in self.decodes:
                return self._lpcm(decoded(form, self.decodes[form.format]), 1)
        return []

    def _lpcm(self, sound: Sound, before: int) -> list[tuple[Sound, int]]:
        limited = [limit(sound, ability) for ability in self.lpcm]
        return [(out, before if out == sound else 1) for out in limited]

    def _converted(self, sound: Sound) -> list[tuple[Sound, int]]:
        found = []
        for source, target in self.converts:
            if any(form.format == source.format for form in forms(sound)):
                entry = audio_format(target.format)
                most = target.channels or (entry.most_channels if entry.coded else sound.channels)
                channels = min(sound.channels, most)
                rate_hz = min(sound.rate_hz, target.rate_hz or entry.highest_rate_hz)
                out = Sound(
                    target.format, channels, rate_hz, min(sound.bits, target.bits or 24), faithful=False
                )
                found.append((out, 1))
        return found

    def _chosen(self, sound: Sound) -> tuple[Chosen, ...]:
        """Return the settings that let a sound out."""
        chosen = []
        for setting in self.settings:
            opening = [value for value, texts in setting.only if any(_covers(text, sound) for text in texts)]
            if opening:
                chosen.append((setting.name, opening[0]))
        return tuple(chosen)


def forms(sound: Sound) -> list[Sound]:
    """List what a coded sound is to a device without its extensions: itself first, then its core and so on."""
    found, name = [sound], sound.format
    while core := audio_format(name).core:
        entry = audio_format(core)
        last = found[-1]
        channels = min(last.channels, entry.usual_channels) if core == "DTS" else last.channels
        rate_hz = min(last.rate_hz, entry.highest_rate_hz)
        faithful = sound.faithful and entry.lossless and rate_hz == last.rate_hz
        found.append(Sound(core, channels, rate_hz, last.bits, faithful))
        name = core
    return found


def fits(formats: dict[str, int | None], sound: Sound) -> bool:
    """Tell whether a coded sound is among formats and within their channels."""
    most = formats.get(sound.format, 0)
    return most is None or sound.channels <= most


def decoded(sound: Sound, most: int | None) -> Sound:
    """Return the LPCM that comes out of a decoder; objects are gone, lossless stays lossless."""
    channels = sound.channels if most is None else min(sound.channels, most)
    return Sound("LPCM", channels, sound.rate_hz, sound.bits, sound.faithful and channels == sound.channels)


def limit(sound: Sound, ability: Ability) -> Sound:
    """Fold LPCM down to what a device handles."""
    channels = min(sound.channels, ability.channels or sound.channels)
    rate_hz = min(sound.rate_hz, ability.rate_hz or sound.rate_hz)
    bits = min(sound.bits, ability.bits or sound.bits)
    same = (channels, rate_hz, bits) == (sound.channels, sound.rate_hz, sound.bits)
    return sound if same else Sound("LPCM", channels, rate_hz, bits, faithful=False)


def _covers(text: str, sound: Sound) -> bool:
    """Tell whether a format beside a setting's value speaks of a sound; all LPCM of more than two channels is one."""
    try:
        ability = parse_ability(text)
    except UnknownFormatError:
        return False
    if ability.format != sound.format:
        return False
    if sound.coded or ability.channels is None:
        return ability.channels in {None, sound.channels}
    return (ability.channels > 2) == (sound.channels > 2)


def read_box(device: Device) -> Box:
    """Read what a device does; where the file says nothing of its formats, its kind stands in."""
    kind = device_kind(device.kind)
    given = bool(device.decodes or device.passes or device.converts)
    source: Device | DeviceKind | None = device if given else kind
    decodes = abilities(source.decodes) if source else ()
    passes = abilities(source.passes) if source else ()
    converts = tuple((abilities((a,)), abilities((b,))) for a, b in source.converts) if source else ()
    return Box(
        name=device.name,
        lpcm=_lpcm_of((*decodes, *passes)),
        passes=_with_cores(passes),
        decodes=_with_cores(decodes, decoder=True),
        converts=tuple((a[0], b[0]) for a, b in converts if a and b),
        settings=device.settings,
        shows_picture=_shows_picture(device),
        known=source is not None,
    )


def _shows_picture(device: Device) -> bool:
    kind = device_kind(device.kind) or device_kind(device.name)
    return kind is not None and kind.shows_picture


def read_amplifier(amplifier: Amplifier) -> Box:
    """Read what an amplifier decodes; one that lists nothing is taken to decode everything."""
    decodes = abilities(amplifier.decodes)
    lpcm = tuple(ability for ability in decodes if ability.format == "LPCM")
    most = max(2, min(8, amplifier.processed or amplifier.channels)) if decodes else None
    return Box(
        name=amplifier.name,
        lpcm=lpcm or (Ability("LPCM", most),),
        passes={},
        decodes=_with_cores(decodes, decoder=True),
        converts=(),
        known=bool(decodes),
    )


def played(amplifier: Box, sound: Sound) -> Sound | None:
    """Return what an amplifier makes of a sound; None where it can do nothing with it."""
    if not sound.coded:
        return max(
            (limit(sound, ability) for ability in amplifier.lpcm), key=lambda out: (out.channels, out.rate_hz)
        )
    if not amplifier.known:
        return sound
    for form in forms(sound):
        if form.format in amplifier.decodes:
            most = amplifier.decodes[form.format]
            channels = form.channels if most is None else min(form.channels, most)
            return form._replace(channels=channels, faithful=form.faithful and channels == form.channels)
    return None


def abilities(texts: tuple[str, ...]) -> tuple[Ability, ...]:
    """Read formats, leaving out what is not understood: the stage reports that elsewhere."""
    found = []
    for text in texts:
        try:
            found.append(parse_ability(text))
        except UnknownFormatError:
            continue
    return tuple(found)


def _lpcm_of(listed: tuple[Ability, ...]) -> tuple[Ability, ...]:
    return tuple(dict.fromkeys(ability for ability in listed if ability.format == "LPCM")) or (BASIC_LPCM,)


def _with_cores(listed: tuple[Ability, ...], *, decoder: bool = False) -> dict[str, int | None]:
    """Map each coded format to its most channels; who takes an extension takes its core too."""
    found: dict[str, int | None] = {}
    for ability in listed:
        name: str = ability.format if ability.format != "LPCM" else ""
        while name:
            known = found.get(name, 0)
            found[name] = None if known is None or ability.channels is None else max(known, ability.channels)
            name = audio_format(name).core or (_ALSO.get(name, "") if decoder else "")
    return found
