"""Faults: what the takes show to be wrong with the channels, how sure that is, and which terminal to look at."""

from seatfield.stages.faults.finding import plan
from seatfield.stages.faults.result import FaultFound, Faults, Undecided

__all__ = ["FaultFound", "Faults", "Undecided", "plan"]
