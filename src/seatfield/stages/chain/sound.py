"""Sound on its way: a stream, and whether it is still the lossless original."""

from functools import cache
from typing import NamedTuple

from seatfield.catalogue.formats import Stream, audio_format


class Sound(NamedTuple):
    """A stream at one place of the chain.

    Parameters
    ----------
    format, channels, rate_hz, bits
        As in `Stream`.
    faithful
        Whether it still holds, bit for bit, what a lossless offer held.
    """

    format: str
    channels: int
    rate_hz: float
    bits: int
    faithful: bool

    @property
    def stream(self) -> Stream:
        """The stream without its history."""
        return Stream(self.format, self.channels, self.rate_hz, self.bits)

    @property
    def objects(self) -> bool:
        """Whether it carries objects."""
        return _facts(self.format)[0]

    @property
    def coded(self) -> bool:
        """Whether it is anything but LPCM."""
        return self.format != "LPCM"


@cache
def _facts(name: str) -> tuple[bool, float]:
    entry = audio_format(name)
    return entry.objects, entry.most_kbps or float("inf")


class Gain(NamedTuple):
    """What a listener has of a sound, the more important first."""

    objects: bool
    channels: int
    lossless: bool
    rate_hz: float
    bits: int
    most_kbps: float


def offered(stream: Stream) -> Sound:
    """Return a stream as its service offers it."""
    lossless = audio_format(stream.format).lossless
    return Sound(stream.format, stream.channels, stream.rate_hz, stream.bits, lossless)


def gain(sound: Sound) -> Gain:
    """Say what a listener has of a sound."""
    objects, most_kbps = _facts(sound.format)
    return Gain(objects, sound.channels, sound.faithful, sound.rate_hz, sound.bits, most_kbps)


class Worth(NamedTuple):
    """How good an arrival is: compared from left to right, larger is better.

    Objects come before channels, channels before losslessness, then the fewest conversions, then the particulars
    of the stream, then the shortest way. This order is common practice, no source.
    """

    objects: bool
    channels: int
    lossless: bool
    kept: int
    rate_hz: float
    bits: int
    most_kbps: float
    near: int

    def after(self, conversions: int, links: int) -> "Worth":
        """Return the worth with so many more conversions and links on the way."""
        return self._replace(kept=self.kept - conversions, near=self.near - links)


def worth(sound: Sound, conversions: int = 0, links: int = 0) -> Worth:
    """Say how good a sound is that arrives after so many conversions and links."""
    found = gain(sound)
    return Worth(*found[:3], -conversions, *found[3:], -links)
