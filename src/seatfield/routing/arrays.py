"""A network as arrays, and shortest ways over it: what the heuristic, the bound and the search share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

from seatfield.routing.network import Network

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Field:
    """Edges, and each edge once in either direction, sorted by the node where the direction starts.

    Attributes
    ----------
    nodes : int
    table : array, shape (edges, cables + 1)
        Cost of each edge for each number of cables; infinite beyond its capacity.
    tail, head, edge : arrays, shape (2 edges,)
        Of each direction: first node, last node, edge.
    forward : array of bool, shape (2 edges,)
        Whether the direction is the one in which the edge was given.
    starts : array, shape (nodes + 1,)
        Where the directions of each node start.
    at : dict
        The direction from one node to another.
    home : array, shape (cables,)
    sink : int
    """

    nodes: int
    table: Floats
    tail: Ints
    head: Ints
    edge: Ints
    forward: NDArray[np.bool_]
    starts: Ints
    at: dict[tuple[int, int], int]
    home: Ints
    sink: int

    @property
    def cables(self) -> int:
        """How many cables there are."""
        return len(self.home)


def field(network: Network, nodes: int) -> Field:
    """Arrays of a network with nodes 0 to `nodes` - 1 and no two edges between the same nodes."""
    ends = np.array(network.ends, dtype=np.intp).reshape(-1, 2)
    count = len(ends)
    tail, head = np.r_[ends[:, 0], ends[:, 1]], np.r_[ends[:, 1], ends[:, 0]]
    order = np.lexsort((head, tail))
    tail, head = tail[order], head[order]
    return Field(
        nodes,
        np.array(network.tables, dtype=float).reshape(count, len(network.terminals) + 1),
        tail,
        head,
        order % max(count, 1),
        order < count,
        np.searchsorted(tail, np.arange(nodes + 1)),
        {(a, b): i for i, (a, b) in enumerate(zip(tail.tolist(), head.tolist(), strict=True))},
        np.array(network.terminals, dtype=np.intp),
        network.sink,
    )


class Ways:
    """Shortest ways over one field, again and again with other lengths; the matrix is built once."""

    def __init__(self, field: Field, *, reverse: bool = False) -> None:
        self._order: Ints | None = None
        tail, head, starts = field.tail, field.head, field.starts
        if reverse:
            self._order = np.lexsort((tail, head))
            tail, head = head[self._order], tail[self._order]
            starts = np.searchsorted(tail, np.arange(field.nodes + 1))
        self._matrix = csr_matrix((np.ones(len(head)), head, starts), shape=(field.nodes, field.nodes))

    def _take(self, lengths: Floats) -> None:
        self._matrix.data[:] = lengths if self._order is None else lengths[self._order]

    def distances(self, node: int, lengths: Floats, limit: float = np.inf) -> Floats:
        """Distance of each node from one, infinite beyond a limit; to one where the directions are reversed."""
        self._take(lengths)
        out: Floats = dijkstra(self._matrix, indices=node, limit=limit)
        return out

    def tree(self, node: int, lengths: Floats, limit: float = np.inf) -> tuple[Floats, Ints]:
        """Distances and predecessors from one node, as far as a limit."""
        self._take(lengths)
        distance, before = dijkstra(self._matrix, indices=node, return_predecessors=True, limit=limit)
        return distance, before

    def between(self, nodes: Ints, lengths: Floats) -> Floats:
        """Distances from each of some nodes to each."""
        self._take(lengths)
        out: Floats = dijkstra(self._matrix, indices=nodes)
        return out[:, nodes]


def way(before: Ints, start: int, end: int) -> list[int]:
    """Nodes from a search's start to an end, by its predecessors."""
    nodes = [end]
    while nodes[-1] != start:
        nodes.append(int(before[nodes[-1]]))
    return nodes[::-1]
