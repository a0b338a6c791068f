"""The JSON API: each handler asks the pipeline one question."""

from datetime import UTC, datetime
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Body, Depends, Query, Request
from starlette.responses import Response

from seatfield.model import Finding, LengthUnit
from seatfield.pipeline import encode_plan
from seatfield.pipeline.bench import Bench, State
from seatfield.pipeline.commands import change_of
from seatfield.pipeline.comparing import Comparison
from seatfield.pipeline.listing import listed_cautions, listed_finishes, listed_systems
from seatfield.pipeline.printing import print_survey_sheet, write_whole
from seatfield.pipeline.schemas import project_schema
from seatfield.pipeline.screens import bass_scene, pieces_of, plan_scene, wall_scenes
from seatfield.pipeline.sinks import SinkTold, read_report
from seatfield.pipeline.solid import Solid, solid
from seatfield.web.bodies import Edits, Look, Tick
from seatfield.web.folder import picture, picture_name
from seatfield.web.replies import Plain


def _bench(request: Request) -> Bench:
    found = request.app.state.bench
    assert isinstance(found, Bench)
    return found


Work = Annotated[Bench, Depends(_bench)]
Paper = Literal["a4", "letter"]
Number = Annotated[int, Query(ge=1, le=10_000_000)]
Millimetres = Annotated[float, Query(ge=60, le=2000, allow_inf_nan=False)]
router = APIRouter(prefix="/api", default_response_class=Plain)


def _today() -> datetime:
    return datetime.now().astimezone()


@router.get("/state", responses={200: {"model": State}})
def state(bench: Work) -> Response:
    """Return what is there, what can be taken hold of, and how the job stands."""
    bench.session.look()
    return Plain(bench.state())


@router.get("/plan")
def plan(bench: Work) -> Response:
    """Return everything that is computed of what is shown, as `seatfield plan --json` prints it."""
    return Plain(encode_plan(bench.plan(bench.shown())))


@router.get("/drawing/floor")
def floor(bench: Work, look: Annotated[Look, Depends()]) -> Response:
    """Draw the floor plan as the view wants it, as lines and letters in metres."""
    shown = bench.shown()
    if look.over in {"bass", "listener"}:
        bench.ready_bass()
    return Plain(pieces_of(plan_scene(shown.project, bench.plan(shown), look.drawn())))


@router.get("/drawing/walls")
def walls(bench: Work, width: Millimetres = 300.0, height: Millimetres = 200.0) -> Response:
    """Draw every wall from inside, in rows for a view of a size in millimetres."""
    shown = bench.shown()
    drawn = wall_scenes(shown.project, bench.plan(shown), width, height)
    return Plain([pieces_of(scene) for scene in drawn])


@router.get("/drawing/bass")
def bass(bench: Work, width: Millimetres = 120.0, height: Millimetres = 240.0) -> Response:
    """Draw what each seat hears of the subwoofers; null where nothing is known of it."""
    drawn = bass_scene(bench.plan(bench.shown()), (width, height))
    return Plain(pieces_of(drawn) if drawn else None)


@router.get("/solid", responses={200: {"model": Solid}})
def in_the_round(bench: Work) -> Response:
    """Return the room as solids in metres."""
    shown = bench.shown()
    return Plain(solid(shown.project, bench.plan(shown)))


@router.post("/edits")
def edits(bench: Work, asked: Edits) -> Response:
    """Make commands and save them; refused where the file would have faults."""
    made = bench.session.change(change_of(asked.commands), base=asked.base)
    return Plain({"revision": made.number, "told": made.why})


@router.post("/undo")
def undo(bench: Work) -> Response:
    """Take the latest change back."""
    return Plain({"revision": bench.session.undo().number})


@router.post("/redo")
def redo(bench: Work) -> Response:
    """Make the latest change that was taken back again."""
    return Plain({"revision": bench.session.redo().number})


@router.post("/stop")
def stop(bench: Work) -> Response:
    """Stop what is computed beside the hand."""
    bench.stop()
    return Plain({"stopped": True})


@router.get("/finding", responses={200: {"model": Finding}})
def finding(bench: Work, code: str, subject: str = "") -> Response:
    """Return one finding in full: formula, inputs, source."""
    return Plain(bench.finding(code, subject))


@router.get("/revisions")
def revisions(bench: Work) -> Response:
    """List the revisions of this session."""
    return Plain(
        [
            {"revision": one.number, "why": one.why, "at": f"{one.at:%H:%M}"}
            for one in bench.session.revisions()
        ]
    )


@router.get("/compare", responses={200: {"model": Comparison}})
def compare(bench: Work, left: Number, right: Number) -> Response:
    """Set two revisions side by side."""
    return Plain(bench.compare(left, right))


@router.get("/work")
def work(bench: Work) -> Response:
    """List the work in its order."""
    return Plain(bench.work())


@router.get("/cautions")
def cautions() -> Response:
    """Return the usual cautions, as the pack prints them."""
    return Plain(listed_cautions())


@router.get("/ticks")
def ticks(bench: Work) -> Response:
    """Return what was ticked as done."""
    return Plain(bench.ticks())


@router.post("/ticks")
def tick(bench: Work, asked: Tick) -> Response:
    """Tick something as done, or take the tick back; kept in the project's log."""
    return Plain(bench.tick(asked.what, done=asked.done, at=datetime.now(UTC).isoformat(timespec="seconds")))


@router.get("/pack.pdf", response_class=Response)
def pack(bench: Work, paper: Paper = "a4") -> Response:
    """Print the hand-over pack."""
    return _pdf(bench.pack(paper=paper, day=_today().date()), "pack.pdf")


@router.get("/survey-sheet.pdf", response_class=Response)
def sheet(bench: Work, paper: Paper = "a4") -> Response:
    """Print the blank survey sheet."""
    unit = LengthUnit(bench.state().units)
    return _pdf(print_survey_sheet(paper=paper, unit=unit, day=_today().date()), "survey-sheet.pdf")


def _pdf(content: bytes, name: str) -> Response:
    return Response(
        content, media_type="application/pdf", headers={"content-disposition": f'inline; filename="{name}"'}
    )


@router.get("/pictures/{name}", response_class=Response)
def picture_file(bench: Work, name: str) -> Response:
    """Return a picture of the project's folder, to lie under the plan."""
    content, kind = picture(bench.session.folder, name)
    return Response(content, media_type=kind)


@router.put("/pictures")
def put_picture(
    bench: Work, content: Annotated[bytes, Body(media_type="application/octet-stream")]
) -> Response:
    """Put a picture into the project's folder, under a name of its sort."""
    name = picture_name(content)
    write_whole(bench.session.folder / name, content)
    return Plain({"file": name})


@router.put("/sink-report", responses={200: {"model": SinkTold}})
def sink_report(content: Annotated[bytes, Body(media_type="application/octet-stream")]) -> Response:
    """Read what a display or receiver reports of itself (EDID or ELD); nothing is written."""
    return Plain(read_report(content))


@router.get("/schema")
def schema() -> Response:
    """Return the JSON Schema of the project file, with what each key means."""
    return Plain(project_schema())


@router.get("/choices")
def choices() -> Response:
    """List names that the file may use: sound systems and finishes."""
    return Plain({"systems": _named(listed_systems()), "finishes": listed_finishes()})


def _named(systems: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [{key: entry[key] for key in ("name", "shorthand", "source")} for entry in systems]
