"""What a link carries, computed from IEC 60958 frames and IEC 61937 bursts."""

from dataclasses import dataclass
from functools import cache

from seatfield.catalogue.formats import Stream, frame_rate_hz
from seatfield.model import Link, LinkKind
from seatfield.stages.chain.sound import Sound

FULL_RATE_HZ = 192_000.0


@dataclass(frozen=True, slots=True)
class Wire:
    """The nature of one kind of link.

    Parameters
    ----------
    pairs
        IEC 60958 streams side by side: one on a plain digital link, four in the packets of HDMI and of the
        enhanced return channel, which also carry one burst stream of up to four times the frame rate.
    frame_rate_hz
        Highest frame rate where the file does not say; 0 where the link is not digital. [Hz]
    assumed
        What that rate rests on.
    """

    pairs: int
    frame_rate_hz: float
    assumed: str


WIRES = {
    LinkKind.HDMI: Wire(4, FULL_RATE_HZ, "HDMI 1.3 and later, from memory"),
    LinkKind.ENHANCED_RETURN: Wire(4, FULL_RATE_HZ, "HDMI 2.1, enhanced audio return channel, from memory"),
    LinkKind.RETURN: Wire(
        1, FULL_RATE_HZ, "that both ends do 192 kHz frames, which HDMI 1.4 allows but does not ask"
    ),
    LinkKind.OPTICAL: Wire(1, 96_000.0, "96 kHz frames, common practice, no source"),
    LinkKind.COAXIAL: Wire(1, 96_000.0, "96 kHz frames, common practice, no source"),
    LinkKind.ANALOGUE: Wire(1, 0.0, "two channels of voltage"),
    LinkKind.RADIO: Wire(1, 0.0, "two channels, coded anew by the radio, common practice, no source"),
}


def rate_of(link: Link) -> float:
    """Return the highest IEC 60958 frame rate that a link is taken to do [Hz]."""
    return WIRES[link.kind].frame_rate_hz if link.frame_rate_hz is None else link.frame_rate_hz


@cache
def over(kind: LinkKind, rate_hz: float, sound: Sound) -> Sound | None:
    """Send a sound over a link.

    Parameters
    ----------
    kind
        Kind of the link.
    rate_hz
        Highest IEC 60958 frame rate of both its ends. [Hz]
    sound
        What the sender would send.

    Returns
    -------
    Sound or None
        What arrives: coded formats as they are or not at all, LPCM folded down to what the link carries.

    Notes
    -----
    A burst stream of up to 192 kHz frames fits one IEC 60958 stream; a faster one needs four side by side.
    One IEC 60958 stream carries two channels of LPCM whatever its rate; links with four carry n channels in ⌈n/2⌉
    frames per sample, as far as four times their frame rate goes.

    References
    ----------
    IEC 60958-1; IEC 61937-1; HDMI 1.3, high bit rate audio packets (from memory).
    """
    wire = WIRES[kind]
    if not sound.coded:
        return _folded(wire, rate_hz, sound)
    needed = frame_rate_hz(sound.stream)
    if needed is None or wire.frame_rate_hz == 0:
        return None
    side_by_side = 1 if needed <= FULL_RATE_HZ else wire.pairs
    return sound if needed <= side_by_side * rate_hz else None


def _folded(wire: Wire, rate_hz: float, sound: Sound) -> Sound | None:
    if wire.frame_rate_hz == 0:  # voltage or radio: never the original bits
        return sound._replace(channels=min(sound.channels, 2), faithful=False)
    rate = sound.rate_hz
    while rate > rate_hz:
        rate /= 2
    if rate < 32_000:
        return None
    streams = 1 if wire.pairs == 1 else int(wire.pairs * rate_hz // rate)
    channels = min(sound.channels, 2 * streams)
    if (channels, rate) == (sound.channels, sound.rate_hz):
        return sound
    return sound._replace(channels=channels, rate_hz=rate, faithful=False)


def capacity_text(kind: LinkKind, rate_hz: float) -> str:
    """Say in words what a link carries."""
    wire = WIRES[kind]
    if kind is LinkKind.ANALOGUE:
        return "an analogue link carries two channels and no coded sound"
    if kind is LinkKind.RADIO:
        return "a radio link carries two channels and no coded sound as it is"
    shares = f"{2 * wire.pairs} channels of LPCM or one coded stream"
    return f"{article(kind)} carries {shares}, in frames of at most {wire.pairs * rate_hz / 1000:g} kHz"


def article(kind: LinkKind) -> str:
    """Return the kind of link with its article."""
    names = {LinkKind.RETURN: "plain return channel", LinkKind.ENHANCED_RETURN: "enhanced return channel"}
    name = names.get(kind, "HDMI link" if kind is LinkKind.HDMI else f"{kind.value} link")
    return f"{'an' if name[0] in 'aeioH' else 'a'} {name}"


def need_text(stream: Stream) -> str:
    """Say in words what a stream needs of a link."""
    needed = frame_rate_hz(stream)
    if needed is None:
        return "has no data type in IEC 61937, so no link carries it"
    if stream.format == "LPCM":
        return f"has {stream.channels} channels at {stream.rate_hz / 1000:g} kHz"
    return f"needs frames of {needed / 1000:g} kHz"
