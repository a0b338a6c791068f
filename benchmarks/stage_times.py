"""Every stage of the largest example, and its pack, each on its own after imports; the scale asked stands in the name.

The reference is the same in each row: the eigenvalues of one symmetric matrix by LAPACK, so that two machines can be
compared by their ratios.
"""

import time
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path

import numpy as np

import seatfield
from seatfield.pipeline import printing
from seatfield.pipeline.steps import STEPS, narrow
from seatfield.stages import layout

EXAMPLE = Path(__file__).parents[1] / "examples" / "open-plan"
ASKED_S = {"survey": 0.05, "terminals": 0.05, "level": 0.05, "chain": 0.05, "cable": 1.0}
PACK_ASKED_S = 3.0
DAY = date(2026, 1, 1)
REFERENCE = "LAPACK, eigenvalues of 600 x 600"


def _shortest(job, times=5):
    """Return the shortest time of a job [s]."""
    spans = []
    for _ in range(times):
        began = time.perf_counter()
        job()
        spans.append(time.perf_counter() - began)
    return min(spans)


def _reference():
    matrix = np.random.default_rng(1).standard_normal((600, 600))
    return _shortest(lambda: np.linalg.eigvalsh(matrix + matrix.T))


def _scale(name):
    return f" (asked {ASKED_S[name]:g} s)" if name in ASKED_S else ""


def run():
    """One row a stage, then placing every loudspeaker anew, then the pack with its plan computed before."""
    project = seatfield.open_project(EXAMPLE)
    reference_s = _reference()
    rows, results = [], {}
    for step in STEPS:
        earlier = [results[name] for name in (*step.after, *step.sharpened_by)]
        part = narrow(project, step.reads)
        results[step.name] = step.run(part, *earlier)
        span = _shortest(lambda run=step.run, part=part, earlier=earlier: run(part, *earlier), 3)
        rows.append((f"stage {step.name}{_scale(step.name)}", span, REFERENCE, reference_s))
    laid_out = partial(layout.plan, project, results["survey"], layout.LayoutParams(parts=layout.DRAGGING))
    rows.append(("layout, positions given (asked 0.02 s)", _shortest(laid_out), REFERENCE, reference_s))
    unplaced = replace(project, loudspeakers=tuple(replace(one, at=None) for one in project.loudspeakers))
    placing = _shortest(partial(layout.plan, unplaced, results["survey"]), 1)
    rows.append(("placing every loudspeaker (asked 2 s)", placing, REFERENCE, reference_s))
    plan = seatfield.plan(project)
    span = _shortest(lambda: printing.print_pack(project, plan, paper="a4", day=DAY, revision=""), 2)
    rows.append((f"pack (asked {PACK_ASKED_S:g} s)", span, REFERENCE, reference_s))
    return rows


if __name__ == "__main__":
    for row in run():
        print(*row)
