"""Cable: the way of every run round the room, its conductor, its cuts, its ends and its labels."""

from seatfield.stages.cable.planning import plan
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
