"""Everything that must be heard, in one solution for each doubt: places, subwoofers, seats where they are and moved."""

from dataclasses import dataclass

import numpy as np

from seatfield.acoustics import DoubtParams, doubts
from seatfield.stages.bass.space import Complex, Floats, Space

EAR_M = DoubtParams().ear_m
RISES_M = (0.0, -EAR_M, EAR_M)
"""Ear heights that a band allows for, against the seat's [m]."""


@dataclass(frozen=True, slots=True)
class Heard:
    """Responses under one doubt.

    Parameters
    ----------
    places
        From places for a subwoofer, those that stand first, at the ears: shape (places, rises, seats, frequencies) [1].
    moved
        From the subwoofers that stand, at ears elsewhere: shape (ears, subwoofers, frequencies) [1].
    """

    places: Complex
    moved: Complex


def hear_all(space: Space, standing: Floats, spots: Floats, ears: Floats) -> tuple[Heard, ...]:
    """Hear everything, under each doubt, the room as described first.

    Parameters
    ----------
    space
        The room.
    standing, spots
        Subwoofers that stand, and places to try, shape (n, 3) [m].
    ears
        Ears elsewhere than at the seats, shape (n, 3) [m].

    Returns
    -------
    tuple of Heard
        One per doubt.

    Notes
    -----
    What is heard at ears elsewhere is got by reciprocity: the ears are the sources, and the subwoofers receive.
    """
    seats = np.concatenate([space.seats + np.array([0.0, 0.0, rise]) for rise in RISES_M])
    sources, receivers = np.concatenate([standing, spots, ears]), np.concatenate([seats, standing])
    places = len(standing) + len(spots)
    made = []
    for doubt in doubts(space.modes):
        heard = space.hear(sources, receivers, doubt)
        shape = (places, len(RISES_M), len(space.seats), len(space.freq_hz))
        made.append(Heard(heard[:places, : len(seats)].reshape(shape), heard[places:, len(seats) :]))
    return tuple(made)


def levels_db(heard: Complex) -> Floats:
    """Return levels of responses [dB]."""
    return np.asarray(20 * np.log10(np.abs(heard) + 1e-12))
