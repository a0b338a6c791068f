"""The merit of every place for a subwoofer, and of every place for a listener, from one solution each."""

from math import sqrt

import numpy as np
import shapely

from seatfield.acoustics import Bands, MeritParams, Score, make_bands
from seatfield.geometry.ceiling import height
from seatfield.model import Project, SubwooferModel
from seatfield.stages.bass.params import BassParams
from seatfield.stages.bass.result import BassSpot, Field
from seatfield.stages.bass.space import Floats, Space
from seatfield.stages.bass.spots import Floor
from seatfield.stages.survey import Survey

LOWEST_HZ = (20.0, 40.0)
"""The merit begins at the subwoofers' low corner, within these: below, a person equalises or does without [Hz]."""
USUAL_CORNER_HZ = 25.0
GRID = 420
"""About how many points a field has."""
MAP_WORDS = "unevenness of the bass over all seats, with one subwoofer here"
SEAT_WORDS = "unevenness of the bass for one listener here"


def models_of(project: Project) -> tuple[SubwooferModel, ...]:
    """Return the models of the project's subwoofers; all that it lists where it has none."""
    used = {one.model for one in project.subwoofers}
    return (
        tuple(model for model in project.subwoofer_models if model.name in used) or project.subwoofer_models
    )


def bands_of(space: Space, project: Project, params: BassParams, seats: int | None = None) -> Bands:
    """Gather the frequencies into bands of a sixth of an octave.

    Parameters
    ----------
    space
        The room solved.
    project
        Whose subwoofers' low corner is where the merit begins.
    params
        The range, where it is given.
    seats
        How many listeners; as many as the room was solved for if None.

    Returns
    -------
    Bands
        All listeners count the same.
    """
    corners = [model.low_corner_hz for model in models_of(project) if model.low_corner_hz]
    low, high = LOWEST_HZ
    start = params.low_hz or min(max(min(corners, default=USUAL_CORNER_HZ), low), high)
    wanted = MeritParams(start, min(params.high_hz, space.freq_hz[-1]), spread_weight=params.spread_weight)
    return make_bands(space.freq_hz, len(space.seats) if seats is None else seats, wanted)


def spots_of(floor: Floor, score: Score) -> tuple[BassSpot, ...]:
    """Pair places with their merits."""
    return tuple(
        BassSpot(
            (float(at[0]), float(at[1]), float(at[2])),
            float(score.merit_db[i]),
            float(score.uneven_db[i]),
            float(score.spread_db[i]),
            float(score.level_db[i]),
            float(floor.socket_m[i]) if np.isfinite(floor.socket_m[i]) else None,
        )
        for i, at in enumerate(floor.places)
    )


class Grid:
    """Points over the floor at one height, for a field: those in the room, and those a step out at its edge.

    Parameters
    ----------
    survey
        The room as surveyed.
    height_m
        Height of the points above the floor [m].
    """

    def __init__(self, survey: Survey, height_m: float) -> None:
        plan = shapely.Polygon(survey.room.floor)
        step = max(sqrt(survey.area_m2 / GRID), 0.05)
        x0, y0, x1, y1 = plan.bounds
        self.x_m = np.linspace(x0, x1, int((x1 - x0) / step) + 2)
        self.y_m = np.linspace(y0, y1, int((y1 - y0) / step) + 2)
        across, up = np.meshgrid(self.x_m, self.y_m)
        flat = shapely.points(across.ravel(), up.ravel())
        inner = plan.buffer(-0.02, join_style="mitre")
        near = shapely.distance(flat, inner) < 1.5 * step if not inner.is_empty else np.zeros(len(flat), bool)
        feet = (
            shapely.get_coordinates(shapely.shortest_line(inner, flat[near]))[::2]
            if near.any()
            else np.empty((0, 2))
        )
        under = np.array([height(survey.ceiling, float(x), float(y)) for x, y in feet])
        fits = under > height_m + 0.02 if len(feet) else np.empty(0, bool)
        self._cells = np.flatnonzero(near)[fits]
        self.points: Floats = np.column_stack([feet[fits], np.full(int(fits.sum()), height_m)])

    def field(self, values: Floats, what: str) -> Field:
        """Return values at the points as a field, rounded to a hundredth."""
        whole = np.full(len(self.x_m) * len(self.y_m), np.nan)
        whole[self._cells] = values
        rows = whole.reshape(len(self.y_m), len(self.x_m))
        return Field(
            what,
            "dB",
            tuple(float(x) for x in self.x_m),
            tuple(float(y) for y in self.y_m),
            tuple(tuple(round(float(v), 2) if np.isfinite(v) else None for v in row) for row in rows),
        )
