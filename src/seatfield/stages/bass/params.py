"""What is wanted of the bass stage, and which parts of it."""

from dataclasses import dataclass

PARTS = ("places", "map", "ears", "sets", "seats", "crossovers", "doors")
"""Parts beside the modes and what is heard now: merits of places; the fields over the floor of one subwoofer, and of
one listener; best sets with their doubts; seats moved; crossovers; doors opened."""
DRAGGING = ("places", "map", "ears")
"""What is fast enough to be computed anew with every change: all that one solution of the room gives."""
ALONG_HZ = 173.0
"""While something moves modes are found up to here, which responses up to 150 Hz need at least; merits stay within
0.07 dB, root mean square, of those of twice the modes, and what the seats hear within 0.2 dB [Hz]."""


@dataclass(frozen=True, slots=True)
class BassParams:
    """What is wanted.

    Parameters
    ----------
    parts
        Which parts to compute, out of `PARTS`; the modes are always there.
    responses
        Whether to give the response of every source at every seat, 15 to 300 Hz.
    subwoofers
        How many subwoofers the best sets have, one to four; as many as the project has where None.
    low_hz, high_hz
        Range in which evenness counts; where None from the lowest subwoofer's low corner, 20 to 40 Hz, up [Hz].
    spread_weight
        How much a difference between seats counts against one across frequency.
    to_hz
        Up to where modes are found; far enough for responses up to 150 Hz if None [Hz].
    spots
        About how many places to try; none are looked for if 0.
    cord_m
        How far a subwoofer may stand from a socket [m].
    misplaced_m
        How far off a person may put it [m].
    apart_m
        How far places lie apart that really differ [m].
    """

    parts: tuple[str, ...] = PARTS
    responses: bool = False
    subwoofers: int | None = None
    low_hz: float | None = None
    high_hz: float = 120.0
    spread_weight: float = 1.0
    to_hz: float | None = None
    spots: int = 350
    cord_m: float = 1.8
    misplaced_m: float = 0.15
    apart_m: float = 0.8

    def __post_init__(self) -> None:
        """Refuse what cannot be computed."""
        strange = [part for part in self.parts if part not in PARTS]
        if strange:
            raise ValueError(f"The bass stage has no part {strange[0]!r}; its parts are {', '.join(PARTS)}.")
        if self.subwoofers is not None and not 1 <= self.subwoofers <= 4:
            raise ValueError(f"Sets of {self.subwoofers} subwoofers were asked for; ask for one to four.")
        if not 15.0 <= (self.low_hz or 20.0) < self.high_hz / 1.5 <= 100.0:
            raise ValueError(
                f"Evenness was asked for from {self.low_hz} to {self.high_hz} Hz; give a range of half an octave or "
                "more between 15 and 150 Hz."
            )
