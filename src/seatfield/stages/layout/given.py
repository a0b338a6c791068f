"""Given places that something forbids or hides: a passage, a radiator, the picture, furniture in the line of sight."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from seatfield.geometry.batch import Floats
from seatfield.model import Finding, Input, Mount, Severity, Trace
from seatfield.stages.layout.checking import Look
from seatfield.stages.layout.placing import Box, Ground, box_of
from seatfield.stages.layout.placing.merit import sight_costs
from seatfield.stages.layout.placing.obstacles import Obstacle
from seatfield.stages.layout.placing.places import mount_of
from seatfield.stages.layout.result import Placed

TOLD_ELSEWHERE = ("the room's walls", "the ceiling", "the reach of its mount", "the floor before the seats")
COMMON = "common practice, no source"


def given_findings(
    look: Look, ground: Ground, speakers: tuple[Placed, ...], keys: dict[str, str]
) -> Iterator[Finding]:
    """Find given places that are barred by something that the survey does not look at, or lie out of sight.

    Parameters
    ----------
    look
        Project, room and system.
    ground
        The room as the placing sees it.
    speakers
        The loudspeakers as judged.
    keys
        Place in the file by loudspeaker id.

    Yields
    ------
    Finding
        One per loudspeaker and obstacle, and one per loudspeaker out of sight.
    """
    for (mount, box), some in _alike(look, speakers).items():
        points = np.array([one.at for one in some])
        hidden = sight_costs(ground, points, mount)["behind furniture"]
        own = tuple(obstacle for obstacle in ground.obstacles if _own_matter(obstacle.name, look))
        for one, barring, shaded in zip(some, _barring(own, points, mount, box), hidden, strict=True):
            key = f"{keys.get(one.id, '')}.at"
            for obstacle in barring:
                yield _barred(one, obstacle.name, obstacle.change, key)
            if shaded:
                yield _out_of_sight(look, one, key)


def _barring(
    obstacles: tuple[Obstacle, ...], points: Floats, mount: Mount, box: Box
) -> Iterator[tuple[Obstacle, ...]]:
    """Yield what bars each given place: its centre counts, without the clearances that the search keeps."""
    slim = replace(box, width_m=0.02, depth_m=0.02, door_clear_m=0.0)
    hit = np.array(
        [one.hit(points, mount, box if one.name == "the picture" else slim) for one in obstacles], dtype=bool
    ).reshape(len(obstacles), len(points))
    for struck in hit.T:
        yield tuple(one for one, bars in zip(obstacles, struck, strict=True) if bars)


def _alike(look: Look, speakers: tuple[Placed, ...]) -> dict[tuple[Mount, Box], list[Placed]]:
    """Group the loudspeakers that the file places by mount and size."""
    given = {one.id: one for one in look.project.loudspeakers}
    models = {model.name: model for model in look.project.models}
    found: dict[tuple[Mount, Box], list[Placed]] = {}
    for one in speakers:
        if one.at is not None and not one.placed and one.id in given:
            key = mount_of(look.project, given[one.id], one.at), box_of(models.get(one.model))
            found.setdefault(key, []).append(one)
    return found


def _own_matter(name: str, look: Look) -> bool:
    """Tell whether nothing else tells of an obstacle: survey and layout have their own words for most."""
    room, limits = look.survey.room, look.project.limits
    told = {piece.name for piece in room.furniture} | {area.name for area in limits.keep_out}
    told |= {f"seat {seat.name}" for seat in look.project.seats}
    return name not in told and name not in TOLD_ELSEWHERE and not name.startswith("the swing of")


def _barred(one: Placed, name: str, change: str, key: str) -> Finding:
    why = {
        "the picture": "hides part of the picture from the main seat",
        "no holes in walls": "hangs on a wall, and no holes are allowed in walls",
        "no holes in the ceiling": "hangs from the ceiling, and no holes are allowed in it",
        "a ceiling that throws no sound back": "fires at a ceiling that does not throw its sound to the main seat",
        "a walkway": "stands in a walkway",
        "a radiator": "is too near to a radiator",
    }.get(name, f"stands in {name}" if name.startswith("the way through") else f"is where {name} is")
    return Finding(
        "layout.place-barred",
        Severity.FIX,
        one.id,
        f"{one.plain_name.capitalize()} {why}.",
        source=f"limits and openings in the file; clearances: {COMMON}",
        advice=f"Move it, or: {change[:1].lower()}{change[1:]}."
        if change
        else "Move it, or mount it in another way.",
        at=one.at,
        key=key,
    )


def _out_of_sight(look: Look, one: Placed, key: str) -> Finding:
    assert one.at is not None
    named = (("ear", look.head), ("loudspeaker", one.at))
    inputs = tuple(
        Input(f"{what} {axis}", v, "m") for what, at in named for axis, v in zip("xyz", at, strict=True)
    )
    return Finding(
        "layout.out-of-sight",
        Severity.NOTE,
        one.id,
        f"Furniture stands between the main seat and {one.plain_name}: its treble is shaded there.",
        source=COMMON,
        advice="Raise the loudspeaker, lower what is in between, or move one of them aside.",
        at=one.at,
        key=key,
        trace=Trace(
            "the straight line from ear to acoustic centre passes through a piece of furniture", inputs
        ),
    )
