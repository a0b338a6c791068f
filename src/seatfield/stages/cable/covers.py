"""Covers that carry runs: raceway to buy and where, and how full the covers that are there get."""

from dataclasses import dataclass, replace
from math import dist

from seatfield.stages.cable.network import Joined
from seatfield.stages.cable.result import CoverUse
from seatfield.stages.cable.routes import Routed, straightened
from seatfield.stages.cable.setting import FILL
from seatfield.stages.cable.surfaces import Way
from seatfield.stages.cable.tariff import NEVER_EXPOSED, RACEWAYS, Mix, Tariff

Key = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Covered:
    """Covers in use, and what each run lies in along each way."""

    uses: tuple[CoverUse, ...]
    words: dict[str, dict[Key, str]]


def covered(joined: Joined, routed: Routed, tariff: Tariff) -> Covered:
    """Tell which runs lie in which cover.

    Parameters
    ----------
    joined, routed
        The network and the routes on it.
    tariff
        Whose mixes were chosen.

    Returns
    -------
    Covered
        Runs fill covers in the order in which they are listed, so that one run stays in the same cover along the way.
    """
    runs_on: dict[Key, list[str]] = {}
    for run, steps in routed.ways.items():
        for way, _ in steps:
            runs_on.setdefault((min(way.u, way.v), max(way.u, way.v)), []).append(run)
    uses: list[CoverUse] = []
    words: dict[str, dict[Key, str]] = {run: {} for run in routed.ways}
    for key, runs in runs_on.items():
        way = joined.network.ways[key]
        if way.length_m > 0:
            for use in _of_way(way, runs, tariff):
                uses.append(use)
                for run in use.runs:
                    words[run][key] = use.what
    return Covered(_joined_up(uses), words)


def _of_way(way: Way, runs: list[str], tariff: Tariff) -> list[CoverUse]:
    stretch = way.stretches[0]
    mix = tariff.rate(way.surface, stretch).mixes[len(runs)]
    path = straightened((stretch.start, *(s.end for s in way.stretches)))
    rest = list(runs)
    uses = []
    for inside, conduit in zip(mix.shared, stretch.conduits, strict=True):
        if inside:
            mine, rest = tuple(rest[:inside]), rest[inside:]
            fill = FILL * inside / conduit.capacity
            what, buy = conduit.kind, not conduit.existing
            uses.append(CoverUse(what, conduit.id, str(way.surface), path, way.length_m, mine, fill, buy))
    boxed = tuple(rest[: mix.boxed])
    for size, pieces in enumerate(mix.bought):
        for _ in range(pieces):
            mine, boxed = boxed[: tariff.room_in[size]], boxed[tariff.room_in[size] :]
            fill = FILL * len(mine) / tariff.room_in[size]
            uses.append(
                CoverUse(RACEWAYS[size].name, "", str(way.surface), path, way.length_m, mine, fill, buy=True)
            )
    return uses


def _joined_up(uses: list[CoverUse]) -> tuple[CoverUse, ...]:
    """Put pieces together that continue each other with the same runs in a straight line."""
    left, done = list(uses), []
    while left:
        use = left.pop(0)
        grown = True
        while grown:
            grown = False
            for place, other in enumerate(left):
                if (longer := _continued(use, other)) is not None:
                    use, grown = longer, True
                    del left[place]
                    break
        done.append(use)
    return tuple(done)


def _continued(use: CoverUse, other: CoverUse) -> CoverUse | None:
    if (use.what, use.cover, use.surface, use.runs) != (other.what, other.cover, other.surface, other.runs):
        return None
    for mine in (use.path, use.path[::-1]):
        for theirs in (other.path, other.path[::-1]):
            if dist(mine[-1], theirs[0]) < 1e-6 and len(path := straightened((*mine, *theirs[1:]))) == 2:
                return replace(use, path=path, length_m=use.length_m + other.length_m)
    return None


def raceway_m(joined: Joined, routed: Routed, tariff: Tariff) -> float:
    """Return the metres of raceway to buy [m]."""
    total = 0.0
    for key, load in routed.loads.items():
        way = joined.network.ways[key]
        for stretch in way.stretches:
            total += stretch.length_m * _bought(
                tariff.rate(way.surface, stretch).mixes[load], stretch.conduits
            )
    return total


def _bought(mix: Mix, conduits: tuple[object, ...]) -> int:
    planned = sum(
        1
        for inside, conduit in zip(mix.shared, conduits, strict=True)
        if inside and not getattr(conduit, "existing", True)
    )
    return planned + sum(mix.bought)


def seen_m(joined: Joined, routed: Routed, tariff: Tariff) -> float:
    """Return the metres of ways on which a bare cable is in sight, each counted once [m]."""
    total = 0.0
    for key, load in routed.loads.items():
        way = joined.network.ways[key]
        if way.surface in NEVER_EXPOSED:
            continue
        bare = (s for s in way.stretches if not s.hidden_by and tariff.rate(way.surface, s).mixes[load].open)
        total += sum(stretch.length_m for stretch in bare)
    return total
