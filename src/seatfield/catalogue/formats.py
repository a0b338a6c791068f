"""Open audio formats: what each carries, and the IEC 60958 frame rate that it needs on a wire.

A coded format travels as bursts of IEC 61937 inside the two sub-frames of IEC 60958, 16 bits in each. A burst is
repeated after a fixed number of frames and holds a fixed number of samples of sound, so the frame rate follows
from the sampling rate: AC-3 needs 1536 frames for 1536 samples, E-AC-3 6144 frames for the same 1536.

References
----------
.. [1] IEC 60958-1, -3: digital audio interface, two sub-frames per frame.
.. [2] IEC 61937-1 to -14: data types, burst preambles and repetition periods.
.. [3] ETSI TS 102 366: AC-3 and E-AC-3. ETSI TS 103 420 V1.2.1: object audio in E-AC-3.
.. [4] ETSI TS 102 114: DTS core and extensions.
.. [5] ISO/IEC 23008-3: MPEG-H 3D Audio. ISO/IEC 14496-3: AAC. Alliance for Open Media: IAMF v1.0.0-errata.
"""

import re
from dataclasses import dataclass
from difflib import get_close_matches

PAYLOAD_BITS = 16  # of each sub-frame, in a burst
SAMPLE_BITS = 24  # of each sub-frame, as LPCM
RATES_HZ = (32_000.0, 44_100.0, 48_000.0, 88_200.0, 96_000.0, 176_400.0, 192_000.0)
SIZES_BITS = (16, 20, 24)


@dataclass(frozen=True, slots=True)
class Burst:
    """How IEC 61937 carries a format.

    Parameters
    ----------
    data_type
        Value of the burst preamble Pc, bits 0 to 6.
    period_frames
        IEC 60958 frames from one burst to the next.
    samples
        Samples of sound at the base rate (48 kHz or its kin) that one burst holds.
    """

    data_type: int
    period_frames: int
    samples: int

    @property
    def multiple(self) -> int:
        """IEC 60958 frames per sample of sound."""
        return self.period_frames // self.samples


@dataclass(frozen=True, slots=True)
class AudioFormat:
    """One open audio format.

    Parameters
    ----------
    name
        The name used in project files.
    most_channels
        Most channels, LFE included.
    usual_channels
        Channels where a text names none.
    lossless, objects
        Whether it is lossless, and whether it carries objects.
    highest_rate_hz
        Highest sampling rate. [Hz]
    most_kbps
        Highest bit rate of the coded stream; None for LPCM. [kbit/s]
    burst
        Its form on a wire; None for LPCM and for what has no data type in IEC 61937.
    core
        The format that a decoder without the extension hears; empty where there is none.
    cta_code
        Audio format code of CTA-861; None where it has none.
    source
        The publication.
    """

    name: str
    most_channels: int
    usual_channels: int
    lossless: bool
    objects: bool
    highest_rate_hz: float
    most_kbps: float | None
    burst: Burst | None
    core: str
    cta_code: int | None
    source: str

    @property
    def coded(self) -> bool:
        """True for all but LPCM."""
        return self.name != "LPCM"


_AAC = Burst(0x07, 1024, 1024)
_AC3 = Burst(0x01, 1536, 1536)
_DTS = Burst(0x0B, 512, 512)
_DTS_IV_SHORT = Burst(0x11, 2048, 512)
_DTS_IV_LONG = Burst(0x11, 8192, 512)
_E_AC3 = Burst(0x15, 6144, 1536)
_MAT = Burst(0x16, 15360, 960)
# IEC 61937-13 gives MPEG-H its type; its period is not at hand, so the highest frame rate is taken, on the safe side.
_MPEG_H = Burst(0x19, 16384, 1024)

_ETSI_366, _ETSI_114 = "ETSI TS 102 366", "ETSI TS 102 114"
_MEMORY = "channels and peak rate from memory"

FORMATS = (
    AudioFormat("LPCM", 32, 2, True, False, 192_000.0, None, None, "", 1, "IEC 60958-3; CTA-861"),
    AudioFormat("AC-3", 6, 6, False, False, 48_000.0, 640.0, _AC3, "", 2, _ETSI_366),
    AudioFormat("E-AC-3", 8, 6, False, False, 48_000.0, 6144.0, _E_AC3, "", 10, f"{_ETSI_366} annex E"),
    AudioFormat("E-AC-3 with objects", 8, 6, False, True, 48_000.0, 6144.0, _E_AC3, "E-AC-3", 10, "ETSI TS 103 420"),
    AudioFormat("DTS", 7, 6, False, False, 48_000.0, 1536.0, _DTS, "", 7, _ETSI_114),
    AudioFormat("DTS with extensions", 8, 8, False, False, 96_000.0, 6144.0, _DTS_IV_SHORT, "DTS", 11, _ETSI_114),
    AudioFormat("DTS lossless", 8, 8, True, False, 192_000.0, 24_500.0, _DTS_IV_LONG, "DTS", 11, _ETSI_114),
    AudioFormat(
        "DTS lossless with objects", 8, 8, True, True, 192_000.0, 24_500.0, _DTS_IV_LONG, "DTS lossless", 11,
        f"{_ETSI_114} for the channels; the object layer is not in it, from memory",
    ),
    AudioFormat("MLP", 8, 8, True, False, 192_000.0, 18_000.0, _MAT, "", 12, f"IEC 61937-9; {_MEMORY}"),
    AudioFormat("MLP with objects", 8, 8, True, True, 96_000.0, 18_000.0, _MAT, "MLP", 12, f"IEC 61937-9; {_MEMORY}"),
    AudioFormat("AAC LC", 8, 2, False, False, 48_000.0, 1536.0, _AAC, "", 6, "ISO/IEC 14496-3; IEC 61937-6"),
    AudioFormat(
        "MPEG-H 3D Audio", 24, 12, False, True, 48_000.0, 1536.0, _MPEG_H, "", 15, f"ISO/IEC 23008-3; {_MEMORY}",
    ),
    AudioFormat("IAMF", 28, 12, False, True, 48_000.0, 4096.0, None, "", None, "IAMF v1.0.0; bit rate from memory"),
)  # fmt: skip

_BY_NAME = {entry.name: entry for entry in FORMATS}
_ALIASES = {
    "pcm": "LPCM",
    "l-pcm": "LPCM",
    "linear pcm": "LPCM",
    "dts core": "DTS",
    "dts extensions": "DTS with extensions",
    "aac": "AAC LC",
    "mpeg-h": "MPEG-H 3D Audio",
}
_SPOKEN = {entry.name.lower(): entry.name for entry in FORMATS} | _ALIASES
_OBJECTS = re.compile(r"\s*\bwith objects\b", re.ASCII)
_LAYOUT = re.compile(r"\d{1,2}(?:\.\d{1,2}){0,2}", re.ASCII)
_PAIR = re.compile(r"(\d+(?:\.\d+)?)/(\d+(?:\.\d+)?)", re.ASCII)
_LOSSLESS = re.compile(r"hd\b|\bhd|lossless|\bmat\b|master", re.ASCII)
"""Letters that the trade puts into names of lossless codings; CTA-861 prints DTS-HD for its code 11 and MAT for 12."""
LONGEST_TEXT = 60


@dataclass(frozen=True, slots=True)
class Stream:
    """A format with its particulars, as one service offers it or one device accepts it.

    Parameters
    ----------
    format
        Name of the format.
    channels
        Channels, LFE included.
    rate_hz
        Sampling rate. [Hz]
    bits
        Sample size. [bit]
    """

    format: str
    channels: int
    rate_hz: float = 48_000.0
    bits: int = 24


@dataclass(frozen=True, slots=True)
class Ability:
    """A format with the limits that a text sets; None where it sets none.

    Parameters
    ----------
    format
        Name of the format.
    channels
        Most channels, LFE included.
    rate_hz
        Highest sampling rate. [Hz]
    bits
        Largest sample size. [bit]
    """

    format: str
    channels: int | None = None
    rate_hz: float | None = None
    bits: int | None = None


class UnknownFormatError(ValueError):
    """A text names no audio format that is known here."""

    def __init__(self, given: str, reason: str, nearest: str) -> None:
        self.given = given
        self.nearest = nearest
        hint = f" Did you mean {nearest!r}?" if nearest else ""
        super().__init__(f"{given!r} is no audio format: {reason}.{hint} Known are {', '.join(_BY_NAME)}.")


def audio_format(name: str) -> AudioFormat:
    """Look up a format by its name.

    Parameters
    ----------
    name
        One of the names in `FORMATS`.

    Returns
    -------
    AudioFormat
        The entry.

    Raises
    ------
    UnknownFormatError
        If there is none of that name.
    """
    try:
        return _BY_NAME[name]
    except KeyError:
        raise UnknownFormatError(name, "the name is not in the table", nearest_format(name)) from None


def nearest_format(text: str) -> str:
    """Return the known name that a misspelt text comes closest to, or an empty text."""
    given = _head(text[:LONGEST_TEXT].lower())
    if _LOSSLESS.search(given):
        return "DTS lossless" if given.startswith("dts") else "MLP"
    found = get_close_matches(given, _SPOKEN, n=1, cutoff=0.5)
    return _SPOKEN[found[0]] if found else ""


def _head(text: str) -> str:
    """Return a text without what looks like a layout, a rate or a size at its end."""
    words = text.split()
    while len(words) > 1 and re.fullmatch(r"[\d.,/]+(?:khz|bit)?|khz|bits?|ch|channels", words[-1]):
        words.pop()
    return " ".join(words)


def parse_ability(text: str) -> Ability:
    """Read a format as people write it, with the limits that they write beside it.

    Parameters
    ----------
    text
        Name, then channels as a count or as 5.1, then rate and size: ``LPCM 8 192/24``, ``E-AC-3 5.1``,
        ``E-AC-3 with objects``, ``LPCM 2 48 kHz 16 bit``. Capitals make no difference.

    Returns
    -------
    Ability
        With None for what the text does not say.

    Raises
    ------
    UnknownFormatError
        If the name, or something after it, is not understood or is more than the format carries.
    """
    plain = " ".join(text.lower().split())
    if not plain or len(plain) > LONGEST_TEXT:
        raise UnknownFormatError(text[:LONGEST_TEXT], "a name is expected", "")
    bare, objects = _OBJECTS.subn("", plain)
    spoken = max((name for name in _SPOKEN if _begins(bare, name)), key=len, default="")
    name = _SPOKEN.get(spoken, "") + (" with objects" if objects else "")
    if not spoken or name not in _BY_NAME:
        raise UnknownFormatError(text, "its name is not known", _suggestion(plain))
    words = bare[len(spoken) :].replace("khz", " khz").replace("bit", " bit").split()
    return _checked(text, _BY_NAME[name], _with_particulars(text, name, words))


def parse_format(text: str) -> Stream:
    """Read a format that a service offers, filling in what is usual.

    Parameters
    ----------
    text
        As for `parse_ability`.

    Returns
    -------
    Stream
        With the format's usual channels, 48 kHz and 24 bit where the text names none.

    Raises
    ------
    UnknownFormatError
        As for `parse_ability`.
    """
    found = parse_ability(text)
    usual = audio_format(found.format).usual_channels
    return Stream(found.format, found.channels or usual, found.rate_hz or 48_000.0, found.bits or 24)


def _begins(text: str, name: str) -> bool:
    return text == name or text.startswith(f"{name} ")


def _suggestion(plain: str) -> str:
    near, head = nearest_format(plain), _head(plain)
    return f"{near}{plain[len(head) :]}" if near else ""


def _with_particulars(text: str, name: str, words: list[str]) -> Ability:
    channels, rate_hz, bits = None, None, None
    if words and _LAYOUT.fullmatch(words[0]) and words[1:2] not in (["khz"], ["bit"]):
        channels = sum(map(int, words.pop(0).split(".")))
        if words[:1] in (["ch"], ["channels"]):
            words.pop(0)
    while words:
        word = words.pop(0)
        unit = words.pop(0) if words and words[0] in {"khz", "bit", "bits"} else ""
        pair = _PAIR.fullmatch(word)
        for number in pair.groups() if pair else (word,):
            if unit != "khz" and number in map(str, SIZES_BITS):
                bits = int(number)
            elif unit[:3] != "bit" and (found := _rate_hz(number)):
                rate_hz = found
            else:
                reason = f"{word!r} is neither channels nor a rate in kHz nor a size in bit"
                raise UnknownFormatError(text, reason, _suggestion(" ".join(text.lower().split())))
    return Ability(name, channels, rate_hz, bits)


def _rate_hz(number: str) -> float | None:
    return next((rate for rate in RATES_HZ if number == f"{rate / 1000:g}"), None)


def _checked(text: str, entry: AudioFormat, found: Ability) -> Ability:
    if found.channels is not None and not 1 <= found.channels <= entry.most_channels:
        most = layout_name(entry.most_channels)
        raise UnknownFormatError(
            text, f"{entry.name} carries at most {most} channels", f"{entry.name} {most}"
        )
    if found.rate_hz is not None and found.rate_hz > entry.highest_rate_hz:
        raise UnknownFormatError(
            text, f"{entry.name} goes up to {entry.highest_rate_hz / 1000:g} kHz", entry.name
        )
    return found


def layout_name(channels: int) -> str:
    """Name a channel count as the trade does: 6 is 5.1 and 8 is 7.1; other counts stay counts."""
    return {6: "5.1", 7: "6.1", 8: "7.1"}.get(channels, str(channels))


def describe(stream: Stream) -> str:
    """Write a stream the way `parse_format` reads it, without what is usual.

    Parameters
    ----------
    stream
        The stream.

    Returns
    -------
    str
        Such as ``LPCM 8 192/24`` or ``E-AC-3 5.1``.
    """
    entry = audio_format(stream.format)
    channels = str(stream.channels) if entry.name == "LPCM" else layout_name(stream.channels)
    parts = [entry.name, "" if entry.objects and stream.channels == entry.usual_channels else channels]
    if (stream.rate_hz, stream.bits) != (48_000.0, 24):
        parts.append(f"{stream.rate_hz / 1000:g}/{stream.bits}")
    return " ".join(filter(None, parts))


def describe_ability(ability: Ability) -> str:
    """Write an ability the way `parse_ability` reads it, with the limits that it sets and no others.

    Parameters
    ----------
    ability
        The ability.

    Returns
    -------
    str
        Such as ``LPCM 8 192/24``, ``LPCM 2 48 kHz`` or ``E-AC-3 with objects``.
    """
    lpcm = ability.format == "LPCM"
    rate = "" if ability.rate_hz is None else f"{ability.rate_hz / 1000:g}"
    size = "" if ability.bits is None else str(ability.bits)
    limits = f"{rate}/{size}" if rate and size else f"{rate} kHz" if rate else f"{size} bit" if size else ""
    channels = (
        "" if ability.channels is None else str(ability.channels) if lpcm else layout_name(ability.channels)
    )
    return " ".join(filter(None, (ability.format, channels, limits)))


def base_rate_hz(rate_hz: float) -> float:
    """Return the lowest rate of a sampling rate's kin: 48 kHz for 96 and 192 kHz, 44.1 kHz for 88.2 and 176.4 kHz."""
    while rate_hz > 48_000.0:
        rate_hz /= 2
    return rate_hz


def frame_rate_hz(stream: Stream) -> float | None:
    """Return the IEC 60958 frame rate that a stream needs.

    Parameters
    ----------
    stream
        A coded stream, or LPCM, of which each frame carries two channels.

    Returns
    -------
    float or None
        Frames per second [Hz]; for LPCM the sampling rate. None for coded formats without a data type.

    References
    ----------
    IEC 61937-3 (AC-3, E-AC-3), -5 (DTS), -9 (MAT): repetition periods.
    """
    entry = audio_format(stream.format)
    if not entry.coded:
        return stream.rate_hz
    return None if entry.burst is None else base_rate_hz(stream.rate_hz) * entry.burst.multiple


def burst_capacity_bps(frames_hz: float) -> float:
    """Return the gross bit rate of IEC 61937 bursts at a frame rate: 16 bits in each of two sub-frames [bit/s]."""
    return frames_hz * 2 * PAYLOAD_BITS


def lpcm_rate_bps(channels: int, rate_hz: float, bits: int = SAMPLE_BITS) -> float:
    """Return the bit rate of LPCM [bit/s]."""
    return channels * rate_hz * bits
