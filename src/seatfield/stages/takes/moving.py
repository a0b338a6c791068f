"""What the plan has moved since a take was made: set aside, never judged against places that it does not know."""

from collections.abc import Sequence
from math import dist

from seatfield.model import Finding, Severity, Take
from seatfield.stages.takes.knowing import Known
from seatfield.stages.takes.result import Aside, Spot

MOVED_M = 0.05
"""A place corrected by less is the same place, measured better: common practice, no source."""


def moved_m(take: Take, known: Known) -> dict[str, float]:
    """Return the runs that the plan has elsewhere than on the day of a take, and by how much [m]."""
    return {
        run: dist(then, known.places[run])
        for run, then in take.places
        if run in known.places and dist(then, known.places[run]) > MOVED_M
    }


def left(take: Take, known: Known) -> Aside | None:
    """Return the seat that no longer stands where a take was made for it; None where it does."""
    head = known.seats.get(take.seat)
    if head is None or dist(head, take.position) <= MOVED_M:
        return None
    return Aside(take.seat, dist(head, take.position), (take.id,))


def changed(spots: Sequence[Spot]) -> tuple[tuple[str, str], ...]:
    """Say what has moved since the takes were made, and what to take again.

    Parameters
    ----------
    spots
        As read.

    Returns
    -------
    tuple of (str, str)
        What changed, and what to do; seats first. A seat that was taken again asks for nothing.
    """
    again = {spot.seat for spot in spots if spot.seat}
    gone: dict[str, Aside] = {}
    for spot in spots:
        if spot.left is not None and spot.left.name not in again:
            gone[spot.left.name] = spot.left
    told = [
        (
            f"seat {one.name} has moved by {one.moved_m:.2f} m since {_listed(one.takes)}",
            f"take {one.name} again where it is now; until then no value is for it",
        )
        for one in gone.values()
    ]
    return (*told, *_runs_changed(spots))


def _runs_changed(spots: Sequence[Spot]) -> list[tuple[str, str]]:
    found: dict[str, list[tuple[Spot, Aside]]] = {}
    for spot in spots:
        for one in spot.aside:
            found.setdefault(one.name, []).append((spot, one))
    told = []
    for run, places in found.items():
        takes = tuple(dict.fromkeys(take for _, one in places for take in one.takes))
        where = dict.fromkeys(_place(spot) for spot, _ in places if spot.left is None)
        moved = max(one.moved_m for _, one in places)
        then = f"its place in the plan of {_listed(takes)}"
        told.append(
            (
                f"{run} stands {moved:.2f} m from {then}, whose word on it is set aside",
                f"take {run} again at {_listed(tuple(where) or ('every seat',))}",
            )
        )
    return told


def _place(spot: Spot) -> str:
    return spot.seat or f"({', '.join(f'{value:.2f}' for value in spot.position)} m)"


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def moved_findings(spots: Sequence[Spot]) -> tuple[Finding, ...]:
    """Return what `changed` says as findings."""
    return tuple(
        Finding(
            "takes.moved",
            Severity.FIX,
            "the takes",
            f"{what[0].upper()}{what[1:]}.",
            source="the plan of the day each take was made",
            advice=f"{do[0].upper()}{do[1:]}.",
        )
        for what, do in changed(spots)
    )
