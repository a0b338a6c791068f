"""Cable: the way of every run round the room, its conductor, its cuts, its ends and its labels."""

from typing import TYPE_CHECKING

from seatfield.stages.cable.result import (
    Alternative,
    CablePlan,
    ColdTest,
    Conductor,
    Cost,
    CoverUse,
    Cut,
    Label,
    Leg,
    Need,
    Piece,
    Reading,
    Run,
    Termination,
)

if TYPE_CHECKING:
    from seatfield.stages.cable.planning import plan
else:

    def __getattr__(name: str) -> object:
        """Load the planning when it is asked for: results alone do without its libraries."""
        if name != "plan":
            raise AttributeError(name)
        from seatfield.stages.cable.planning import plan

        return plan


__all__ = [
    "Alternative",
    "CablePlan",
    "ColdTest",
    "Conductor",
    "Cost",
    "CoverUse",
    "Cut",
    "Label",
    "Leg",
    "Need",
    "Piece",
    "Reading",
    "Run",
    "Termination",
    "plan",
]
