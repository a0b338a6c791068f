"""What a sound sink says of itself: the values that the readers of EDID and ELD return."""

from dataclasses import dataclass

LPCM_CODE = 1
EXTENDED_CODE = 15


@dataclass(frozen=True, slots=True)
class SinkFormat:
    """One audio format that a sink claims to accept.

    Parameters
    ----------
    format
        Open name of the format ("LPCM", "E-AC-3").
    code
        Audio format code of CTA-861 (1 to 15).
    extended_code
        Audio coding extension type of CTA-861, where `code` is 15; else None.
    channels
        Most channels accepted, LFE included; None where the descriptor states a level or nothing instead.
    rates_khz
        Sampling rates, ascending. [kHz]
    bits
        Sample sizes of LPCM, ascending; empty for coded formats. [bit]
    max_kbps
        Highest bit rate of formats 2 to 8; None for the others. [kbit/s]
    objects
        Whether object audio is accepted; None where the description has no public field for it.
    level
        Level of MPEG-H 3D Audio (1 to 5); else None.
    detail
        Third byte of the descriptor as it stands; None where the source does not hold it.
    """

    format: str
    code: int
    extended_code: int | None
    channels: int | None
    rates_khz: tuple[float, ...]
    bits: tuple[int, ...] = ()
    max_kbps: int | None = None
    objects: bool | None = False
    level: int | None = None
    detail: int | None = None


@dataclass(frozen=True, slots=True)
class Latency:
    """Delay that a sink says it adds; None where it is unknown or not stated.

    Parameters
    ----------
    video_s, audio_s
        Delay of progressive pictures and of the sound that goes with them. [s]
    interlaced_video_s, interlaced_audio_s
        The same for interlaced pictures, where stated apart. [s]
    """

    video_s: float | None = None
    audio_s: float | None = None
    interlaced_video_s: float | None = None
    interlaced_audio_s: float | None = None


@dataclass(frozen=True, slots=True)
class Sink:
    """A sink's abilities as its description states them.

    Parameters
    ----------
    kind
        "edid", "eld", or "unknown" where the bytes are neither.
    formats
        Formats with a descriptor of their own, in the order stored.
    speakers
        Labels of the loudspeakers declared, in the order of the bits of CTA-861; pairs are one label ("FL/FR").
    assumed_formats
        Formats that follow from a flag without a descriptor (basic audio: two-channel LPCM).
    assumed_speakers
        Loudspeakers taken for granted where sound is accepted and none are declared.
    latency
        Delays from the HDMI vendor block; None without one.
    sync_delay_s
        Delay that the sound needs to stay with the picture, where it can be told. [s]
    physical_address
        Address of the port in the tree of HDMI devices ("1.2.0.0"): one number per device on the way.
    hdmi_forum
        Whether an HDMI Forum block is present.
    warnings
        Sentences about what is damaged, missing or contradictory.
    """

    kind: str
    formats: tuple[SinkFormat, ...] = ()
    speakers: tuple[str, ...] = ()
    assumed_formats: tuple[SinkFormat, ...] = ()
    assumed_speakers: tuple[str, ...] = ()
    latency: Latency | None = None
    sync_delay_s: float | None = None
    physical_address: str | None = None
    hdmi_forum: bool = False
    warnings: tuple[str, ...] = ()

    @property
    def abilities(self) -> tuple[SinkFormat, ...]:
        """Return the declared formats followed by the assumed ones."""
        return self.formats + self.assumed_formats


def speaker_count(labels: tuple[str, ...]) -> int:
    """Count loudspeakers, a pair as two.

    Parameters
    ----------
    labels
        Labels as in `Sink.speakers`.

    Returns
    -------
    int
        Number of loudspeakers.
    """
    return sum(label.count("/") + 1 for label in labels)


def contradictions(
    formats: tuple[SinkFormat, ...], labels: tuple[str, ...], *, assumed: bool
) -> tuple[str, ...]:
    """Say where formats and loudspeakers of one sink do not fit together.

    Parameters
    ----------
    formats
        Its declared formats.
    labels
        Its declared loudspeakers.
    assumed
        Whether two-channel LPCM is taken from the basic audio flag.

    Returns
    -------
    tuple of str
        Sentences; empty where all fits.

    Notes
    -----
    Neither the loudspeakers nor the LPCM channels alone tell the layout: sinks exist that name all loudspeakers
    and take two channels, and the reverse.
    """
    if not formats and not labels and not assumed:
        return ("No sound format is declared.",)
    found = []
    channels = max((f.channels or 0 for f in formats if f.code == LPCM_CODE), default=0)
    if assumed:
        found.append(
            "Only the basic audio flag stands for LPCM: two channels at 32, 44.1 and 48 kHz are assumed."
        )
    elif formats and not channels:
        found.append("No LPCM format is declared, though every sink with sound should have one.")
    if labels and not formats:
        found.append("Loudspeakers are declared without any sound format, so they claim no format.")
    if not labels:
        found.append("No loudspeakers are declared: a front pair is assumed.")
    count = speaker_count(labels)
    if labels and channels and count != channels:
        found.append(
            f"{count} loudspeakers are declared, LPCM has at most {channels} channels; neither alone tells the layout."
        )
    return tuple(found)
