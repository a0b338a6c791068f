"""Exact reductions: a smaller network with the same optimum, and the way back to the given edges.

Four rules, repeated until none applies. None loses a layout that could be the cheapest:

- an edge that can carry nothing, a loop, and a part that hangs on one node and holds no terminal fall away;
- a node with one edge passes its terminals on: their cables have no other way;
- a node with two edges and no terminal becomes one edge, whose table is the sum;
- two edges between the same nodes become one, whose table is the cheapest split.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from typing import TypeAlias

from seatfield.routing.network import Network

Table: TypeAlias = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Given:
    """One of the edges that were given."""

    index: int


@dataclass(frozen=True, slots=True)
class Series:
    """Two edges that meet at a node where nothing else happens; the second starts where the first ends."""

    first: Part
    second: Part
    first_forward: bool
    second_forward: bool


@dataclass(frozen=True, slots=True)
class Parallel:
    """Two edges between the same nodes; of n cables the first takes `split[n]`."""

    first: Part
    second: Part
    second_forward: bool
    split: tuple[int, ...]


Part: TypeAlias = "Given | Series | Parallel"


@dataclass(slots=True)
class _Link:
    u: int
    v: int
    table: Table
    part: Part

    def other(self, node: int) -> int:
        return self.v if node == self.u else self.u


@dataclass(frozen=True, slots=True)
class Reduced:
    """The smaller network, with nodes 0 to `nodes` - 1, and the way back."""

    network: Network
    nodes: int
    parts: tuple[Part, ...]
    stubs: tuple[tuple[tuple[Part, bool], ...], ...]
    tail: tuple[tuple[Part, bool], ...]
    fixed: float
    given: Network


class _Shrinker:
    def __init__(self, network: Network) -> None:
        self.cables = len(network.terminals)
        self.home = list(network.terminals)
        self.sink = network.sink
        self.stubs: list[list[tuple[Part, bool]]] = [[] for _ in self.home]
        self.tail: list[tuple[Part, bool]] = []
        self.fixed = 0.0
        self.links: dict[int, dict[int, _Link]] = {n: {} for n in (*self.home, self.sink)}
        for index, ((u, v), table) in enumerate(zip(network.ends, network.tables, strict=True)):
            if u != v and self.cables and table[1] < inf:
                self.join(_Link(u, v, table, Given(index)))

    def join(self, link: _Link) -> None:
        old = self.links.setdefault(link.u, {}).get(link.v)
        if old is not None:
            link = _side_by_side(old, link)
        self.links.setdefault(link.u, {})[link.v] = link
        self.links.setdefault(link.v, {})[link.u] = link

    def part_with(self, node: int) -> None:
        for other in self.links.pop(node):
            del self.links[other][node]

    def shrink(self) -> None:
        self.keep_reachable()
        waiting = list(self.links)
        while waiting:
            node = waiting.pop()
            if node not in self.links:
                continue
            around = list(self.links[node])
            if self.visit(node):
                waiting += [n for n in around if n in self.links]

    def keep_reachable(self) -> None:
        reached, waiting = {self.sink}, [self.sink]
        while waiting:
            for node in self.links[waiting.pop()]:
                if node not in reached:
                    reached.add(node)
                    waiting.append(node)
        self.links = {node: row for node, row in self.links.items() if node in reached}

    def visit(self, node: int) -> bool:
        """Apply a rule at a node; tell whether one applied."""
        links = list(self.links[node].values())
        held = [k for k, home in enumerate(self.home) if home == node]
        if node == self.sink:
            return len(links) == 1 and len(held) < self.cables and self.move_sink(links[0])
        if len(links) == 1 and held:
            return self.move_terminals(node, held, links[0])
        if len(links) < 2 and not held:
            self.part_with(node)
            return True
        if len(links) == 2 and not held:
            a, b = links
            self.part_with(node)
            self.join(_end_to_end(a, b, node))
            return True
        return False

    def move_terminals(self, node: int, held: list[int], link: _Link) -> bool:
        if link.table[len(held)] == inf:
            return False
        self.fixed += link.table[len(held)]
        for k in held:
            self.home[k] = link.other(node)
            self.stubs[k].append((link.part, link.u == node))
        self.part_with(node)
        return True

    def move_sink(self, link: _Link) -> bool:
        outside = sum(home != self.sink for home in self.home)
        if outside < self.cables or link.table[outside] == inf:
            return False
        self.fixed += link.table[outside]
        old, self.sink = self.sink, link.other(self.sink)
        self.tail.append((link.part, link.v == old))
        self.part_with(old)
        return True


def reduce(network: Network) -> Reduced:
    """Shrink a network without losing its optimum."""
    work = _Shrinker(network)
    work.shrink()
    names = {node: i for i, node in enumerate(sorted(work.links))}
    links = [
        link for node, row in sorted(work.links.items()) for _, link in sorted(row.items()) if link.u == node
    ]
    small = Network(
        tuple((names[link.u], names[link.v]) for link in links),
        tuple(link.table for link in links),
        tuple(names[home] for home in work.home),
        names[work.sink],
    )
    return Reduced(
        small,
        len(names),
        tuple(link.part for link in links),
        tuple(tuple(s) for s in work.stubs),
        tuple(reversed(work.tail)),
        work.fixed,
        network,
    )


def expand(
    reduced: Reduced, routes: Sequence[Sequence[tuple[int, bool]]]
) -> tuple[list[list[int]], list[int]]:
    """Bring routes on the small network back to the given edges.

    Parameters
    ----------
    routes : sequence
        For each terminal the edges of the small network in order, each with whether it is passed from its
        first end.

    Returns
    -------
    legs : list of list of int
        For each terminal the given edges in order.
    loads : list of int
        For each given edge the number of cables.
    """
    chains = [
        [*stub, *((reduced.parts[e], forward) for e, forward in route), *reduced.tail]
        for stub, route in zip(reduced.stubs, routes, strict=True)
    ]
    riders: dict[int, tuple[Part, list[int]]] = {}
    for k, chain in enumerate(chains):
        for part, _ in chain:
            riders.setdefault(id(part), (part, []))[1].append(k)
    places: dict[tuple[int, int], list[int]] = {}
    for part, cables in riders.values():
        _spread(part, cables, places, key=id(part))
    legs = []
    for k, chain in enumerate(chains):
        leg: list[int] = []
        for part, forward in chain:
            piece = places[id(part), k]
            leg += piece if forward else piece[::-1]
        legs.append(leg)
    loads = [0] * len(reduced.given.ends)
    for leg in legs:
        for index in leg:
            loads[index] += 1
    return legs, loads


def _spread(part: Part, cables: list[int], places: dict[tuple[int, int], list[int]], key: int) -> None:
    """Lay cables through a part in its own direction, given edge by given edge."""
    for k, leg in zip(cables, _lay(part, len(cables)), strict=True):
        places[key, k] = leg


def _lay(part: Part, count: int) -> list[list[int]]:
    if isinstance(part, Given):
        return [[part.index]] * count
    if isinstance(part, Series):
        before, after = _lay(part.first, count), _lay(part.second, count)
        return [
            (a if part.first_forward else a[::-1]) + (b if part.second_forward else b[::-1])
            for a, b in zip(before, after, strict=True)
        ]
    first = part.split[count]
    rest = _lay(part.second, count - first)
    return _lay(part.first, first) + [leg if part.second_forward else leg[::-1] for leg in rest]


def _end_to_end(a: _Link, b: _Link, middle: int) -> _Link:
    table = tuple(x + y for x, y in zip(a.table, b.table, strict=True))
    part = Series(a.part, b.part, a.v == middle, b.u == middle)
    return _Link(a.other(middle), b.other(middle), table, part)


def _side_by_side(a: _Link, b: _Link) -> _Link:
    table, split = [], []
    for n in range(len(a.table)):
        cost, first = min((a.table[k] + b.table[n - k], k) for k in range(n + 1))
        table.append(cost)
        split.append(first)
    return _Link(a.u, a.v, tuple(table), Parallel(a.part, b.part, a.u == b.u, tuple(split)))
