"""Layout: where each loudspeaker stands as the main seat sees it, what that is worth, and how to mark it out."""

from seatfield.stages.layout.params import DRAGGING, LayoutParams
from seatfield.stages.layout.planning import plan
from seatfield.stages.layout.result import Layout, Mark, Placed, Tape, Verdict

__all__ = ["DRAGGING", "Layout", "LayoutParams", "Mark", "Placed", "Tape", "Verdict", "plan"]
