"""Places for every channel of a sound system: what is given stays, the rest is sought, group by group."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import dist

import numpy as np

from seatfield.catalogue.systems import Channel, SoundSystem
from seatfield.geometry.polygon import boundary_distance
from seatfield.model import Loudspeaker, Mount, Point3, Project
from seatfield.stages.layout.placing.carriers import box_of, mounts_for
from seatfield.stages.layout.placing.ground import Ground
from seatfield.stages.layout.placing.hearing import heard_from
from seatfield.stages.layout.placing.merit import Merit, Spot, merit
from seatfield.stages.layout.placing.pools import Job
from seatfield.stages.layout.placing.search import Found, place_group
from seatfield.stages.layout.placing.spots import STEP_M, SpotBook
from seatfield.stages.layout.placing.weights import WEIGHTS
from seatfield.stages.layout.result import Verdict
from seatfield.stages.layout.windows import deviation_deg, mirrored_label, verdict_of

MOST_PLACES = 40_000
"""Plan points of the grid, and half the places on the walls, at most."""

ORDER = ("M+030", "M+000", "M+090", "M+110", "M+135", "M+060", "M+SC", "U", "M", "B", "T")
"""Groups are placed in this order, so that the front has its choice first."""


@dataclass(frozen=True, slots=True)
class Places:
    """Where every channel of a system goes.

    Parameters
    ----------
    spots
        By channel label, given and found; what has no possible place is left out.
    found
        What was sought, by group.
    merit
        Of the whole.
    """

    spots: dict[str, Spot]
    jobs: dict[str, Job]
    found: tuple[Found, ...]
    merit: Merit
    book: SpotBook
    ground: Ground

    @property
    def tried(self) -> int:
        """Places of the grid that were weighed."""
        return sum(sum(group.tried) for group in self.found)

    @property
    def gap(self) -> float:
        """How much more merit another placing on the grid could have, at most."""
        return sum(group.gap for group in self.found)

    @property
    def polish_gain(self) -> float:
        """How much the polish added to the best of the grid."""
        return sum(group.grid_cost - group.cost for group in self.found)


def place(ground: Ground, system: SoundSystem, *, step_m: float = STEP_M) -> Places:
    """Seek a place for every channel of a system that has none.

    Parameters
    ----------
    ground
        The room.
    system
        The sound system.
    step_m
        Step of the grid [m].

    Returns
    -------
    Places
        Channels for which nothing nearer than the verdict "not possible" exists have no spot.
    """
    jobs = {channel.label: job_of(ground.project, channel) for channel in placeable(system)}
    book = SpotBook(ground, fitting_step_m(ground, step_m))
    spots = {label: job.fixed for label, job in jobs.items() if job.fixed is not None}
    found = []
    for labels in groups(jobs):
        open_ = [label for label in labels if jobs[label].fixed is None]
        if not open_:
            continue
        taken = tuple(spot for label, spot in spots.items() if label not in labels)
        for group in _sought(ground, book, tuple(jobs[label] for label in labels), taken):
            found.append(group)
            spots.update(
                {
                    label: spot
                    for label, spot in zip(group.labels, group.spots, strict=True)
                    if jobs[label].fixed is None and possible(ground, jobs[label].channel, spot)
                }
            )
    boxes = {label: job.box for label, job in jobs.items()}
    return Places(spots, jobs, tuple(found), merit(ground, system, spots, boxes), book, ground)


def placeable(system: SoundSystem) -> tuple[Channel, ...]:
    """Return the channels that are placed by direction: those with a window, but for the low-frequency ones."""
    return tuple(c for c in system.channels if c.azimuth_window is not None and not c.low_frequency)


def fitting_step_m(ground: Ground, step_m: float) -> float:
    """Return the step, or a wider one where the room is so large that the grid would not fit [m]."""
    round_ = sum(wall.length_m for wall in ground.survey.walls)
    return float(
        max(step_m, (ground.survey.area_m2 / MOST_PLACES) ** 0.5, (1.5 * round_ / MOST_PLACES) ** 0.5)
    )


def _sought(
    ground: Ground, book: SpotBook, jobs: tuple[Job, ...], taken: tuple[Spot, ...]
) -> Iterator[Found]:
    """Place a pair together; where one side has no place at all, the other alone."""
    together = place_group(ground, book, jobs, taken)
    if together is not None:
        yield together
    elif len(jobs) == 2:
        for job in jobs:
            alone = place_group(ground, book, (job,), taken) if job.fixed is None else None
            if alone is not None:
                yield alone


def possible(ground: Ground, channel: Channel, spot: Spot) -> bool:
    """Tell whether a place is better than "not possible" for a channel."""
    heard = heard_from(ground, np.array([spot.at]), spot.mount)
    deviation = deviation_deg(channel, float(heard.azimuth_deg[0]), float(heard.elevation_deg[0]))
    return verdict_of(deviation) is not Verdict.NOT_POSSIBLE


def groups(jobs: dict[str, Job]) -> list[tuple[str, ...]]:
    """Return the channels in groups: left with right, the rest alone, in the order of placing.

    Parameters
    ----------
    jobs
        By channel label.

    Returns
    -------
    list
        Tuples of one or two labels, left before right.
    """
    made: list[tuple[str, ...]] = []
    for label in jobs:
        other = mirrored_label(label)
        if other == label or other not in jobs:
            made.append((label,))
        elif "+" in label:
            made.append((label, other))
    return sorted(
        made, key=lambda labels: next(i for i, start in enumerate(ORDER) if labels[0].startswith(start))
    )


def job_of(project: Project, channel: Channel) -> Job:
    """Return what is to be placed for a channel.

    Parameters
    ----------
    project
        Everything that the person wrote.
    channel
        The channel.

    Returns
    -------
    Job
        Fixed where one of its loudspeakers has a position; a small loudspeaker where the file has none.
    """
    own = [one for one in project.loudspeakers if one.channel == channel.label]
    given = next((one for one in own if one.at is not None), None)
    one = given or next(iter(own), None)
    model = next((m for m in project.models if one is not None and m.name == one.model), None)
    fixed = (
        Spot(given.at, mount_of(project, given, given.at))
        if given is not None and given.at is not None
        else None
    )
    return Job(channel, mounts_for(channel.label, model, one.mount if one else None), box_of(model), fixed)


def mount_of(project: Project, one: Loudspeaker, at: Point3) -> Mount:
    """Return a loudspeaker's mount, guessed from its height and the nearest wall where the file says none."""
    if one.mount is not None:
        return one.mount
    room = project.room
    if room.ceiling_m is not None and at[2] > room.ceiling_m - 0.3:
        return Mount.CEILING
    near_wall = len(room.floor) > 2 and boundary_distance(room.floor, at[:2]) < 0.35
    return Mount.WALL if near_wall and (at[2] > 1.5 or _over_picture(project, at)) else Mount.STAND


def _over_picture(project: Project, at: Point3) -> bool:
    screen = project.screen
    return (
        at[2] > screen.centre[2] + screen.height_m / 2
        and dist(at[:2], screen.centre[:2]) < screen.width_m / 2
    )


def outside_cost(cost: float) -> bool:
    """Tell whether a group's cost says that something in it lies outside its window."""
    return cost >= WEIGHTS.outside
