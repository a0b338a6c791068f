"""Other sets of routes, side by side: least seen, least work, least bought, and without holes."""

from dataclasses import dataclass, replace

from seatfield.model import Costs
from seatfield.routing import Effort
from seatfield.stages.cable.covers import raceway_m, seen_m
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


def alternatives(priced: Priced, chosen: Routed, chosen_tariff: Tariff) -> tuple[Alternative, ...]:
    """Return the chosen routes and the others, each told by the project's own weights.

    Parameters
    ----------
    priced
        The network, the runs and the project's weights.
    chosen, chosen_tariff
        The routes that the plan takes.

    Returns
    -------
    tuple
        The chosen ones first; ``no holes`` only where the others may drill.
    """
    joined, wires = priced.joined, priced.wires
    found = [_told(CHOSEN, joined, chosen, chosen_tariff)]
    for name, weights in leanings(priced.weights).items():
        tariff = Tariff(weights, priced.cables, priced.cable_area_m2, told_by=priced.weights)
        found.append(_told(name, joined, route(joined, wires, tariff, effort=QUICK), tariff))
    whole = _without_holes(joined)
    if whole is not None:
        found.append(
            _told("no holes", whole, route(whole, wires, chosen_tariff, effort=QUICK), chosen_tariff)
        )
    return tuple(found)


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


def _told(name: str, joined: Joined, routed: Routed, tariff: Tariff) -> Alternative:
    ways = [joined.network.ways[key] for key in routed.loads]
    crossings = sum(way.walkways + (way.surface is Surface.THRESHOLD) for way in ways)
    return Alternative(
        name,
        routed.cost.total,
        sum(way.length_m for steps in routed.ways.values() for way, _ in steps),
        seen_m(joined, routed, tariff),
        raceway_m(joined, routed, tariff),
        sum(way.holes for way in ways),
        crossings,
        routed.hours,
        routed.cost.cable + routed.cost.raceway,
        tuple((run, path_of(legs_of(steps, {}))) for run, steps in routed.ways.items()),
    )
