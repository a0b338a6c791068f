"""Routing with shared cover, against the exact model in HiGHS, on invented rooms.

The reference is the whole mixed-integer program of `seatfield.routing.exact`, given to HiGHS by scipy, with a
limit of time. Where the limit ends it, its time is the limit and the true ratio is smaller than the one printed.
`python -m benchmarks.routing_design SEED COUNT LIMIT` prints every room with its excess over the exact optimum.
"""

import sys
import time

import numpy as np
import scipy.optimize  # noqa: F401 (the solver loads before the clock starts)

from benchmarks.synthetic.rooms import rooms
from seatfield.routing import design
from seatfield.routing.arrays import field
from seatfield.routing.exact import solve_exact
from seatfield.routing.layout import Layout
from seatfield.routing.network import checked
from seatfield.routing.reduction import reduce

SEED = 880_000
LIMIT_S = 15.0


def run():
    """Three rooms of few runs and three of twelve and more."""
    rows = []
    for low, high in ((5, 8), (12, 16)):
        for name, edges, terminals, sink in rooms(SEED + low, 3, least=low, most=high):
            seconds, _ = _timed(lambda e=edges, t=terminals, s=sink: design(e, t, s))
            exact_seconds, _ = _timed(lambda e=edges, t=terminals, s=sink: exactly(e, t, s, LIMIT_S))
            rows.append((f"routes: {name}", seconds, f"exact model, at most {LIMIT_S:.0f} s", exact_seconds))
    return rows


def exactly(edges, terminals, sink, limit_s):
    """Cost and bound of the exact model, and whether it finished."""
    reduced = reduce(checked(edges, terminals, sink))
    graph = field(reduced.network, reduced.nodes)
    solved = solve_exact(graph, limit_s=limit_s)
    cost = Layout(graph, solved.routes).cost if solved.routes else np.inf
    return cost + reduced.fixed, solved.bound + reduced.fixed, solved.finished


def _timed(work):
    began = time.perf_counter()
    result = work()
    return time.perf_counter() - began, result


def every_room(seed, count, limit_s):
    """Each room of a set with cost, bound, time and the exact model's own."""
    print("room              cost     bound    proved      s  exact    bound        s   excess")
    for name, edges, terminals, sink in rooms(seed, count):
        seconds, found = _timed(lambda e=edges, t=terminals, s=sink: design(e, t, s))
        exact_seconds, (cost, bound, _) = _timed(
            lambda e=edges, t=terminals, s=sink: exactly(e, t, s, limit_s)
        )
        excess = 100 * (found.cost / cost - 1)
        print(
            f"{name:<16}{found.cost:9.3f} {found.bound:9.3f} {found.proved!s:>6} {seconds:7.3f} "
            f"{cost:9.3f} {bound:9.3f} {exact_seconds:7.2f} {excess:+7.3f} %",
            flush=True,
        )


if __name__ == "__main__":
    if len(sys.argv) == 4:
        every_room(int(sys.argv[1]), int(sys.argv[2]), float(sys.argv[3]))
    else:
        print(*run(), sep="\n")
