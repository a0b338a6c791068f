"""Windows of the sound system: how far outside a direction lies, and what that is worth."""

from dataclasses import dataclass
from itertools import product
from math import cos, degrees, hypot, radians, sin

import numpy as np

from seatfield.catalogue.systems import VERDICT_LIMITS, Channel, Interval, Window
from seatfield.geometry.direction import outside_window_deg
from seatfield.model import Point3
from seatfield.stages.layout.result import Verdict

FREE = "no position is prescribed"


@dataclass(frozen=True, slots=True)
class Seen:
    """A point seen from a seat in the screen's frame: azimuth, elevation [deg] and distance [m]."""

    azimuth_deg: float
    elevation_deg: float
    distance_m: float

    @property
    def plan_m(self) -> float:
        """Distance in plan [m]."""
        return self.distance_m * cos(radians(self.elevation_deg))


def mirrored_label(label: str) -> str:
    """Return the label of the opposite side; the label itself where it has no side."""
    if "+000" in label or "180" in label or label.startswith("LFE"):
        return label
    return label.replace("+", "-") if "+" in label else label.replace("-", "+")


def widened(window: Window) -> Window:
    """Return a window with each single direction widened by the stated tolerance.

    Parameters
    ----------
    window
        Intervals [deg].

    Returns
    -------
    tuple
        The same intervals; those of no width grow by ±2° (common practice, no source).
    """
    by = VERDICT_LIMITS.point_tolerance_deg
    return tuple((low - by, high + by) if low == high else (low, high) for low, high in window)


def deviation_deg(channel: Channel, azimuth_deg: float, elevation_deg: float) -> float:
    """Return how far a direction lies outside a channel's window.

    Parameters
    ----------
    channel
        The channel.
    azimuth_deg, elevation_deg
        The direction [deg].

    Returns
    -------
    float
        Great-circle distance to the nearest allowed direction [deg]; 0 inside, and where none is prescribed.
    """
    if channel.azimuth_window is None or channel.elevation_window is None:
        return 0.0
    azimuths, elevations = widened(channel.azimuth_window), widened(channel.elevation_window)
    if turn_outside_deg(azimuths, azimuth_deg) == 0 and any(
        low <= elevation_deg <= high for low, high in elevations
    ):
        return 0.0
    return float(outside_window_deg(azimuth_deg, elevation_deg, azimuths, elevations))


def turn_outside_deg(window: Window, azimuth_deg: float) -> float:
    """Return how far an azimuth lies outside intervals of azimuth.

    Parameters
    ----------
    window
        Intervals from lower to upper azimuth [deg].
    azimuth_deg
        The azimuth [deg].

    Returns
    -------
    float
        The shorter turn to the nearest interval [deg]; 0 inside.
    """
    over = []
    for low, high in window:
        off = abs((azimuth_deg - (low + high) / 2 + 180) % 360 - 180)
        over.append(max(0.0, off - (high - low) / 2))
    return min(over, default=0.0)


def verdict_of(deviation: float) -> Verdict:
    """Return what a deviation is worth.

    Parameters
    ----------
    deviation
        Great-circle distance outside the window [deg].

    Returns
    -------
    Verdict
        By the thresholds of the catalogue.
    """
    if deviation <= 1e-6:
        return Verdict.GOOD
    if deviation <= VERDICT_LIMITS.usable_deg:
        return Verdict.USABLE
    return Verdict.POOR if deviation <= VERDICT_LIMITS.poor_deg else Verdict.NOT_POSSIBLE


def verdicts_within(channel: Channel, seen: Seen, error: tuple[float, float]) -> tuple[Verdict, ...]:
    """Return every verdict that errors of azimuth and elevation leave open.

    Parameters
    ----------
    channel
        The channel.
    seen
        The direction as measured.
    error
        Errors of azimuth and elevation [deg].

    Returns
    -------
    tuple
        Verdicts, the best first.
    """
    if channel.azimuth_window is None or channel.elevation_window is None:
        return (Verdict.GOOD,)
    shares = np.array(list(product((-1, 0, 1), repeat=2)))
    deviations = outside_window_deg(
        seen.azimuth_deg + shares[:, 0] * error[0],
        np.clip(seen.elevation_deg + shares[:, 1] * error[1], -90, 90),
        widened(channel.azimuth_window),
        widened(channel.elevation_window),
    )
    open_ = {verdict_of(float(value)) for value in deviations}
    return tuple(verdict for verdict in Verdict if verdict in open_)


def direction_errors_deg(ear: Point3, screen: Point3, at: Point3, tolerance_m: float) -> tuple[float, float]:
    """Return how far the tape's tolerance can turn and lift a direction.

    Parameters
    ----------
    ear, screen, at
        Main seat's head, screen's centre and loudspeaker [m].
    tolerance_m
        How well each position was read [m].

    Returns
    -------
    tuple
        Errors of azimuth and elevation [deg], at most 180 and 90.

    Notes
    -----
    The seat, the screen and the loudspeaker are each off by the tolerance, independently: two ends of a line of
    length r turn it by √2·tolerance / r; the loudspeaker's line and the screen's line add in squares.
    """
    flat = max(hypot(at[0] - ear[0], at[1] - ear[1]), 1e-6)
    ahead = max(hypot(screen[0] - ear[0], screen[1] - ear[1]), 1e-6)
    reach = max(hypot(flat, at[2] - ear[2]), 1e-6)
    both_ends = 2**0.5 * tolerance_m
    turned = degrees(hypot(both_ends / flat, both_ends / ahead))
    return min(turned, 180.0), min(degrees(both_ends / reach), 90.0)


def nearest_allowed(channel: Channel, seen: Seen) -> tuple[float, float]:
    """Return the allowed azimuth and the allowed elevation nearest to a direction, each for itself.

    Parameters
    ----------
    channel
        A channel with a window.
    seen
        The direction.

    Returns
    -------
    tuple
        Azimuth and elevation [deg]; the direction's own where it is inside.
    """
    return (
        _nearest_turn(seen.azimuth_deg, widened(channel.azimuth_window or ((-180.0, 180.0),))),
        _nearest_value(seen.elevation_deg, widened(channel.elevation_window or ((-90.0, 90.0),))),
    )


def _nearest_turn(azimuth: float, window: Window) -> float:
    if any((azimuth - low) % 360 <= high - low for low, high in window):
        return azimuth
    ends = [end for interval in window for end in interval]
    return min(ends, key=lambda end: abs((end - azimuth + 180) % 360 - 180))


def _nearest_value(value: float, window: Window) -> float:
    held = [min(max(value, low), high) for low, high in window]
    return min(held, key=lambda candidate: abs(candidate - value))


def window_words(channel: Channel) -> str:
    """Return a channel's window in words.

    Parameters
    ----------
    channel
        The channel.

    Returns
    -------
    str
        Such as ``100° to 120° to the left, 0° to 15° up``.
    """
    if channel.azimuth_window is None or channel.elevation_window is None:
        return FREE
    around = " or ".join(_azimuth_words(interval) for interval in channel.azimuth_window)
    up = " or ".join(_elevation_words(interval) for interval in channel.elevation_window)
    return f"{around}, {up}"


def _azimuth_words(interval: Interval) -> str:
    low, high = interval
    if low == high:
        if low in (0.0, 180.0, -180.0):
            return "straight ahead" if low == 0 else "straight behind"
        return f"{abs(low):g}° to the {'left' if low > 0 else 'right'}"
    if low >= 0:
        return f"{low:g}° to {high:g}° to the left"
    return f"{-high:g}° to {-low:g}° to the right" if high <= 0 else f"{-low:g}° right to {high:g}° left"


def _elevation_words(interval: Interval) -> str:
    low, high = interval
    if low == high:
        return "at ear height" if low == 0 else "straight above" if low == 90 else f"{_lift(low)}"
    if low >= 0:
        return f"{low:g}° to {high:g}° up"
    return f"{-high:g}° to {-low:g}° down"


def _lift(angle: float) -> str:
    return f"{abs(angle):g}° {'up' if angle > 0 else 'down'}"


def chord_m(seen: Seen, azimuth_deg: float) -> tuple[float, float]:
    """Return the way in plan from a point to the same distance at another azimuth.

    Parameters
    ----------
    seen
        Where the point is.
    azimuth_deg
        Where it should be [deg].

    Returns
    -------
    tuple
        Metres ahead (towards the screen) and metres to the left.
    """
    here, there = radians(seen.azimuth_deg), radians(azimuth_deg)
    return seen.plan_m * (cos(there) - cos(here)), seen.plan_m * (sin(there) - sin(here))
