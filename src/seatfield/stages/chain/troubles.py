"""Findings about the signal chain."""

from collections.abc import Iterable, Iterator

from seatfield.catalogue.device_kinds import device_kind, nearest_kind
from seatfield.catalogue.formats import UnknownFormatError, layout_name, parse_ability, parse_format
from seatfield.model import Finding, LinkKind, Project, Severity
from seatfield.stages.chain.network import Network
from seatfield.stages.chain.result import ServiceSound
from seatfield.stages.chain.wire import WIRES

COMMON = "common practice, no source"


def chain_findings(
    project: Project, network: Network, services: tuple[ServiceSound, ...]
) -> tuple[Finding, ...]:
    """Report what is lost, what rests on an assumption, and what contradicts itself.

    Parameters
    ----------
    project
        The project.
    network
        Its devices and links as read.
    services
        What arrives.

    Returns
    -------
    tuple of Finding
        In the order of the file.
    """
    return (
        *_unread(project),
        *_unknown_devices(project, network),
        *_unknown_decoders(project, network),
        *_assumed_rates(project, services),
        *(finding for entry in services for finding in _service(project, entry)),
        *_clashes(services),
    )


def _unread(project: Project) -> Iterator[Finding]:
    """Report formats that are not understood: they count for nothing."""
    for what, key, texts in _texts(project):
        for text in texts:
            try:
                (parse_format if key.startswith("service") else parse_ability)(text)
            except UnknownFormatError as trouble:
                yield Finding(
                    code="chain.unknown-format",
                    severity=Severity.FIX,
                    subject=what,
                    message=f"{what}: {trouble}",
                    advice=f"Write {trouble.nearest!r}."
                    if trouble.nearest
                    else "Write one of the names listed.",
                    key=key,
                )


def _texts(project: Project) -> Iterator[tuple[str, str, Iterable[str]]]:
    for amplifier in project.amplifiers:
        yield amplifier.name, f"{amplifier.key}.decodes", amplifier.decodes
        yield amplifier.name, f"{amplifier.key}.shows", [name for name, _ in amplifier.shows]
    for device in project.devices:
        yield device.name, f"{device.key}.decodes", device.decodes
        yield device.name, f"{device.key}.passes", device.passes
        yield device.name, f"{device.key}.converts", [word for pair in device.converts for word in pair]
        gated = [text for setting in device.settings for _, texts in setting.only for text in texts]
        yield device.name, f"{device.key}.settings", gated
    for service in project.services:
        yield service.name, f"{service.key or 'service'}.offers", service.offers


def _unknown_devices(project: Project, network: Network) -> Iterator[Finding]:
    for device in project.devices:
        kind = device_kind(device.kind)
        if not network.boxes[device.name].known:
            near = nearest_kind(device.kind) if device.kind else ""
            kind_first = f"Write kind = {near!r}, or better w" if near else "W"
            yield Finding(
                code="chain.device-unknown",
                severity=Severity.FIX,
                subject=device.name,
                message=f"Nothing is said about the formats of {device.name}; two channels of LPCM are counted on.",
                source="CTA-861, basic audio",
                advice=f"{kind_first}rite what its manual says under passes and decodes.",
                key=device.key,
            )
        elif kind and not (device.decodes or device.passes or device.converts):
            yield Finding(
                code="chain.kind-assumed",
                severity=Severity.NOTE,
                subject=device.name,
                message=f"The formats of {device.name} are those that a {kind.name} usually has.",
                source=COMMON,
                advice=f"Look up {kind.check}, and write what the manual says.",
                key=device.key,
            )


def _unknown_decoders(project: Project, network: Network) -> Iterator[Finding]:
    for amplifier in project.amplifiers:
        box = network.amplifiers.get(amplifier.name)
        if box is not None and not box.known and project.services:
            yield Finding(
                code="chain.decoders-unknown",
                severity=Severity.NOTE,
                subject=amplifier.name,
                message=f"Nothing is said about what {amplifier.name} decodes; it is taken to decode every format.",
                source=COMMON,
                advice="Write the formats that its manual lists under decodes.",
                key=amplifier.key,
            )


def _assumed_rates(project: Project, services: tuple[ServiceSound, ...]) -> Iterator[Finding]:
    """Report plain return channels whose frame rate is assumed where a service uses them."""
    used = {label for entry in services for label in entry.links}
    for link in project.links:
        ends = (" to ".join(link.between), " to ".join(reversed(link.between)))
        if (
            link.kind is LinkKind.RETURN
            and link.frame_rate_hz is None
            and used & {f"{e} (return)" for e in ends}
        ):
            yield Finding(
                code="chain.rate-assumed",
                severity=Severity.NOTE,
                subject=ends[0],
                message=f"The frame rate of this return channel is not stated: assumed {WIRES[link.kind].assumed}.",
                measured=WIRES[link.kind].frame_rate_hz,
                unit="Hz",
                source="IEC 61937-3: E-AC-3 needs frames of 192 kHz, AC-3 of 48 kHz",
                advice="Prove it by playing E-AC-3; if it stays silent or comes as AC-3, write frame_rate = 48000.",
                key=link.key,
            )


def _service(project: Project, entry: ServiceSound) -> Iterator[Finding]:
    subject = f"{entry.service} on {entry.device}"
    key = next((service.key for service in project.services if service.name == entry.service), "")
    if entry.losses:
        yield _loss(entry, subject, key)
    if entry.rendered is not None and not entry.objects and entry.channels > entry.rendered:
        yield Finding(
            code="chain.folded",
            severity=Severity.NOTE,
            subject=subject,
            message=f"{entry.channels} channels arrive for {entry.rendered} loudspeakers and are folded down.",
            measured=float(entry.channels),
            limit=float(entry.rendered),
            source=COMMON,
            key=key,
        )


def _loss(entry: ServiceSound, subject: str, key: str) -> Finding:
    first = entry.losses[0]
    taken = {name for loss in entry.losses for name in loss.takes}
    severity = (
        Severity.STOP
        if not entry.format
        else Severity.FIX
        if taken & {"objects", "channels"}
        else Severity.NOTE
    )
    arrives = f"{entry.format} {layout_name(entry.channels)}" if entry.format else "nothing"
    return Finding(
        code="chain.loss" if entry.format else "chain.silent",
        severity=severity,
        subject=subject,
        message=f"Of {entry.offered}, {arrives} arrives. The first cause is {first.where}. {first.why}",
        measured=float(entry.channels),
        limit=float(parse_format(entry.offered).channels),
        unit="channels",
        source="IEC 60958, IEC 61937" if first.kind == "link" else "the project file",
        advice=entry.mends[0].what if entry.mends else "No single change in this system brings more.",
        key=key,
    )


def _clashes(services: tuple[ServiceSound, ...]) -> Iterator[Finding]:
    """Report menus that two services want to stand differently."""
    wanted: dict[tuple[str, str], dict[str, str]] = {}
    for entry in services:
        for need in entry.settings:
            wanted.setdefault((need.device, need.setting), {}).setdefault(need.value, entry.service)
    for (device, setting), values in wanted.items():
        if len(values) > 1:
            each = "; ".join(f"{service} wants {value!r}" for value, service in values.items())
            yield Finding(
                code="chain.settings-clash",
                severity=Severity.FIX,
                subject=device,
                message=f"The setting {setting!r} of {device} cannot suit all services: {each}.",
                source="the project file",
                advice="Change it between them, or choose the value whose loss you mind least.",
            )
