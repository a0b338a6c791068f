"""Sound thrown back by the ceiling, for many places at once."""

import numpy as np

from seatfield.geometry.batch import Floats


def ceiling_over(slopes: Floats, plan: Floats) -> Floats:
    """Return the lowest plane's height over points, shape (n, 2) to (n,) [m]."""
    lowest = np.full(len(plan), np.inf)
    for a, b, c in slopes:
        np.minimum(lowest, a * plan[:, 0] + b * plan[:, 1] + c, out=lowest)
    return lowest


def squared_distance(points: Floats, place: tuple[float, float, float] | Floats) -> Floats:
    """Return the squared distance from points, shape (n, 3), to one place: shape (n,) [m²]."""
    x, y, z = (points[:, axis] - float(place[axis]) for axis in range(3))
    return np.asarray(x * x + y * y + z * z)


def bounce_directions(points: Floats, head: Floats, slopes: Floats) -> tuple[Floats, Floats, Floats]:
    """Mirror points in the ceiling that throws their sound to the head.

    Parameters
    ----------
    points
        Upward-firing loudspeakers, shape (n, 3) [m].
    head
        The ear, shape (3,) [m].
    slopes
        Ceiling planes, shape (k, 3).

    Returns
    -------
    tuple
        Images and bounce points, shape (n, 3) each, and which plane, shape (n,), −1 where none throws it back.
    """
    images, bounces = np.array(points), np.array(points)
    which = np.full(len(points), -1)
    for number, (a, b, c) in enumerate(slopes):
        normal = np.array([-a, -b, 1.0]) / np.sqrt(a * a + b * b + 1)
        offset = c * normal[2]
        here, there = points @ normal - offset, float(head @ normal - offset)
        image = points - 2 * here[:, None] * normal
        share = here / np.where(np.abs(here + there) > 1e-12, here + there, 1.0)
        met = image + share[:, None] * (head - image)
        lowest = np.abs(ceiling_over(slopes, met[:, :2]) - met[:, 2]) < 1e-6
        good = (which < 0) & (here < -1e-9) & (there < -1e-9) & lowest
        images[good], bounces[good], which[good] = image[good], met[good], number
    return images, bounces, which


def absorbs(freq_hz: tuple[float, ...], absorption: tuple[float, ...]) -> bool:
    """Tell whether a surface swallows half or more of what hits it at 1 kHz and above."""
    high = [value for freq, value in zip(freq_hz, absorption, strict=False) if freq >= 900]
    return bool(high) and sum(high) / len(high) >= 0.5
