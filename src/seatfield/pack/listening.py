"""The subwoofer's sheets: places to try by ear with their score sheet, and what each seat hears."""

from typing import Any

from seatfield.acoustics import DoubtParams
from seatfield.drawing import svg
from seatfield.drawing.bass_curves import bass_curves
from seatfield.model import LengthUnit, Project
from seatfield.pack.works import drawn_data
from seatfield.stages.bass.params import BassParams
from seatfield.stages.bass.result import Bass, Try
from seatfield.stages.bass.telling import mark_words
from seatfield.stages.plan import Plan
from seatfield.stages.survey import tell

GRAPH_MM = (186.0, 56.0)
GRAPHS = 4
"""So many seats have a graph on the sheet: the main one and those that fit."""
INTRO = (
    "Put the subwoofer at each place in turn, the best first; the map shows them by number. Distances are to the "
    "middle of the box, and a hand's breadth either way hardly matters. Play the tones at a comfortable level, never "
    "loud, and sit in every seat. Write 1 to 5: 5 where a tone sounds as loud as the others, 1 where it booms or is "
    "hardly there. Add up each row; a tie goes to the handier place. Two people lift the box, with its plug out."
)
LINES = {
    ("best", "now"): "Line: at the best places; broken line: where they stand now.",
    ("best",): "Line: at the best places.",
    ("now",): "Line: where they stand now.",
}
"""What the lines are, by the curves that are drawn."""
BAND = (
    "The band is what is not known of the room: half and twice the absorption, lengths {length} off, ears {ear} higher "
    "and lower."
)


def _band(units: LengthUnit) -> str:
    doubt = DoubtParams()
    return BAND.format(length=tell(doubt.length_m, units), ear=tell(doubt.ear_m, units))


def trying_sheet(project: Project, plan: Plan, bass: Bass) -> dict[str, Any]:
    """List the places to try with their tape distances, and give a table for the ear's verdict."""
    return {
        "kind": "trying",
        "name": "Subwoofer by ear",
        "intro": INTRO,
        "tones": [f"{tone:.0f}" for tone in bass.tones_hz],
        "tries": [_try(project, plan, one) for one in bass.tries],
        "settings": _settings(bass),
        "note": _note(bass),
    }


def _try(project: Project, plan: Plan, one: Try) -> dict[str, Any]:
    name = "now" if one.now else str(one.number)
    off = tell(BassParams().misplaced_m, project.units)
    return {
        "name": name,
        "places": [
            {"id": mark.id if len(one.marks) > 1 else "", "where": mark_words(mark, project, plan.survey)}
            for mark in one.marks
        ],
        "merit": f"{one.merit:.1f} dB",
        "misplaced": "" if one.now else f"{one.misplaced:.1f} dB if {off} off",
    }


def _settings(bass: Bass) -> list[dict[str, str]]:
    """Give each subwoofer's delay, gain and polarity in the best set, where there are several."""
    best = bass.best[0].subwoofers if bass.best else ()
    if len(best) < 2:
        return []
    return [
        {
            "name": f"1{letter}",
            "delay": f"{one.delay_ms:.1f} ms",
            "gain": f"{one.gain_db:+.0f} dB".replace("-", "−"),
            "polarity": "turned" if one.inverted else "as it is",
        }
        for letter, one in zip("abcd", best, strict=False)
    ]


def _note(bass: Bass) -> str:
    told = {finding.code: finding for finding in bass.findings}
    chosen = [
        told[code] for code in ("bass.better-place", "bass.no-clear-winner", "bass.one-more") if code in told
    ]
    return " ".join(finding.message for finding in chosen)


def curves_sheet(project: Project, bass: Bass) -> dict[str, Any] | None:
    """Draw what each seat hears; None where there is nothing to draw."""
    seats = tuple(dict.fromkeys(curve.seat for curve in bass.curves))[:GRAPHS]
    if not seats:
        return None
    shown = tuple(curve for curve in bass.curves if curve.seat in seats)
    lines = LINES[tuple(sorted({curve.which for curve in shown}))]
    scene = bass_curves(shown, (GRAPH_MM[0], GRAPH_MM[1] * len(seats)))
    return {
        "kind": "curves",
        "name": "Bass at the seats",
        "intro": f"{lines} {_band(project.units)}",
        "width_mm": scene.size_mm[0],
        "scene": drawn_data(svg(scene, theme="print", sheet=False), scene.about),
        "moves": [
            f"{finding.message} {finding.advice}"
            for finding in bass.findings
            if finding.code == "bass.seat-gap"
        ],
    }
