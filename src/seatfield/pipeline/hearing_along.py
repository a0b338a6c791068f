"""The bass while something moves: its field over the floor, what the seats hear, and both in a sentence."""

from dataclasses import dataclass
from typing import Any

from seatfield.model import Project
from seatfield.pipeline.beside import Watch
from seatfield.pipeline.memo import Memo
from seatfield.pipeline.screens import Look, bass_scene, field_scene, pieces_of
from seatfield.stages.bass import Bass


@dataclass(frozen=True, slots=True)
class HeardAlong:
    """The bass as it would be.

    Parameters
    ----------
    words
        How even it is, and the lowest modes.
    field
        Tints and contour lines over the floor, as `pieces_of` gives them; None where none were asked for.
    curves
        What each seat hears; None likewise.
    """

    words: str
    field: dict[str, Any] | None
    curves: dict[str, Any] | None


@dataclass(frozen=True, slots=True)
class BassTask:
    """Compute the bass of a project that is not saved, as far as it can follow the hand.

    Parameters
    ----------
    look
        How the floor is shown; its `over` says which field.
    curves_mm
        Size of the field of the curves [mm]; None where they are not shown.
    """

    project: Project
    look: Look
    curves_mm: tuple[float, float] | None = None

    def run(self, memo: Memo, watch: Watch) -> HeardAlong:
        """Compute and draw."""
        from seatfield.pipeline.bass import bass_along

        watch("bass")
        made = bass_along(self.project, "ears" if self.look.over == "listener" else "map", memo=memo)
        field = field_scene(made, self.look)
        curves = bass_scene(made, self.curves_mm) if self.curves_mm else None
        return HeardAlong(
            _words(made.bass), pieces_of(field) if field else None, pieces_of(curves) if curves else None
        )


def _words(bass: Bass | None) -> str:
    if bass is None or not bass.modes_hz:
        return "The bass of this room cannot be computed as it is now."
    lowest = ", ".join(f"{freq:.0f}" for freq in bass.modes_hz[:4])
    modes = f"the lowest modes lie at {lowest} Hz"
    if bass.now is None:
        return f"No subwoofer stands in the room; {modes}."
    return f"Uneven by {bass.now.merit:.1f} dB over seats and frequencies; {modes}."
