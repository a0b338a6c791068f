"""Covers that carry runs: raceway to buy and where, and how full the covers that are there get."""

from dataclasses import dataclass, replace
from math import dist

from seatfield.stages.cable.network import Joined
from seatfield.stages.cable.result import CoverUse
from seatfield.stages.cable.routes import Routed, straightened
from seatfield.stages.cable.setting import FILL
from seatfield.stages.cable.surfaces import Way
from seatfield.stages.cable.tariff import NEVER_EXPOSED, RACEWAYS, Tariff

Key = tuple[int, int]

SHORTEST_M = 0.10
"""Raceway shorter than this is not worth a piece; the cables lie bare there: common practice, no source."""


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
        A stretch of raceway that is too short to buy is left out.
    """
    runs_on: dict[Key, list[str]] = {}
    for run, steps in routed.ways.items():
        for way, _ in steps:
            runs_on.setdefault((min(way.u, way.v), max(way.u, way.v)), []).append(run)
    pieces = [
        _Laid(use, (key,))
        for key, runs in runs_on.items()
        if (way := joined.network.ways[key]).length_m > 0
        for use in _of_way(way, runs, tariff)
    ]
    kept = [one for one in _joined_up(pieces) if not one.use.buy or one.use.length_m >= SHORTEST_M]
    words: dict[str, dict[Key, str]] = {run: {} for run in routed.ways}
    for one in kept:
        for run in one.use.runs:
            words[run].update(dict.fromkeys(one.keys, one.use.what))
    return Covered(tuple(one.use for one in kept), words)


@dataclass(frozen=True, slots=True)
class _Laid:
    """A stretch of a cover, and the ways of the network that it lies on."""

    use: CoverUse
    keys: tuple[Key, ...]


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


def _joined_up(pieces: list[_Laid]) -> list[_Laid]:
    """Put pieces together that continue each other with the same runs in a straight line."""
    left, done = list(pieces), []
    while left:
        one = left.pop(0)
        grown = True
        while grown:
            grown = False
            for place, other in enumerate(left):
                if (longer := _continued(one.use, other.use)) is not None:
                    one = _Laid(longer, (*one.keys, *other.keys))
                    grown = True
                    del left[place]
                    break
        done.append(one)
    return done


def _continued(use: CoverUse, other: CoverUse) -> CoverUse | None:
    if (use.what, use.cover, use.surface, use.runs) != (other.what, other.cover, other.surface, other.runs):
        return None
    for mine in (use.path, use.path[::-1]):
        for theirs in (other.path, other.path[::-1]):
            if dist(mine[-1], theirs[0]) < 1e-6 and len(path := straightened((*mine, *theirs[1:]))) == 2:
                return replace(use, path=path, length_m=use.length_m + other.length_m)
    return None


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
