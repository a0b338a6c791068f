"""The catalogue's tables as lists for the faces."""

from typing import Any

from seatfield.catalogue.absorption import SURFACES
from seatfield.catalogue.systems import SYSTEMS, Channel, SoundSystem, Window, system


def listed_systems(name: str | None = None) -> list[dict[str, Any]]:
    """Return every sound system, or the one with this name or shorthand, as plain values.

    Returns
    -------
    list of dict
        Each with `name`, `shorthand`, `standard`, `source` and `channels`; empty where the name is unknown.
    """
    if name is None:
        return [_listed(entry) for entry in SYSTEMS]
    found = system(name)
    return [_listed(found)] if found else []


def listed_cautions() -> dict[str, Any]:
    """Return the usual cautions: `parts`, each with `title` and `text`, and `close`."""
    from seatfield.pack import usual_cautions

    return {key: usual_cautions()[key] for key in ("parts", "close")}


def _listed(entry: SoundSystem) -> dict[str, Any]:
    return {
        "name": entry.name,
        "shorthand": entry.shorthand,
        "standard": entry.standard,
        "source": entry.source,
        "channels": [_channel(channel) for channel in entry.channels],
    }


def _channel(channel: Channel) -> dict[str, Any]:
    return {
        "label": channel.label,
        "plain_name": channel.plain_name,
        "azimuth_deg": channel.azimuth_deg,
        "elevation_deg": channel.elevation_deg,
        "azimuth_range_deg": _intervals(channel.azimuth_window),
        "elevation_range_deg": _intervals(channel.elevation_window),
    }


def _intervals(window: Window | None) -> list[list[float]] | None:
    return None if window is None else [list(interval) for interval in window]


def listed_finishes() -> list[str]:
    """Return the names of the finishes that a project file may use."""
    return [surface.name for surface in SURFACES]
