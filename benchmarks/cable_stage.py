"""The whole cable stage on invented homes, against the exact model in HiGHS of the same routes.

The name of a row carries how far the routes' cost lies above the optimum. `python -m benchmarks.cable_stage SEED COUNT
LIMIT` prints every home; its first row pays for nothing but the stage, for all that it needs is imported before.
"""

import sys
import time

import scipy.optimize  # noqa: F401 (the solver loads before the clock starts)

from benchmarks.synthetic.homes import home
from seatfield import routing
from seatfield.stages import cable, layout, survey, terminals
from seatfield.stages.cable import routes
from seatfield.store.door import open_text

SEED = 20_311_128
LIMIT_S = 60.0
LOADED = routing.design, routing.cut, routing.shortest  # naming an engine imports it


def run():
    """One home of few runs, and one of twelve and more."""
    rows = []
    for seed, runs in ((SEED, 7), (SEED + 1, 12)):
        told, seconds, exact_seconds = judged(home(seed, runs))
        rows.append((f"cable: {told}", seconds, "exact model of its routes", exact_seconds))
    return rows


def judged(text, limit_s=LIMIT_S):
    """Return how near the routes come, the time of the whole stage, and that of the exact model alone."""
    project = open_text(text).project
    surveyed = survey.plan(project)
    laid_out = layout.plan(project, surveyed)
    mapped = terminals.plan(project, laid_out)
    asked = []
    began = time.perf_counter()
    plan = _listening(asked, lambda: cable.plan(project, surveyed, laid_out, mapped))
    seconds = time.perf_counter() - began
    began = time.perf_counter()
    dearer = sum(one[3].cost - _optimum(*one, limit_s) for one in asked)
    exact_seconds = time.perf_counter() - began
    cost, bound = plan.cost.total, plan.bound
    apart = len({run.amplifier for run in plan.runs}) > 1
    above = (
        "two amplifiers" if apart else f"{max(0.0, 100 * dearer / (cost - dearer)):.2f} % above the optimum"
    )
    gap = 100 * (1 - bound / cost)
    return f"{len(plan.runs)} runs, {above}, gap {gap:.1f} %", seconds, exact_seconds


def _listening(asked, work):
    """Keep what the stage asks of the router for its own routes, and what it was answered."""
    plain = routes.design

    def listening(edges, ends, sink, **chosen):
        found = plain(edges, ends, sink, **chosen)
        if chosen["effort"] == routes.WHOLE:
            asked.append((edges, ends, sink, found))
        return found

    routes.design = listening
    try:
        return work()
    finally:
        routes.design = plain


def _optimum(edges, ends, sink, found, limit_s):
    effort = routing.Effort(exact_s=limit_s)
    solved = routing.design(edges, ends, sink, exact=True, effort=effort)
    return min(found.cost, solved.cost)


def main(seed, count, limit_s):
    """Print every home."""
    for number in range(seed, seed + count):
        told, seconds, exact_seconds = judged(home(number), limit_s)
        print(f"home {number}: {told}, {seconds:.2f} s; exact routes {exact_seconds:.2f} s", flush=True)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:4])) if len(sys.argv) == 4 else print(*run(), sep="\n")
