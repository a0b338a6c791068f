"""Octave bands and their fractions, base ten."""

import math
from dataclasses import dataclass

OCTAVE_RATIO = 10.0**0.3
PREFERRED = (1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0)


@dataclass(frozen=True, slots=True)
class Band:
    """One fractional-octave band.

    Attributes
    ----------
    mid_hz : float
        Exact mid-band frequency. [Hz]
    low_hz, high_hz : float
        Band edges. [Hz]
    """

    mid_hz: float
    low_hz: float
    high_hz: float

    @property
    def width_hz(self) -> float:
        """Distance of the edges [Hz]."""
        return self.high_hz - self.low_hz


def band(mid_hz: float, fraction: int = 1) -> Band:
    """Return the band whose exact mid-band frequency lies nearest to a frequency.

    Parameters
    ----------
    mid_hz : float
        Nominal or exact mid-band frequency. [Hz]
    fraction : int
        1 for octaves, 3 for third octaves, and so on.

    Returns
    -------
    Band
        With edges at mid · G^(±1 / 2b), G = 10^0.3.

    References
    ----------
    IEC 61260-1:2014, 5.2 to 5.5.
    """
    shift = 0.5 if fraction % 2 == 0 else 0.0
    step = round(fraction * math.log(mid_hz / 1000.0, OCTAVE_RATIO) - shift)
    exact_hz = 1000.0 * OCTAVE_RATIO ** ((step + shift) / fraction)
    half = OCTAVE_RATIO ** (0.5 / fraction)
    return Band(exact_hz, exact_hz / half, exact_hz * half)


def nominal_hz(mid_hz: float) -> float:
    """Return the nominal frequency by which a third octave or octave is known, such as 125 Hz for 125.89 Hz.

    References
    ----------
    ISO 266:1997, the preferred frequencies of thirds of an octave (from memory).
    """
    decade = 10.0 ** math.floor(math.log10(mid_hz) + 1e-9)
    return decade * min((*PREFERRED, 10.0), key=lambda one: abs(math.log(one * decade / mid_hz)))


def bands(low_hz: float, high_hz: float, fraction: int = 1) -> tuple[Band, ...]:
    """Return all bands from one mid-band frequency to another.

    Parameters
    ----------
    low_hz, high_hz : float
        Nominal or exact mid-band frequencies of the first and the last band. [Hz]
    fraction : int
        1 for octaves, 3 for third octaves, and so on.

    Returns
    -------
    tuple of Band
        In rising order.

    References
    ----------
    IEC 61260-1:2014.
    """
    first, last = band(low_hz, fraction), band(high_hz, fraction)
    count = round(fraction * math.log(last.mid_hz / first.mid_hz, OCTAVE_RATIO)) + 1
    return tuple(band(first.mid_hz * OCTAVE_RATIO ** (step / fraction), fraction) for step in range(count))
