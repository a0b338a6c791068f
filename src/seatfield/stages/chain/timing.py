"""Where picture and sound come apart, and who can bring them together."""

from seatfield.model import Finding, Input, LinkKind, Project, Severity, Trace
from seatfield.stages.chain.network import Network
from seatfield.stages.chain.result import LipSync, ServiceSound

# ITU-R BT.1359-1, detectability thresholds: sound 45 ms early or 125 ms late (from memory).
EARLY_S, LATE_S = 0.045, 0.125
BT_1359 = "ITU-R BT.1359-1, thresholds of detectability, from memory"


def lip_sync(project: Project, network: Network, services: tuple[ServiceSound, ...]) -> tuple[LipSync, ...]:
    """Add up the delays of picture and sound for each service that arrives.

    Parameters
    ----------
    project
        With the delays of its devices.
    network
        To tell displays from other devices.
    services
        What arrives, and by which way.

    Returns
    -------
    tuple of LipSync
        One entry per service and device with sound.

    Notes
    -----
    The delay of a display is that of its picture, that of any other device is that of its sound; where sound runs
    through the display too, the display is taken to keep both together. Delays of the amplifier's own processing
    are not in the file.
    """
    delays = {device.name: device.delay_s for device in project.devices}
    pictures = [name for name, box in network.boxes.items() if box.shows_picture]
    return tuple(_entry(service, delays, pictures) for service in services if service.format)


def _entry(service: ServiceSound, delays: dict[str, float], pictures: list[str]) -> LipSync:
    through = [name for name in service.path if name in pictures]
    sound_s = sum(delays.get(name, 0.0) for name in service.path if name not in pictures)
    picture_s = 0.0 if through else max((delays[name] for name in pictures), default=0.0)
    early_s = picture_s - sound_s
    return LipSync(
        service.service, service.device, sound_s, picture_s, early_s, _who(service, early_s, through)
    )


def _who(service: ServiceSound, early_s: float, through: list[str]) -> str:
    amplifier = service.path[-1]
    if through:
        return (
            f"The sound runs through {through[0]}, which can hold back both; if it does not, set the sound delay of "
            f"{amplifier}, or the one in the sound menu of {through[0]}, by ear."
        )
    if early_s > 0:
        return f"{amplifier} can hold the sound back: set its sound delay to {early_s * 1000:.0f} ms."
    if early_s < 0:
        return (
            "Nothing after the source can make late sound come sooner: take the delaying device out of the sound's "
            "way, or have the source or the display hold the picture back."
        )
    return f"No delays are stated; if lips and voice come apart, set the sound delay of {amplifier} by ear."


def delay_findings(project: Project, delays: tuple[LipSync, ...]) -> tuple[Finding, ...]:
    """Report sound that comes noticeably early or late, and radio links, whose delay nobody states.

    Parameters
    ----------
    project
        With its links.
    delays
        What `lip_sync` returned.

    Returns
    -------
    tuple of Finding
        ``chain.lip-sync`` and ``chain.radio-delay``.
    """
    apart = tuple(_apart(entry) for entry in delays if entry.early_s > EARLY_S or entry.early_s < -LATE_S)
    radio = tuple(
        Finding(
            code="chain.radio-delay",
            severity=Severity.NOTE,
            subject=" to ".join(link.between),
            message="A radio link delays the sound by an amount that is not stated and may change.",
            source="common practice, no source",
            advice="Measure it, or use a cable where picture and sound must stay together.",
            key=link.key,
        )
        for link in project.links
        if link.kind is LinkKind.RADIO
    )
    return apart + radio


def _apart(entry: LipSync) -> Finding:
    early = entry.early_s > 0
    return Finding(
        code="chain.lip-sync",
        severity=Severity.FIX,
        subject=f"{entry.service} on {entry.device}",
        message=f"The sound comes {abs(entry.early_s) * 1000:.0f} ms {'before' if early else 'after'} the picture.",
        measured=entry.early_s,
        limit=EARLY_S if early else -LATE_S,
        unit="s",
        source=BT_1359,
        advice=entry.who,
        trace=Trace(
            "early = delay of the picture − delay of the sound",
            (Input("picture", entry.picture_s, "s"), Input("sound", entry.sound_s, "s")),
        ),
    )
