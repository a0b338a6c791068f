"""The bass stage on the largest example, against direct solutions of the same room by frequency.

The reference solves (K − k²M + ikB) p = source with SuperLU in the plane, height order by height order, one
factorisation a frequency and a right-hand side a seat, at the stage's own frequencies; every tenth is timed and
multiplied, since all cost the same.
"""

import time
from pathlib import Path

import numpy as np
from scipy.sparse.linalg import splu

from seatfield.acoustics.lagrange import assemble, point_sources
from seatfield.pipeline.projects import open_project
from seatfield.stages import bass, layout, survey
from seatfield.stages.bass.shell import shell_of
from seatfield.stages.bass.space import listeners, solve

EXAMPLES = Path(__file__).parents[1] / "examples"
SAMPLE = 10


def _timed(job, times=3):
    """Return the shortest time of a job [s]."""
    best = np.inf
    for _ in range(times):
        began = time.perf_counter()
        job()
        best = min(best, time.perf_counter() - began)
    return best


def _direct(space):
    """Return the time of a direct solution at every frequency and height order of one scenario [s]."""
    modes, freq = space.modes, space.freq_hz
    stiffness, mass = (matrix.astype(complex) for matrix in assemble(modes.space))
    source = point_sources(modes.space, space.seats[:, : modes.space.dimension]).astype(complex)
    wave = 2 * np.pi * freq / modes.speed_of_sound_m_s
    orders = modes.order_k[modes.order_k <= wave[-1]]
    began = time.perf_counter()
    for k in wave[::SAMPLE]:
        for shift in orders**2:
            matrix = stiffness + (shift - k**2 + 0.01j * k) * mass
            options = {"SymmetricMode": True}
            splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options=options).solve(source)
    return (time.perf_counter() - began) * SAMPLE


def run():
    """Modes and seats, the map that follows the hand, the whole stage; asked: 0.15, 0.3 s, and 0.6 s under slopes."""
    rows = []
    for name in ("open-plan", "attic"):
        project = open_project(EXAMPLES / name)
        surveyed = survey.plan(project)
        laid_out = layout.plan(project, surveyed)
        seats = listeners(project, surveyed)
        standing = tuple(one.at for one in project.subwoofers if one.at is not None)
        speed = float(bass.plan(project, surveyed, laid_out, bass.BassParams(parts=())).speed_of_sound_m_s)

        def seat_responses(shell_room=surveyed, ears=seats, subs=standing, c=speed):
            return solve(shell_of(shell_room), ears, subs, c).hear(subs)

        def staged(parts, job=(project, surveyed, laid_out)):
            return lambda: bass.plan(*job, bass.BassParams(parts=parts))

        reference = _direct(solve(shell_of(surveyed), seats, standing, speed))
        rows += [
            (f"bass, {name}: modes and seats", _timed(seat_responses), "direct, one scenario", reference),
            (f"bass, {name}: map", _timed(staged(bass.DRAGGING)), "direct, one scenario", reference),
            (
                f"bass, {name}: whole stage",
                _timed(staged(bass.PARTS), 2),
                "direct, five scenarios",
                5 * reference,
            ),
        ]
    return rows


if __name__ == "__main__":
    for row in run():
        print(*row, f"{row[1] / row[3]:.4f}")
