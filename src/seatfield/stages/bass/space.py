"""The room solved: its modes, its losses, and what is heard from anywhere to anywhere."""

from dataclasses import dataclass, replace
from functools import lru_cache
from math import pi, sqrt

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from seatfield.acoustics import (
    Doubt,
    Losses,
    MeshParams,
    RoomModes,
    boundary_losses,
    enrich,
    room_modes,
    transfer,
)
from seatfield.geometry.ceiling import height
from seatfield.geometry.polygon import encloses
from seatfield.model import Point3, Project, Seat
from seatfield.stages.bass.shell import Plane3, Shell
from seatfield.stages.survey import Survey

Floats = NDArray[np.float64]
Complex = NDArray[np.complex128]

TO_HZ = {2: 220.0, 3: 210.0}
"""Modes are found up to here, in the plan and under slopes; responses hold well below it [Hz]."""
FULL_HZ = 330.0
"""Modes for responses up to 300 Hz are found up to here [Hz]."""
HEARD_HZ = (16.0, 160.0)
"""Range of the merits, gaps and crossovers [Hz]."""
STEP_HZ = 1.2
"""Evenly spaced: a mode that dies away in 2 s is 1.1 Hz wide, at any frequency. Against steps of a quarter of a hertz,
merits in the examples are within 0.2 dB root mean square."""
ABOVE = 1.15
"""Modes are found this far above the highest frequency at which the room is heard."""
KNOWN = Doubt()
MOST_BASES = {2: 450, 3: 170}
"""So many base modes at most, by dimension: beyond, the room is too large for single modes to matter."""
LEAST_HZ = 60.0
FINENESS = {2: MeshParams(per_wavelength=0.75, corner_levels=3), 3: MeshParams(per_wavelength=0.66)}
"""By dimension. In the plan the highest frequencies are within 0.03 % of a refinement's and half of all within 0.001 %;
what walls give is a hundred times that."""
UNDER_M = 0.02


@dataclass(frozen=True, slots=True)
class Space:
    """A room solved.

    Parameters
    ----------
    names, seats
        Listeners, and their ears, shape (seats, 3) [m].
    freq_hz
        Frequencies at which the room is heard [Hz].
    """

    shell: Shell
    modes: RoomModes
    losses: Losses
    names: tuple[str, ...]
    seats: Floats
    freq_hz: Floats

    def hear(self, sources: ArrayLike, receivers: ArrayLike | None = None, doubt: Doubt = KNOWN) -> Complex:
        """Return the pressure at receivers, the seats if None; shape (sources, receivers, frequencies) [1]."""
        ends = self.seats if receivers is None else np.atleast_2d(np.asarray(receivers, dtype=float))
        return transfer(self.modes, self.losses, self.under(sources), self.under(ends), self.freq_hz, doubt)

    def with_boundary(self, shell: Shell) -> "Space":
        """Return the same room with other losses, such as a door that stands open."""
        return replace(self, shell=shell, losses=boundary_losses(self.modes, shell.boundary))

    def under(self, points: ArrayLike) -> Floats:
        """Return points kept between floor and ceiling, shape (points, 3) [m]."""
        at = np.atleast_2d(np.asarray(points, dtype=float)).copy()
        if self.modes.height_m is not None:
            at[:, 2] = np.clip(at[:, 2], 0.0, self.modes.height_m)
        return at


def reachable_hz(shell: Shell, wanted_hz: float | None, speed_of_sound_m_s: float) -> float:
    """Return up to which frequency a room's modes can be found within bounds of work [Hz].

    Notes
    -----
    Weyl's law with its boundary term, solved for the wave number at which the modes are too many.
    """
    area, rim = shell.floor.area, shell.floor.length
    wanted_hz = wanted_hz or TO_HZ[2 if shell.flat else 3]
    if shell.flat:
        a, b, most = area / (4 * pi), rim / (4 * pi), MOST_BASES[2]
        k = (-b + sqrt(b * b + 4 * a * most)) / (2 * a)
    else:
        mean = shell.volume_m3 / area
        surface, most = 2 * area + rim * mean, MOST_BASES[3]
        grid = np.linspace(0.05, 8.0, 800)
        count = shell.volume_m3 * grid**3 / (6 * pi**2) + surface * grid**2 / (16 * pi)
        k = float(grid[np.searchsorted(count, most, side="right") - 1])
    return float(min(wanted_hz, k * speed_of_sound_m_s / (2 * pi)))


@dataclass(frozen=True, slots=True)
class Span:
    """How far up a room is solved, and at which frequencies it is heard.

    Parameters
    ----------
    to_hz
        Modes are found up to here, or as far as the room allows; `TO_HZ` if None [Hz].
    freq_hz
        Frequencies; evenly spaced over `HEARD_HZ`, as far as the modes allow, if None [Hz].
    """

    to_hz: float | None = None
    freq_hz: Floats | None = None


def solve(
    shell: Shell,
    seats: tuple[Seat, ...],
    near: tuple[Point3, ...],
    speed_of_sound_m_s: float,
    span: Span | None = None,
) -> Space:
    """Solve a room.

    Parameters
    ----------
    shell
        The room.
    seats
        Listeners, all in the room.
    near
        Other places that much is heard from or at, such as the subwoofers that stand there [m].
    speed_of_sound_m_s
        Speed of sound [m/s].
    span
        How far up, and at which frequencies.

    Returns
    -------
    Space
        Modes enriched at the seats, the places near, and the doors, so that those may be opened.
    """
    span = span or Span()
    top_hz = reachable_hz(shell, span.to_hz, speed_of_sound_m_s)
    bare = _rigid(shell.floor, shell.ceiling, top_hz, speed_of_sound_m_s)
    ears = np.array([seat.head for seat in seats], dtype=float).reshape(-1, 3)
    points = np.concatenate([ears, np.array(near, dtype=float).reshape(-1, 3)])
    modes = enrich(bare, points, shell.opened) if len(points) else bare
    freq_hz = _spaced(top_hz) if span.freq_hz is None else span.freq_hz
    losses = boundary_losses(modes, shell.boundary)
    return Space(shell, modes, losses, tuple(seat.name for seat in seats), ears, freq_hz)


def _spaced(top_hz: float) -> Floats:
    """Return even steps over what is heard, as far as modes up to `top_hz` allow [Hz]."""
    low, high = HEARD_HZ[0], min(HEARD_HZ[1], top_hz / ABOVE)
    steps = np.arange(int((high - low) / STEP_HZ + 1e-9) + 1)
    return np.asarray(low + STEP_HZ * steps, dtype=float)


@lru_cache(maxsize=2)
def _rigid(
    floor: shapely.Polygon, ceiling: float | tuple[Plane3, ...], to_hz: float, speed_of_sound_m_s: float
) -> RoomModes:
    """Solve the bare room: the modes stay as long as floor and ceiling do, whatever is moved about in it."""
    mesh = FINENESS[2 if isinstance(ceiling, float | int) else 3]
    return room_modes(floor, ceiling, to_hz=to_hz, speed_of_sound_m_s=speed_of_sound_m_s, mesh=mesh)


def in_room(survey: Survey, at: Point3) -> bool:
    """Tell whether a point lies in the room, a little under the ceiling."""
    return (
        encloses(survey.room.floor, at[:2]) and 0.0 <= at[2] < height(survey.ceiling, at[0], at[1]) - UNDER_M
    )


def listeners(project: Project, survey: Survey) -> tuple[Seat, ...]:
    """Return the seats whose ears are in the room, in the file's order."""
    return tuple(seat for seat in project.seats if in_room(survey, seat.head))
