"""What the level stage hands on: how loud each channel gets at each seat, and what limits it."""

from dataclasses import dataclass

from seatfield.model import Finding


@dataclass(frozen=True, slots=True)
class ChannelLevel:
    """One channel at one seat.

    Parameters
    ----------
    peak_db
        Highest direct sound at the seat [dB SPL].
    limited_by
        ``amplifier``, ``load``, ``loudspeaker`` or ``wish``; empty where figures are missing.
    """

    id: str
    channel: str
    distance_m: float
    peak_db: float | None
    watts_needed_w: float | None
    limited_by: str


@dataclass(frozen=True, slots=True)
class SeatLevel:
    """Every channel at one seat."""

    seat: str
    channels: tuple[ChannelLevel, ...]


@dataclass(frozen=True, slots=True)
class Level:
    """Levels at every seat, and the load on each amplifier channel."""

    wish_peak_db: float
    seats: tuple[SeatLevel, ...]
    findings: tuple[Finding, ...]
