"""The plan as tables that fit 80 columns."""

from typing import TYPE_CHECKING

from seatfield.catalogue.systems import BEST_THAT_FITS
from seatfield.cli.say import console, say_wrapped
from seatfield.model import LengthUnit, Project
from seatfield.stages.cable.result import CablePlan
from seatfield.stages.layout.result import Layout, Mark, Placed
from seatfield.stages.plan import Plan
from seatfield.stages.survey import wall_name
from seatfield.units import format_length

if TYPE_CHECKING:
    from rich.table import Table

MOST_CANDIDATES = 5


def say_plan(project: Project, plan: Plan) -> None:
    """Print each stage that has something to say."""
    if plan.layout:
        if project.layout == BEST_THAT_FITS and plan.layout.candidates:
            _say_candidates(plan.layout)
        _say_layout(plan.layout, project.units)
        if plan.layout.marks:
            _say_marks(plan.layout.marks, len(plan.survey.walls), project.units)
    if plan.cable and plan.cable.runs:
        _say_cable(plan.cable, project)


def _table(title: str, headings: dict[str, str]) -> "Table":
    from rich.table import Table

    table = Table(box=None, pad_edge=False, title=title, title_justify="left", title_style="bold")
    for heading, justify in headings.items():
        table.add_column(heading, justify=justify)  # type: ignore[arg-type]
    return table


def _number(value: float | None, form: str, unit: str = "") -> str:
    if value is None:
        return "–"
    told = f"{value:{form}}"
    return told.replace("-0", "0").replace("+0", "0") + unit if float(told) == 0 else told + unit


def _length(length_m: float | None, unit: LengthUnit) -> str:
    return "–" if length_m is None else format_length(length_m, unit.value)


def _say_candidates(layout: Layout) -> None:
    headings = {"system": "left", "fits": "left", "loudspeakers": "right"}
    table = _table("\nSound systems for this room, the best first", headings)
    for entry in layout.candidates[:MOST_CANDIDATES]:
        name = f"{entry.system} ({entry.shorthand})" if entry.shorthand != entry.system else entry.system
        table.add_row(name, "yes" if entry.feasible else "no", str(entry.loudspeakers))
    out = console()
    out.print(table)
    for flip in layout.candidates[0].flips:
        say_wrapped(out, flip, indent=2)


def _say_layout(layout: Layout, unit: LengthUnit) -> None:
    name = f"{layout.system} ({layout.shorthand})" if layout.shorthand else layout.system
    headings = {
        "": "left",
        "loudspeaker": "left",
        "azimuth": "right",
        "elevation": "right",
        "distance": "right",
    }
    table = _table(f"\nPlaces for {name}, seen from the main seat", headings | {"verdict": "left"})
    for entry in layout.loudspeakers:
        table.add_row(*_placed(entry, unit))
    console().print(table)


def _placed(entry: Placed, unit: LengthUnit) -> tuple[str, ...]:
    return (
        entry.id,
        entry.plain_name,
        _number(entry.azimuth_deg, "+.0f", "°"),
        _number(entry.elevation_deg, "+.0f", "°"),
        _length(entry.distance_m, unit),
        entry.verdict.value,
    )


def _say_marks(marks: tuple[Mark, ...], walls: int, unit: LengthUnit) -> None:
    """Print how to find each place with a tape: two distances on the floor and a third that checks, or along a wall."""
    out = console()
    out.print("\nPlaces by tape, on the floor from the corners; heights to the acoustic centre", style="bold")
    for mark in marks:
        say_wrapped(out, f"{mark.id:<6} {_taped(mark, walls, unit)}", hanging=7)


def _taped(mark: Mark, walls: int, unit: LengthUnit) -> str:
    height = f"{_length(mark.height_m, unit)} up"
    if mark.tapes:
        first, second, *checks = [f"{tape.corner} {_length(tape.distance_m, unit)}" for tape in mark.tapes]
        check = f"; check: {checks[0]}" if checks else _checked(mark, unit)
        return f"from {first} and {second}, {height}{check}. {mark.note}".rstrip()
    if mark.wall is None:
        return f"{height}. {mark.note}".rstrip()
    off = f", {_length(mark.off_m, unit)} out from it" if mark.off_m else ""
    wall = f"along wall {wall_name(mark.wall, walls)}"
    told = (
        f"{_length(mark.along_m, unit)} from {mark.from_corner} {wall}{off}, {height}{_checked(mark, unit)}."
    )
    return f"{told} {mark.note}".rstrip()


def _checked(mark: Mark, unit: LengthUnit) -> str:
    return "" if mark.check_m is None else f"; check: {_length(mark.check_m, unit)} from {mark.check_from}"


def _say_cable(cable: CablePlan, project: Project) -> None:
    headings = {
        "run": "left",
        "routed": "right",
        "cut": "right",
        "conductor": "left",
        "loop": "right",
        "loss": "right",
    }
    table = _table("\nCable", headings)
    for run in cable.runs:
        table.add_row(
            run.id,
            _length(run.routed_m, project.units),
            _length(run.cut_m, project.units),
            run.conductor,
            _number(run.loop_ohm, ".3f", " Ω"),
            _number(run.loss_db, ".2f", " dB"),
        )
    out = console()
    out.print(table)
    shopping = _table("\nTo buy", {"": "right", "what": "left", "price": "right"})
    for need in cable.needs:
        price = "" if need.price is None else f"{need.count * need.price:.2f} {project.currency}"
        shopping.add_row(f"{need.count:g} {need.unit}".strip(), need.what, price)
    if cable.needs:
        out.print(shopping)
