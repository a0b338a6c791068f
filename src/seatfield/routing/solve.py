"""The search on a reduced network: a layout, a bound, and their meeting."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from seatfield.routing.arrays import Field, Floats, field
from seatfield.routing.ascent import Ascent, ascended
from seatfield.routing.bundles import Distances, best_tree
from seatfield.routing.exact import solve_exact
from seatfield.routing.layout import Layout, by_flow, first_layout
from seatfield.routing.network import Effort, Watch, Work
from seatfield.routing.reduction import Reduced

FINISHED = 4  # starts that get the slower improvement too
GROWTH = 3  # a wider search makes at least so many times the labels: otherwise it would run out of them
USUAL_SIZE = 13_000  # directions times cables for which the retreats are counted; larger networks get fewer
MOST_IN_SETS = 40  # a set of cables, with a node, is one whole number of 64 bits


@dataclass(frozen=True, slots=True)
class Answer:
    """Routes on the reduced network (edges with direction); without any, how many cables find no place."""

    routes: list[list[tuple[int, bool]]] | None
    bound: float
    method: str
    short: int
    work: Work


def heuristic(field: Field, rng: np.random.Generator, effort: Effort) -> tuple[tuple[Layout, ...], int, Work]:
    """Layouts of several starts, the cheapest first; without any, the number of cables that find no place."""
    found: list[Layout] = []
    for start in range(effort.starts):
        layout = first_layout(field, rng, start)
        if layout is not None:
            layout.improve(rng, effort.sweeps)
            found.append(layout)
    found.sort(key=lambda layout: layout.cost)
    for layout in found[:FINISHED]:
        layout.improve(rng, effort.sweeps, gather=True)
    work = Work(paths=sum(layout.paths for layout in found))
    short = 0
    if not found:
        placed, only = by_flow(field)
        short = field.cables - placed
        if only is not None:
            only.improve(rng, effort.sweeps)
            found.append(only)
    return tuple(sorted(found, key=lambda layout: layout.cost)), short, work


def used_by(layouts: tuple[Layout, ...], most: int) -> NDArray[np.bool_]:
    """Directions that each cable takes in the first of some layouts, as many layouts as stay within `most` of them."""
    used = np.zeros((len(layouts[0].field.edge), layouts[0].field.cables), dtype=bool)
    for layout in layouts:
        more = used.copy()
        layout.mark(more)
        if used.any() and np.count_nonzero(more) > most:
            break
        used = more
    return used


class _Run:
    """The best layout and the best bound so far; the layouts to start from come cheapest first."""

    def __init__(
        self,
        field: Field,
        layouts: tuple[Layout, ...],
        rng: np.random.Generator,
        effort: Effort,
        watch: Watch | None,
    ) -> None:
        self.field, self.layouts, self.rng, self.effort, self.watch = field, layouts, rng, effort, watch
        self.best = layouts[0]
        self.bound, self.method = 0.0, "dual"
        self.labels = self.rounds = 0
        self.stopped = self.solved = False

    @cached_property
    def ascent(self) -> Ascent:
        """Claims as they grow, and what they bar."""
        return ascended(self.field, self.field.table, self.rng, self.effort.growths)

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

    @property
    def left(self) -> int:
        """How many directions are open, counted for each cable."""
        return int(np.count_nonzero(~self.ascent.barred))

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
        other.improve(self.rng, self.effort.sweeps, gather=True)
        if other.cost >= self.best.cost - self.margin:
            return False
        self.best = other
        return True

    def climb(self, retreats: int) -> None:
        """Raise the bound by retreats, fewer on a large network, barring ways between them."""
        for turn in range(round(retreats * min(1.0, USUAL_SIZE / max(1, self.ascent.barred.size)))):
            if turn % 8 == 0:
                self.ascent.bar(self.best.cost + self.margin)
            self.ascent.retreat(self.rng)
            if self.ascent.bound >= self.best.cost - self.margin:
                break
        self.ascent.bar(self.best.cost + self.margin)
        self.raise_bound(self.ascent.bound, "dual")

    def recombine(self) -> None:
        """Take the cheapest layout of the directions that each cable used in any start: a small exact model."""
        barred = ~used_by(self.layouts, self.effort.combined)
        if self.effort.growths:
            barred |= self.ascent.barred
        solved = solve_exact(self.field, nodes=self.effort.nodes, barred=barred, limit=self.best.cost)
        self.try_layout(solved.routes)

    def search_trees(self) -> bool:
        """Search trees for a better layout, wider and wider while the labels last; tell whether there was one.

        Only for tables with which parting bundles cannot pay: then the search bounds every layout.
        """
        found_better = False
        claims = self.ascent.settled(self.best.cost + self.margin)
        distances = Distances(self.field, claims)
        for share in (0.4, 0.7, 1.0):
            allowed = self.best.cost - claims.bound
            found = best_tree(
                self.field, distances, claims, share * allowed, self.effort.labels - self.labels
            )
            self.labels += found.labels
            self.rounds += 1
            if not found.complete:
                break
            found_better |= self.try_layout(found.routes)
            reached = self.best.cost if share == 1.0 else claims.bound + share * allowed
            self.raise_bound(min(found.cost, reached), "bundles")
            if found.routes or GROWTH * found.labels > self.effort.labels - self.labels:
                break
        return found_better

    def solve_exactly(self, nodes: int | None, limit_s: float = np.inf) -> None:
        """Solve the exact model for what is not barred, and take its layout and its bound."""
        limit = self.best.cost + 1e-6 * max(1.0, self.best.cost)
        solved = solve_exact(self.field, limit_s=limit_s, nodes=nodes, barred=self.ascent.barred, limit=limit)
        self.solved = True
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


def solve(
    reduced: Reduced, rng: np.random.Generator, effort: Effort, *, exact: bool, watch: Watch | None
) -> Answer:
    """Lay, bound, search trees, and solve the exact model for the rest where that is small or asked for."""
    graph = field(reduced.network, reduced.nodes)
    layouts, short, work = heuristic(graph, rng, effort)
    if not layouts:
        return Answer(None, np.inf, "trivial", short, work)
    run = _Run(graph, layouts, rng, effort, watch)
    if not effort.growths and effort.combined:
        run.recombine()
    for phase in (_climb, _recombine, _rest, _trees, _rest) if effort.growths else ():
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


def _recombine(run: _Run) -> None:
    if run.effort.combined and run.left > run.effort.flows:
        run.recombine()
        run.climb(run.effort.retreats // 2)


def _trees(run: _Run) -> None:
    few = run.effort.labels and run.field.cables <= MOST_IN_SETS
    if few and parting_cannot_pay(run.field.table) and run.search_trees():
        run.climb(run.effort.retreats // 2)


def _rest(run: _Run) -> None:
    """Solve the exact model where little is left to decide, once."""
    if not run.solved and run.left <= run.effort.flows:
        run.solve_exactly(run.effort.nodes)


def _directed(graph: Field, route: list[int]) -> list[tuple[int, bool]]:
    arcs = [graph.at[a, b] for a, b in pairwise(route)]
    return [(int(graph.edge[a]), bool(graph.forward[a])) for a in arcs]
