"""What is wanted of the layout stage, and which parts of it."""

from dataclasses import dataclass

PARTS = ("systems", "marks")
"""Parts beside places, angles and findings: the sound systems ranked for the room; tapes that mark each place out."""
DRAGGING: tuple[str, ...] = ()
"""What follows the hand: nobody tapes out a place that still moves, nor chooses another system meanwhile."""


@dataclass(frozen=True, slots=True)
class LayoutParams:
    """What is wanted.

    Parameters
    ----------
    parts
        Which parts to compute, out of `PARTS`; systems are ranked anyway where places are sought or the system is open.
    """

    parts: tuple[str, ...] = PARTS

    def __post_init__(self) -> None:
        """Refuse what cannot be computed."""
        strange = [part for part in self.parts if part not in PARTS]
        if strange:
            raise ValueError(
                f"The layout stage has no part {strange[0]!r}; its parts are {', '.join(PARTS)}."
            )
