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
    """Labels of one size of set, in order of node and slack; `key` is that order as one number."""

    sets: Ints
    node: Ints
    slack: Floats
    key: Floats


@dataclass(frozen=True, slots=True)
class _Met:
    """Sets that stand at a node without having moved: the cheapest of each set and node, in order of the sets."""

    sets: Ints
    node: Ints
    slack: Floats


class Distances:
    """Distances for bundles of each size between the nodes that any cable may visit, found when first wanted.

    Attributes
    ----------
    alive : array of int
        Those nodes; elsewhere in this module a node is its place among them.
    """

    def __init__(self, field: Field, claims: Claims) -> None:
        self._field, self._ways = field, Ways(field)
        self._known: dict[int, Floats] = {}
        self.alive = np.flatnonzero(~claims.barred.all(axis=1))

    def __getitem__(self, size: int) -> Floats:
        if size not in self._known:
            self._known[size] = self._ways.between(self.alive, self._field.table[self._field.edge, size])
        return self._known[size]

    def way(self, size: int, start: int, end: int) -> list[int]:
        """Nodes of the field along the shortest way between two places."""
        first, last = int(self.alive[start]), int(self.alive[end])
        _, before = self._ways.tree(first, self._field.table[self._field.edge, size])
        return way(before, first, last)


class _Search:
    def __init__(self, field: Field, distances: Distances, claims: Claims, allowed: float) -> None:
        self.field, self.allowed, self.distances = field, allowed, distances
        self.bound = claims.bound
        self.bits = np.arange(field.cables)
        alive = distances.alive
        self.home = np.searchsorted(alive, field.home)
        self.sink = int(np.searchsorted(alive, field.sink))
        start = claims.potential[field.home, self.bits]
        # What the bound counts for each cable on its way to each node, and which cables are barred from the node.
        self.drop = start[:, None] - claims.potential[alive].T
        self.shut = claims.barred[alive] @ np.left_shift(1, self.bits)
        self.levels: list[_Level] = []
        self.mets: list[_Met] = []
        self.made = 0
        self.tolerance = 1e-9 * max(1.0, abs(claims.bound))

    def counted(self, sets: Ints) -> Floats:
        """Return what the bound has counted for each set on its way to each node, shape (sets, nodes)."""
        out = np.zeros((len(sets), len(self.shut)))
        for k in self.bits:
            member = np.flatnonzero(sets >> k & 1)
            out[member] += self.drop[k]
        return out

    def spread(self, size: int, met: _Met) -> _Level:
        """Move bundles of one size along their shortest ways; keep what lies within the allowed slack."""
        distance = self.distances[size]
        firsts = np.flatnonzero(np.r_[True, met.sets[1:] != met.sets[:-1]][: len(met.sets)])
        parts = []
        for chunk in np.split(firsts, _cuts(firsts, len(met.sets), CHUNK // max(1, len(self.shut)))):
            if len(chunk):
                after = firsts[np.searchsorted(firsts, chunk[-1]) + 1 :]
                parts.append(
                    self._moved(distance, met, chunk, int(after[0]) if len(after) else len(met.sets))
                )
        none = np.zeros(0, np.intp)
        sets, node, slack = (
            (np.concatenate(x) for x in zip(*parts, strict=True)) if parts else (none, none, np.zeros(0))
        )
        least = min(float(slack.min(initial=0.0)), 0.0)
        key = node * self.stride(least) + slack
        order = np.argsort(key)
        return _Level(sets[order], node[order], slack[order], key[order])

    def stride(self, least: float) -> float:
        """Distance between the keys of two nodes, wider than all slacks."""
        return 2.0 * (self.allowed - least) + 1.0

    def _moved(self, distance: Floats, met: _Met, firsts: Ints, end: int) -> tuple[Ints, Ints, Floats]:
        lo = int(firsts[0])
        sets, node, slack = met.sets[firsts], met.node[lo:end], met.slack[lo:end]
        counted = self.counted(sets)
        owner = np.repeat(np.arange(len(sets)), np.diff(np.r_[firsts, end]))
        start = slack + counted[owner, node]
        left = np.minimum.reduceat(start[:, None] + distance[node], firsts - lo, axis=0) - counted
        keep = left <= self.allowed + self.tolerance
        keep &= (sets[:, None] & self.shut) == 0
        i, v = np.nonzero(keep)
        return sets[i], v, left[i, v]

    def meet(self, size: int, budget: int) -> _Met | None:
        """Meet disjoint sets two by two to sets of this size; none if there are too many."""
        places, slacks = [], []
        width = len(self.shut)
        for small in range(1, size // 2 + 1):
            a, b = self.levels[small - 1], self.levels[size - small - 1]
            if not len(a.sets) or not len(b.sets):
                continue
            left, right = self._pairs(a, b, 40 * budget)
            if left is None or right is None:
                return None
            keep = (a.sets[left] & b.sets[right]) == 0
            if 2 * small == size:
                keep &= a.sets[left] < b.sets[right]
            left, right = left[keep], right[keep]
            places.append((a.sets[left] | b.sets[right]) * width + a.node[left])
            slacks.append(a.slack[left] + b.slack[right])
        if not places:
            return _Met(np.zeros(0, np.intp), np.zeros(0, np.intp), np.zeros(0))
        place, slack = np.concatenate(places), np.concatenate(slacks)
        order = np.argsort(place)
        place = place[order]
        firsts = np.flatnonzero(np.r_[True, place[1:] != place[:-1]][: len(place)])
        if len(firsts) > budget:
            return None
        least = np.minimum.reduceat(slack[order], firsts) if len(firsts) else slack
        return _Met(place[firsts] // width, place[firsts] % width, least)

    def _pairs(self, a: _Level, b: _Level, most: int) -> tuple[Ints | None, Ints | None]:
        """Pairs of labels at the same node whose slacks together are allowed, by their places; none if too many."""
        least = min(float(b.slack[b.slack.argmin()]), 0.0)
        # A label that went where it is barred may have a negative slack: more may be left than is allowed.
        rest = np.clip(self.allowed - a.slack, least, self.allowed) + self.tolerance
        first = np.searchsorted(b.node, a.node)
        last = np.searchsorted(b.key, a.node * self.stride(least) + rest, side="right")
        count = np.maximum(last - first, 0)
        total = int(count.sum())
        if total > most:
            return None, None
        left = np.repeat(np.arange(len(count)), count)
        return left, np.arange(total) + np.repeat(first - np.cumsum(count) + count, count)

    def trace(self, owner: int, node: int, out: dict[int, list[int]]) -> None:
        """Follow a set at a node back to the terminals; append the nodes on its way to its cables' routes."""
        size = owner.bit_count()
        met = self.mets[size - 1]
        mine = np.flatnonzero(met.sets == owner)
        counted = self.counted(np.array([owner]))[0]
        cost = met.slack[mine] + counted[met.node[mine]] + self.distances[size][met.node[mine], node]
        at = int(met.node[mine[np.argmin(cost)]])
        if size > 1:
            one = self._half(owner, at)
            self.trace(one, at, out)
            self.trace(owner & ~one, at, out)
        along = self.distances.way(size, at, node)
        for k in range(self.field.cables):
            if owner >> k & 1:
                out[k] = out[k] + along[1:] if k in out else along

    def _half(self, owner: int, node: int) -> int:
        """One of the two sets that met most cheaply to this one at a node."""
        here: dict[int, float] = {}
        for level in self.levels[: owner.bit_count() - 1]:
            mine = np.flatnonzero((level.node == node) & ((level.sets & ~owner) == 0))
            here.update(zip(level.sets[mine].tolist(), level.slack[mine].tolist(), strict=True))
        pairs = [(here[s] + here[owner & ~s], s) for s in here if owner & ~s in here]
        return min(pairs)[1]

    def run(self, budget: int) -> Found:
        count = self.field.cables
        for size in range(1, count + 1):
            met = self.meet(size, budget) if size > 1 else _Met(1 << self.bits, self.home, np.zeros(count))
            if met is None or self.made > budget:
                return Found(False, np.inf, [], self.made)
            self.mets.append(met)
            self.levels.append(self.spread(size, met))
            self.made += len(self.levels[-1].sets)
        top = self.levels[-1]
        done = np.flatnonzero(top.node == self.sink)
        if not len(done):
            return Found(True, np.inf, [], self.made)
        out: dict[int, list[int]] = {}
        self.trace((1 << count) - 1, self.sink, out)
        return Found(True, self.bound + float(top.slack[done[0]]), [out[k] for k in range(count)], self.made)


def _cuts(firsts: Ints, count: int, rows: int) -> Ints:
    """Where to cut groups, given by their firsts, so that about so many rows go together."""
    whole = np.arange(rows, count, rows) if rows else np.arange(1, count)
    cuts: Ints = np.unique(np.searchsorted(firsts, whole))
    return cuts


def best_tree(field: Field, distances: Distances, claims: Claims, allowed: float, budget: int) -> Found:
    """Cheapest tree whose cost exceeds the claims' bound by no more than `allowed`.

    Parameters
    ----------
    distances : Distances
        Of this field and these claims.
    budget : int
        Greatest number of labels; without enough of them the search says that it is not complete.
    """
    return _Search(field, distances, claims, allowed).run(budget)
