"""How far a predicted response may be off, from what a person does not know of the room."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from seatfield.acoustics.boundary import Losses
from seatfield.acoustics.lagrange import Floats
from seatfield.acoustics.merit import Complex
from seatfield.acoustics.modes import RoomModes
from seatfield.acoustics.response import KNOWN, Doubt, transfer


@dataclass(frozen=True, slots=True)
class DoubtParams:
    """What is not known.

    Attributes
    ----------
    absorption
        Factor either way on every absorption that is not certain; tables stop at 125 Hz [1].
    length_m
        Error of a room's length [m].
    wall_give
        Share by which frequencies move because walls give [1].
    ear_m
        Error of the ear height [m].
    """

    absorption: float = 2.0
    length_m: float = 0.05
    wall_give: float = 0.03
    ear_m: float = 0.05


@dataclass(frozen=True, slots=True)
class ResponseBand:
    """A response and its band, all of shape (sources, receivers, frequencies).

    Attributes
    ----------
    response
        Complex response of the room as described [1].
    level_db
        Its level, relative to the same source at 1 m in free space [dB].
    low_db, high_db
        Lowest and highest level over the doubts [dB].
    """

    response: Complex
    level_db: Floats
    low_db: Floats
    high_db: Floats


def doubts(modes: RoomModes, params: DoubtParams | None = None) -> tuple[Doubt, ...]:
    """Return the room as described, then with one thing different: absorption more, less; frequencies down, up.

    Notes
    -----
    An error of length moves a mode by its share of the length along that mode; √(floor area) stands for that length.
    It and the give of the walls are independent and add as squares.
    """
    params = params or DoubtParams()
    shift = float(np.hypot(params.length_m / np.sqrt(modes.floor.area), params.wall_give))
    return (
        KNOWN,
        Doubt(absorption=params.absorption),
        Doubt(absorption=1 / params.absorption),
        Doubt(size=1 + shift),
        Doubt(size=1 - shift),
    )


def response_band(
    modes: RoomModes,
    losses: Losses,
    sources: ArrayLike,
    receivers: ArrayLike,
    freq_hz: ArrayLike,
    params: DoubtParams | None = None,
) -> ResponseBand:
    """Return responses with the band that one doubt at a time, at three ear heights, spans.

    Parameters
    ----------
    modes, losses, sources, receivers, freq_hz
        As for `transfer`.
    params
        What is not known.

    Returns
    -------
    ResponseBand
        Response, level, lowest and highest level.

    Notes
    -----
    The scenarios are fixed, so the same room gives the same band; it is no confidence interval.
    """
    params = params or DoubtParams()
    at = np.atleast_2d(np.asarray(receivers, dtype=float))
    heights = np.concatenate([at + np.array([0.0, 0.0, rise]) for rise in (0.0, -params.ear_m, params.ear_m)])
    runs = [transfer(modes, losses, sources, heights, freq_hz, doubt) for doubt in doubts(modes, params)]
    levels = 20 * np.log10(np.abs(np.stack(runs)) + 1e-12)
    levels = levels.reshape(len(runs), levels.shape[1], 3, len(at), -1)
    return ResponseBand(
        runs[0][:, : len(at)], levels[0, :, 0], levels.min(axis=(0, 2)), levels.max(axis=(0, 2))
    )


def lead(merit_db: ArrayLike, best: int, rival: int) -> tuple[float, float]:
    """Return by how much the best candidate leads a rival, least and most over all doubts.

    Parameters
    ----------
    merit_db
        Merits under each doubt, lower is better, shape (doubts, candidates) [dB].
    best, rival
        Candidates.

    Returns
    -------
    tuple
        Smallest and largest lead [dB]; there is no clear winner when the smallest is not above zero.
    """
    gap = np.asarray(merit_db, dtype=float)[:, rival] - np.asarray(merit_db, dtype=float)[:, best]
    return float(gap.min()), float(gap.max())
