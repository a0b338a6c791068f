"""What the chain stage returns: what arrives of each service, why not more, and how to see that it is so."""

from dataclasses import dataclass

from seatfield.model import Finding


@dataclass(frozen=True, slots=True)
class Loss:
    """One place that takes something away.

    Parameters
    ----------
    where
        The device, or the two ports of the link.
    kind
        ``device``, ``link`` or ``amplifier``.
    why
        The reason in a sentence.
    takes
        What goes: ``sound``, ``objects``, ``channels``, ``lossless``, ``sampling rate``, ``sample size``, ``bit rate``.
    before, after
        The best that could arrive if all that follows were perfect, before and after this place.
    """

    where: str
    kind: str
    why: str
    takes: tuple[str, ...]
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class NeededSetting:
    """A setting that must stand right.

    Parameters
    ----------
    device, setting, value
        Where it is, its name and the value, as the menu prints them.
    otherwise
        What arrives with another value; empty where nothing does.
    """

    device: str
    setting: str
    value: str
    otherwise: str


@dataclass(frozen=True, slots=True)
class Mend:
    """A change that lets more arrive.

    Parameters
    ----------
    what
        The change in a sentence.
    effort
        ``nothing to buy``, ``one cable``, ``one cable and sockets for it``, ``several cables``, ``one box`` or
        ``another amplifier``.
    format, channels, objects, lossless
        What then arrives.
    whole
        Whether then all arrives that the service offers.
    """

    what: str
    effort: str
    format: str
    channels: int
    objects: bool
    lossless: bool
    whole: bool


@dataclass(frozen=True, slots=True)
class ServiceSound:
    """What arrives of one service on one device.

    Parameters
    ----------
    service, device
        Their names.
    path
        The devices that the sound passes, source and amplifier included; only the source where nothing arrives.
    links
        The links between them.
    offered
        The best that the service offers.
    format
        Name of the format that the amplifier plays; empty where nothing arrives.
    channels
        Its channels, LFE included.
    rate_hz, bits
        Its sampling rate [Hz] and sample size.
    objects
        Whether objects arrive.
    lossless
        Whether it is, bit for bit, the lossless original.
    rendered
        Loudspeakers that it can drive in this project; None where none are listed.
    settings
        Settings to make, in the order of the path.
    losses
        Places that take something away, in the order of the path; the first is the first cause.
    mends
        Changes that bring more, the cheapest first.
    display_shows
        What the amplifier's display says then, as typed in the project; empty where nothing was typed.
    """

    service: str
    device: str
    path: tuple[str, ...]
    links: tuple[str, ...]
    offered: str
    format: str
    channels: int
    rate_hz: float
    bits: int
    objects: bool
    lossless: bool
    rendered: int | None
    settings: tuple[NeededSetting, ...]
    losses: tuple[Loss, ...]
    mends: tuple[Mend, ...]
    display_shows: str


@dataclass(frozen=True, slots=True)
class TopologySound:
    """What arrives of one service on one device in one way of wiring."""

    service: str
    device: str
    format: str
    channels: int
    objects: bool
    lossless: bool


@dataclass(frozen=True, slots=True)
class Topology:
    """One way of wiring all sources.

    Parameters
    ----------
    name
        ``sources into the amplifier`` or ``sources into the display``.
    services
        What arrives of each service.
    whole
        Number of services of which everything arrives.
    """

    name: str
    services: tuple[TopologySound, ...]
    whole: int


@dataclass(frozen=True, slots=True)
class LipSync:
    """Delay of picture and sound of one service.

    Parameters
    ----------
    service, device
        Their names.
    sound_s, picture_s
        Delays that the file states along the sound's way and at the display. [s]
    early_s
        By how much the sound comes before the picture; negative where it comes late. [s]
    who
        Who can put it right, and how.
    """

    service: str
    device: str
    sound_s: float
    picture_s: float
    early_s: float
    who: str


@dataclass(frozen=True, slots=True)
class ProofLine:
    """One line of the proof sheet, to be filled in beside the amplifier.

    Parameters
    ----------
    service, device
        Their names.
    expected
        What must arrive.
    channels
        Its channels; 0 where nothing arrives.
    objects
        Whether objects must arrive.
    display_shows
        What the display must say; empty: a blank to fill in.
    settings
        Settings to make first, as ``device: setting = value``.
    tell_apart
        How to tell it from an upmix.
    facts
        Devices on the way and when their facts were looked up; an empty date is a blank.
    """

    service: str
    device: str
    expected: str
    channels: int
    objects: bool
    display_shows: str
    settings: tuple[str, ...]
    tell_apart: str
    facts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Chain:
    """All services of the project.

    Parameters
    ----------
    services
        One entry per service and device.
    topologies
        The two ways of wiring, empty where there is no display with a way back to the amplifier.
    better_topology
        The name of the better one, or ``no clear winner``; empty where they cannot be compared.
    lip_sync
        Delays, one entry per service and device with sound.
    proof
        The proof sheet.
    findings
        Troubles.
    """

    services: tuple[ServiceSound, ...]
    topologies: tuple[Topology, ...] = ()
    better_topology: str = ""
    lip_sync: tuple[LipSync, ...] = ()
    proof: tuple[ProofLine, ...] = ()
    findings: tuple[Finding, ...] = ()
