"""Cutting of more than sixteen pieces: a mixed-integer program over ways to fill a spool.

References
----------
Gilmore, P. C., Gomory, R. E. (1961). A linear programming approach to the cutting-stock problem. Operations
Research 9, 849-859. (All ways that leave no room for another piece are listed here at once; there are few at
this size.)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from seatfield.routing.shelf import Chosen, Shelf
from seatfield.routing.silence import silenced

MOST_PATTERNS = 60_000
INFEASIBLE = 2  # the status by which `scipy.optimize.milp` says so


@dataclass(frozen=True, slots=True)
class _Kinds:
    """Pieces that are alike: how long, which stocks serve, which pieces."""

    need_mm: NDArray[np.int64]
    serves: NDArray[np.bool_]
    members: tuple[tuple[int, ...], ...]

    @property
    def demand(self) -> NDArray[np.int64]:
        return np.array([len(m) for m in self.members], dtype=np.int64)


def by_patterns(shelf: Shelf, wanted: NDArray[np.intp], nodes: int) -> tuple[list[Chosen], bool] | None:
    """Cheapest cutting, and whether the solver proved it; None where the stocks do not suffice.

    Where there are too many ways to fill a spool to list them, each spool is one by one filled by the program
    itself: slower, still exact.
    """
    kinds = _kinds(shelf, wanted)
    columns = _columns(shelf, kinds)
    if columns is None:
        columns = [(s, None) for s in _spool_stocks(shelf) for _ in range(_most_spools(shelf, kinds, s))]
    solved = _solve(shelf, kinds, columns, nodes)
    if solved is None:
        return None
    counts, drums, proved = solved
    return _told(shelf, kinds, counts, drums), proved


def _kinds(shelf: Shelf, wanted: NDArray[np.intp]) -> _Kinds:
    groups: dict[tuple[int, bytes], list[int]] = {}
    for i in sorted(wanted.tolist(), key=lambda i: (-shelf.need_mm[i], i)):
        groups.setdefault((int(shelf.need_mm[i]), shelf.serves[:, i].tobytes()), []).append(i)
    firsts = [g[0] for g in groups.values()]
    return _Kinds(shelf.need_mm[firsts], shelf.serves[:, firsts], tuple(tuple(g) for g in groups.values()))


def _spool_stocks(shelf: Shelf) -> list[int]:
    return [s for s, stock in enumerate(shelf.stocks) if stock.length_m is not None and shelf.serves[s].any()]


def _most_spools(shelf: Shelf, kinds: _Kinds, stock: int) -> int:
    most = int(kinds.demand[kinds.serves[stock]].sum())
    item = shelf.stocks[stock]
    return most if item.sold else min(most, item.owned)


def _columns(shelf: Shelf, kinds: _Kinds) -> list[tuple[int, tuple[int, ...] | None]] | None:
    """Every way to fill a spool that leaves no room for a further piece; none if there are too many."""
    out: list[tuple[int, tuple[int, ...] | None]] = []
    for s in _spool_stocks(shelf):
        able = np.flatnonzero(kinds.serves[s]).tolist()
        stack: list[tuple[int, int, tuple[int, ...]]] = [(0, int(shelf.length_mm[s]), ())]
        while stack:
            place, left, taken = stack.pop()
            if place == len(able):
                full = dict(zip(able, taken, strict=True))
                if not any(kinds.need_mm[k] <= left and full[k] < kinds.demand[k] for k in able):
                    out.append((s, tuple(full.get(k, 0) for k in range(len(kinds.members)))))
                    if len(out) > MOST_PATTERNS:
                        return None
                continue
            need = int(kinds.need_mm[able[place]])
            most = min(int(kinds.demand[able[place]]), left // need)
            stack += [(place + 1, left - n * need, (*taken, n)) for n in range(most + 1)]
    return out


class _Program:
    """Rows of a program that asks at least so much of each, over unknowns that are whole and not negative."""

    def __init__(self) -> None:
        self.price: list[float] = []
        self.most: list[float] = []
        self.cells: list[tuple[int, int, float]] = []
        self.least: list[float] = []

    def unknown(self, price: float = 0.0, most: float = np.inf) -> int:
        """Append an unknown and return its place."""
        self.price.append(price)
        self.most.append(most)
        return len(self.price) - 1

    def row(self, entries: list[tuple[int, float]], least: float) -> None:
        """Append a row: the entries' sum is at least so much."""
        self.cells += [(len(self.least), place, value) for place, value in entries]
        self.least.append(least)

    def solve(self, nodes: int) -> tuple[NDArray[np.int64], bool] | None:
        """Least price, and whether that is proved; None where no whole numbers will do."""
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import coo_matrix

        row, place, value = (np.array(x) for x in zip(*self.cells, strict=True))
        matrix = coo_matrix((value, (row, place)), shape=(len(self.least), len(self.price))).tocsr()
        with silenced():
            result = milp(
                np.array(self.price),
                constraints=LinearConstraint(matrix, np.array(self.least), np.inf),
                bounds=Bounds(np.zeros(len(self.price)), np.array(self.most)),
                integrality=np.ones(len(self.price)),
                options={"mip_rel_gap": 0.0, "node_limit": nodes},
            )
        if result.status == INFEASIBLE:
            return None
        if result.x is None:
            raise RuntimeError(f"The solver found no cutting within {nodes} nodes; allow it more of them.")
        return np.rint(result.x).astype(np.int64), result.status == 0


def _solve(
    shelf: Shelf, kinds: _Kinds, columns: list[tuple[int, tuple[int, ...] | None]], nodes: int
) -> tuple[list[tuple[int, tuple[int, ...]]], dict[int, tuple[int, ...]], bool] | None:
    """Spools with what each holds, drums with what each gives, and whether that is proved; None if they are too few."""
    program = _Program()
    used = [program.unknown(most=np.inf if pattern is not None else 1.0) for _, pattern in columns]
    got: list[list[tuple[int, float]]] = [[] for _ in kinds.members]
    for place, (_, pattern) in zip(used, columns, strict=True):
        for k, n in enumerate(pattern or ()):
            if n:
                got[k].append((place, float(n)))
    filled = {
        place: _pour(kinds, program, s, (place, float(shelf.length_mm[s])), got)
        for place, (s, pattern) in zip(used, columns, strict=True)
        if pattern is None
    }
    drums = {}
    for s, stock in enumerate(shelf.stocks):
        if stock.length_m is None and stock.sold and kinds.serves[s].any():
            steps = program.unknown(stock.price * stock.step_m * 100)
            drums[s] = _pour(kinds, program, s, (steps, float(shelf.step_mm[s])), got)
    for s in _spool_stocks(shelf):
        stock = shelf.stocks[s]
        bought = program.unknown(float(shelf.cents[s]), np.inf if stock.sold else 0.0)
        mine = [(place, -1.0) for place, (t, _) in zip(used, columns, strict=True) if t == s]
        program.row([(bought, 1.0), *mine], -float(stock.owned))
    for entries, wanted in zip(got, kinds.demand, strict=True):
        program.row(entries, float(wanted))
    solved = program.solve(nodes)
    if solved is None:
        return None
    x, proved = solved
    spools = [
        (s, pattern if pattern is not None else tuple(x[filled[place]].tolist()))
        for place, (s, pattern) in zip(used, columns, strict=True)
        for _ in range(int(x[place]))
    ]
    return spools, {s: tuple(x[places].tolist()) for s, places in drums.items()}, proved


def _pour(
    kinds: _Kinds,
    program: _Program,
    stock: int,
    length: tuple[int, float],
    got: list[list[tuple[int, float]]],
) -> list[int]:
    """Let a length, (the unknown that buys it, millimetres), give as many pieces of each kind as it holds."""
    most = np.where(kinds.serves[stock], kinds.demand, 0)
    places = [program.unknown(most=float(m)) for m in most]
    need = [(place, -float(n)) for place, n in zip(places, kinds.need_mm, strict=True)]
    program.row([length, *need], 0.0)
    for entries, place in zip(got, places, strict=True):
        entries.append((place, 1.0))
    return places


def _told(
    shelf: Shelf, kinds: _Kinds, used: list[tuple[int, tuple[int, ...]]], drums: dict[int, tuple[int, ...]]
) -> list[Chosen]:
    """Hand out the pieces: own spools first, nothing twice."""
    left = [list(m) for m in kinds.members]
    own = [stock.owned for stock in shelf.stocks]
    out: list[Chosen] = []
    # Own spools come before bought ones of their kind; the fullest of each stock are the own ones.
    for s, holds in sorted(used, key=lambda u: (shelf.stocks[u[0]].owned == 0, u[0])):
        pieces = [left[k].pop(0) for k, n in enumerate(holds) for _ in range(min(n, len(left[k])))]
        if pieces:
            own[s] -= 1
            out.append((s, own[s] >= 0, tuple(sorted(pieces))))
    for s, holds in drums.items():
        pieces = [left[k].pop(0) for k, n in enumerate(holds) for _ in range(min(n, len(left[k])))]
        if pieces:
            out.append((s, False, tuple(sorted(pieces))))
    return out
