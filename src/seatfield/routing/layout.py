"""A layout, and its improvement: cables are taken up singly or in bundles and laid where they cost least."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import maximum_flow

from seatfield.routing.arrays import Field, Floats, Ints, Ways, way

EPS = 1e-9


class Layout:
    """Routes as lists of nodes, terminal first, and the number of cables on each edge."""

    def __init__(self, field: Field, routes: Sequence[Sequence[int]] = (), ways: Ways | None = None) -> None:
        self.field = field
        self.ways = Ways(field) if ways is None else ways
        self.loads = np.zeros(len(field.table), dtype=np.intp)
        self.routes: list[list[int]] = [[] for _ in range(field.cables)]
        self.rows = np.arange(len(field.table))
        self.paths = 0
        for k, route in enumerate(routes):
            self.put(k, _without_loops(list(route)))

    @property
    def cost(self) -> float:
        """Sum of the tables' entries."""
        return float(self.field.table[self.rows, self.loads].sum())

    def edges(self, nodes: Sequence[int]) -> list[int]:
        """Edges along a row of nodes."""
        at, edge = self.field.at, self.field.edge
        return [int(edge[at[a, b]]) for a, b in pairwise(nodes)]

    def put(self, k: int, route: list[int]) -> None:
        """Replace the route of one cable."""
        for e in self.edges(self.routes[k]):
            self.loads[e] -= 1
        self.routes[k] = route
        for e in self.edges(route):
            self.loads[e] += 1

    def prices(self, more: int) -> Floats:
        """Return what `more` cables would add on each edge; infinite where they find no place."""
        table = self.field.table
        after = np.minimum(self.loads + more, table.shape[1] - 1)
        out: Floats = table[self.rows, after] - table[self.rows, self.loads]
        return out

    def search(self, node: int, more: int, limit: float = np.inf) -> tuple[Floats, Ints]:
        """Cheapest ways of `more` cables from a node, over what is laid now, none dearer than a limit."""
        self.paths += 1
        return self.ways.tree(node, self.prices(more)[self.field.edge], limit)

    def lay(self, k: int) -> bool:
        """Lay one cable that is not laid yet where it costs least; tell whether it found a way."""
        start = int(self.field.home[k])
        distance, before = self.search(start, 1)
        if not np.isfinite(distance[self.field.sink]):
            return False
        self.put(k, way(before, start, self.field.sink))
        return True

    def mark(self, used: NDArray[np.bool_]) -> None:
        """Mark the directions that each cable uses, shape (directions, cables)."""
        for k, route in enumerate(self.routes):
            used[[self.field.at[step] for step in pairwise(route)], k] = True

    def relieve(self) -> bool:
        """Lay cables of overfull edges elsewhere; tell whether all found a way."""
        capacity = np.isfinite(self.field.table).sum(axis=1) - 1
        taken = []
        for k in range(self.field.cables):
            route = self.edges(self.routes[k])
            if (self.loads[route] > capacity[route]).any():
                self.put(k, [])
                taken.append(k)
        return all(self.lay(k) for k in taken)

    def move(self, cables: Sequence[int], node: int) -> float:
        """Lay some cables' routes anew from a node that they share, jointly; return what that saves."""
        tails = [self.routes[k][self.routes[k].index(node) :] for k in cables]
        heads = [self.routes[k][: self.routes[k].index(node)] for k in cables]
        held = self.loads.copy()
        cost = self.cost
        for tail in tails:
            for e in self.edges(tail):
                self.loads[e] -= 1
        freed = cost - self.cost
        distance, before = self.search(node, len(cables), max(0.0, freed))
        saved = freed - distance[self.field.sink]
        self.loads = held
        if not saved > EPS * max(1.0, cost):
            return 0.0
        tail = way(before, node, self.field.sink)
        for k, head in zip(cables, heads, strict=True):
            self.put(k, _without_loops(head + tail))
        return float(saved)

    def gather(self, cables: Sequence[int]) -> float:
        """Lay some cables anew, each alone to one node and on from there together; return what that saves.

        Of all nodes, the one is tried where the ways there and the joint way on cost least together.
        """
        before, old = self.cost, [self.routes[k] for k in cables]
        for k in cables:
            self.put(k, [])
        homes = [int(self.field.home[k]) for k in cables]
        alone = [self.search(home, 1) for home in homes]
        on, onward = self.search(self.field.sink, len(cables))
        total = on + np.sum([distance for distance, _ in alone], axis=0)
        middle = int(np.argmin(total))
        if np.isfinite(total[middle]):
            tail = way(onward, self.field.sink, middle)[::-1]
            for k, home, (_, back) in zip(cables, homes, alone, strict=True):
                self.put(k, _without_loops([*way(back, home, middle), *tail[1:]]))
            if (saved := before - self.cost) > EPS * max(1.0, before):
                return saved
        for k, route in zip(cables, old, strict=True):
            self.put(k, route)
        return 0.0

    def bundles(self) -> list[tuple[int, list[int]]]:
        """Nodes that two or more cables leave together for the same next node, with those cables."""
        seen: dict[tuple[int, int], list[int]] = {}
        for k, route in enumerate(self.routes):
            for step in pairwise(route):
                seen.setdefault(step, []).append(k)
        first: dict[tuple[int, ...], int] = {}
        for (node, _), cables in seen.items():
            if len(cables) > 1:
                first.setdefault(tuple(cables), node)
        return [(node, list(cables)) for cables, node in first.items()]

    def improve(self, rng: np.random.Generator, sweeps: int, *, gather: bool = False) -> None:
        """Take up cables and bundles in random order until no move saves anything.

        With `gather`, bundles are also taken up whole, from the cables' own terminals: better, and slower.
        """
        for _ in range(sweeps):
            saved = 0.0
            for k in rng.permutation(self.field.cables).tolist():
                if self.routes[k] and len(self.routes[k]) > 1:
                    saved += self.move([k], self.routes[k][0])
            for node, cables in self.bundles():
                if all(node in self.routes[k] for k in cables):
                    saved += self.move(cables, node)
            if gather:
                saved += sum(self.gather(cables) for _, cables in self.bundles())
            if saved <= 0.0:
                return


def _without_loops(nodes: list[int]) -> list[int]:
    """Cut out what a route does between two visits to the same node."""
    out: list[int] = []
    place: dict[int, int] = {}
    for node in nodes:
        if node in place:
            for gone in out[place[node] + 1 :]:
                del place[gone]
            del out[place[node] + 1 :]
        else:
            place[node] = len(out)
            out.append(node)
    return out


def insertion(field: Field, order: Iterable[int]) -> Layout | None:
    """Lay the cables one after another where each costs least then; none if one finds no way left."""
    layout = Layout(field)
    return layout if all(layout.lay(k) for k in order) else None


def alone(field: Field, weight: Floats) -> Layout | None:
    """Lay each cable along its shortest way by weight, blind to the others; none if an edge is overfull."""
    distance, before = Ways(field).tree(field.sink, weight[field.edge])
    if not np.isfinite(distance[field.home]).all():
        return None
    layout = Layout(field, [way(before, field.sink, home)[::-1] for home in field.home.tolist()])
    return layout if np.isfinite(layout.cost) else None


def first_layout(field: Field, rng: np.random.Generator, manner: int) -> Layout | None:
    """Lay a layout to start from, in one of four manners that lead to different places.

    One after another in random order; the same under prices that are a little wrong; each alone as if each
    edge were shared by some number of cables, the same for all edges with some noise, or drawn for every
    edge.
    """
    order = rng.permutation(field.cables).tolist()
    count = len(field.table)
    if manner % 4 == 0:
        return insertion(field, order)
    if manner % 4 == 1:
        together = np.full(count, rng.integers(1, field.cables + 1))
        return alone(field, _share(field, together) * rng.uniform(0.7, 1.3, count))
    if manner % 4 == 2:
        wrong = insertion(replace(field, table=field.table * rng.uniform(0.6, 1.4, (count, 1))), order)
        return None if wrong is None else Layout(field, wrong.routes)
    return alone(field, _share(field, rng.integers(1, field.cables + 1, count)))


def _share(field: Field, together: Ints) -> Floats:
    """Return what one of so many cables would pay on each edge, or one alone where they find no place."""
    cost = field.table[np.arange(len(together)), together] / together
    return np.where(np.isfinite(cost), cost, field.table[:, 1])


def by_flow(field: Field) -> tuple[int, Layout | None]:
    """Greatest number of cables that find a way at once (maximum flow), and a layout if that is all."""
    cables, sink, source = field.cables, field.sink, field.nodes
    capacity = np.isfinite(field.table).sum(axis=1) - 1
    held = np.bincount(field.home, minlength=field.nodes)
    homes = np.flatnonzero(held)
    rows = np.r_[field.tail, np.full(len(homes), source)]
    columns = np.r_[field.head, homes]
    amounts = np.r_[capacity[field.edge], held[homes]].astype(np.int32)
    graph = csr_matrix((amounts, (rows, columns)), shape=(source + 1, source + 1))
    if source != sink and cables:
        result = maximum_flow(graph, source, sink)
        if result.flow_value < cables:
            return int(result.flow_value), None
        flow = result.flow.tocoo()
        left = {
            (int(a), int(b)): int(f) for a, b, f in zip(flow.row, flow.col, flow.data, strict=True) if f > 0
        }
        return cables, Layout(field, [_unwind(left, home, sink) for home in field.home.tolist()])
    return cables, Layout(field, [[sink]] * cables)


def _unwind(left: dict[tuple[int, int], int], home: int, sink: int) -> list[int]:
    """Follow flow from a node to the sink and take one unit of it away."""
    nodes = [home]
    while nodes[-1] != sink:
        here = nodes[-1]
        after = next(b for (a, b), f in left.items() if a == here and f > 0)
        left[here, after] -= 1
        nodes.append(after)
    return nodes
