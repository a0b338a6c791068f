"""Which sheets a pack has, in the order of the job, and their printing."""

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from seatfield.drawing import Scene, Sheet, Shown, Title, elevations, floor_plan, svg
from seatfield.drawing.bass_map import bass_map
from seatfield.model import LengthUnit, Project
from seatfield.pack.blank_survey import survey_sheets
from seatfield.pack.cautions import cautions_sheet
from seatfield.pack.comparing import routes_sheet
from seatfield.pack.connecting import cold_test_sheet, terminals_sheet, terminations_sheet
from seatfield.pack.holding import held_text, refused
from seatfield.pack.job import cover_sheet
from seatfield.pack.listening import curves_sheet, trying_sheet
from seatfield.pack.loudness import levels_sheet
from seatfield.pack.press import paper_mm, press
from seatfield.pack.proving import proof_sheet
from seatfield.pack.telling import gathered
from seatfield.pack.works import (
    cuts_sheet,
    drawn_data,
    labels_sheet,
    marking_sheet,
    schedule_sheet,
    shopping_sheet,
)
from seatfield.stages.plan import Plan

MARGIN_MM = 10.0
FOOT_MM = 15.0


@dataclass(frozen=True, slots=True)
class Order:
    """What is to be printed, and on what."""

    project: Project
    plan: Plan
    paper: str
    title: Title
    day: dt.date

    def named(self, sheet: str) -> Title:
        """Return the title with a sheet's name."""
        return Title(self.title.project, sheet, self.title.revision, self.title.date)


class UnknownSheetError(ValueError):
    """A sheet was asked for that the pack does not have."""

    def __init__(self, name: str) -> None:
        super().__init__(f"The pack has no sheet {name!r}; its sheets are {', '.join(SHEETS)}.")


def render(project: Project, plan: Plan, *, paper: str = "a4", day: dt.date, revision: str) -> bytes:
    """Print the whole pack.

    Parameters
    ----------
    project, plan
        What was described and what was computed.
    paper
        ``a4`` or ``letter``.
    day
        Date on the sheets and in the file.
    revision
        Revision on every sheet.

    Returns
    -------
    bytes
        A PDF; the same bytes for the same arguments.

    Raises
    ------
    UnknownPaperError
        If the sheets are not made for that paper.
    """
    return render_sheets(project, plan, tuple(SHEETS), paper=paper, day=day, revision=revision)


def render_sheets(
    project: Project, plan: Plan, names: tuple[str, ...], *, paper: str = "a4", day: dt.date, revision: str
) -> bytes:
    """Print some sheets of the pack, in the order given.

    Parameters
    ----------
    project, plan, paper, day, revision
        As for `render`.
    names
        Names out of `SHEETS`; one whose stage has not run is left out.

    Returns
    -------
    bytes
        A PDF.

    Raises
    ------
    UnknownSheetError
        If the pack has no such sheet.
    """
    paper_mm(paper)
    title = Title(project.name, "", revision, day.isoformat())
    order = Order(project, plan, paper, title, day)
    sheets: list[dict[str, Any]] = []
    for name in names:
        if name not in SHEETS:
            raise UnknownSheetError(name)
        sheets += SHEETS[name](order)
    return press(_document(title, "hand-over pack", sheets), paper=paper, day=day)


def survey_sheet(*, paper: str = "a4", unit: LengthUnit = LengthUnit.METRE, day: dt.date) -> bytes:
    """Print the blank survey, which needs no project.

    Parameters
    ----------
    paper
        ``a4`` or ``letter``.
    unit
        Unit that lengths will be written in.
    day
        Date in the file.

    Returns
    -------
    bytes
        A PDF.
    """
    title = Title("Room to survey", "", "–", day.isoformat())
    return press(
        _document(title, "blank survey", [survey_sheets(unit, paper_mm(paper))]), paper=paper, day=day
    )


def _document(title: Title, name: str, sheets: list[dict[str, Any]]) -> dict[str, Any]:
    return {
        "title": {"project": title.project, "document": name, "revision": title.revision, "date": title.date},
        "sheets": sheets,
    }


def _cover(order: Order) -> list[dict[str, Any]]:
    return [cover_sheet(order.project, order.plan, order.title)]


def _floor(order: Order) -> list[dict[str, Any]]:
    name = "Floor plan"
    if not order.plan.survey.sound:
        return []
    return [_drawn(name, floor_plan(order.project, order.plan, wide_field(order.paper), order.named(name)))]


def _cable_plan(order: Order) -> list[dict[str, Any]]:
    if not order.plan.survey.sound or order.plan.cable is None or not order.plan.cable.runs:
        return []
    name, shown = "Cable plan", Shown(runs=True, bearings=False, findings=False)
    return [
        _drawn(name, floor_plan(order.project, order.plan, wide_field(order.paper), order.named(name), shown))
    ]


def _elevations(order: Order) -> list[dict[str, Any]]:
    name = "Wall elevations"
    if not order.plan.survey.sound:
        return []
    scenes = elevations(order.project, order.plan, wide_field(order.paper), order.named(name))
    return [_drawn(scene.name, scene) for scene in scenes]


def _marking(order: Order) -> list[dict[str, Any]]:
    layout = order.plan.layout
    ready = order.plan.survey.sound and layout is not None and layout.marks
    return [marking_sheet(order.project, order.plan)] if ready else []


def _schedule(order: Order) -> list[dict[str, Any]]:
    cable = order.plan.cable
    if cable is None or not cable.runs:
        return []
    return [_of_work(order, schedule_sheet(order.project, cable, refused(order.plan)))]


def _cuts(order: Order) -> list[dict[str, Any]]:
    cable = order.plan.cable
    return [_of_work(order, cuts_sheet(order.project, cable))] if cable is not None and cable.cuts else []


def _labels(order: Order) -> list[dict[str, Any]]:
    cable = order.plan.cable
    return [labels_sheet(order.project, cable, order.paper)] if cable is not None and cable.labels else []


def _shopping(order: Order) -> list[dict[str, Any]]:
    cable = order.plan.cable
    if cable is None or not cable.needs:
        return []
    return [_of_work(order, shopping_sheet(order.project, cable))]


def _routes(order: Order) -> list[dict[str, Any]]:
    cable = order.plan.cable
    ready = order.plan.survey.sound and cable is not None and len(cable.alternatives) > 1
    return [routes_sheet(order.project, order.plan, cable)] if ready and cable is not None else []


def _levels(order: Order) -> list[dict[str, Any]]:
    level = order.plan.level
    return [levels_sheet(order.project, level)] if level is not None and level.seats else []


def _cold_test(order: Order) -> list[dict[str, Any]]:
    cable = order.plan.cable
    if cable is None or not cable.tests:
        return []
    return [_of_work(order, cold_test_sheet(cable, refused(order.plan)))]


def _terminations(order: Order) -> list[dict[str, Any]]:
    cable = order.plan.cable
    if cable is None or not cable.terminations:
        return []
    return [_of_work(order, terminations_sheet(order.project, cable, refused(order.plan)))]


def _terminals(order: Order) -> list[dict[str, Any]]:
    uses = order.plan.terminals
    if uses is None or not uses.uses:
        return []
    return [_of_work(order, terminals_sheet(order.project, uses, refused(order.plan)))]


def _of_work(order: Order, sheet: dict[str, Any]) -> dict[str, Any]:
    """Put over a sheet of the work which loudspeakers wait."""
    return sheet | {"held": held_text(order.plan)}


def _proof(order: Order) -> list[dict[str, Any]]:
    chain = order.plan.chain
    return [proof_sheet(chain, order.day)] if chain is not None and chain.proof else []


def _findings(order: Order) -> list[dict[str, Any]]:
    findings = order.plan.findings
    intro = (
        "The worst first. Formula, numbers and source stand below each."
        if findings
        else "No findings: nothing stands in the way."
    )
    return [{"kind": "findings", "name": "Findings", "intro": intro, "findings": gathered(findings)}]


def _cautions(order: Order) -> list[dict[str, Any]]:
    del order
    return [cautions_sheet()]


def _subwoofer(order: Order) -> list[dict[str, Any]]:
    bass, name = order.plan.bass, "Bass map"
    if bass is None or bass.map is None or not bass.tries:
        return []
    scene = bass_map(order.project, order.plan, wide_field(order.paper), order.named(name))
    curves = curves_sheet(order.project, bass)
    own = [_drawn(name, scene), trying_sheet(order.project, order.plan, bass)]
    return own if curves is None else [*own, curves]


SHEETS: dict[str, Callable[[Order], list[dict[str, Any]]]] = {
    "cover": _cover,
    "cautions": _cautions,
    "floor plan": _floor,
    "elevations": _elevations,
    "levels": _levels,
    "marking out": _marking,
    "subwoofer": _subwoofer,
    "cable plan": _cable_plan,
    "routes compared": _routes,
    "cable schedule": _schedule,
    "shopping list": _shopping,
    "cut list": _cuts,
    "labels": _labels,
    "cold test": _cold_test,
    "terminations": _terminations,
    "terminals": _terminals,
    "format proof": _proof,
    "findings": _findings,
}


def wide_field(paper: str) -> Sheet:
    """Field of a sheet on its side, inside its margins."""
    short, long = paper_mm(paper)
    return Sheet(long - 2 * MARGIN_MM, short - MARGIN_MM - FOOT_MM - 0.5)


def _drawn(name: str, scene: Scene) -> dict[str, Any]:
    return {
        "kind": "drawn",
        "name": name,
        "flipped": True,
        "width_mm": round(scene.size_mm[0], 3),
        "scene": drawn_data(svg(scene, theme="print", sheet=False), scene.about),
    }
