"""The network as it is given: edges with cost tables, terminals, a sink; what comes back; what is refused."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import inf, isfinite
from operator import index as int_of
from typing import SupportsIndex, TypeAlias

Edge: TypeAlias = tuple[int, int, Sequence[float]]
Watch: TypeAlias = Callable[[float, float], bool | None]


class RoutingError(ValueError):
    """What was given is no network that can be searched."""


class BadEdgeError(RoutingError):
    """An edge has ends or a cost table that cannot be used."""


class BadTerminalError(RoutingError):
    """A terminal or the sink is not a node that the edges can join."""


@dataclass(frozen=True, slots=True)
class Effort:
    """How much work the search may do, in units of work: the same input gives the same answer anywhere.

    Parameters
    ----------
    starts : int
        Heuristic starts, each improved until no single cable or bundle can be laid cheaper.
    sweeps : int
        Passes of improvement in one start at most.
    growths : int
        Steps in which the dual bound is grown; without any there is no bound but 0.
    retreats : int
        Attempts to raise the dual bound by letting some cables give way to others; on a network of more than some
        1000 directions for 13 cables as many fewer as each takes longer.
    labels : int
        Labels that the search over bundles may make, all its runs together.
    combined : int
        Directions, counted for each cable, out of which the exact model combines the layouts of the starts.
    flows : int
        Where no more ways than this are left that a cable may use, the exact model is solved unasked.
    nodes : int
        Nodes that its solver may open then.
    exact_s : float
        Time limit of the exact model, where that is asked for [s].
    """

    starts: int = 28
    sweeps: int = 12
    growths: int = 25
    retreats: int = 60
    labels: int = 120_000
    combined: int = 140
    flows: int = 300
    nodes: int = 50
    exact_s: float = inf


@dataclass(frozen=True, slots=True)
class Work:
    """What the search did, in its own units."""

    paths: int = 0
    labels: int = 0
    rounds: int = 0


@dataclass(frozen=True, slots=True)
class Design:
    """A layout of all cables, its cost, and how good it is known to be.

    Attributes
    ----------
    feasible : bool
        False when the edges cannot carry all cables at once; the routes are then empty and the cost infinite.
    cost : float
        Sum over the edges of the table's entry for the cables that the edge carries.
    bound : float
        No layout on this network costs less.
    proved : bool
        The cost, summed anew from the tables, equals the bound.
    routes : tuple of tuple of int
        For each terminal in the order given: its nodes, terminal first, sink last.
    legs : tuple of tuple of int
        For each terminal: its edges, as indices into what was given (two edges may join the same nodes).
    loads : tuple of int
        For each edge in the order given: how many cables it carries.
    short : int
        How many cables find no place, where that is not feasible.
    method : str
        Where the bound comes from: 'dual', 'bundles', 'exact' or 'trivial'.
    work : Work
        What the search did.
    """

    feasible: bool
    cost: float
    bound: float
    proved: bool
    routes: tuple[tuple[int, ...], ...]
    legs: tuple[tuple[int, ...], ...]
    loads: tuple[int, ...]
    short: int = 0
    method: str = "dual"
    work: Work = Work()

    @property
    def gap(self) -> float:
        """How far above the bound the cost may lie, as a share of the cost; 0 when proved."""
        if not self.feasible or self.proved or self.cost <= 0:
            return 0.0
        return max(0.0, (self.cost - self.bound) / self.cost)


@dataclass(frozen=True, slots=True)
class Network:
    """A checked network: every table as long as there are cables, infinite beyond its capacity."""

    ends: tuple[tuple[int, int], ...]
    tables: tuple[tuple[float, ...], ...]
    terminals: tuple[int, ...]
    sink: int


def checked(edges: Iterable[Edge], terminals: Sequence[int], sink: int) -> Network:
    """Check what was given and bring every table to the number of cables.

    Raises
    ------
    BadEdgeError
        If an end is no integer, or a table is empty, does not start at 0, decreases or is not finite.
    BadTerminalError
        If a terminal or the sink is no integer, or has no way to it over edges that carry anything.
    """
    cables = len(terminals)
    ends, tables = [], []
    for index, (u, v, costs) in enumerate(edges):
        ends.append((_end(u, index), _end(v, index)))
        tables.append(_table(index, [float(c) for c in costs], cables))
    homes = tuple(_home(t, f"Terminal {place}") for place, t in enumerate(terminals))
    network = Network(tuple(ends), tuple(tables), homes, _home(sink, "The sink"))
    _require_ways(network)
    return network


def resum(network: Network, loads: Sequence[int]) -> float:
    """Cost of a layout from the tables alone."""
    return float(sum(table[n] for table, n in zip(network.tables, loads, strict=True)))


def _end(node: SupportsIndex, index: int) -> int:
    try:
        return int_of(node)
    except TypeError:
        raise BadEdgeError(f"Edge {index} ends at {node!r}; nodes are integers.") from None


def _home(node: SupportsIndex, what: str) -> int:
    try:
        return int_of(node)
    except TypeError:
        raise BadTerminalError(f"{what} is {node!r}; nodes are integers.") from None


def _table(index: int, costs: list[float], cables: int) -> tuple[float, ...]:
    if not costs or costs[0] != 0:
        given = costs[0] if costs else "an empty table"
        raise BadEdgeError(
            f"Edge {index} costs {given} with no cable; a table starts at 0. "
            "Put what is always paid elsewhere."
        )
    for n, cost in enumerate(costs):
        if not isfinite(cost) or cost < 0:
            raise BadEdgeError(
                f"Edge {index} costs {cost} with {n} cables; costs are finite and not negative. "
                "End the table where the edge is full."
            )
        if n and cost < costs[n - 1]:
            raise BadEdgeError(
                f"Edge {index} costs {cost} with {n} cables and {costs[n - 1]} with {n - 1}; "
                "one more cable never makes an edge cheaper. Fill the table from its end with the smaller value."
            )
    kept = costs[: cables + 1]
    return tuple(kept + [inf] * (cables + 1 - len(kept)))


def _require_ways(network: Network) -> None:
    neighbours: dict[int, list[int]] = {}
    for (u, v), table in zip(network.ends, network.tables, strict=True):
        if len(table) > 1 and table[1] < inf:
            neighbours.setdefault(u, []).append(v)
            neighbours.setdefault(v, []).append(u)
    reached, waiting = {network.sink}, [network.sink]
    while waiting:
        for node in neighbours.get(waiting.pop(), ()):
            if node not in reached:
                reached.add(node)
                waiting.append(node)
    for place, terminal in enumerate(network.terminals):
        if terminal not in reached:
            raise BadTerminalError(
                f"Terminal {place} at node {terminal} has no way to the sink at node {network.sink}; "
                "join its node by an edge that may carry a cable."
            )
