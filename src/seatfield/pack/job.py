"""The first sheet: the job in order, the worst findings, the list of sheets."""

from typing import Any

from seatfield.drawing import Title, floor_sketch, svg
from seatfield.model import Mount, Project, Severity
from seatfield.pack.cautions import cautions
from seatfield.pack.telling import gathered, listed
from seatfield.pack.works import drawn_data
from seatfield.stages.plan import Plan
from seatfield.stages.survey import tell_area

WORST, LIGHT = 3, 3
LETTERS = 560
"""Of findings that the cover has room for on either paper."""
SKETCH_MM = (62.0, 62.0)


def cover_sheet(project: Project, plan: Plan, title: Title) -> dict[str, Any]:
    """Say what the job is, in order, and what is worst."""
    heavy = [f for f in plan.findings if f.severity is not Severity.NOTE]
    worst = _brief(gathered(heavy)[:WORST] or gathered(plan.findings)[:LIGHT])
    return {
        "kind": "cover",
        "name": "The job",
        "over": f"Hand-over pack, revision {title.revision}, {title.date}",
        "what": _what(project, plan),
        "steps": [{"what": what, "detail": detail} for what, detail in steps_of(plan)],
        "sketch": _sketch(project, plan),
        "worst_title": "Mend this first" if heavy else "Worth knowing first",
        "worst": worst,
        "caution": cautions()["first"],
    }


def _what(project: Project, plan: Plan) -> str:
    seats = f"{len(project.seats)} seat{'s' if len(project.seats) != 1 else ''}"
    area = tell_area(plan.survey.area_m2, project.units)
    if plan.layout is None:
        return f"A room of {area} with {seats}; the loudspeakers are not laid out yet."
    words = (
        f" ({plan.layout.shorthand})"
        if plan.layout.shorthand and plan.layout.shorthand != plan.layout.system
        else ""
    )
    return f"Sound system {plan.layout.system}{words} in a room of {area} with {seats}."


def steps_of(plan: Plan) -> tuple[tuple[str, str], ...]:
    """List the job in order; a step says how much there is of it, or what is missing."""
    stops = sum(f.severity is Severity.STOP for f in plan.findings)
    mends = sum(f.severity is Severity.FIX for f in plan.findings)
    marks = len(plan.layout.marks) if plan.layout else 0
    runs = len(plan.cable.runs) if plan.cable else 0
    todo = f"{_count(stops, 'thing stops', 'things stop')} the job, {_count(mends, 'should', 'should')} be mended."
    return (
        ("Read the cautions" + (" and get leave for holes" if _drills(plan) else ""), ""),
        ("Mend what the findings say", todo if stops or mends else _notes(len(plan.findings))),
        ("Check the floor plan with a tape", "One wall and one diagonal are enough to catch a slip."),
        (
            "Mark every place",
            f"{_count(marks, 'place', 'places')}, two tapes and a height each."
            if marks
            else "No places yet.",
        ),
        ("Buy what is missing", ""),
        (
            "Lay the cable dry, cut, label both ends",
            _count(runs, "run", "runs") + "." if runs else "No runs yet.",
        ),
        ("Fix and pull, the longest run first", ""),
        ("Test every run with everything unplugged", "Through, not short, the right one, plus to plus."),
        (
            "Connect by the terminal map",
            _leave_off(plan) or "Volume down, one loudspeaker at a time; somebody else says where it sounds.",
        ),
        *_proofs(plan),
        (
            "Write what was built differently into the boxes",
            "Type it in, print the next revision, throw this one away.",
        ),
    )


def _brief(worst: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Keep of the worst findings what the cover has room for; what stops the job keeps at least its subject."""
    told, left = [], LETTERS
    for found in worst:
        words = f"{' '.join(found['messages'])} {found['advice']}"
        brief = f"{found['messages'][0]} {found['advice']}"
        first = f"{found['messages'][0].split('. ')[0].rstrip('.')}. See Findings."
        text = next((one for one in (words, brief, first) if len(one) <= left), "See Findings.")
        left -= len(text)
        told.append({"word": found["word"], "subject": found["subject"], "text": text})
    return told


def _leave_off(plan: Plan) -> str:
    names = plan.level.refused if plan.level is not None else ()
    return f"Leave off {listed(names)}: do not connect, see Levels at the seats." if names else ""


def _drills(plan: Plan) -> bool:
    """Tell whether anything is drilled: a hole for a cable, or a fixing in a wall or ceiling."""
    fixed = (Mount.WALL, Mount.CEILING)
    hung = plan.layout is not None and any(one.mount in fixed for one in plan.layout.loudspeakers)
    inside = ("cavity", "attic")
    runs = plan.cable.runs if plan.cable is not None else ()
    pulled = any(leg.surface in inside for run in runs for leg in run.legs)
    chosen = plan.cable.alternatives[:1] if plan.cable is not None else ()
    return hung or pulled or any(one.holes for one in chosen)


def _proofs(plan: Plan) -> tuple[tuple[str, str], ...]:
    count = len(plan.chain.proof) if plan.chain else 0
    if not count:
        return ()
    return (
        ("Prove that each format arrives", _count(count, "service", "services") + " to play and to read."),
    )


def _notes(number: int) -> str:
    return (
        f"Nothing stops the job; {_count(number, 'note', 'notes')} to read." if number else "There are none."
    )


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"


def _sketch(project: Project, plan: Plan) -> dict[str, str] | None:
    if not plan.survey.sound:
        return None
    scene = floor_sketch(project, plan, SKETCH_MM)
    return drawn_data(svg(scene, theme="print", sheet=False), scene.about)
