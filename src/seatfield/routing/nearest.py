"""Shortest ways, each cable by itself: the first form of a layout, and what a shared one is compared with."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from seatfield.routing.network import Edge, checked, resum


@dataclass(frozen=True, slots=True)
class Shortest:
    """Each terminal's shortest way.

    Attributes
    ----------
    lengths : tuple of float
        Of each way, in the unit of the tables' first entries.
    routes : tuple of tuple of int
        Nodes, terminal first, sink last.
    legs : tuple of tuple of int
        Edges, as indices into what was given.
    loads : tuple of int
        For each edge given: how many ways use it.
    cost : float
        What the ways cost together under the tables; infinite if an edge cannot carry them all.
    """

    lengths: tuple[float, ...]
    routes: tuple[tuple[int, ...], ...]
    legs: tuple[tuple[int, ...], ...]
    loads: tuple[int, ...]
    cost: float


def shortest(edges: Iterable[Edge], terminals: Sequence[int], sink: int) -> Shortest:
    """Shortest way of each terminal to the sink, where an edge is as long as it costs one cable.

    Parameters
    ----------
    edges : sequence of (u, v, costs)
        As for `design`; for plain lengths give `(u, v, (0.0, length))`: only the entry for one cable counts
        here, and capacities do not.
    terminals : sequence of int
    sink : int

    Raises
    ------
    RoutingError
        As `design` raises it.
    """
    given = [(u, v, tuple(costs)) for u, v, costs in edges]
    network = checked(given, terminals, sink)
    length, before, best = _tree(given, network.terminals, sink)
    routes, legs = [], []
    for terminal in network.terminals:
        nodes, leg = [terminal], []
        while nodes[-1] != sink:
            nodes.append(before[nodes[-1]])
            leg.append(best[frozenset(nodes[-2:])])
        routes.append(tuple(nodes))
        legs.append(tuple(leg))
    loads = np.bincount([e for leg in legs for e in leg], minlength=len(given)).tolist()
    return Shortest(
        tuple(length[t] for t in network.terminals),
        tuple(routes),
        tuple(legs),
        tuple(loads),
        resum(network, loads),
    )


def _tree(
    edges: Sequence[Edge], terminals: Sequence[int], sink: int
) -> tuple[dict[int, float], dict[int, int], dict[frozenset[int], int]]:
    """Distance of each node from the sink, its next node there, and the shortest edge between two nodes."""
    from scipy.sparse import csr_matrix
    from scipy.sparse.csgraph import dijkstra

    names = sorted({sink, *terminals, *(n for u, v, _ in edges for n in (u, v))})
    place = {n: i for i, n in enumerate(names)}
    best: dict[frozenset[int], int] = {}
    for e, (u, v, costs) in enumerate(edges):
        pair = frozenset((u, v))
        if u != v and len(costs) > 1 and (pair not in best or costs[1] < edges[best[pair]][2][1]):
            best[pair] = e
    kept = [edges[e] for e in best.values()]
    near = np.array([place[a] for a, _, _ in kept], dtype=np.intp)
    far = np.array([place[b] for _, b, _ in kept], dtype=np.intp)
    length = np.array([c[1] for _, _, c in kept], dtype=float)
    both = (np.r_[near, far], np.r_[far, near])
    graph = csr_matrix((np.r_[length, length], both), shape=(len(names), len(names)))
    distance, before = dijkstra(graph, indices=place[sink], return_predecessors=True)
    after = {n: names[b] for n, b in zip(names, before.tolist(), strict=True) if b >= 0}
    return dict(zip(names, distance.tolist(), strict=True)), after, best
