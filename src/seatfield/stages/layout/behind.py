"""The room behind the main seat's head."""

from seatfield.geometry.polygon import edges
from seatfield.geometry.segment import crossing_fraction
from seatfield.stages.layout.placing.ground import Ground

FAR_M = 50.0


def gap_behind(ground: Ground) -> float:
    """Return the way from the main seat's head straight back to the wall [m]."""
    start = (float(ground.head[0]), float(ground.head[1]))
    end = (start[0] - FAR_M * float(ground.ahead[0]), start[1] - FAR_M * float(ground.ahead[1]))
    hits = [crossing_fraction(start, end, a, b) for a, b in edges(ground.floor)]
    return FAR_M * min((hit for hit in hits if hit is not None), default=0.0)
