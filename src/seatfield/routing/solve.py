"""The search on a reduced network: a layout, a bound, and their meeting."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from seatfield.routing.arrays import Field, Floats, Ints, field
from seatfield.routing.ascent import ascended
from seatfield.routing.bundles import Distances, best_tree
from seatfield.routing.layout import Layout, by_flow, first_layout
from seatfield.routing.network import Effort, Watch, Work
from seatfield.routing.reduction import Reduced

GROWTH = 3  # a wider search makes at least so many times the labels: otherwise it would run out of them
MOST_IN_SETS = 40  # a set of cables, with a node, is one whole number of 64 bits


@dataclass(frozen=True, slots=True)
class Answer:
    """Routes on the reduced network (edges with direction); without any, how many cables find no place."""

    routes: list[list[tuple[int, bool]]] | None
    bound: float
    method: str
    short: int
    work: Work


def heuristic(field: Field, rng: np.random.Generator, effort: Effort) -> tuple[Layout | None, int, Work]:
    """Best layout of several starts; without one, the number of cables that find no place."""
    best: Layout | None = None
    paths = 0
    for start in range(effort.starts):
        layout = first_layout(field, rng, start)
        if layout is None:
            continue
        layout.improve(rng, effort.sweeps)
        paths += layout.paths
        if best is None or layout.cost < best.cost:
            best = layout
    short = 0
    if best is None:
        placed, best = by_flow(field)
        short = field.cables - placed
        if best is not None:
            best.improve(rng, effort.sweeps)
    return best, short, Work(paths=paths)


class _Run:
    """The best layout and the best bound so far."""

    def __init__(
        self, field: Field, layout: Layout, rng: np.random.Generator, effort: Effort, watch: Watch | None
    ) -> None:
        self.field, self.best, self.rng, self.effort, self.watch = field, layout, rng, effort, watch
        self.ascent = ascended(field, field.table, rng, effort.growths)
        self.bound, self.method = 0.0, "dual"
        self.labels = self.rounds = 0
        self.stopped = False

    @property
    def margin(self) -> float:
        """Room for rounding."""
        return 1e-9 * max(1.0, self.best.cost)

    @property
    def met(self) -> bool:
        """Whether cost and bound are equal but for rounding."""
        return self.best.cost - self.bound <= self.margin

    @property
    def done(self) -> bool:
        """Whether there is nothing left to do, or nobody waits for it."""
        return self.met or self.stopped

    def tell(self) -> None:
        """Say how far the search is, and hear whether it shall go on."""
        if self.watch is not None and not self.stopped:
            self.stopped = bool(self.watch(self.best.cost, min(self.bound, self.best.cost)))

    def raise_bound(self, bound: float, method: str) -> None:
        """Take a bound that holds for all layouts cheaper than the best."""
        if bound > self.bound:
            self.bound, self.method = bound, method

    def try_layout(self, routes: list[list[int]]) -> bool:
        """Improve a layout and take it if it is cheaper; tell whether it was."""
        if not routes:
            return False
        other = Layout(self.field, routes)
        if not other.relieve():
            return False
        other.improve(self.rng, self.effort.sweeps)
        if other.cost >= self.best.cost - self.margin:
            return False
        self.best = other
        return True

    def climb(self, retreats: int) -> None:
        """Raise the bound by retreats, barring ways between them."""
        for turn in range(retreats):
            if turn % 8 == 0:
                self.ascent.bar(self.best.cost + self.margin)
            self.ascent.retreat(self.rng)
            if self.ascent.bound >= self.best.cost - self.margin:
                break
        self.ascent.bar(self.best.cost + self.margin)
        self.raise_bound(self.ascent.bound, "dual")

    def search_trees(self) -> bool:
        """Search trees for a better layout, wider and wider while the labels last; tell whether there was one.

        Where parting bundles cannot pay, the search bounds every layout.
        """
        proves = parting_cannot_pay(self.field.table)
        table, found_better = self.field.table, False
        claims = self.ascent.settled(self.best.cost + self.margin)
        distances = Distances(self.field, claims)
        for share in (0.4, 0.7, 1.0, 1.0, 1.0):
            allowed = self.best.cost - claims.bound
            budget = self.effort.labels - self.labels
            found = best_tree(self.field, distances, claims, share * allowed, budget)
            self.labels += found.labels
            self.rounds += 1
            if not found.complete:
                break
            found_better |= self.try_layout(found.routes)
            if proves:
                reached = claims.bound + share * allowed
                self.raise_bound(
                    min(found.cost, max(reached, self.best.cost if share == 1.0 else 0.0)), "bundles"
                )
            if not found.routes:
                if share == 1.0 or GROWTH * found.labels > self.effort.labels - self.labels:
                    break
                continue
            dearer = never_cheaper_apart(table, Layout(self.field, found.routes).loads)
            if dearer is None:
                break
            table, distances = dearer, Distances(replace(self.field, table=dearer), claims)
        return found_better

    def solve_exactly(self, nodes: int | None, limit_s: float = np.inf) -> None:
        """Solve the exact model for what is not barred, and take its layout and its bound."""
        from seatfield.routing.exact import solve_exact

        limit = self.best.cost + 1e-6 * max(1.0, self.best.cost)
        solved = solve_exact(self.field, limit_s=limit_s, nodes=nodes, barred=self.ascent.barred, limit=limit)
        self.try_layout(solved.routes)
        # The solver is exact to about a millionth; what it leaves open by less is closed.
        slip = 1e-6 * max(1.0, self.best.cost)
        closed = solved.finished and solved.bound >= self.best.cost - slip
        self.raise_bound(self.best.cost if closed else solved.bound - slip, "exact")


def parting_cannot_pay(table: Floats) -> bool:
    """Whether one more cable never costs more than the one before it, on any edge.

    Then two bundles that have met can stay together: of the two ways on, one is no dearer for both. A table
    that ends where the edge is full fails too.
    """
    return bool(
        np.isfinite(table).all() and (np.diff(table, 2, axis=1) <= 1e-12 * (1.0 + table[:, 2:])).all()
    )


def never_cheaper_apart(table: Floats, loads: Ints) -> Floats | None:
    """Tables under which the cables of a layout pay no less on an edge apart than together; none if they do not.

    Two groups that come separately over an existing raceway would each count its free places. On such edges each of n
    cables pays its n-th part of what they pay together.
    """
    rows, out = np.arange(len(table)), None
    together = table[rows, loads]
    for apart in range(1, table.shape[1]):
        other = np.maximum(loads - apart, 0)
        wrong = (apart < loads) & (table[rows, apart] + table[rows, other] < together * (1 - 1e-9))
        for e in np.flatnonzero(wrong & np.isfinite(together)):
            out = table.copy() if out is None else out
            part = together[e] * np.arange(loads[e] + 1) / loads[e]
            out[e, : loads[e] + 1] = np.maximum(out[e, : loads[e] + 1], part)
    return out


def solve(
    reduced: Reduced, rng: np.random.Generator, effort: Effort, *, exact: bool, watch: Watch | None
) -> Answer:
    """Lay, bound, search trees, and solve the exact model for the rest where that is small or asked for."""
    graph = field(reduced.network, reduced.nodes)
    layout, short, work = heuristic(graph, rng, effort)
    if layout is None:
        return Answer(None, np.inf, "trivial", short, work)
    run = _Run(graph, layout, rng, effort, watch)
    for phase in (_climb, _trees, _rest):
        phase(run)
        run.tell()
        if run.done:
            break
    if exact and not run.met:
        # What is barred need not be solved, and barring is much the faster of the two.
        run.climb(4 * effort.retreats)
        run.solve_exactly(None, effort.exact_s)
        run.tell()
    routes = [_directed(graph, route) for route in run.best.routes]
    return Answer(routes, run.bound, run.method, 0, replace(work, labels=run.labels, rounds=run.rounds))


def _climb(run: _Run) -> None:
    run.climb(run.effort.retreats)


def _trees(run: _Run) -> None:
    if run.field.cables <= MOST_IN_SETS and run.search_trees():
        run.climb(run.effort.retreats // 2)


def _rest(run: _Run) -> None:
    if np.count_nonzero(~run.ascent.barred) <= run.effort.flows:
        run.solve_exactly(run.effort.nodes)


def _directed(graph: Field, route: list[int]) -> list[tuple[int, bool]]:
    arcs = [graph.at[a, b] for a, b in pairwise(route)]
    return [(int(graph.edge[a]), bool(graph.forward[a])) for a in arcs]
