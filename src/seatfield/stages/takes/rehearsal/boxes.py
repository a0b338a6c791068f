"""Responses of the kit as the rehearsal plays it: loudspeakers, subwoofers, a bad joint."""

from dataclasses import dataclass

import numpy as np

from seatfield.dsp.arrays import Spectrum, Vector
from seatfield.dsp.crossover import crossover_response
from seatfield.model import LoudspeakerModel, SubwooferModel

EXPECTED_SENSITIVITY_DB = 87.0
EXPECTED_LOW_HZ, EXPECTED_CROSSING_HZ = 70.0, 2500.0
EXPECTED_OHM, HIGHEST_OVER_NOMINAL, LOWEST_OVER_NOMINAL = 8.0, 4.0, 0.8
TOP_HZ = 20000.0
SUB_TOP_HZ = 220.0


@dataclass(frozen=True, slots=True)
class Box:
    """A two-way loudspeaker.

    Parameters
    ----------
    order
        Of its own crossover: 2 with the tweeter turned, as that order asks, or 4.
    """

    low_hz: float
    low_order: int
    crossing_hz: float
    order: int
    gain_db: float
    lowest_ohm: float
    highest_ohm: float


def box_of(model: LoudspeakerModel, *, order: int = 4) -> Box:
    """Return a loudspeaker from its maker's figures, usual values where the file gives none.

    Parameters
    ----------
    model
        The figures.
    order
        Of its own crossover, 2 or 4.

    Returns
    -------
    Box
        A sealed box falls with the second order, a vented one with the fourth.
    """
    nominal = model.impedance_ohm or EXPECTED_OHM
    return Box(
        model.low_corner_hz or EXPECTED_LOW_HZ,
        2 if model.enclosure == "sealed" else 4,
        model.driver_crossover_hz or EXPECTED_CROSSING_HZ,
        order,
        (model.sensitivity_db or EXPECTED_SENSITIVITY_DB) - EXPECTED_SENSITIVITY_DB,
        model.lowest_impedance_ohm or LOWEST_OVER_NOMINAL * nominal,
        model.highest_impedance_ohm or HIGHEST_OVER_NOMINAL * nominal,
    )


def box_response(box: Box, freq_hz: Vector, *, tweeter: bool = True) -> Spectrum:
    """Return the response of a loudspeaker on its axis.

    Parameters
    ----------
    box
        The loudspeaker.
    freq_hz
        Frequencies [Hz].
    tweeter
        False where its tweeter is silent.

    Returns
    -------
    ndarray of complex, shape (n,)
        Causal: nothing but analogue filters.

    Notes
    -----
    Both drivers are flat in themselves and at one place; a second-order crossover is a Linkwitz-Riley one, whose
    tweeter is turned.
    """
    low = crossover_response("low", "linkwitz-riley", box.order, box.crossing_hz, freq_hz)
    sign = -1.0 if box.order == 2 else 1.0
    high = sign * crossover_response("high", "linkwitz-riley", box.order, box.crossing_hz, freq_hz)
    both = low + high if tweeter else low
    bass = crossover_response("high", "butterworth", box.low_order, box.low_hz, freq_hz)
    top = crossover_response("low", "butterworth", 2, TOP_HZ, freq_hz)
    return np.asarray(10.0 ** (box.gain_db / 20.0) * both * bass * top)


def impedance_ohm(box: Box, freq_hz: Vector) -> Spectrum:
    """Return the impedance of a loudspeaker: its lowest, a resonance at the bass corner, and one at the crossover.

    Parameters
    ----------
    box
        The loudspeaker.
    freq_hz
        Frequencies [Hz].

    Returns
    -------
    ndarray of complex, shape (n,)
        Impedance [ohm].

    Notes
    -----
    Two parallel resonances in series with a resistance; a vented box, which has two peaks in the bass, is drawn with
    one. Common practice, no source.
    """
    rise = box.highest_ohm - box.lowest_ohm
    return np.asarray(
        box.lowest_ohm
        + rise * _resonance(freq_hz, box.low_hz, 3.0)
        + 0.6 * rise * _resonance(freq_hz, 0.7 * box.crossing_hz, 1.0)
    )


def _resonance(freq_hz: Vector, at_hz: float, q: float) -> Spectrum:
    ratio = np.maximum(freq_hz, 1e-3) / at_hz
    return np.asarray(1.0 / (1.0 + 1j * q * (ratio - 1.0 / ratio)))


def joint_response(box: Box, joint_ohm: float, freq_hz: Vector) -> Spectrum:
    """Return what a resistance in the run does to a loudspeaker's voltage."""
    own = impedance_ohm(box, freq_hz)
    return np.asarray(own / (own + joint_ohm))


def sub_response(model: SubwooferModel, freq_hz: Vector) -> Spectrum:
    """Return the response of a subwoofer, its own filter wide open."""
    corner = model.low_corner_hz or 30.0
    order = 4 if model.enclosure == "vented" else 2
    bass = crossover_response("high", "butterworth", order, corner, freq_hz)
    top = crossover_response("low", "butterworth", 2, SUB_TOP_HZ, freq_hz)
    return np.asarray(bass * top * np.exp(-2j * np.pi * freq_hz * model.latency_s))
