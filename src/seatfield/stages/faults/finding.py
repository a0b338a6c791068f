"""Faults against the plan: everything that the takes show, and what they leave open."""

from collections.abc import Iterator
from dataclasses import replace

from seatfield.model import FaultKind, Finding, Project, Severity, TakeState
from seatfield.stages.faults import bass, joints, naming, places, signs, treble
from seatfield.stages.faults.known import Plan, plan_of
from seatfield.stages.faults.result import FaultFound, Faults, Undecided
from seatfield.stages.layout import Layout
from seatfield.stages.takes import Known, Spot, Takes, known_of, off_plan_m
from seatfield.stages.terminals import TerminalMap

Told = FaultFound | Undecided


def plan(project: Project, layout: Layout, terminals: TerminalMap, takes: Takes) -> Faults:
    """Say what is wrong with the channels, as far as the takes show it.

    Parameters
    ----------
    project, layout, terminals
        The plan.
    takes
        What was read.

    Returns
    -------
    Faults
        Faults with a confidence and the place to look at, the surest first; and questions that these takes cannot
        answer, with what would. Two sets of faults that give the same takes are a question, never a fault.
    """
    told_by_plan = known_of(project, layout)
    known = plan_of(project, layout, terminals, told_by_plan)
    spots = [_planned(spot, known) for spot in takes.spots]
    bare = [spot for spot in spots if spot.state is TakeState.BARE]
    used = [spot for spot in spots if spot.state is TakeState.AS_USED]
    told: list[Told] = [*_told(known, bare, used)]
    told += _off_plan(told_by_plan, bare, told)
    faults = sorted((one for one in told if isinstance(one, FaultFound)), key=lambda one: -one.confidence)
    open_ = [one for one in told if isinstance(one, Undecided)]
    found: list[Told] = [*faults, *open_]
    return Faults(tuple(faults), tuple(open_), tuple(_finding(one) for one in found))


def _planned(spot: Spot, known: Plan) -> Spot:
    """Return a position without runs that the plan no longer has."""
    runs = {one.run for one in known.runs}
    return replace(
        spot,
        heard=tuple(one for one in spot.heard if one.run in runs),
        dead=tuple(run for run in spot.dead if run in runs),
    )


def _told(known: Plan, bare: list[Spot], used: list[Spot]) -> Iterator[Told]:
    yield from naming.dead(known, [*bare, *used])
    seated = places.seating(known, bare)
    yield from naming.misplaced(known, seated)
    yield from naming.inverted(known, signs.signs(bare or used))
    sounds = {run: at for ring in seated.rings for run, at in zip(ring.runs, ring.at, strict=True)}
    colours = treble.colours(known, bare or used)
    every = colours | treble.faint(known, bare or used)
    silent = list(naming.silent_tweeters(known, treble.trebles(known, every, sounds)))
    yield from silent
    dull = frozenset(
        run for one in silent for run in (one.runs if isinstance(one, Undecided) else (one.run,))
    )
    clear = {run: colour for run, colour in colours.items() if run not in dull}
    doubtful = frozenset(run for ring in seated.suspected for run in (*ring.runs, *ring.at))
    yield from naming.joints(known, joints.losses(known, clear, sounds), doubtful)
    handed = bass.handings(known, used)
    yield from naming.own_bass(known, handed)
    yield from naming.low_channel(known, handed)
    yield from naming.doubled_filters(known, bare or used)
    if bare and not used and any(one.low for one in known.runs):
        yield _as_used_missing(known)


def _off_plan(known: Known, bare: list[Spot], told: list[Told]) -> Iterator[Undecided]:
    """Ask about mains whose distance nothing explains: neither tape nor tolerance nor a fault that is named."""
    explained = {run for one in told if isinstance(one, FaultFound) for run in (one.run, *one.with_runs)}
    worst: dict[str, float] = {}
    for spot in bare:
        for run, off_m in off_plan_m(spot, known).items():
            if run not in explained:
                worst[run] = max(worst.get(run, 0.0), off_m, key=abs)
    if worst:
        one = len(worst) == 1
        listed = ", ".join(
            f"{run} {abs(off):.2f} m {'too far' if off > 0 else 'too near'}" for run, off in worst.items()
        )
        yield Undecided(
            (FaultKind.SWAPPED, FaultKind.WRONG_TERMINAL),
            tuple(worst),
            f"{'A distance reads' if one else 'Distances read'} far from the plan: {listed}. Neither tape nor "
            "tolerance explains it: another place, another loudspeaker, a delay in the amplifier, or a sweep misread.",
            f"Do not type {'it' if one else 'them'}. Measure with a tape, make sure that all delays are 0 and that one "
            "loudspeaker alone sounds in each sweep, then take it again.",
        )


def _as_used_missing(known: Plan) -> Undecided:
    return Undecided(
        (FaultKind.FULL_RANGE, FaultKind.LFE_LEVEL),
        tuple(one.run for one in known.runs),
        "Whether the channels hand their bass over, and whether the low-frequency channel is 10 dB louder than they "
        "are, shows only with bass management in force.",
        "Switch bass management on, as you listen, and take the main seat again as used.",
    )


def _finding(one: Told) -> Finding:
    if isinstance(one, FaultFound):
        return Finding(
            f"faults.{one.kind.name.lower().replace('_', '-')}",
            Severity.FIX,
            one.run,
            one.message,
            measured=one.confidence,
            limit=1.0,
            unit="",
            source="the takes against the plan",
            advice=one.advice,
        )
    return Finding(
        "faults.undecided",
        Severity.NOTE,
        " ".join(one.runs),
        one.message,
        source="the takes against the plan",
        advice=one.do,
    )
