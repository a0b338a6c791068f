"""Faults to practise on: which, where, and how much."""

from dataclasses import dataclass

import numpy as np

from seatfield.model import FaultKind, Project, TakeState
from seatfield.stages.layout import Layout

NEEDS_USE = (FaultKind.FULL_RANGE, FaultKind.LFE_LEVEL)
"""Faults that only a take with bass management in force can show."""

LOW_KINDS = (FaultKind.LFE_LEVEL, FaultKind.SUB_FILTER)


class NoSuchFaultError(ValueError):
    """A fault was asked for that cannot be planted."""

    def __init__(self, given: str, reason: str) -> None:
        super().__init__(f"The fault {given!r} cannot be planted: {reason}")


@dataclass(frozen=True, slots=True)
class Planted:
    """One fault to practise on.

    Parameters
    ----------
    runs
        Whom it concerns; of ``swapped`` both, of ``wrong terminal`` three in a ring, each on the terminal of the next.
    amount
        Of a joint its resistance [ohm]; of the low-frequency channel its gain [dB]; of a doubled filter its
        corner [Hz].
    """

    kind: FaultKind
    runs: tuple[str, ...]
    amount: float = 0.0


USUAL_AMOUNT = {FaultKind.JOINT: 4.0, FaultKind.LFE_LEVEL: -10.0, FaultKind.SUB_FILTER: 80.0}
TOGETHER = {FaultKind.SWAPPED: 2, FaultKind.WRONG_TERMINAL: 3}


def planted(text: str, project: Project, layout: Layout) -> Planted:
    """Return a fault from the words of a person: the kind, and the runs it concerns.

    Parameters
    ----------
    text
        Such as ``inverted M+030`` or ``swapped M+110 M-110``.
    project, layout
        Whose runs there are.

    Returns
    -------
    Planted
        With the usual amount.

    Raises
    ------
    NoSuchFaultError
        If there is no such kind or run, or it takes another number of runs.
    """
    kind = next((one for one in FaultKind if text.startswith(one.value)), None)
    if kind is None:
        raise NoSuchFaultError(text, f"the kinds are {', '.join(one.value for one in FaultKind)}.")
    runs = tuple(text[len(kind.value) :].split())
    known = (*(one.id for one in layout.loudspeakers), *(sub.id for sub in project.subwoofers))
    unknown = [run for run in runs if run not in known]
    count = TOGETHER.get(kind, 1)
    if unknown or len(set(runs)) != count:
        raise NoSuchFaultError(text, f"it takes {count} of the runs {', '.join(known)}.")
    return Planted(kind, runs, USUAL_AMOUNT.get(kind, 0.0))


def random_faults(
    project: Project, layout: Layout, count: int, state: TakeState, seed: int
) -> tuple[Planted, ...]:
    """Return faults chosen by chance, no run in two of them, the same for the same seed.

    Parameters
    ----------
    project, layout
        Whose runs there are.
    count
        How many.
    state
        How the amplifier is set; some faults show only with bass management in force.
    seed
        Of the choice.

    Returns
    -------
    tuple of Planted
        Fewer where there are too few runs.
    """
    rng = np.random.default_rng([seed, 17])
    mains = [one.id for one in layout.loudspeakers if not one.channel.startswith("LFE")]
    lows = [sub.id for sub in project.subwoofers]
    chosen: list[Planted] = []
    for _ in range(20 * count):
        if len(chosen) == count:
            break
        kind = list(FaultKind)[int(rng.integers(len(FaultKind)))]
        if kind in NEEDS_USE and state is not TakeState.AS_USED:
            continue
        used = {run for one in chosen for run in one.runs}
        free = [run for run in (lows if kind in LOW_KINDS else mains) if run not in used]
        needed = TOGETHER.get(kind, 1)
        if len(free) >= needed and not (kind in LOW_KINDS and any(one.kind in LOW_KINDS for one in chosen)):
            picked = rng.choice(len(free), needed, replace=False)
            chosen.append(Planted(kind, tuple(free[int(k)] for k in picked), _amount(kind, rng)))
    return tuple(chosen)


def _amount(kind: FaultKind, rng: np.random.Generator) -> float:
    if kind is FaultKind.JOINT:
        return float(rng.uniform(3.0, 8.0))
    if kind is FaultKind.LFE_LEVEL:
        return float(rng.choice([-10.0, 10.0]))
    if kind is FaultKind.SUB_FILTER:
        return float(rng.uniform(60.0, 90.0))
    return 0.0
