"""Places as the main seat hears them, many at once."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from seatfield.geometry.batch import Floats
from seatfield.model import Mount
from seatfield.stages.layout.placing.bounces import bounce_directions
from seatfield.stages.layout.placing.ground import Ground

Indices = NDArray[np.signedinteger[Any]]


@dataclass(frozen=True, slots=True)
class Directions:
    """Points as the main seat hears them: azimuth, elevation [deg], distance [m], each of shape (n,)."""

    azimuth_deg: Floats
    elevation_deg: Floats
    distance_m: Floats


def heard_from(ground: Ground, points: Floats, mount: Mount) -> Directions:
    """Return the directions from which the main seat hears loudspeakers.

    Parameters
    ----------
    ground
        The room.
    points
        Acoustic centres, shape (n, 3) [m].
    mount
        What carries them; an upward-firing one is heard from its image in the ceiling.

    Returns
    -------
    Directions
        In the screen's frame.
    """
    sources = bounce_directions(points, ground.head, ground.slopes)[0] if mount is Mount.UPWARD else points
    gaps = sources - ground.head
    ahead, left = gaps[:, :2] @ ground.ahead, gaps[:, :2] @ ground.left
    flat = np.hypot(ahead, left)
    azimuth = np.where(flat > 1e-9, np.degrees(np.arctan2(left, ahead)), 0.0)
    return Directions(azimuth, np.degrees(np.arctan2(gaps[:, 2], flat)), np.hypot(flat, gaps[:, 2]))
