"""The survey: the room settled and looked over before anything is planned in it."""

from dataclasses import replace
from math import dist, isfinite

from seatfield.geometry.ceiling import height, plane_through, volume_below
from seatfield.geometry.polygon import area
from seatfield.model import Finding, Project, Severity
from seatfield.stages.survey.ceiling import ASSUMED_HEIGHT_M, slopes
from seatfield.stages.survey.contents import in_room
from seatfield.stages.survey.doors import door_clashes
from seatfield.stages.survey.openings import on_walls
from seatfield.stages.survey.outline import frames, settle, unsound
from seatfield.stages.survey.ranges import out_of_range
from seatfield.stages.survey.result import Survey
from seatfield.stages.survey.tracing import traced
from seatfield.stages.survey.wording import tell

DOUBTFUL = ("survey.readings-contradict", "survey.diagonals-missing", "survey.misclosure")
"""What leaves the outline open, so that whatever is measured against it may be right after all."""


def plan(project: Project) -> Survey:
    """Settle the room's outline and find what is wrong with the survey.

    Parameters
    ----------
    project
        Everything that the person wrote.

    Returns
    -------
    Survey
        The room with walls as frames, area, volume and heights. Where the outline is unfit, or no main seat
        faces a screen, it is not `sound`, says why, and later stages do not run.
    """
    room, closure, told = settle(project.room, project.units)
    outline = () if any(f.severity is Severity.STOP for f in told) else unsound(room.floor, project.units)
    stops = (*told, *outline, *_seating(project))
    ranges = out_of_range(project, room)
    ceiling = slopes(room)
    if outline or not room.floor:
        return Survey(room, (), 0.0, 0.0, (), closure, False, tuple(map(traced, (*stops, *ranges))), ceiling)
    survey = Survey(
        room,
        frames(room),
        area(room.floor),
        volume_below(room.floor, ceiling),
        tuple(height(ceiling, *corner) for corner in room.floor),
        closure,
        not any(f.severity is Severity.STOP for f in stops),
        (),
        ceiling,
    )
    found = (*on_walls(survey, project.units), *in_room(project, survey), *door_clashes(project, survey))
    if any(f.severity is Severity.STOP for f in found):
        stops = tuple(map(_cause, stops))
    told = (*stops, *ranges, *_ceiling(survey, project), *found)
    return replace(survey, findings=tuple(traced(finding) for finding in told))


def _cause(finding: Finding) -> Finding:
    """Let an outline in doubt stop the job where something on it does: the cause stands above the effect."""
    return replace(finding, severity=Severity.STOP) if finding.code in DOUBTFUL else finding


def _seating(project: Project) -> tuple[Finding, ...]:
    mains = [seat for seat in project.seats if seat.main]
    if len(mains) != 1:
        count = "No seat is" if not mains else f"{len(mains)} seats are"
        return (
            _stop(
                "survey.main-seat", f"{count} marked as the main one; everything is aligned to exactly one."
            ),
        )
    seat, centre = mains[0], project.screen.centre
    if not all(
        isfinite(value) and abs(value) < 1e4 for value in (*seat.head, *centre, project.screen.width_m)
    ):
        return (
            _stop("survey.main-seat", "The main seat or the screen lies further away than any room reaches."),
        )
    if dist(seat.at, centre[:2]) < 0.05:
        message = "The main seat stands at the screen, so there is no direction from one to the other."
        return (_stop("survey.main-seat", message),)
    return ()


def _stop(code: str, message: str) -> Finding:
    advice = "Give one seat `main = true`, at its own place, in the file's units."
    return Finding(code, Severity.STOP, "seat", message, advice=advice, key="seat")


def _ceiling(survey: Survey, project: Project) -> tuple[Finding, ...]:
    room, found = survey.room, []
    if room.ceiling_m is None and not room.ceiling_planes:
        found.append(
            Finding(
                "survey.ceiling-unknown",
                Severity.FIX,
                "ceiling",
                f"The file does not say how high the ceiling is; {tell(ASSUMED_HEIGHT_M, project.units)} is taken.",
                measured=ASSUMED_HEIGHT_M,
                unit="m",
                source="common practice, no source",
                advice="Measure it at two or three places.",
                key="room.ceiling",
            )
        )
    for i, plane in enumerate(room.ceiling_planes):
        if plane_through(*plane.points) is None:
            message = f"The three points of ceiling plane {i} lie on one line in plan, so they give no plane."
            advice = "Give three points that make a triangle on the floor plan."
            found.append(
                Finding(
                    "survey.ceiling-plane",
                    Severity.FIX,
                    "ceiling",
                    message,
                    advice=advice,
                    key=f"room.ceiling[{i}]",
                )
            )
    lowest = min(survey.corner_heights_m)
    if lowest < 0:
        corner = survey.corner_heights_m.index(lowest)
        found.append(
            Finding(
                "survey.ceiling-under-floor",
                Severity.FIX,
                "ceiling",
                f"The ceiling dips {tell(-lowest, project.units)} below the floor at a corner of the room.",
                measured=lowest,
                limit=0.0,
                unit="m",
                source="the ceiling in the file",
                advice="Move the wall to where the slope meets the floor, or check the plane's points.",
                at=(*room.floor[corner], 0.0),
                key="room.ceiling",
            )
        )
    return tuple(found)
