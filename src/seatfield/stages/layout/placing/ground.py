"""A room as the placing sees it: the main seat's frame, the ceiling, and all that forbids a place."""

from dataclasses import dataclass
from math import hypot

import numpy as np
from numpy.typing import NDArray

from seatfield.geometry.batch import Floats
from seatfield.geometry.polygon import Outline
from seatfield.model import Mount, Project
from seatfield.stages.layout.placing.bounces import ceiling_over
from seatfield.stages.layout.placing.carriers import Box
from seatfield.stages.layout.placing.obstacles import Obstacle, obstacles_of, together
from seatfield.stages.survey import Survey

Bits = NDArray[np.uint64]


@dataclass(frozen=True, slots=True)
class Ground:
    """A room as the placing sees it.

    Parameters
    ----------
    head
        The main seat's head, shape (3,) [m].
    ahead, left
        Unit vectors in plan towards the screen and to the left, shape (2,) [-].
    slopes
        Ceiling planes, shape (k, 3).
    obstacles
        At most 63.
    """

    project: Project
    survey: Survey
    head: Floats
    ahead: Floats
    left: Floats
    slopes: Floats
    obstacles: tuple[Obstacle, ...]

    @property
    def floor(self) -> Outline:
        """The room's outline [m]."""
        return self.survey.room.floor

    def ceiling(self, plan: Floats) -> Floats:
        """Return the ceiling's height over points, shape (n, 2) to (n,) [m]."""
        return ceiling_over(self.slopes, plan)

    def violations(self, points: Floats, mount: Mount, box: Box) -> Bits:
        """Return what forbids each point, one bit per obstacle, 0 where it is free."""
        bits = np.zeros(len(points), np.uint64)
        for number, obstacle in enumerate(self.obstacles):
            bits |= obstacle.hit(points, mount, box).astype(np.uint64) << np.uint64(number)
        return bits


def ground_of(project: Project, survey: Survey) -> Ground:
    """Prepare a room for placing.

    Parameters
    ----------
    project
        Everything that the person wrote.
    survey
        The room as surveyed, sound.

    Returns
    -------
    Ground
        With every obstacle of the room.
    """
    head = np.array(project.main_seat.head)
    way = np.array(project.screen.centre[:2]) - head[:2]
    ahead = way / hypot(*way)
    left = np.array([-ahead[1], ahead[0]])
    slopes = np.array(survey.ceiling)
    obstacles = tuple(obstacles_of(project, survey, (head, ahead, left), slopes))
    if len(obstacles) > 63:
        obstacles = (*obstacles[:62], together(obstacles[62:]))
    return Ground(project, survey, head, ahead, left, slopes, obstacles)
