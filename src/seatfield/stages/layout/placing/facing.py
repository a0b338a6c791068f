"""What directions cost a channel: lying outside its window, off its nominal direction, or in doubt by the tape."""

import numpy as np

from seatfield.catalogue.systems import Channel, Window
from seatfield.geometry.batch import Floats
from seatfield.geometry.direction import outside_window_deg
from seatfield.stages.layout.placing.ground import Ground
from seatfield.stages.layout.placing.hearing import Directions
from seatfield.stages.layout.placing.weights import WEIGHTS
from seatfield.stages.layout.windows import widened


def window_costs(ground: Ground, channel: Channel, heard: Directions) -> dict[str, Floats]:
    """Return what directions cost for a channel.

    Parameters
    ----------
    ground
        The room.
    channel
        The channel, with a window.
    heard
        Directions of the places.

    Returns
    -------
    dict
        Cost by name, each of the directions' shape.
    """
    azimuths, elevations = widened(channel.azimuth_window or ()), widened(channel.elevation_window or ())
    outside = outside_window_deg(heard.azimuth_deg, heard.elevation_deg, azimuths, elevations)
    nominal = (channel.azimuth_deg or 0.0, channel.elevation_deg or 0.0)
    off = outside_window_deg(
        heard.azimuth_deg, heard.elevation_deg, ((nominal[0], nominal[0]),), ((nominal[1], nominal[1]),)
    )
    out = outside > 1e-6
    unsure = np.where(out, 0.0, _unsure(ground, heard, azimuths, elevations))
    return {
        "outside its window": np.where(out, WEIGHTS.outside + WEIGHTS.outside_deg * outside, 0.0),
        "off the nominal direction": WEIGHTS.off_nominal_deg * off,
        "beside the picture": _aside(channel, heard),
        "unsure by tape": WEIGHTS.unsure_deg * unsure,
    }


def _aside(channel: Channel, heard: Directions) -> Floats:
    """Return what it costs the centre to be beside the picture; nothing for other channels."""
    weight = WEIGHTS.centre_aside_deg if channel.label == "M+000" else 0.0
    return weight * np.abs(heard.azimuth_deg)


def window_bound(ground: Ground, channel: Channel, heard: Directions) -> Floats:
    """Return a quick lower bound of what directions cost for a channel.

    Parameters
    ----------
    ground
        The room.
    channel
        The channel, with a window.
    heard
        Directions of the places.

    Returns
    -------
    ndarray
        Never more than the sum of `window_costs`, of the directions' shape.

    Notes
    -----
    The angle to a window is at least the difference to its parallels and at least the angle to its meridians'
    whole great circles.
    """
    azimuths, elevations = widened(channel.azimuth_window or ()), widened(channel.elevation_window or ())
    level = np.cos(np.radians(heard.elevation_deg))
    lift = np.min(
        [np.maximum(low - heard.elevation_deg, heard.elevation_deg - high) for low, high in elevations],
        axis=0,
    )
    turn = np.full(heard.azimuth_deg.shape, 180.0)
    for low, high in azimuths:
        middle, half = (low + high) / 2, (high - low) / 2
        over = np.abs(np.remainder(heard.azimuth_deg - middle + 180, 360) - 180) - half
        np.minimum(turn, over, out=turn)
    circle = np.degrees(np.arcsin(np.clip(level * np.sin(np.radians(np.clip(turn, 0, 90))), 0, 1)))
    outside = np.maximum(np.maximum(lift, circle) - 1e-6, 0)
    nominal = np.radians(channel.azimuth_deg or 0.0), np.radians(channel.elevation_deg or 0.0)
    cosine = level * np.cos(nominal[1]) * np.cos(np.radians(heard.azimuth_deg) - nominal[0])
    cosine = cosine + np.sin(np.radians(heard.elevation_deg)) * np.sin(nominal[1])
    off = np.maximum(np.degrees(np.arccos(np.clip(cosine, -1, 1))) - 1e-4, 0)
    beyond = (turn > 1e-6) | (lift > 1e-6)
    cost = WEIGHTS.outside * beyond + WEIGHTS.outside_deg * outside + WEIGHTS.off_nominal_deg * off
    cost = cost + _aside(channel, heard)
    within = np.flatnonzero((turn < -1e-6) & (lift < -1e-6))
    some = Directions(heard.azimuth_deg[within], heard.elevation_deg[within], heard.distance_m[within])
    cost[within] += WEIGHTS.unsure_deg * _unsure(ground, some, azimuths, elevations)
    return np.asarray(cost)


def _unsure(ground: Ground, heard: Directions, azimuths: Window, elevations: Window) -> Floats:
    """Return by how much the tape's tolerance reaches over the window's edges [deg]."""
    screen = np.array(ground.project.screen.centre[:2]) - ground.head[:2]
    both = np.sqrt(2) * ground.survey.room.tolerance_m
    flat = np.maximum(heard.distance_m * np.cos(np.radians(heard.elevation_deg)), 0.05)
    turn = np.degrees(np.hypot(both / flat, both / np.hypot(*screen)))
    lift = np.degrees(both / np.maximum(heard.distance_m, 0.05))
    over = np.full(heard.azimuth_deg.shape, np.inf)
    for low, high in azimuths:
        middle, half = (low + high) / 2, (high - low) / 2
        off = np.abs(np.remainder(heard.azimuth_deg - middle + 180, 360) - 180)
        over = np.minimum(over, np.maximum(0, turn - (half - off)))
    rise = np.full(heard.azimuth_deg.shape, np.inf)
    for low, high in elevations:
        margin = np.minimum(heard.elevation_deg - low, high - heard.elevation_deg)
        rise = np.minimum(rise, np.maximum(0, lift - margin))
    return np.asarray(np.minimum(over + rise, 20.0))
