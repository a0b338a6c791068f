"""Hatch lines of a polygon with holes, as plain segments that any encoder can draw."""

import math

from seatfield.drawing.scene import Point

Segment = tuple[Point, Point]


def hatch_lines(rings: tuple[tuple[Point, ...], ...], angle_deg: float, spacing: float) -> list[Segment]:
    """Cut parallel lines by the rings, even-odd.

    The lines run at `angle_deg`, `spacing` apart (in the unit of the points), and lie on one grid through the
    origin, so that neighbouring areas hatch as one.

    Returns
    -------
    list
        Segments from edge to edge.
    """
    cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    level = [[(x * cos + y * sin, y * cos - x * sin) for x, y in ring] for ring in rings]
    heights = [y for ring in level for _, y in ring]
    if not heights:
        return []
    found: list[Segment] = []
    for step in range(math.ceil(min(heights) / spacing), math.floor(max(heights) / spacing) + 1):
        # Off the grid by a hair, so that no line runs exactly along an edge or through a corner.
        y = (step + 1e-6) * spacing
        crossings = sorted(x for ring in level for x in _crossings(ring, y))
        for left, right in zip(crossings[::2], crossings[1::2], strict=False):
            found.append(
                ((left * cos - y * sin, left * sin + y * cos), (right * cos - y * sin, right * sin + y * cos))
            )
    return found


def _crossings(ring: list[Point], y: float) -> list[float]:
    """Where a closed ring crosses the level y."""
    return [
        x0 + (y - y0) * (x1 - x0) / (y1 - y0)
        for (x0, y0), (x1, y1) in zip(ring, ring[1:] + ring[:1], strict=True)
        if (y0 <= y) != (y1 <= y)
    ]
