"""Other sets of routes, side by side: least seen, least work, least bought, and without holes."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from seatfield.model import Costs
from seatfield.routing import Effort
from seatfield.stages.cable.covers import Covered, covered, seen_m
from seatfield.stages.cable.network import Joined
from seatfield.stages.cable.result import Alternative
from seatfield.stages.cable.routes import Routed, Wire, legs_of, path_of, route
from seatfield.stages.cable.surfaces import Network, Surface
from seatfield.stages.cable.tariff import Tariff, Weights

QUICK = Effort(starts=2, sweeps=6, growths=0, combined=0)
"""Alternatives are compared, not proven."""

FAVOUR = 5.0
"""What an alternative cares for counts this many times as much, and what it does not, as much less."""

CHOSEN = "chosen"


@dataclass(frozen=True, slots=True)
class Priced:
    """A network with its tariff's measures: outer cross-section of a cable [m²] and the most cables on a way."""

    joined: Joined
    wires: tuple[Wire, ...]
    weights: Weights
    cables: int
    cable_area_m2: float


def leanings(weights: Weights) -> dict[str, Weights]:
    """Return the weights of every alternative."""
    costs = weights.costs
    return {
        "least seen": replace(
            weights,
            costs=_scaled(costs, seen=FAVOUR, bought=1 / FAVOUR, work=1 / FAVOUR),
            cable_per_m=weights.cable_per_m / FAVOUR,
        ),
        "least work": replace(
            weights,
            costs=_scaled(costs, seen=1 / FAVOUR, bought=1 / FAVOUR, work=FAVOUR),
            cable_per_m=weights.cable_per_m / FAVOUR,
            exposed_per_m=weights.exposed_per_m / FAVOUR,
        ),
        "least bought": replace(
            weights,
            costs=_scaled(costs, seen=1 / FAVOUR, bought=FAVOUR, work=1 / FAVOUR),
            cable_per_m=weights.cable_per_m * FAVOUR,
            exposed_per_m=weights.exposed_per_m / FAVOUR,
        ),
    }


def _scaled(costs: Costs, *, seen: float, bought: float, work: float) -> Costs:
    return replace(
        costs,
        skirting_per_m=costs.skirting_per_m * seen,
        ceiling_line_per_m=costs.ceiling_line_per_m * seen,
        vertical_per_m=costs.vertical_per_m * seen,
        open_floor_per_m=costs.open_floor_per_m * seen,
        hidden_per_m=costs.hidden_per_m * seen,
        raceway_per_m=costs.raceway_per_m * bought,
        bend=costs.bend * work,
        hole=costs.hole * work,
        labour_per_hour=costs.labour_per_hour * work,
    )


def alternatives(
    priced: Priced, chosen: Routed, chosen_tariff: Tariff, bill: Callable[[Routed, Covered], float | None]
) -> tuple[Alternative, ...]:
    """Return the chosen routes and the others, each told by the project's own weights.

    Parameters
    ----------
    priced
        The network, the runs and the project's weights.
    chosen, chosen_tariff
        The routes that the plan takes.
    bill
        What the shopping list of some routes costs; None where nothing on it has a price.

    Returns
    -------
    tuple
        The chosen ones first; ``no holes`` only where the others may drill. Whatever set was found with the least of
        what a name promises bears that name, be it one that was looked for under another.
    """
    joined, wires = priced.joined, priced.wires
    first = _told(CHOSEN, joined, chosen, chosen_tariff, bill)
    found = [first]
    for name, weights in leanings(priced.weights).items():
        tariff = Tariff(weights, priced.cables, priced.cable_area_m2, told_by=priced.weights)
        found.append(_told(name, joined, route(joined, wires, tariff, effort=QUICK), tariff, bill))
    whole = _without_holes(joined)
    if whole is None:
        return (first, *_named(found))
    routed = route(whole, wires, chosen_tariff, effort=QUICK)
    closed = _told("no holes", whole, routed, chosen_tariff, bill)
    return (first, *_named([*found, closed]), closed)


LEAST: dict[str, Callable[[Alternative], tuple[float, ...]]] = {
    "least seen": lambda one: (round(one.seen_m, 6),),
    "least work": lambda one: (round(one.hours, 6),),
    "least bought": lambda one: (round(one.bought or 0.0, 2), round(one.raceway_m, 6), round(one.cable_m, 6)),
}
"""What each name promises the least of; raceway, then cable, where money does not decide."""


def _named(found: list[Alternative]) -> list[Alternative]:
    """Give each name to the set that keeps its promise best, to its own one of equals."""
    return [
        replace(min(found, key=lambda one: (least(one), one.name != name, one.cost)), name=name)
        for name, least in LEAST.items()
    ]


def _without_holes(joined: Joined) -> Joined | None:
    drilled = [
        key
        for key, way in joined.network.ways.items()
        if way.holes or way.surface in (Surface.CAVITY, Surface.ATTIC)
    ]
    if not drilled:
        return None
    ways = {key: way for key, way in joined.network.ways.items() if key not in drilled}
    return Joined(Network(joined.network.points, joined.network.numbers, ways), joined.ends)


def _told(
    name: str,
    joined: Joined,
    routed: Routed,
    tariff: Tariff,
    bill: Callable[[Routed, Covered], float | None],
) -> Alternative:
    ways = [joined.network.ways[key] for key in routed.loads]
    crossings = sum(way.walkways + (way.surface is Surface.THRESHOLD) for way in ways)
    inside = covered(joined, routed, tariff)
    return Alternative(
        name,
        routed.cost.total,
        sum(way.length_m for steps in routed.ways.values() for way, _ in steps),
        seen_m(joined, routed, tariff),
        sum(use.length_m for use in inside.uses if use.buy),
        sum(way.holes for way in ways),
        crossings,
        routed.hours,
        bill(routed, inside),
        tuple((run, path_of(legs_of(steps, {}))) for run, steps in routed.ways.items()),
    )
