"""Invented rooms as bare graphs: what the router sees, with prices made up for the purpose.

The router knows no rooms, so its benchmark and its tests need graphs with the habits of rooms: walls as lines
with breakpoints, corners that cost a bend, doors that interrupt the skirting, rugs, an attic now and then,
raceways that are paid once and fill up. All prices here are invented; nothing of them is shipped.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import combinations, pairwise
from math import hypot, inf

import numpy as np

CABLE_PER_M = 1.1
KINDS = ("rect", "L", "bay", "open")
RACEWAYS = ((3, 7.5), (8, 13.0))  # how many cables, price per metre with the fitting of it

# What a metre in the open costs one cable, and whether a raceway could cover it, by the surface it lies on.
SURFACES = {
    "skirting": (5.0, True),
    "hidden": (0.35, False),
    "ceiling": (7.0, True),
    "corner": (6.0, True),
    "frame": (3.5, True),
    "wall": (9.0, True),
    "floor": (11.0, True),
    "rug": (0.6, False),
    "attic": (1.6, False),
    "cavity": (0.9, False),
}


@dataclass
class Graph:
    """A room under construction: nodes with places, edges with cost tables."""

    cables: int
    places: list[tuple[float, float, float]] = field(default_factory=list)
    edges: list[tuple[int, int, tuple[float, ...]]] = field(default_factory=list)

    def node(self, x, y, z):
        self.places.append((float(x), float(y), float(z)))
        return len(self.places) - 1

    def span(self, a, b, surface, *, free=0, extra=0.0):
        """Join two nodes by a length of some surface; `free` places lie in a raceway that is there."""
        length_m = max(hypot(*(p - q for p, q in zip(self.places[a], self.places[b], strict=True))), 0.02)
        self.edges.append((a, b, metre_table(length_m, surface, self.cables, free=free, extra=extra)))

    def step(self, a, b, fixed, each, full, *, closed=False):
        """Join two nodes by something counted (hole, bend, threshold bar); a second when the first is full."""
        top = min(full, self.cables) if closed else self.cables
        self.edges.append(
            (a, b, tuple(fixed * -(-n // full) + each * n if n else 0.0 for n in range(top + 1)))
        )


def metre_table(length_m, surface, cables, *, free=0, extra=0.0):
    """Cheapest mix of open cable and two sizes of raceway for each number of cables."""
    seen, coverable = SURFACES[surface]
    mixes = [0.0] + [inf] * cables
    for n in range(1, cables + 1):
        options = [mixes[n - 1] + seen]
        if coverable:
            options += [mixes[max(0, n - full)] + price for full, price in RACEWAYS]
        mixes[n] = min(options)
    for n in reversed(range(cables)):
        mixes[n] = min(mixes[n], mixes[n + 1])
    paid = [mixes[max(0, n - free)] for n in range(cables + 1)]
    return tuple(round((paid[n] + CABLE_PER_M * n) * length_m + extra * n, 6) for n in range(cables + 1))


def outline(kind, rng):
    """Corners of the room, counter-clockwise, metres."""
    a, b = rng.uniform(4.2, 6.8), rng.uniform(3.6, 5.6)
    if kind == "L":
        c, d = rng.uniform(0.35, 0.6) * a, rng.uniform(0.35, 0.6) * b
        return [(0, 0), (a, 0), (a, d), (c, d), (c, b), (0, b)]
    if kind == "bay":
        c, d, depth = a * 0.25, a * 0.75, rng.uniform(0.6, 1.1)
        return [(0, 0), (c, 0), (c + 0.4, -depth), (d - 0.4, -depth), (d, 0), (a, 0), (a, b), (0, b)]
    if kind == "open":
        return [(0, 0), (a * 1.4, 0), (a * 1.4, b * 1.2), (0, b * 1.2)]
    return [(0, 0), (a, 0), (a, b), (0, b)]


def cross(p, q, r, s):
    """Whether two segments cross."""

    def side(a, b, c):
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    return side(p, q, r) * side(p, q, s) < 0 and side(r, s, p) * side(r, s, q) < 0


def inside(point, corners):
    """Whether a point lies in the outline (even-odd rule)."""
    odd = False
    for (x0, y0), (x1, y1) in zip(corners, corners[1:] + corners[:1], strict=True):
        if (y0 > point[1]) != (y1 > point[1]) and point[0] < x0 + (point[1] - y0) * (x1 - x0) / (y1 - y0):
            odd = not odd
    return odd


def room(kind, cables, seed):  # noqa: C901, PLR0912, PLR0915 (one room, from the outline to the attic)
    """One invented room.

    Returns
    -------
    edges, terminals, sink
        As `seatfield.routing.design` takes them.
    """
    rng = np.random.default_rng([seed, cables, KINDS.index(kind)])
    corners = outline(kind, rng)
    walls = list(zip(corners, corners[1:] + corners[:1], strict=True))
    lengths = [hypot(q[0] - p[0], q[1] - p[1]) for p, q in walls]
    height = rng.uniform(2.35, 2.9)
    ear = rng.uniform(0.95, 1.3)
    graph = Graph(cables)

    def at(wall, s):
        (x0, y0), (x1, y1) = walls[wall]
        t = s / lengths[wall]
        return x0 + t * (x1 - x0), y0 + t * (y1 - y0)

    def long_wall():
        return int(rng.choice(len(walls), p=np.array(lengths) ** 2 / np.sum(np.square(lengths))))

    # Things along each wall: (start, end, what), never overlapping.
    things: list[list[tuple[float, float, str]]] = [[] for _ in walls]

    def place(what, width, tries=12):
        for _ in range(tries):
            wall = long_wall()
            if lengths[wall] < width + 0.4:
                continue
            s = rng.uniform(0.15, lengths[wall] - width - 0.15)
            if all(s + width < lo - 0.08 or s > hi + 0.08 for lo, hi, _ in things[wall]):
                things[wall].append((s, s + width, what))
                return wall, s + width / 2
        return None

    doors = [d for d in (place("door", 0.9) for _ in range(int(rng.integers(1, 4)))) if d]
    for _ in range(int(rng.integers(0, 3))):
        place("window", rng.uniform(0.8, 1.8))
    for _ in range(int(rng.integers(3, 9))):
        place("furniture", rng.uniform(0.6, 2.2))
    raceways = [(long_wall(), rng.uniform(0, 0.6), rng.uniform(0.7, 1.0), int(rng.integers(2, 5)))
                for _ in range(int(rng.choice([0, 0, 1, 2])))]  # fmt: skip

    # Devices.
    devices: list[tuple[str, object]] = []
    for _ in range(cables):
        form = rng.choice(["stand", "wall", "ceiling"], p=[0.4, 0.35, 0.25])
        if form == "wall":
            wall = long_wall()
            devices.append(("wall", (wall, rng.uniform(0.3, lengths[wall] - 0.3))))
            continue
        while True:
            xs, ys = zip(*corners, strict=True)
            p = rng.uniform(min(xs) + 0.35, max(xs) - 0.35), rng.uniform(min(ys) + 0.35, max(ys) - 0.35)
            if inside(p, corners):
                break
        devices.append((form, p))
    rack_wall = long_wall()
    rack_s = rng.uniform(0.4, lengths[rack_wall] - 0.4)
    x, y = at(rack_wall, rack_s)
    (x0, y0), (x1, y1) = walls[rack_wall]
    normal = (-(y1 - y0) / lengths[rack_wall], (x1 - x0) / lengths[rack_wall])
    rack = (x + 0.35 * normal[0], y + 0.35 * normal[1])

    def feet(p, count):
        """Nearest perpendicular feet on the walls."""
        found = []
        for wall, ((ax, ay), (bx, by)) in enumerate(walls):
            s = ((p[0] - ax) * (bx - ax) + (p[1] - ay) * (by - ay)) / lengths[wall]
            if 0.05 < s < lengths[wall] - 0.05:
                q = at(wall, s)
                found.append((hypot(p[0] - q[0], p[1] - q[1]), wall, s))
        return [(wall, s) for _, wall, s in sorted(found)[:count]]

    low_marks: list[set[float]] = [set() for _ in walls]
    high_marks: list[set[float]] = [set() for _ in walls]
    for wall, items in enumerate(things):
        for lo, hi, what in items:
            low_marks[wall] |= {lo, hi}
            if what != "furniture":
                high_marks[wall] |= {lo, hi}
    for wall, lo, hi, _ in raceways:
        low_marks[wall] |= {lo * lengths[wall], hi * lengths[wall]}
    floor_feet, ceiling_feet = {}, {}
    for i, (form, p) in enumerate(devices):
        if form == "stand":
            floor_feet[i] = feet(p, 3)
            for wall, s in floor_feet[i]:
                low_marks[wall].add(s)
        elif form == "ceiling":
            ceiling_feet[i] = feet(p, 4)
            for wall, s in ceiling_feet[i]:
                high_marks[wall].add(s)
        else:
            low_marks[p[0]].add(p[1])
            high_marks[p[0]].add(p[1])
    low_marks[rack_wall].add(rack_s)

    low: list[dict[float, int]] = []
    mids: list[list[tuple[float, int]]] = [[] for _ in walls]
    high: list[dict[float, int]] = []
    for wall, length in enumerate(lengths):
        low.append({s: graph.node(*at(wall, s), 0.0) for s in sorted(low_marks[wall] | {0.0, length})})
        high.append({s: graph.node(*at(wall, s), height) for s in sorted(high_marks[wall] | {0.0, length})})
        for (s, a), (t, b) in zip(list(low[wall].items()), list(low[wall].items())[1:], strict=False):
            middle = (s + t) / 2
            what = next((w for lo, hi, w in things[wall] if lo < middle < hi), None)
            if what == "door":
                graph.step(a, b, 24.0, 2.0, 4)
                continue
            free = next(
                (f for w, lo, hi, f in raceways if w == wall and lo * length < middle < hi * length), 0
            )
            graph.span(a, b, "hidden" if what == "furniture" else "skirting", free=free)
        for a, b in zip(list(high[wall].values()), list(high[wall].values())[1:], strict=False):
            graph.span(a, b, "ceiling")
    for wall in range(len(walls)):
        after = (wall + 1) % len(walls)
        for level in (low, high):
            graph.step(level[wall][lengths[wall]], level[after][0.0], 1.2, 0.4, 4)
        for s in (0.0, lengths[wall]):
            node = graph.node(*at(wall, s), ear)
            graph.span(low[wall][s], node, "corner")
            graph.span(node, high[wall][s], "corner")
            mids[wall].append((s, node))
    for wall in range(len(walls)):
        graph.step(mids[wall][-1][1], mids[(wall + 1) % len(walls)][0][1], 1.2, 0.4, 4)
    for wall, items in enumerate(things):
        for lo, hi, what in items:
            if what == "furniture":
                continue
            heads = []
            for s in (lo, hi):
                head = graph.node(*at(wall, s), 2.05)
                heads.append(head)
                middle = graph.node(*at(wall, s), ear)
                graph.span(low[wall][s], middle, "frame")
                graph.span(middle, head, "frame")
                mids[wall].append((s, middle))
                graph.span(head, high[wall][s], "corner")
            graph.span(*heads, "frame")

    # Floor: stands, rugs, furniture islands, joined where nothing is in the way.
    terminals: list[int] = []
    floor: list[int] = []
    walkway = None
    if len(doors) > 1:
        walkway = (at(*doors[0]), at(*doors[1]))
    elif doors:
        walkway = (
            at(*doors[0]),
            (float(np.mean([p[0] for p in corners])), float(np.mean([p[1] for p in corners]))),
        )
    for i, (form, p) in enumerate(devices):
        if form == "wall":
            wall, s = p
            node = graph.node(*at(wall, s), ear)
            graph.span(node, low[wall][s], "wall")
            graph.span(node, high[wall][s], "wall")
            mids[wall].append((s, node))
        elif form == "stand":
            node = graph.node(*p, 0.0)
            floor.append(node)
            for wall, s in floor_feet[i]:
                graph.span(node, low[wall][s], "floor")
        else:
            node = graph.node(*p, height)
            for wall, s in ceiling_feet[i]:
                graph.span(node, high[wall][s], "ceiling", extra=0.6)
        terminals.append(node)
    linked: list[list[tuple[float, int]]] = []
    for row in mids:
        row.sort()
        gaps = [(lo, hi) for lo, hi, what in things[len(linked)] if what in ("door", "window")]
        linked.append(row)
        for (s, a), (t, b) in pairwise(row):
            if not any(lo - 0.01 < s and t < hi + 0.01 for lo, hi in gaps):
                graph.span(a, b, "wall")
    sink = graph.node(*rack, 0.0)
    graph.span(sink, low[rack_wall][rack_s], "hidden")
    floor.append(sink)
    centre = np.mean(corners, axis=0)
    for _ in range(int(rng.integers(1, 4))):
        cx, cy = centre + rng.uniform(-1.0, 1.0, 2)
        w, d = rng.uniform(0.7, 1.3), rng.uniform(0.5, 0.9)
        ring = [graph.node(cx + i * w, cy + j * d, 0.0)
                for i, j in [(-1, -1), (0, -1), (1, -1), (1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0)]]  # fmt: skip
        for a, b in pairwise([*ring, ring[0]]):
            graph.span(a, b, "rug")
        graph.span(ring[1], ring[5], "rug")
        graph.span(ring[3], ring[7], "rug")
        floor += ring[::2] + ring[1::2]
    for _ in range(int(rng.integers(0, 3))):
        cx, cy = centre + rng.uniform(-1.2, 1.2, 2)
        w, d = rng.uniform(0.4, 1.0), rng.uniform(0.3, 0.5)
        ring = [graph.node(cx + i * w, cy + j * d, 0.0) for i, j in [(-1, -1), (1, -1), (1, 1), (-1, 1)]]
        for a, b in pairwise([*ring, ring[0]]):
            graph.span(a, b, "hidden")
        floor += ring
    joined = {frozenset(e[:2]) for e in graph.edges}
    for a, b in combinations(floor, 2):
        p, q = graph.places[a][:2], graph.places[b][:2]
        length = hypot(p[0] - q[0], p[1] - q[1])
        if length > 3.6 or frozenset((a, b)) in joined or rng.random() < 0.15 + 0.12 * length:
            continue
        if any(cross(p, q, *wall) for wall in walls):
            continue
        graph.span(a, b, "floor")
        if walkway and cross(p, q, *walkway):
            u, v, table = graph.edges[-1]
            graph.edges[-1] = (
                u,
                v,
                tuple(c + (18.0 + 6.0 * (n > 3) if n else 0.0) for n, c in enumerate(table)),
            )

    # An attic over some rooms: drilled points joined each with each, and drops in the cavity.
    if rng.random() < 0.4:
        drilled = []
        points = [
            (n, "ceiling") for n, (form, _) in zip(terminals, devices, strict=True) if form == "ceiling"
        ]
        points += [(high[wall][0.0], "drop") for wall in range(len(walls)) if rng.random() < 0.5]
        points.append((low[rack_wall][rack_s], "drop"))
        for node, why in points:
            px, py, _ = graph.places[node]
            up = graph.node(px, py, height + 0.15)
            if why == "drop" and graph.places[node][2] == 0.0:
                graph.span(node, up, "cavity")
                u, v, table = graph.edges[-1]
                graph.edges[-1] = (u, v, tuple(c + (30.0 if n else 0.0) for n, c in enumerate(table))[:7])
            else:
                graph.step(node, up, 9.0, 1.0, 3, closed=bool(rng.random() < 0.3))
            drilled.append(up)
        for a, b in combinations(drilled, 2):
            graph.span(a, b, "attic")
    return graph.edges, terminals, sink


def rooms(seed, count, *, least=5, most=16):
    """Rooms of every kind, repeatable from a seed: (name, edges, terminals, sink) of each."""
    rng = np.random.default_rng(seed)
    made = []
    for i in range(count):
        kind = KINDS[i % len(KINDS)]
        cables = int(rng.integers(least, most + 1))
        made.append((f"{kind}-{cables}-{seed + i}", *room(kind, cables, seed + i)))
    return made
