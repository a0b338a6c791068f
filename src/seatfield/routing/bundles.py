"""Search over bundles: the cheapest way to bring a set of cables together at a node, where it can matter.

Send and split: a set of cables stands at a node either because it came along a way as one bundle, or because
two disjoint sets met there. Each label keeps its slack: what it cost so far above what the dual bound has
already counted for it. Slack never falls, and adds up where sets meet, so labels whose slack exceeds the gap
between the best layout and the bound fall away. With concave tables some cheapest layout is such
a tree and the search is exact; with others it finds the cheapest layout whose bundles never part again.

References
----------
Erickson, R. E., Monma, C. L., Veinott, A. F. (1987). Send-and-split method for minimum-concave-cost network
flows. Mathematics of Operations Research 12, 634-664. (The dual pruning and the working by sizes of sets are
this module's own.)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seatfield.routing.arrays import Field, Floats, Ints, Ways, way
from seatfield.routing.ascent import Claims

CHUNK = 1 << 21


@dataclass(frozen=True, slots=True)
class Found:
    """Outcome of a search.

    Attributes
    ----------
    complete : bool
        Everything within the allowed slack was searched; false when the labels ran out.
    cost : float
        Cheapest tree under the searched tables, infinite if none lies within the slack.
    routes : list of list of int
        Its routes, terminal first; empty if there is none.
    labels : int
        Labels made.
    """

    complete: bool
    cost: float
    routes: list[list[int]]
    labels: int


@dataclass(frozen=True, slots=True)
class _Level:
    """Labels of one size of set, sorted by node and slack; and the meetings they came from."""

    sets: Ints
    node: Ints
    slack: Floats
    met_set: Ints
    met_node: Ints
    met_slack: Floats
    met_from: NDArray[np.intp]


class Distances:
    """Distances for bundles of each size, found when they are first wanted."""

    def __init__(self, field: Field) -> None:
        self._field, self._ways = field, Ways(field)
        self._known: dict[int, Floats] = {}

    def __getitem__(self, size: int) -> Floats:
        if size not in self._known:
            self._known[size] = self._ways.between(self._field.table[self._field.edge, size])
        return self._known[size]

    def tree(self, size: int, node: int) -> tuple[Floats, Ints]:
        """Distances and predecessors from one node."""
        return self._ways.tree(node, self._field.table[self._field.edge, size])


class _Search:
    def __init__(self, field: Field, distances: Distances, claims: Claims, allowed: float) -> None:
        self.field, self.allowed = field, allowed
        self.distances = distances
        self.claims = claims
        count = field.cables
        drop = claims.potential[field.home, np.arange(count)][:, None] - claims.potential.T
        self.bits = np.arange(count)
        self.drop = drop
        # Which cables are barred from a node, as a set's number.
        self.shut = claims.barred @ np.left_shift(1, self.bits)
        self.levels: list[_Level] = []
        self.made = 0
        self.tolerance = 1e-9 * max(1.0, abs(claims.bound))

    def counted(self, sets: Ints) -> Floats:
        """Return what the bound has counted for each set on its way to each node, shape (sets, nodes)."""
        member = ((sets[:, None] >> self.bits) & 1).astype(float)
        out: Floats = member @ self.drop
        return out

    def spread(self, size: int, sets: Ints, node: Ints, slack: Floats) -> tuple[Ints, Ints, Floats]:
        """Move bundles of one size along their shortest ways; keep what lies within the allowed slack."""
        distance = self.distances[size]
        order = np.argsort(sets, kind="stable")
        sets, node, slack = sets[order], node[order], slack[order]
        firsts = np.flatnonzero(np.r_[True, sets[1:] != sets[:-1]]) if len(sets) else np.zeros(0, np.intp)
        out_set, out_node, out_slack = [], [], []
        rows = max(1, CHUNK // max(1, self.field.nodes))
        cut = 0
        while cut < len(firsts):
            end = int(np.searchsorted(firsts, firsts[cut] + rows, side="right"))
            end = max(cut + 1, end - 1) if end < len(firsts) else len(firsts)
            lo, hi = int(firsts[cut]), int(firsts[end]) if end < len(firsts) else len(sets)
            unique = sets[firsts[cut:end]]
            counted = self.counted(unique)
            owner = np.repeat(np.arange(len(unique)), np.diff(np.r_[firsts[cut:end], hi]))
            start = slack[lo:hi] + counted[owner, node[lo:hi]]
            cost = np.minimum.reduceat(start[:, None] + distance[node[lo:hi]], firsts[cut:end] - lo, axis=0)
            left = cost - counted
            i, v = np.nonzero((left <= self.allowed + self.tolerance) & ((unique[:, None] & self.shut) == 0))
            out_set.append(unique[i])
            out_node.append(v)
            out_slack.append(left[i, v])
            cut = end
        if not out_set:
            return np.zeros(0, np.intp), np.zeros(0, np.intp), np.zeros(0)
        return np.concatenate(out_set), np.concatenate(out_node), np.concatenate(out_slack)

    def meet(self, size: int, budget: int) -> tuple[Ints, Ints, Floats, Ints] | None:
        """Meet disjoint sets two by two to sets of this size, and keep the cheapest for each set and node."""
        sets, nodes, slacks, origins = [], [], [], []
        for small in range(1, size // 2 + 1):
            a, b = self.levels[small - 1], self.levels[size - small - 1]
            if not len(a.sets) or not len(b.sets):
                continue
            # A label that went where it is barred may have a negative slack: more may be left than is allowed.
            rest = np.minimum(self.allowed - a.slack, self.allowed) + self.tolerance
            least = min(float(b.slack.min()), 0.0)
            stride = 2.0 * (self.allowed - least) + 1.0
            key = b.node * stride + b.slack
            first = np.searchsorted(b.node, a.node)
            last = np.searchsorted(key, a.node * stride + np.maximum(rest, least - 0.5), side="right")
            count = np.maximum(last - first, 0)
            total = int(count.sum())
            if total > 40 * budget:
                return None
            if not total:
                continue
            left = np.repeat(np.arange(len(a.sets)), count)
            right = np.arange(total) - np.repeat(np.cumsum(count) - count, count) + np.repeat(first, count)
            keep = (a.sets[left] & b.sets[right]) == 0
            if 2 * small == size:
                keep &= a.sets[left] < b.sets[right]
            left, right = left[keep], right[keep]
            sets.append(a.sets[left] | b.sets[right])
            nodes.append(a.node[left])
            slacks.append(a.slack[left] + b.slack[right])
            origins.append(
                np.stack([np.full(len(left), small), left, np.full(len(left), size - small), right], axis=1)
            )
        if not sets:
            return np.zeros(0, np.intp), np.zeros(0, np.intp), np.zeros(0), np.zeros((0, 4), np.intp)
        joined, node, slack, origin = (np.concatenate(x) for x in (sets, nodes, slacks, origins))
        place = joined * self.field.nodes + node
        order = np.lexsort((slack, place))
        place = place[order]
        order = order[np.r_[True, place[1:] != place[:-1]]] if len(order) else order
        if len(order) > budget:
            return None
        return joined[order], node[order], slack[order], origin[order]

    def level(self, size: int, met: tuple[Ints, Ints, Floats, Ints]) -> None:
        sets, node, slack = self.spread(size, *met[:3])
        order = np.lexsort((slack, node))
        self.levels.append(_Level(sets[order], node[order], slack[order], *met))
        self.made += len(sets)

    def trace(self, size: int, label: int, out: dict[int, list[int]]) -> None:
        """Follow a label back to the terminals; append the nodes on its way to each of its cables' routes."""
        level = self.levels[size - 1]
        owner, node = int(level.sets[label]), int(level.node[label])
        mine = np.flatnonzero(level.met_set == owner)
        counted = self.counted(np.array([owner]))[0]
        distance, before = self.distances.tree(size, node)
        start = level.met_slack[mine] + counted[level.met_node[mine]] + distance[level.met_node[mine]]
        best = int(mine[np.argmin(start)])
        at = int(level.met_node[best])
        small, left, large, right = (int(x) for x in level.met_from[best])
        if size > 1:
            self.trace(small, left, out)
            self.trace(large, right, out)
        along = way(before, node, at)[::-1]
        for k in range(self.field.cables):
            if owner >> k & 1:
                out[k] = out[k] + along[1:] if k in out else along

    def run(self, budget: int) -> Found:
        field, count = self.field, self.field.cables
        alone = (
            np.left_shift(1, np.arange(count)),
            field.home,
            np.zeros(count),
            np.zeros((count, 4), np.intp),
        )
        self.level(1, alone)
        for size in range(2, count + 1):
            met = self.meet(size, budget)
            if met is None:
                return Found(False, np.inf, [], self.made)
            self.level(size, met)
            if self.made > budget:
                return Found(False, np.inf, [], self.made)
        top = self.levels[-1]
        done = np.flatnonzero(top.node == field.sink)
        if not len(done):
            return Found(True, np.inf, [], self.made)
        out: dict[int, list[int]] = {}
        best = int(done[np.argmin(top.slack[done])])
        self.trace(count, best, out)
        return Found(
            True, self.claims.bound + float(top.slack[best]), [out[k] for k in range(count)], self.made
        )


def best_tree(field: Field, distances: Distances, claims: Claims, allowed: float, budget: int) -> Found:
    """Cheapest tree whose cost exceeds the claims' bound by no more than `allowed`.

    Parameters
    ----------
    distances : Distances
        Of this field.
    budget : int
        Greatest number of labels; without enough of them the search says that it is not complete.
    """
    return _Search(field, distances, claims, allowed).run(budget)
