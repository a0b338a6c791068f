"""The proof sheet: what must arrive of each service, and blanks for what is seen at the amplifier."""

import datetime as dt
from typing import Any

from seatfield.catalogue.formats import layout_name
from seatfield.stages.chain.result import Chain, ProofLine, ServiceSound, Topology

STALE_DAYS = 365
"""Facts about devices older than this are to be looked up again: services change; common practice, no source."""
MENDS = 3


def proof_sheet(chain: Chain, day: dt.date) -> dict[str, Any]:
    """Give every service on every device a card: expected, seen, how to tell it from an upmix, age of the facts."""
    found = {(one.service, one.device): one for one in chain.services}
    return {
        "kind": "proof",
        "name": "Format proof",
        "intro": (
            "Play something that promises the format, read the amplifier's page about its input, and write down what "
            "it says. Do it again after every update of an app, a device or a setting: wrong things play sound too."
        ),
        "lines": [_line(line, found.get((line.service, line.device)), day) for line in chain.proof],
        "topologies": [_topology(one) for one in chain.topologies],
        "better": better_text(chain.better_topology),
        "lip_sync": [{"what": f"{one.service} on {one.device}", "who": one.who} for one in chain.lip_sync],
    }


def _line(line: ProofLine, sound: ServiceSound | None, day: dt.date) -> dict[str, Any]:
    return {
        "service": line.service,
        "device": line.device,
        "expected": line.expected,
        "details": _details(line, sound),
        "display": line.display_shows,
        "settings": list(line.settings),
        "tell_apart": line.tell_apart,
        "facts": [{"device": name, "age": age_text(date, day)} for name, date in line.facts],
        "loss": _loss(sound),
        "mends": [f"{one.what} ({one.effort})" for one in sound.mends[:MENDS]] if sound else [],
    }


def _details(line: ProofLine, sound: ServiceSound | None) -> str:
    if not line.channels:
        return "Nothing arrives over these links."
    parts = [f"{layout_name(line.channels)} channels", "objects" if line.objects else "no objects"]
    if sound is not None:
        parts.append("lossless" if sound.lossless else "not lossless")
        if sound.rendered is not None:
            parts.append(f"{sound.rendered} loudspeakers can play it")
        parts.append(f"offered: {sound.offered}")
    return ", ".join(parts)


def _loss(sound: ServiceSound | None) -> str:
    if sound is None or not sound.losses:
        return ""
    first = sound.losses[0]
    return f"First loss, at {first.where}: {first.why}"


def age_text(date: str, day: dt.date) -> str:
    """Say how old a device's facts are on the day of printing; empty where no date was typed.

    Parameters
    ----------
    date
        ISO 8601 date, or what else was typed.
    day
        Day of printing.

    Returns
    -------
    str
        Such as ``2025-10-01, 5 months old``; a text that is no date comes back as it is.
    """
    try:
        days = (day - dt.date.fromisoformat(date)).days
    except ValueError:
        return date
    months = round(days / 30.44)
    age = (
        "in the future"
        if days < 0
        else f"{months} months old"
        if months != 1
        else "1 month old"
        if days >= 30
        else ""
    )
    if months == 0 and days >= 0:
        age = "this month"
    return f"{date}, {age}" + (": look it up again" if days > STALE_DAYS else "")


def _topology(one: Topology) -> dict[str, Any]:
    return {
        "name": one.name,
        "whole": f"{one.whole} of {len(one.services)} arrive whole",
        "services": [
            f"{sound.service} on {sound.device}: {sound.format or 'nothing'}" for sound in one.services
        ],
    }


def better_text(name: str) -> str:
    """Say which way of wiring is better; nothing where they cannot be compared."""
    if not name:
        return ""
    return "No clear winner between the two." if name == "no clear winner" else f"Better here: {name}."
