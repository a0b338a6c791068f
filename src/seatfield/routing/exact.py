"""The exact model: a mixed-integer program in which every edge carries one piece of its table.

Each cable is a flow of one unit to the sink, over directed copies of the edges. An edge takes at most one
piece of its table: a stretch of numbers of cables over which the table is a straight line. A piece holds the
flow between its ends, both of them: a piece with a negative start (a raceway with free places) would
otherwise pay for edges that nobody uses. Since the cables are alike and end in one place, whole numbers of
pieces leave whole routes, and the flows themselves need not be declared whole.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix

from seatfield.routing.arrays import Field, Floats, Ints
from seatfield.routing.silence import silenced


@dataclass(frozen=True, slots=True)
class Solved:
    """What the solver proved.

    Attributes
    ----------
    bound : float
        Its dual bound.
    routes : list of list of int
        Its best layout, terminal first; empty if it has none.
    finished : bool
        Whether it closed the gap itself.
    """

    bound: float
    routes: list[list[int]]
    finished: bool


def pieces(table: Floats) -> list[tuple[int, int, float, float]]:
    """Straight stretches of one table: (least, most, start, slope), covering 1 to the capacity."""
    cost = table[np.isfinite(table)].tolist()
    out = []
    least = 1
    while least < len(cost):
        most = least
        slope = cost[least + 1] - cost[least] if least + 1 < len(cost) else 0.0
        while most + 1 < len(cost) and abs(cost[most + 1] - cost[most] - slope) <= 1e-9 * max(
            1.0, cost[most + 1]
        ):
            most += 1
        if most == least:
            slope = 0.0
        out.append((least, most, cost[least] - slope * least, slope))
        least = most + 1
    return out


def model(field: Field, barred: NDArray[np.bool_] | None = None) -> dict[str, Any]:
    """Write the program in the form that `scipy.optimize.milp` takes.

    Unknowns, in this order: the flow of each cable on each direction that it may use, whether a direction
    takes a piece, the amount on it.

    Parameters
    ----------
    barred : array of bool, shape (directions, cables), optional
        Directions that a cable uses in no layout of interest.
    """
    free = _open(field, barred)
    arc, cable = np.nonzero(free)
    owner, least, most, start, slope = _directed_pieces(field, free.sum(axis=1))
    arcs, cables, count = len(field.edge), field.cables, len(owner)
    taken = len(arc)
    amount = taken + count
    size = amount + count
    flow, piece = np.arange(taken), np.arange(count)
    rows = _Rows(size)
    # Each cable: one unit out of its terminal, one into the sink, nothing lost between.
    balance = np.zeros((field.nodes, cables))
    balance[field.home, np.arange(cables)] += 1.0
    balance[field.sink] -= 1.0
    rows.add(
        balance.ravel(),
        balance.ravel(),
        (field.tail[arc] * cables + cable, flow, 1.0),
        (field.head[arc] * cables + cable, flow, -1.0),
    )
    # What a direction carries is the amount of its piece.
    nothing = np.zeros(arcs)
    rows.add(nothing, nothing, (arc, flow, 1.0), (owner, amount + piece, -1.0))
    # A piece holds between its ends, if taken.
    unbounded = np.full(count, np.inf)
    rows.add(-unbounded, np.zeros(count), (piece, amount + piece, 1.0), (piece, taken + piece, -most))
    rows.add(np.zeros(count), unbounded, (piece, amount + piece, 1.0), (piece, taken + piece, -least))
    # One piece at most for each edge, in one direction, and no cable on a direction without one.
    edges = len(field.table)
    rows.add(np.zeros(edges), np.ones(edges), (field.edge[owner], taken + piece, 1.0))
    firsts = np.searchsorted(owner, arc)
    many = np.searchsorted(owner, arc, side="right") - firsts
    each = np.repeat(firsts - np.cumsum(many) + many, many) + np.arange(many.sum())
    rows.add(
        np.full(taken, -np.inf),
        np.zeros(taken),
        (flow, flow, 1.0),
        (np.repeat(flow, many), taken + each, -1.0),
    )
    objective = np.concatenate([np.zeros(taken), start, slope])
    upper = np.ones(size)
    upper[amount:] = most
    whole = np.zeros(size)
    whole[taken:amount] = 1
    return {
        "c": objective,
        "constraints": rows.constraint(),
        "bounds": Bounds(np.zeros(size), upper),
        "integrality": whole,
    }


def _open(field: Field, barred: NDArray[np.bool_] | None) -> NDArray[np.bool_]:
    """Directions that each cable may use; nothing leaves the sink."""
    free = np.ones((len(field.edge), field.cables), dtype=bool) if barred is None else ~barred
    free[field.tail == field.sink] = False
    return free


class _Rows:
    """Constraints in blocks of rows."""

    def __init__(self, size: int) -> None:
        self.size, self.count = size, 0
        self.cells: list[tuple[Any, Any, Any]] = []
        self.low: list[Floats] = []
        self.high: list[Floats] = []

    def add(self, low: Floats, high: Floats, *cells: tuple[Any, Any, Any]) -> None:
        """Append a block: least and greatest value of each row, and cells as (rows, columns, values)."""
        for row, column, value in cells:
            self.cells.append(
                (row + self.count, column, np.broadcast_to(np.asarray(value, float), np.shape(row)))
            )
        self.low.append(low)
        self.high.append(high)
        self.count += len(low)

    def constraint(self) -> Any:
        """All blocks together."""
        row, column, value = (np.concatenate(x) for x in zip(*self.cells, strict=True))
        matrix = coo_matrix((value, (row, column)), shape=(self.count, self.size)).tocsr()
        return LinearConstraint(matrix, np.concatenate(self.low), np.concatenate(self.high))


def _directed_pieces(field: Field, riders: Ints) -> tuple[Any, Any, Any, Any, Any]:
    """Pieces of both directions of every edge: the direction, least, most, start, slope.

    Pieces for more cables than may ride a direction are left out.
    """
    tables = [pieces(row) for row in field.table]
    rows = [
        (a, *piece) for a, e in enumerate(field.edge.tolist()) for piece in tables[e] if piece[0] <= riders[a]
    ]
    columns = np.array(rows, dtype=float).reshape(-1, 5)
    return (columns[:, 0].astype(np.intp), *columns[:, 1:].T)


def solve_exact(
    field: Field,
    *,
    limit_s: float = np.inf,
    nodes: int | None = None,
    barred: NDArray[np.bool_] | None = None,
    limit: float = np.inf,
) -> Solved:
    """Solve the exact model in HiGHS.

    Parameters
    ----------
    limit_s : float
        Time limit [s].
    nodes : int, optional
        Limit of search nodes.
    barred
        As for `model`.
    limit : float
        Bound where nothing is left; layouts that cost more are of no interest.
    """
    options: dict[str, Any] = {"mip_rel_gap": 0.0}
    if np.isfinite(limit_s):
        options["time_limit"] = limit_s
    if nodes is not None:
        options["node_limit"] = nodes
    program = model(field, barred)
    with silenced():
        result = milp(**program, options=options)
    if result.status == 2:
        return Solved(limit, [], finished=True)
    bound = float(result.mip_dual_bound) if result.mip_dual_bound is not None else -np.inf
    if result.x is None:
        return Solved(bound, [], finished=False)
    arc, _ = np.nonzero(_open(field, barred))
    return Solved(bound, _routes(field, arc, result.x[: len(arc)]), finished=result.status == 0)


def _routes(field: Field, arc: Ints, flow: Floats) -> list[list[int]]:
    """Split the flow of all cables, which is one flow with whole amounts, into whole routes."""
    from seatfield.routing.layout import by_flow

    loads = np.bincount(field.edge[arc], weights=flow, minlength=len(field.table))
    capacity = np.rint(np.ceil(loads - 1e-6))
    table = np.where(np.arange(field.cables + 1) <= capacity[:, None], 0.0, np.inf)
    _, layout = by_flow(replace(field, table=table))
    return layout.routes if layout is not None else []
