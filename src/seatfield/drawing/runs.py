"""Runs as single lines: cables that share a way share one line, and an oblique stroke tells how many they are.

References
----------
IEC 60617, connections: one oblique stroke with a figure stands for that many conductors in a line; from memory.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from seatfield.drawing.board import Board, Wish
from seatfield.drawing.scene import Line, Point, Symbol

ON_M = 1e-3  # a point this close to a line lies on it
STROKE_MM = 2.6
SHORTEST_MM = 5.0  # a shared way shorter than this carries no stroke: its neighbours tell enough


@dataclass(frozen=True, slots=True)
class Way:
    """Where one run lies, as a line in the drawing [m] in the style that says whether it is seen."""

    run: str
    style: str
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Shared:
    """A line that some runs share from end to end."""

    points: tuple[Point, ...]
    style: str
    runs: tuple[str, ...]


def shared_ways(ways: tuple[Way, ...]) -> tuple[Shared, ...]:
    """Cut ways where others join or leave, and join again what the same runs share.

    Parameters
    ----------
    ways
        In any order; the runs of a shared line are named in this order.

    Returns
    -------
    tuple of Shared
        Every stretch of every way once for each style.
    """
    nodes = tuple(dict.fromkeys(_key(point) for way in ways for point in way.points))
    on: dict[tuple[str, Point, Point], list[str]] = {}
    for way in ways:
        for start, end in pairwise(way.points):
            for piece in pairwise(_cut(start, end, nodes)):
                low, high = sorted(piece)
                runs = on.setdefault((way.style, low, high), [])
                if way.run not in runs:
                    runs.append(way.run)
    groups: dict[tuple[str, tuple[str, ...]], list[tuple[Point, Point]]] = {}
    for (style, start, end), runs in on.items():
        groups.setdefault((style, tuple(runs)), []).append((start, end))
    return tuple(
        Shared(line, style, runs) for (style, runs), pieces in groups.items() for line in _chained(pieces)
    )


def _key(point: Point) -> Point:
    """Round a point to the millimetre, so that points that are one become one."""
    return round(point[0], 3), round(point[1], 3)


def _cut(start: Point, end: Point, nodes: tuple[Point, ...]) -> list[Point]:
    """Return a segment's ends and every node between them, in order."""
    first, last = _key(start), _key(end)
    length = math.dist(first, last)
    if length < ON_M:
        return [first]
    ux, uy = (last[0] - first[0]) / length, (last[1] - first[1]) / length
    found = {0.0: first, length: last}
    for x, y in nodes:
        along = (x - first[0]) * ux + (y - first[1]) * uy
        off = abs((y - first[1]) * ux - (x - first[0]) * uy)
        if off <= ON_M < along < length - ON_M:
            found[along] = (x, y)
    return [found[along] for along in sorted(found)]


def _chained(pieces: list[tuple[Point, Point]]) -> list[tuple[Point, ...]]:
    """Join pieces end to end into lines as long as can be."""
    left = list(pieces)
    lines: list[tuple[Point, ...]] = []
    while left:
        line = list(left.pop(0))
        for _ in range(2):
            while (following := next((p for p in left if line[-1] in p), None)) is not None:
                left.remove(following)
                line.append(following[1] if following[0] == line[-1] else following[0])
            line.reverse()
        lines.append(tuple(line))
    return lines


def draw_ways(board: Board, ways: tuple[Way, ...], place: Callable[[Point, str], Point]) -> None:
    """Draw ways as single lines.

    Parameters
    ----------
    board
        To draw on; figures are asked for as labels.
    ways
        Of all runs.
    place
        Moves a point of a way of a style to where it is drawn.

    Notes
    -----
    Every run has its own line, so that it can be picked; those that share a way lie on each other exactly.
    """
    for shared in shared_ways(ways):
        points = tuple(place(point, shared.style) for point in shared.points)
        for run in shared.runs:
            board.draw(Line(points, shared.style, ref=f"run:{run}"))
        if len(shared.runs) > 1:
            _stroke(board, points, len(shared.runs))


def _stroke(board: Board, points: tuple[Point, ...], count: int) -> None:
    """Strike through the longest straight part of a line, and ask for the number of cables beside it."""
    start, end = max(pairwise(points), key=lambda ends: math.dist(*ends))
    if math.dist(start, end) * board.mm_per_m < SHORTEST_MM:
        return
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    board.draw(Symbol("cables", middle, STROKE_MM / board.mm_per_m, _square_deg(start, end)))
    board.ask(Wish(((str(count), "count"),), middle, 1.1, tied=False))


def _square_deg(start: Point, end: Point) -> float:
    """Direction of a segment, told the same whichever way it is walked [deg]."""
    return math.degrees(math.atan2(end[1] - start[1], end[0] - start[0])) % 180.0
