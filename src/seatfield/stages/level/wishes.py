"""How loud the three wishes are."""

from dataclasses import dataclass

from seatfield.model import Loudness


@dataclass(frozen=True, slots=True)
class Wish:
    """A loudness wish.

    Parameters
    ----------
    usual_db
        Level of the programme at the main seat, over its length [dB SPL].
    peak_db
        Level that one channel should reach in the loudest moments, as a meter reads a steady tone [dB SPL].
    """

    usual_db: float
    peak_db: float
    source: str


_CINEMA = (
    "SMPTE RP 200 (from memory): pink noise at −20 dB plays at 85 dB(C), so a tone at full scale at 105 dB"
)
_LOWER = "common practice, no source; 20 dB between programme and peak as in SMPTE RP 200 (from memory)"

WISHES = {
    Loudness.QUIET: Wish(65.0, 85.0, _LOWER),
    Loudness.USUAL: Wish(75.0, 95.0, _LOWER),
    Loudness.REFERENCE: Wish(85.0, 105.0, _CINEMA),
}
"""The three wishes; each step is 10 dB, which most people call twice as loud."""
