"""Metres that a way runs beside a mains cable."""

from dataclasses import replace
from itertools import pairwise
from math import dist, sqrt

from seatfield.model import Point3
from seatfield.stages.cable.surfaces import Network, Stretch

MAINS_NEAR_M = 0.30
"""Loudspeaker cable beside mains for long keeps this distance: common practice (local code first)."""

PARALLEL_COSINE = 0.866
"""Cosine of 30°: nearer to parallel than this, cables run beside each other; else they cross."""


def measure_mains(network: Network, cables: tuple[tuple[Point3, ...], ...]) -> None:
    """Note on every way how many of its metres run beside a mains cable.

    Parameters
    ----------
    network
        Whose ways are told their `mains_m`.
    cables
        Mains cables as lines through points [m].
    """
    sides = [side for cable in cables for side in pairwise(cable) if dist(*side) > 1e-6]
    for key, way in network.ways.items() if sides else ():
        beside = sum(beside_m(stretch, a, b) for stretch in way.stretches for a, b in sides)
        if beside > 0:
            network.ways[key] = replace(way, mains_m=beside)


def beside_m(stretch: Stretch, a: Point3, b: Point3) -> float:
    """Return the length of a stretch within 30 cm of a straight cable and within 30° of parallel to it.

    Parameters
    ----------
    stretch
        A piece of a way.
    a, b
        Ends of the cable [m].

    Returns
    -------
    float
        Length [m]. Exact, so that it does not depend on how a way is parted: the distance to the cable is that to its
        line between the ends, and to an end beyond it, each a quadratic along the stretch.
    """
    length, other = stretch.length_m, dist(a, b)
    if length < 1e-6:
        return 0.0
    run = tuple((q - p) / length for p, q in zip(stretch.start, stretch.end, strict=True))
    mains = tuple((q - p) / other for p, q in zip(a, b, strict=True))
    along = _dot(run, mains)
    if abs(along) < PARALLEL_COSINE:
        return 0.0
    offset = _minus(stretch.start, a)
    first, last = sorted(((0.0 - _dot(offset, mains)) / along, (other - _dot(offset, mains)) / along))
    before, after = (a, b) if along > 0 else (b, a)
    across = tuple(r - along * m for r, m in zip(run, mains, strict=True))
    aside = tuple(o - _dot(offset, mains) * m for o, m in zip(offset, mains, strict=True))
    return (
        _near(_minus(stretch.start, before), run, (0.0, min(first, length)))
        + _near(aside, across, (max(0.0, first), min(last, length)))
        + _near(_minus(stretch.start, after), run, (max(0.0, last), length))
    )


def _near(offset: tuple[float, ...], step: tuple[float, ...], span: tuple[float, float]) -> float:
    """Return how much of a span of t has |offset + t·step| within reach."""
    low, high = span
    if high <= low:
        return 0.0
    square, mixed, rest = _dot(step, step), _dot(offset, step), _dot(offset, offset) - MAINS_NEAR_M**2
    if square < 1e-12:
        return high - low if rest <= 0 else 0.0
    root = mixed**2 - square * rest
    if root <= 0:
        return 0.0
    start, end = ((-mixed + sign * sqrt(root)) / square for sign in (-1, 1))
    return max(0.0, min(end, high) - max(start, low))


def _dot(a: tuple[float, ...], b: tuple[float, ...]) -> float:
    return sum(p * q for p, q in zip(a, b, strict=True))


def _minus(a: Point3, b: Point3) -> Point3:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]
