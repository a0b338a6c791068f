"""The plan as tables that fit 80 columns."""

from seatfield.cli.say import console
from seatfield.model import Project
from seatfield.stages.cable.result import CablePlan
from seatfield.stages.layout.result import Layout, Placed
from seatfield.stages.plan import Plan


def say_plan(project: Project, plan: Plan) -> None:
    """Print each stage that has something to say."""
    if plan.layout:
        _say_layout(plan.layout)
    if plan.cable and plan.cable.runs:
        _say_cable(plan.cable, project.currency)


def _table(title: str, headings: dict[str, str]):  # type: ignore[no-untyped-def]  # noqa: ANN202
    from rich.table import Table

    table = Table(box=None, pad_edge=False, title=title, title_justify="left", title_style="bold")
    for heading, justify in headings.items():
        table.add_column(heading, justify=justify)  # type: ignore[arg-type]
    return table


def _number(value: float | None, form: str, unit: str = "") -> str:
    return "–" if value is None else f"{value:{form}}{unit}"


def _say_layout(layout: Layout) -> None:
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
        table.add_row(*_placed(entry))
    console().print(table)


def _placed(entry: Placed) -> tuple[str, ...]:
    return (
        entry.id,
        entry.plain_name,
        _number(entry.azimuth_deg, "+.0f", "°"),
        _number(entry.elevation_deg, "+.0f", "°"),
        _number(entry.distance_m, ".2f", " m"),
        entry.verdict.value,
    )


def _say_cable(cable: CablePlan, currency: str) -> None:
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
            f"{run.routed_m:.2f} m",
            f"{run.cut_m:.2f} m",
            run.conductor,
            _number(run.loop_ohm, ".3f", " Ω"),
            _number(run.loss_db, ".2f", " dB"),
        )
    out = console()
    out.print(table)
    shopping = _table("\nTo buy", {"": "right", "what": "left", "price": "right"})
    for need in cable.needs:
        price = "" if need.price is None else f"{need.count * need.price:.2f} {currency}"
        shopping.add_row(f"{need.count:g} {need.unit}".strip(), need.what, price)
    if cable.needs:
        out.print(shopping)
