"""What would have to change so that a channel finds a place inside its window: the least burden first."""

from dataclasses import dataclass, replace

import numpy as np

from seatfield.catalogue.systems import Channel
from seatfield.geometry.direction import outside_window_deg
from seatfield.model import Furniture, Mount, Point, Project, Seat
from seatfield.stages.layout.placing.carriers import Box
from seatfield.stages.layout.placing.ground import Ground, ground_of
from seatfield.stages.layout.placing.pools import Job
from seatfield.stages.layout.placing.spots import SpotBook
from seatfield.stages.layout.windows import widened
from seatfield.stages.survey import Survey, is_seating, tell

SEAT_STEPS_M = tuple(0.1 * k for k in range(1, 13))
COARSE_M = 0.10
MOST_PATTERNS = 60
"""The least burdensome ways to open places for one channel that are weighed with those of the other side."""


@dataclass(frozen=True, slots=True)
class Change:
    """What to change, as sentences without their full stops, and how much that asks of the household."""

    steps: tuple[str, ...]
    burden: float

    @property
    def words(self) -> str:
        """All steps in one sentence, without its full stop."""
        return " and ".join([*self.steps[:1], *(step[:1].lower() + step[1:] for step in self.steps[1:])])


def cheapest_change(ground: Ground, book: SpotBook, job: Job, twin: Job | None = None) -> Change | None:
    """Return the least change after which a channel has a place inside its window.

    Parameters
    ----------
    ground, book
        The room and its grids.
    job
        The channel.
    twin
        The other side of its pair, where one change is to serve both.

    Returns
    -------
    Change or None
        Obstacles to lift where that suffices, else how far to move the main seat; None where neither helps.
    """
    jobs = (job,) if twin is None else (job, twin)
    lifted = _lifting(ground, book, jobs)
    moved = _moving(ground, jobs) if lifted is None or lifted.burden > 5 else None
    options = [change for change in (lifted, moved) if change is not None]
    return min(options, key=lambda change: change.burden, default=None)


def _lifting(ground: Ground, book: SpotBook, jobs: tuple[Job, ...]) -> Change | None:
    burdens = np.array([obstacle.burden for obstacle in ground.obstacles])

    def asks(pattern: int) -> float:
        hit = [number for number in range(len(burdens)) if pattern >> number & 1]
        return float(burdens[hit].sum()) if hit else 0.0

    options = [0]
    for job in jobs:
        own = sorted(_patterns(book, job), key=lambda pattern: (asks(pattern), pattern))[:MOST_PATTERNS]
        both = {one | other for one in options for other in own}
        options = [pattern for pattern in both if np.isfinite(asks(pattern))]
    if not options:
        return None
    best = min(options, key=lambda pattern: (asks(pattern), pattern))
    steps = (one.change for number, one in enumerate(ground.obstacles) if best >> number & 1)
    return Change(tuple(steps), asks(best))


def _patterns(book: SpotBook, job: Job) -> set[int]:
    """Return what forbids the places inside a channel's window, one bit per obstacle."""
    found: set[int] = set()
    for mount in job.mounts:
        spots = book.spots(job.channel, mount, job.box)
        inside = _inside(job.channel, spots.heard.azimuth_deg, spots.heard.elevation_deg)
        found.update(np.unique(spots.bits[inside]).tolist())
    return found


def _inside(channel: Channel, azimuth: np.ndarray, elevation: np.ndarray) -> np.ndarray:
    azimuths, elevations = widened(channel.azimuth_window or ()), widened(channel.elevation_window or ())
    rough = np.any(
        [(elevation >= low - 1e-6) & (elevation <= high + 1e-6) for low, high in elevations], axis=0
    )
    rough[rough] = outside_window_deg(azimuth[rough], elevation[rough], azimuths, elevations) <= 1e-6
    return np.asarray(rough)


def _moving(ground: Ground, jobs: tuple[Job, ...]) -> Change | None:
    """Move the main seat, with what it sits on, towards or away from the screen until a place opens."""
    for step in SEAT_STEPS_M:
        for sign, words in ((1, "towards the screen"), (-1, "away from the screen")):
            shifted = shifted_ground(ground, sign * step)
            if shifted is not None and all(
                reachable(shifted, job.channel, job.mounts, job.box) for job in jobs
            ):
                far = tell(step, ground.project.units)
                return Change((f"Move the main seat {far} {words}",), 4.0 + 2 * step)
    return None


def shifted_ground(ground: Ground, ahead_m: float, *, sideways_m: float = 0.0) -> Ground | None:
    """Return the room with the main seat, and what it sits on, moved.

    Parameters
    ----------
    ground
        The room.
    ahead_m, sideways_m
        Towards the screen and to the left [m].

    Returns
    -------
    Ground or None
        None where the seat would leave the room or come within half a metre of the screen.
    """
    way = ahead_m * ground.ahead + sideways_m * ground.left
    project = moved_seat(ground.project, (float(way[0]), float(way[1])))
    head, screen = np.array(project.main_seat.at), np.array(project.screen.centre[:2])
    inside = bool(ground.survey.room.floor) and _in_room(ground.survey, project.main_seat.at)
    if not inside or np.hypot(*(screen - head)) < 0.5:
        return None
    return ground_of(
        project, replace(ground.survey, room=replace(ground.survey.room, furniture=project.room.furniture))
    )


def _in_room(survey: Survey, at: Point) -> bool:
    from seatfield.geometry.polygon import contains

    return contains(survey.room.floor, at)


def moved_seat(project: Project, way: Point) -> Project:
    """Return a project with the main seat, and the seating that it is on, moved by a way in plan [m]."""
    from seatfield.geometry.polygon import encloses

    main = project.main_seat

    def seat_moved(seat: Seat) -> Seat:
        return replace(seat, at=(seat.at[0] + way[0], seat.at[1] + way[1])) if seat.main else seat

    def piece_moved(piece: Furniture) -> Furniture:
        if len(piece.outline) < 3 or not is_seating(piece) or not encloses(piece.outline, main.at):
            return piece
        return replace(piece, outline=tuple((x + way[0], y + way[1]) for x, y in piece.outline))

    room = replace(project.room, furniture=tuple(piece_moved(piece) for piece in project.room.furniture))
    return replace(project, seats=tuple(seat_moved(seat) for seat in project.seats), room=room)


def reachable(ground: Ground, channel: Channel, mounts: tuple[Mount, ...], box: Box) -> bool:
    """Tell, on a coarse grid, whether a channel has a free place inside its window."""
    book = SpotBook(ground, COARSE_M)
    for mount in mounts:
        spots = book.free(channel, mount, box)
        if _inside(channel, spots.heard.azimuth_deg, spots.heard.elevation_deg).any():
            return True
    return False
