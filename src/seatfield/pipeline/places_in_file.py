"""A state of the file as commands see it: project, plain data, the room as surveyed, lengths in the file's unit."""

import math
import re
from dataclasses import dataclass
from typing import Any

from seatfield.model import LengthUnit, Project
from seatfield.stages import survey
from seatfield.stages.survey import Survey, WallFrame
from seatfield.store import numbered_walls, read_path
from seatfield.units import FOOT_M, INCH_M, QuantityError, parse_length

Path = tuple[str | int, ...]
Spot = tuple[float, float]
FARTHEST_M = 1000.0


class CommandRefusedError(ValueError):
    """A command that makes no sense here; the message says why, and what to do."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where commands work.

    Parameters
    ----------
    project, data
        The project, and the file's plain data as typed, but with walls by number.
    survey
        The room as surveyed.
    """

    project: Project
    data: dict[str, Any]
    survey: Survey

    @property
    def step_m(self) -> float:
        """Step to which places spring: a centimetre, or half an inch [m]."""
        return 0.01 if self.project.units is LengthUnit.METRE else INCH_M / 2

    def path(self, key: str) -> Path:
        """Return the path that a key names."""
        try:
            path = read_path(key)
        except ValueError as refused:
            raise CommandRefusedError(f"{refused}.") from refused
        if not path:
            raise CommandRefusedError("A place in the file is missing; it is written like seat[0].at.")
        return path

    def stands(self, path: Path) -> bool:
        """Whether there is something at a path."""
        return self.raw(path) is not None

    def raw(self, path: Path) -> Any:
        """Return what was typed at a path; None where nothing was."""
        data: Any = self.data
        for step in path:
            try:
                data = data[step]
            except (KeyError, IndexError, TypeError):
                return None
        return data

    def rows(self, name: str) -> list[dict[str, Any]]:
        """Return the tables of a list; none where there is no such list."""
        found = self.data.get(name, [])
        return found if isinstance(found, list) else []

    def number(self, length_m: float) -> float:
        """Write a length as a plain number of the file's unit, to the millimetre."""
        if self.project.units is LengthUnit.METRE:
            return round(length_m, 3) + 0.0
        feet = round(length_m / FOOT_M, 3) + 0.0
        # Decimal feet that look like feet and inches are asked about by the door.
        return feet + 0.001 if re.fullmatch(r"-?\d+\.(10|11)", str(feet)) else feet

    def spot(self, spot: Spot) -> list[float]:
        """Write a place as plain numbers of the file's unit."""
        return [self.number(spot[0]), self.number(spot[1])]

    def length_m(self, text: str) -> float:
        """Read a length as typed, in the file's unit where it has none of its own [m]."""
        try:
            return parse_length(text, "m" if self.project.units is LengthUnit.METRE else "ft")
        except QuantityError as refused:
            raise CommandRefusedError(f"{refused}") from refused

    def wall(self, number: int) -> WallFrame:
        """Return a wall by its number."""
        if not 0 <= number < len(self.survey.walls):
            raise CommandRefusedError(
                f"There is no wall {number}; the room's walls are 0 to {len(self.survey.walls) - 1}."
            )
        return self.survey.walls[number]

    def nearest_wall(self, spot: Spot) -> WallFrame:
        """Return the wall that a place is nearest to."""
        self.refuse_if_unfit()
        return min(self.survey.walls, key=lambda wall: off_m(wall, spot))

    def refuse_if_unfit(self) -> None:
        """Refuse what needs walls while the outline has none that can be computed with."""
        if not self.survey.sound or not self.survey.walls:
            raise CommandRefusedError(
                "The room cannot be computed with as it is, so this has no place in it; mend what the notes say first."
            )


def at_place(project: Project, data: dict[str, Any]) -> Place:
    """Return the state of a file for commands to work on."""
    return Place(project, numbered_walls(data), survey.plan(project))


def sound_spot(spot: Spot) -> Spot:
    """Return a place if it is one that a room can have."""
    if not all(math.isfinite(value) and abs(value) < FARTHEST_M for value in spot):
        raise CommandRefusedError(
            "That place is out of reach; a place lies within 1000 m of the plan's origin."
        )
    return spot


def along_m(wall: WallFrame, spot: Spot) -> float:
    """How far along a wall a place lies, from its first corner [m]."""
    return (spot[0] - wall.start[0]) * wall.along[0] + (spot[1] - wall.start[1]) * wall.along[1]


def off_m(wall: WallFrame, spot: Spot) -> float:
    """Distance of a place from a wall, ends included [m]."""
    along = min(max(along_m(wall, spot), 0.0), wall.length_m)
    return math.dist(spot, (wall.start[0] + along * wall.along[0], wall.start[1] + along * wall.along[1]))
