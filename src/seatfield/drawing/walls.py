"""Walls in plan: cut, hatched, with their thickness outward; doors with their swing, windows, archways."""

import math

from seatfield.drawing.scene import Arc, Area, Element, Line, Point
from seatfield.model import Opening, OpeningKind, WallBuild
from seatfield.stages.survey.result import WallFrame

# Nobody measures a wall's thickness from inside: these are drawn for the eye and say so in the legend.
DRAWN_THICKNESS_M = {WallBuild.STUD: 0.12, WallBuild.PANEL: 0.10, WallBuild.MASONRY: 0.24, None: 0.18}
LEAF_M = 0.04

Stretch = tuple[int, float, float]


def drawn_thickness_m(frame: WallFrame) -> float:
    """Thickness with which a wall is drawn [m]."""
    return DRAWN_THICKNESS_M[frame.wall.build]


def offset_corners(walls: tuple[WallFrame, ...], out_m: tuple[float, ...]) -> tuple[Point, ...]:
    """Corners of the outline with each wall moved outward by its `out_m`: corner i lies between walls i-1 and i."""
    corners = []
    for i, wall in enumerate(walls):
        before = walls[i - 1]
        corners.append(_meet(before, out_m[i - 1], wall, out_m[i]))
    return tuple(corners)


def _meet(one: WallFrame, one_out: float, other: WallFrame, other_out: float) -> Point:
    """Where two walls meet once both have moved outward; on a straight run, beside their common corner."""
    x, y = other.start
    turn = one.along[0] * other.along[1] - one.along[1] * other.along[0]
    if abs(turn) < 1e-6:
        return x - other.inward[0] * other_out, y - other.inward[1] * other_out
    ax, ay = -one.inward[0] * one_out, -one.inward[1] * one_out
    bx, by = -other.inward[0] * other_out, -other.inward[1] * other_out
    along = ((bx - ax) * other.along[1] - (by - ay) * other.along[0]) / turn
    return x + ax + along * one.along[0], y + ay + along * one.along[1]


def wall_solids(walls: tuple[WallFrame, ...], openings: tuple[Opening, ...]) -> tuple[Area, ...]:
    """Return what is cut of the walls, one area per unbroken stretch around corners."""
    thick = tuple(drawn_thickness_m(wall) for wall in walls)
    outer = offset_corners(walls, thick)
    chains = _chains(_solid_stretches(walls, openings), walls)
    areas = []
    for chain in chains:
        inside, outside = [], []
        for number, start, end in chain:
            wall = walls[number]
            inside += [on_wall(wall, start), on_wall(wall, end)]
            outside += [
                _outer_end(wall, start, outer[number], thick[number], at_corner=start <= 0.0),
                _outer_end(
                    wall, end, outer[(number + 1) % len(walls)], thick[number], at_corner=end >= wall.length_m
                ),
            ]
        if len(chain) == len(walls) and chain[0][1] <= 0.0 and chain[-1][2] >= walls[chain[-1][0]].length_m:
            areas.append(Area(tuple(outside[::2]), "wall", (tuple(inside[::2]),)))
        else:
            areas.append(Area((*_distinct(inside), *_distinct(outside)[::-1]), "wall"))
    return tuple(areas)


def _distinct(points: list[Point]) -> list[Point]:
    return [p for i, p in enumerate(points) if i == 0 or math.dist(p, points[i - 1]) > 1e-9]


def _outer_end(wall: WallFrame, along: float, corner: Point, thick: float, *, at_corner: bool) -> Point:
    return corner if at_corner else on_wall(wall, along, -thick)


def on_wall(wall: WallFrame, along_m: float, into_m: float = 0.0) -> Point:
    """Return the point `along_m` from the wall's first corner, `into_m` into the room."""
    return (
        wall.start[0] + along_m * wall.along[0] + into_m * wall.inward[0],
        wall.start[1] + along_m * wall.along[1] + into_m * wall.inward[1],
    )


def _solid_stretches(walls: tuple[WallFrame, ...], openings: tuple[Opening, ...]) -> list[Stretch]:
    """List what stands of each wall between its openings, in order around the room."""
    found: list[Stretch] = []
    for i, wall in enumerate(walls):
        at = 0.0
        for start, end in sorted((o.start_m, o.start_m + o.width_m) for o in openings if o.wall == i):
            if start > at + 1e-6:
                found.append((i, at, start))
            at = max(at, end)
        if at < wall.length_m - 1e-6:
            found.append((i, at, wall.length_m))
    return found


def _chains(stretches: list[Stretch], walls: tuple[WallFrame, ...]) -> list[list[Stretch]]:
    """Join stretches that meet at a corner."""
    chains: list[list[Stretch]] = []
    for stretch in stretches:
        if chains and _meets(chains[-1][-1], stretch, walls):
            chains[-1].append(stretch)
        else:
            chains.append([stretch])
    if len(chains) > 1 and _meets(chains[-1][-1], chains[0][0], walls):
        chains[0] = chains.pop() + chains[0]
    return chains


def _meets(one: Stretch, other: Stretch, walls: tuple[WallFrame, ...]) -> bool:
    at_end = one[2] >= walls[one[0]].length_m - 1e-9
    return at_end and other[1] <= 0.0 and other[0] == (one[0] + 1) % len(walls)


def opening_in_plan(opening: Opening, wall: WallFrame) -> tuple[Element, ...]:
    """Draw a door with leaf and swing, a window with its panes, or an archway with its lintel overhead."""
    thick = drawn_thickness_m(wall)
    start, end = opening.start_m, opening.start_m + opening.width_m
    ref = f"opening:{opening.id}"
    quad = (
        on_wall(wall, start),
        on_wall(wall, end),
        on_wall(wall, end, -thick),
        on_wall(wall, start, -thick),
    )
    if opening.kind is OpeningKind.WINDOW:
        glass = [
            Line((on_wall(wall, start, -thick * t), on_wall(wall, end, -thick * t)), "swing", ref=ref)
            for t in (0.42, 0.58)
        ]
        return (Area(quad, "opening", ref=ref), *glass)
    lintel = [
        Line((quad[a], quad[b]), "swing" if opening.kind is OpeningKind.DOOR else "overhead", ref=ref)
        for a, b in ((0, 1), (3, 2))
    ]
    if opening.kind is OpeningKind.ARCHWAY:
        return tuple(lintel)
    return (lintel[1], *_leaf(opening, wall, ref))


def _leaf(opening: Opening, wall: WallFrame, ref: str) -> tuple[Element, ...]:
    """Draw the open leaf and the arc that its edge sweeps."""
    thick = drawn_thickness_m(wall)
    inward = opening.opens != "outward"
    hinge_at = opening.start_m if opening.hinge == "start" else opening.start_m + opening.width_m
    other_at = opening.start_m + opening.width_m if opening.hinge == "start" else opening.start_m
    face = 0.0 if inward else -thick
    swing = opening.width_m if inward else -opening.width_m
    hinge, shut = on_wall(wall, hinge_at, face), on_wall(wall, other_at, face)
    tip = on_wall(wall, hinge_at, face + swing)
    inset = math.copysign(LEAF_M, other_at - hinge_at)
    leaf = (hinge, tip, on_wall(wall, hinge_at + inset, face + swing), on_wall(wall, hinge_at + inset, face))
    from_deg = math.degrees(math.atan2(shut[1] - hinge[1], shut[0] - hinge[0]))
    to_deg = math.degrees(math.atan2(tip[1] - hinge[1], tip[0] - hinge[0]))
    sweep = (to_deg - from_deg + 180.0) % 360.0 - 180.0
    return Area(leaf, "opening", ref=ref), Arc(hinge, opening.width_m, from_deg, sweep, "swing", ref=ref)
