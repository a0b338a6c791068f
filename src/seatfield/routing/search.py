"""The whole search: shrink, lay, bound, search over bundles, and say what is known."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from seatfield.routing.network import Design, Edge, Effort, Network, Watch, Work, checked, resum
from seatfield.routing.reduction import Reduced, expand, reduce
from seatfield.routing.solve import solve


def design(  # noqa: PLR0913 (the promised call, and a budget and a listener)
    edges: Iterable[Edge],
    terminals: Sequence[int],
    sink: int,
    *,
    seed: int = 0,
    exact: bool = False,
    effort: Effort | None = None,
    watch: Watch | None = None,
) -> Design:
    """Lay a cable from each terminal to the sink so that all edges together cost little, and bound how little.

    Parameters
    ----------
    edges : sequence of (u, v, costs)
        Undirected edges between integer nodes; `costs[n]` is the cost of the edge when it carries n cables. A
        table starts at 0 and does not decrease; an edge carries at most `len(costs) - 1` cables.
    terminals : sequence of int
        Node of each cable's far end; two may share a node.
    sink : int
        Node where all cables end.
    seed : int
        Decides the order in which cables are tried. The same input and seed give the same answer.
    exact : bool
        Where the bound does not meet the cost, solve the exact model as well; that may take long.
    effort : Effort, optional
        Budgets in units of work.
    watch : callable, optional
        Hears (cost, bound) after each phase; where it returns true the search ends with what it has.

    Returns
    -------
    Design
        A layout, its cost, a bound that no layout undercuts, and whether the two meet. If the edges cannot
        carry all cables at once, `feasible` is false.

    Raises
    ------
    RoutingError
        If a table or a node cannot be used, or a terminal has no way to the sink at all.

    Notes
    -----
    The bound comes from dual ascent, from the exact model, or from a search over trees on networks whose tables were
    found to be such that parting bundles cannot pay; the others assume nothing but that tables do not decrease. The
    layouts of several starts are combined: the exact model of the directions that each cable took in any of them is
    small.
    """
    network = checked(edges, terminals, sink)
    if not network.terminals:
        return Design(True, 0.0, 0.0, True, (), (), (0,) * len(network.ends), method="trivial")
    reduced = reduce(network)
    answer = solve(reduced, np.random.default_rng(seed), effort or Effort(), exact=exact, watch=watch)
    if answer.routes is None:
        return Design(
            False,
            np.inf,
            np.inf,
            True,
            (),
            (),
            (0,) * len(network.ends),
            answer.short,
            "trivial",
            answer.work,
        )
    return _told(network, reduced, answer.routes, answer.bound + reduced.fixed, answer.method, answer.work)


def _told(
    network: Network,
    reduced: Reduced,
    routes: Sequence[Sequence[tuple[int, bool]]],
    bound: float,
    method: str,
    work: Work,
) -> Design:
    legs, loads = expand(reduced, routes)
    cost = resum(network, loads)
    proved = bound >= cost - 1e-9 * max(1.0, cost)
    nodes = tuple(_nodes(network, home, leg) for home, leg in zip(network.terminals, legs, strict=True))
    return Design(
        True,
        cost,
        cost if proved else max(bound, 0.0),
        proved,
        nodes,
        tuple(tuple(leg) for leg in legs),
        tuple(loads),
        0,
        method,
        work,
    )


def _nodes(network: Network, home: int, leg: Sequence[int]) -> tuple[int, ...]:
    nodes = [home]
    for index in leg:
        u, v = network.ends[index]
        nodes.append(v if u == nodes[-1] else u)
    return tuple(nodes)
