"""A lower bound by dual ascent: cables claim shares of edges, and no group claims more than an edge costs.

Let w[a, k] be the share that cable k claims of direction a. If for every n the n largest shares of a
direction sum to no more than the edge's cost for n cables, then any layout pays each group at least its
shares, and the shortest ways under the shares, summed over the cables, cost no more than any layout. (A
layout never needs an edge in both directions: the two cables could exchange what lies beyond and leave the
edge, and tables do not decrease.)

Once a layout is known, a cable can be barred from every direction that would make any layout through it
dearer than the known one: a cable that runs there pays not its shares but the most it could claim of each
direction on its way. What a cable is barred from, it need not claim, and leaves to the others. The bound then
holds for all layouts cheaper than the known one, so the lesser of the two costs holds for all.

References
----------
Wong, R. T. (1984). A dual ascent approach for Steiner tree problems on a directed graph. Mathematical
Programming 28, 271-287. The claims of groups instead of single costs, the retreats and the bars by cable are
this module's own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seatfield.routing.arrays import Field, Floats, Ints, Ways

RETREAT = 0.15  # share of the cables that give way at once: found by trial on the benchmark's development set
STEPS = 4


@dataclass(frozen=True, slots=True)
class Claims:
    """Distances to the sink under shares that are allowed together.

    Attributes
    ----------
    potential : array, shape (nodes, cables)
        Distance of each node to the sink under each cable's shares; finite.
    barred : array of bool, shape (nodes, cables)
        Nodes that a cable visits in no layout cheaper than the known one.
    bound : float
        Sum over the cables of the potential of the cable's own terminal.
    """

    potential: Floats
    barred: NDArray[np.bool_]
    bound: float


class Ascent:
    """Claims as they grow."""

    def __init__(self, field: Field, table: Floats, barred: NDArray[np.bool_] | None = None) -> None:
        self.field = field
        self.cost = table[field.edge]
        shape = (len(field.edge), field.cables)
        self.barred = np.zeros(shape, dtype=bool) if barred is None else barred.copy()
        self.share = np.zeros(shape)
        self.most = np.zeros(shape)
        self.reached = np.zeros(field.cables)
        self.out = Ways(field)
        self.back = Ways(field, reverse=True)
        self._refresh(np.arange(len(field.edge)))

    @property
    def bound(self) -> float:
        """Sum of the cables' distances."""
        return float(self.reached.sum())

    def _refresh(self, rows: Ints) -> None:
        """Greatest share that each cable may claim of these directions, the others' shares as they are."""
        share = self.share[rows]
        cost = self.cost[rows, 1:]
        order = np.argsort(-share, axis=1, kind="stable")
        order += np.arange(len(rows))[:, None] * share.shape[1]
        ranked = share.ravel()[order]
        left = cost - np.cumsum(ranked, axis=1)
        upper = np.minimum.accumulate(left + ranked, axis=1)
        # Larger groups count the share of a cable of lower rank already: it is not in its own way.
        lower = np.minimum.accumulate(left[:, :0:-1], axis=1)[:, ::-1] + ranked[:, :-1]
        np.minimum(upper[:, :-1], lower, out=upper[:, :-1])
        np.maximum(upper, ranked, out=upper)
        share.ravel()[order] = upper
        share[self.barred[rows]] = np.inf
        self.most[rows] = share

    def _claim(self, k: int, height: Floats) -> None:
        """Let one cable claim, on each direction that it may use, what its heights rise by."""
        need = np.maximum(height[self.field.head] - height[self.field.tail], 0.0)
        need[self.barred[:, k]] = 0.0
        rows = np.flatnonzero(need != self.share[:, k])
        if len(rows):
            self.share[rows, k] = np.minimum(need[rows], self.most[rows, k])
            self._refresh(rows)

    def grow(self, k: int, radius: float) -> None:
        """Let one cable claim what a ball of this radius about its terminal needs, or what is left."""
        distance = self.out.distances(int(self.field.home[k]), self.most[:, k], radius)
        radius = min(radius, float(distance[self.field.sink]))
        self._claim(k, np.minimum(distance, radius))
        self.reached[k] = radius

    def retreat(self, rng: np.random.Generator) -> None:
        """Let a few cables give way, the others take what they can, the few come back; undo it if that lost."""
        count = self.field.cables
        before = self.bound
        kept = self.share.copy(), self.most.copy(), self.reached.copy()
        order = rng.permutation(count)
        few = order[: max(1, round(RETREAT * count))]
        less = rng.uniform(0.3, 0.9)
        radius = kept[2]
        for k in few.tolist():
            self.grow(k, radius[k] * less)
        for k in order[len(few) :].tolist():
            self.grow(k, np.inf)
        for step in range(1, STEPS + 1):
            for k in rng.permutation(few).tolist():
                self.grow(k, radius[k] * (less + (1.1 - less) * step / STEPS) if step < STEPS else np.inf)
        if self.bound < before:
            self.share, self.most, self.reached = kept

    def through(self, k: int) -> tuple[Floats, Floats]:
        """Least that one cable pays from its terminal to each node, and from each node to the sink."""
        most = self.most[:, k]
        return self.out.distances(int(self.field.home[k]), most), self.back.distances(self.field.sink, most)

    def bar(self, cost: float) -> None:
        """Bar each cable from the directions that no layout cheaper than this lets it use."""
        field, bound = self.field, self.bound
        for k in range(field.cables):
            near, far = self.through(k)
            least = bound - self.reached[k] + near[field.tail] + self.most[:, k] + far[field.head]
            rows = np.flatnonzero((least > cost) & ~self.barred[:, k])
            if len(rows):
                self.barred[rows, k] = True
                self.share[rows, k] = 0.0
                self._refresh(rows)

    def settled(self, cost: float) -> Claims:
        """Distances under the shares, after what nobody claimed is handed out, against a known layout's cost.

        The rest raises no cable's own distance but those of nodes off its way.
        """
        field, bound = self.field, self.bound
        potential = np.empty((field.nodes, field.cables))
        barred = np.empty((field.nodes, field.cables), dtype=bool)
        for k in range(field.cables):
            near, far = self.through(k)
            barred[:, k] = bound - self.reached[k] + near + far > cost
        everything = np.arange(len(self.share))
        kept = self.share.copy(), self.most.copy()
        for k in range(field.cables):
            more = (self.most[:, k] - self.share[:, k]) / (field.cables - k)
            self.share[:, k] += np.where(np.isfinite(more), more, 0.0)
            self._refresh(everything)
            potential[:, k] = self.back.distances(
                field.sink, np.where(self.barred[:, k], np.inf, self.share[:, k])
            )
        self.share, self.most = kept
        potential = np.where(np.isfinite(potential), potential, 0.0)
        return Claims(potential, barred, float(potential[field.home, np.arange(field.cables)].sum()))


def ascended(
    field: Field,
    table: Floats,
    rng: np.random.Generator,
    growths: int,
    barred: NDArray[np.bool_] | None = None,
) -> Ascent:
    """Grow the cables' claims together, in two manners, and return the better.

    In the first manner all cables reach the sink in the last step; in the second the farthest starts, and
    each joins when the others are as near. Which bounds better depends on the network.

    Parameters
    ----------
    field : Field
    table : array, shape (edges, cables + 1)
        Costs for which the bound holds; they must not decrease along a row.
    rng : numpy Generator
        Decides the order of the cables in each step.
    growths : int
        Steps of growth.
    barred : array of bool, shape (directions, cables), optional
        Directions that are barred to a cable from the start.
    """
    first = Ways(field).distances(field.sink, table[field.edge, 1])[field.home]
    together = [first * step / growths for step in range(1, growths + 1)]
    by_distance = [
        np.maximum(0.0, first - first.max() * (1 - step / (2 * growths)))
        for step in range(1, 2 * growths + 1)
    ]
    best: Ascent | None = None
    for radii in (together, by_distance):
        ascent = Ascent(field, table, barred)
        for radius in radii:
            for k in rng.permutation(field.cables).tolist():
                ascent.grow(k, radius[k])
        for k in rng.permutation(field.cables).tolist():
            ascent.grow(k, np.inf)
        if best is None or ascent.bound > best.bound:
            best = ascent
    assert best is not None
    return best
