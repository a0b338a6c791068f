"""Sheets for the work itself: marking out, cable schedule, cut list, labels, shopping list."""

from collections.abc import Callable
from typing import Any

from seatfield.drawing import marking_sketch, svg
from seatfield.drawing.measures import length_text
from seatfield.model import Project
from seatfield.pack.holding import HOLD
from seatfield.pack.telling import figure
from seatfield.stages.cable.labels import back_words
from seatfield.stages.cable.result import CablePlan, CoverUse, Cut, Label, Need, Run
from seatfield.stages.layout.result import Mark
from seatfield.stages.plan import Plan
from seatfield.stages.survey.naming import wall_name

# Columns, rows, width, height, top and left margin [mm] of the label sheets that stationers sell most: 24 tags on A4,
# 30 on Letter; common practice, no source. Eight rows of 33.9 mm leave 12.9 mm at the top.
LABEL_GRIDS = {"a4": (3, 8, 63.5, 33.9, 12.9, 9.75), "letter": (3, 10, 66.675, 25.4, 12.7, 7.9)}
SKETCH_MM = (48.0, 36.0)
ON_WALL_M = 0.01  # what is nearer to its wall is on it


def marking_sheet(project: Project, plan: Plan) -> dict[str, Any]:
    """Give each loudspeaker as two tape distances and a height, with a sketch."""
    marks = plan.layout.marks if plan.layout else ()
    return {
        "kind": "marking",
        "name": "Marking out",
        "intro": (
            "Hold one tape in each named corner, low on the wall; where the two distances meet on the floor is "
            "the plumb point of the loudspeaker. Where a wall is named, measure along it, then square out from it. "
            "The check tells whether both were read well. Heights are to the acoustic centre, mostly between "
            "woofer and tweeter. Mark with tape, not with pencil, and lay everything dry before you drill."
        ),
        "marks": [_mark(project, plan, mark) for mark in marks],
    }


def _mark(project: Project, plan: Plan, mark: Mark) -> dict[str, Any]:
    def tell(length_m: float) -> str:
        return length_text(length_m, project.units)

    placed = (
        next((one for one in plan.layout.loudspeakers if one.id == mark.id), None) if plan.layout else None
    )
    at = _place(project, plan, mark)
    tapes = [{"corner": tape.corner, "distance": tell(tape.distance_m)} for tape in mark.tapes]
    wall = None
    if mark.wall is not None and mark.along_m is not None:
        wall = {
            "wall": wall_name(mark.wall, len(plan.survey.walls)),
            "corner": mark.from_corner,
            "along": tell(mark.along_m),
            "out": tell(mark.off_m) if mark.off_m is not None and mark.off_m >= ON_WALL_M else "",
        }
    return {
        "channel": mark.channel,
        "name": placed.plain_name if placed else mark.id,
        "tapes": tapes[:2],
        "check": _check(mark, tell),
        "on_wall": wall,
        "height": tell(mark.height_m),
        "note": mark.note,
        "sketch": drawn_data(
            svg(marking_sketch(project, plan, mark, at, SKETCH_MM), theme="print", sheet=False), mark.channel
        ),
    }


def _check(mark: Mark, tell: Callable[[float], str]) -> dict[str, str] | None:
    if len(mark.tapes) > 2:
        return {"from": f"corner {mark.tapes[2].corner}", "distance": tell(mark.tapes[2].distance_m)}
    if mark.check_m is None:
        return None
    return {"from": mark.check_from, "distance": tell(mark.check_m)}


def drawn_data(picture: str, about: str) -> dict[str, str]:
    """Hand an SVG picture over as the templates take it."""
    return {"svg": picture, "about": about}


def _place(project: Project, plan: Plan, mark: Mark) -> tuple[float, float]:
    """Plumb point of a mark's loudspeaker or subwoofer."""
    for one in plan.layout.loudspeakers if plan.layout else ():
        if one.id == mark.id and one.at is not None:
            return one.at[:2]
    for sub in project.subwoofers:
        if sub.id == mark.id and sub.at is not None:
            return sub.at[:2]
    return project.main_seat.at


def schedule_sheet(
    project: Project, cable: CablePlan, refused: frozenset[str] = frozenset()
) -> dict[str, Any]:
    """List every run with its way, its length, its conductor and what the meter should say.

    `refused` holds the loudspeakers that must not be connected.
    """
    return {
        "kind": "schedule",
        "name": "Cable schedule",
        "intro": (
            "Routed is the way along surfaces with its drops; cut adds slack and a loop at each end. Measure "
            "the resistance of each run with its far end bridged and everything unplugged: it should read close"
            " to the loop value."
        ),
        "runs": [
            _run(project, run) | {"hold": HOLD if run.loudspeaker in refused else ""} for run in cable.runs
        ],
        "formula": (
            "Loop resistance: there and back at 20 °C, by the table of the conductor's standard. Loss: 20 lg(1 "
            "+ loop / lowest impedance), at the loudspeaker's lowest impedance."
        ),
    }


def _run(project: Project, run: Run) -> dict[str, Any]:
    return {
        "id": run.id,
        "channel": run.channel,
        "from": run.amplifier,
        "to": run.loudspeaker,
        "way": ", ".join(way_words(run)),
        "conductor": run.conductor,
        "routed": length_text(run.routed_m, project.units),
        "cut": length_text(run.cut_m, project.units),
        "loop_ohm": f"{run.loop_ohm:.3f}" if run.loop_ohm is not None else "–",
        "loss_db": f"{run.loss_db:.2f}" if run.loss_db is not None else "–",
    }


def way_words(run: Run) -> tuple[str, ...]:
    """Name the surfaces that a run follows, each once in a row."""
    words: list[str] = []
    for leg in run.legs:
        if leg.length_m > 0.02 and (not words or words[-1] != leg.surface):
            words.append(leg.surface)
    return tuple(words)


def cuts_sheet(project: Project, cable: CablePlan) -> dict[str, Any]:
    """List what to cut from which spool, the longest piece first."""
    cuts = [_cut(project, cut) for cut in cable.cuts]
    return {
        "kind": "cuts",
        "name": "Cut list",
        "intro": "Cut in this order, label both ends before you cut the next piece, and never splice.",
        "cuts": cuts,
        "longest_m": max((cut["total_m"] for cut in cuts), default=1.0),
    }


def _cut(project: Project, cut: Cut) -> dict[str, Any]:
    pieces = sorted(cut.pieces, key=lambda piece: -piece.length_m)
    used = sum(piece.length_m for piece in pieces)
    offcut = cut.offcut_m if cut.spool_m is not None else 0.0
    size = f"spool of {length_text(cut.spool_m, project.units)}" if cut.spool_m is not None else "by length"
    detail = [size, "already owned" if cut.owned else "to buy"]
    if offcut > 0.0:
        detail.append(f"{length_text(offcut, project.units)} left over")
    return {
        "title": cut.stock if cut.conductor in cut.stock else f"{cut.stock}, {cut.conductor}",
        "detail": ", ".join(detail),
        "total_m": used + offcut,
        "offcut_m": round(offcut, 3),
        "pieces": [
            {
                "run": piece.run,
                "length_m": piece.length_m,
                "length": length_text(piece.length_m, project.units),
            }
            for piece in pieces
        ],
    }


def labels_sheet(project: Project, cable: CablePlan, paper: str) -> dict[str, Any]:
    """Make the tags of every run: for the very end, and for some way back from it, at both ends."""
    return {
        "kind": "labels",
        "name": "Labels",
        "intro": (
            f"Four tags for each run: at both ends, and {back_words(project.units)} back from each. Cut the notches "
            "into the jacket too, the first group nearest the end. Throw away older revisions."
        ),
        "grid": list(LABEL_GRIDS[paper]),
        "tags": [_tag(label) for label in cable.labels],
    }


def _tag(label: Label) -> dict[str, Any]:
    return {
        "text": label.text,
        "far": label.far,
        "where": label.end,
        "notches": [len(group) for group in label.notches.split()],
    }


def _count(need: Need) -> str:
    """Write how many of what size, or how long: the unit is in the number that the count asks for."""
    return f"{figure(need.count)} {need.unit}"


def shopping_sheet(project: Project, cable: CablePlan) -> dict[str, Any]:
    """List what to buy, with the prices that the project tells and room for the others, and where raceway goes."""
    covers = [_cover(project, one) for one in sorted(cable.covers, key=lambda one: not one.buy)]
    priced = [need.price * need.count for need in cable.needs if need.price is not None]
    whole = len(priced) == len(cable.needs)
    return {
        "kind": "shopping",
        "name": "Shopping list",
        "intro": "Spools and packs are rounded up to what is sold.",
        "needs": [
            {
                "count": _count(need),
                "what": need.what,
                "why": need.why,
                "price": f"{need.price * need.count:.2f} {project.currency}"
                if need.price is not None
                else "",
            }
            for need in cable.needs
        ],
        "total_title": "all" if whole else "as far as priced",
        "total": f"{sum(priced):.2f} {project.currency}",
        "note": "Prices are those of the project file. Write what you paid into the last column.",
        "covers": covers,
    }


def _cover(project: Project, one: CoverUse) -> dict[str, str]:
    """Write a stretch of raceway or of a cover that is there: where, how long, which runs, how full."""
    return {
        "what": one.what if one.buy else f"{one.what}, there already",
        "where": one.surface,
        "length": length_text(one.length_m, project.units),
        "runs": ", ".join(one.runs),
        "fill": f"{100.0 * one.fill:.0f} %",
    }
