"""Level: how loud each channel gets at each seat, what limits it, and what that asks of ears."""

from seatfield.stages.level.levelling import plan
from seatfield.stages.level.result import ChannelLevel, Level, SeatLevel

__all__ = ["ChannelLevel", "Level", "SeatLevel", "plan"]
