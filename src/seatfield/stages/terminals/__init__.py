"""Terminals: which loudspeaker goes on which terminal of which amplifier, and what cannot be done."""

from seatfield.stages.terminals.mapping import plan
from seatfield.stages.terminals.result import CannotDo, TerminalMap, TerminalUse

__all__ = ["CannotDo", "TerminalMap", "TerminalUse", "plan"]
