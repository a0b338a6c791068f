"""Directions from a listener: azimuth and elevation, and how far they lie outside a window.

Azimuth runs counter-clockwise seen from above (positive to the left), elevation upwards, as in ITU-R BS.2051.
"""

from math import atan2, degrees, hypot

import numpy as np
from numpy.typing import ArrayLike, NDArray

Point = tuple[float, float]
Point3 = tuple[float, float, float]
Interval = tuple[float, float]


def wrap_deg(angle_deg: float) -> float:
    """Return an angle brought into (−180°, 180°].

    Parameters
    ----------
    angle_deg
        Any angle [deg].

    Returns
    -------
    float
        The same direction [deg].
    """
    turned = -((-angle_deg + 180.0) % 360.0 - 180.0)
    return 180.0 if turned == -180.0 else turned


def bearing_deg(start: Point, end: Point) -> float:
    """Return the direction from one point to another in plan, from +x counter-clockwise.

    Parameters
    ----------
    start, end
        Two points [m].

    Returns
    -------
    float
        Direction [deg]; 0 where they coincide.
    """
    return degrees(atan2(end[1] - start[1], end[0] - start[0]))


def seen_from(ear: Point3, forward: Point, target: Point3) -> tuple[float, float, float]:
    """Return the azimuth, elevation and distance of a target from a listener.

    Parameters
    ----------
    ear
        The listener's head [m].
    forward
        A point in plan that lies at azimuth 0° [m].
    target
        What is looked at [m].

    Returns
    -------
    tuple
        Azimuth [deg], elevation [deg], distance [m]. Straight above or below, the azimuth is 0.
    """
    x, y, z = target[0] - ear[0], target[1] - ear[1], target[2] - ear[2]
    flat = hypot(x, y)
    ahead = bearing_deg(ear[:2], forward)
    azimuth = wrap_deg(degrees(atan2(y, x)) - ahead) if flat > 1e-9 else 0.0
    return azimuth, degrees(atan2(z, flat)), hypot(flat, z)


def great_circle_deg(
    azimuth_deg: float, elevation_deg: float, other_azimuth_deg: float, other_elevation_deg: float
) -> float:
    """Return the angle between two directions.

    Parameters
    ----------
    azimuth_deg, elevation_deg, other_azimuth_deg, other_elevation_deg
        The two directions [deg].

    Returns
    -------
    float
        Angle, 0 to 180 [deg].

    References
    ----------
    The haversine formula (Sinnott, Sky and Telescope 68, 1984), exact also for small angles.
    """
    return float(_angle(*np.radians([azimuth_deg, elevation_deg, other_azimuth_deg, other_elevation_deg])))


def _angle(
    azimuth: ArrayLike, elevation: ArrayLike, other_azimuth: ArrayLike, other_elevation: ArrayLike
) -> NDArray[np.float64]:
    rise = np.sin(np.subtract(elevation, other_elevation) / 2) ** 2
    turn = np.sin(np.subtract(azimuth, other_azimuth) / 2) ** 2
    half = rise + np.cos(elevation) * np.cos(other_elevation) * turn
    return np.asarray(np.degrees(2 * np.arcsin(np.sqrt(np.clip(half, 0, 1)))))


def outside_window_deg(
    azimuth_deg: ArrayLike,
    elevation_deg: ArrayLike,
    azimuth_ranges_deg: tuple[Interval, ...],
    elevation_ranges_deg: tuple[Interval, ...],
) -> NDArray[np.float64]:
    """Return the angle from directions to the nearest direction that a window allows.

    Parameters
    ----------
    azimuth_deg, elevation_deg
        Directions, any shapes that broadcast [deg].
    azimuth_ranges_deg
        Intervals from lower to upper azimuth; one that straddles ±180° runs past 180 [deg].
    elevation_ranges_deg
        Intervals from lower to upper elevation [deg].

    Returns
    -------
    ndarray
        Great-circle distance, of the broadcast shape [deg]; 0 inside.

    Notes
    -----
    A window is a patch between two meridians and two parallels. Over or under it the nearest point lies on
    the direction's own meridian; beside it, on the nearer meridian's arc: at its turning point or an end.
    """
    az, el = np.broadcast_arrays(np.asarray(azimuth_deg, float), np.asarray(elevation_deg, float))
    nearest = np.full(az.shape, np.inf)
    for low_az, high_az in azimuth_ranges_deg:
        for low_el, high_el in elevation_ranges_deg:
            nearest = np.minimum(nearest, _outside_patch(az, el, (low_az, high_az), (low_el, high_el)))
    return nearest


def _outside_patch(
    az: NDArray[np.float64], el: NDArray[np.float64], azimuths: Interval, elevations: Interval
) -> NDArray[np.float64]:
    width = azimuths[1] - azimuths[0]
    within = (np.remainder(az - azimuths[0] + 1e-9, 360.0) <= width + 2e-9) | (width >= 360.0)
    above = np.maximum(np.maximum(el - elevations[1], elevations[0] - el), 0.0)
    beside = np.minimum(
        _outside_arc(az, el, azimuths[0], elevations), _outside_arc(az, el, azimuths[1], elevations)
    )
    return np.where(within, above, beside)


def _outside_arc(
    az: NDArray[np.float64], el: NDArray[np.float64], meridian_deg: float, elevations: Interval
) -> NDArray[np.float64]:
    azimuth, elevation, meridian = np.radians(az), np.radians(el), np.radians(meridian_deg)
    low, high = np.radians(elevations)
    turning = np.arctan2(np.sin(elevation), np.cos(elevation) * np.cos(azimuth - meridian))
    ends_and_turn = np.stack(np.broadcast_arrays(low, high, np.clip(turning, low, high)))
    return np.asarray(_angle(azimuth, elevation, meridian, ends_and_turn).min(axis=0))
