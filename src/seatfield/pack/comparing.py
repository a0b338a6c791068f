"""The sheet of other routes side by side."""

from dataclasses import dataclass
from typing import Any

from seatfield.drawing import routes_sketch, svg
from seatfield.drawing.measures import length_text
from seatfield.model import Project
from seatfield.pack.works import drawn_data
from seatfield.stages.cable.result import Alternative, CablePlan
from seatfield.stages.plan import Plan

SKETCH_MM = (62.0, 50.0)
CHOSEN = "chosen"
GAIN = 0.005
"""A gap between cost and bound below this share is not worth words."""


@dataclass(frozen=True, slots=True)
class Measure:
    """One line of the comparison: its caption, a value of each set of routes as number and as text."""

    caption: str
    values: tuple[float, ...]
    texts: tuple[str, ...]


def routes_sheet(project: Project, plan: Plan, cable: CablePlan) -> dict[str, Any]:
    """Put the chosen routes beside the others: what each saves and what it costs."""
    others = cable.alternatives
    return {
        "kind": "routes",
        "name": "Routes compared",
        "intro": (
            "All of them keep to what the project allows. The cost weighs metres in sight, raceway, bends, holes, "
            "crossings and work as the project file does; the lowest of each line is bold. Tick the one to build."
        ),
        "names": [one.name for one in others],
        "sketches": [_sketch(project, plan, one) for one in others],
        "measures": [_row(measure) for measure in _measures(project, cable)],
        "proof": proof_text(cable, project.currency),
        "straight": _straight(project, cable),
    }


def _sketch(project: Project, plan: Plan, one: Alternative) -> dict[str, str]:
    scene = routes_sketch(project, plan, one.routes, SKETCH_MM)
    return drawn_data(svg(scene, theme="print", sheet=False), f"{one.name}: {scene.about}")


def _measures(project: Project, cable: CablePlan) -> tuple[Measure, ...]:
    others = cable.alternatives

    def lengths(caption: str, values: tuple[float, ...]) -> Measure:
        return Measure(caption, values, tuple(length_text(value, project.units) for value in values))

    def counts(caption: str, values: tuple[float, ...], form: str) -> Measure:
        return Measure(caption, values, tuple(form.format(value) for value in values))

    money = f" [{project.currency}]" if project.currency else ""
    return (
        counts(f"cost by the project's weights{money}", tuple(o.cost for o in others), "{:.0f}"),
        lengths("cable", tuple(o.cable_m for o in others)),
        lengths("ways with cable in sight", tuple(o.seen_m for o in others)),
        lengths("raceway to buy", tuple(o.raceway_m for o in others)),
        counts("holes to drill", tuple(float(o.holes) for o in others), "{:.0f}"),
        counts("walkways and doorways crossed", tuple(float(o.walkways) for o in others), "{:.0f}"),
        counts("work [h]", tuple(o.hours for o in others), "{:.1f}"),
        *_bill(cable, money),
    )


def _bill(cable: CablePlan, money: str) -> tuple[Measure, ...]:
    """Say what each set's shopping list costs; nothing where nothing is priced."""
    bills = [one.bought for one in cable.alternatives if one.bought is not None]
    if len(bills) < len(cable.alternatives):
        return ()
    short = "" if all(need.price is not None for need in cable.needs) else ", as far as priced"
    texts = tuple(f"{bill:.2f}" for bill in bills)
    return (Measure(f"shopping list{short}{money}", tuple(bills), texts),)


def _row(measure: Measure) -> dict[str, Any]:
    """Mark the lowest of a line, as far as the printed texts tell them apart."""
    low = measure.texts[measure.values.index(min(measure.values))] if measure.values else ""
    differ = len(set(measure.texts)) > 1
    cells = [{"text": text, "best": differ and text == low} for text in measure.texts]
    return {"caption": measure.caption, "cells": cells}


def proof_text(cable: CablePlan, currency: str) -> str:
    """Say how near the chosen routes are to the best there can be."""
    if cable.cost is None or cable.bound is None:
        return ""
    if cable.exact:
        return "Chosen: proven, no set of routes over these ways costs less."
    gap = cable.cost.total / cable.bound - 1.0 if cable.bound > 0.0 else 0.0
    bound = f"{cable.bound:.0f} {currency}".rstrip()
    share = f"{100.0 * gap:.1f} %" if gap >= GAIN else "half a per cent"
    return (
        f"Chosen: no set of routes over these ways costs less than {bound}; it is at most {share} above that."
    )


def _straight(project: Project, cable: CablePlan) -> str:
    if cable.straight_m <= 0.0:
        return ""
    routed = sum(run.routed_m for run in cable.runs)
    cut = sum(run.cut_m for run in cable.runs)

    def tell(length_m: float) -> str:
        return length_text(length_m, project.units)

    return (
        f"A guess by straight lines would have bought {tell(cable.straight_m)}. The ways along surfaces, with their "
        f"drops, take {tell(routed)}; with slack and a loop at each end {tell(cut)} is cut: "
        f"{cut / cable.straight_m:.1f} times the guess."
    )
