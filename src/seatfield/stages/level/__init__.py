"""Level: how loud each channel gets at each seat, what limits it, and what that asks of ears."""

from seatfield.stages.level.levelling import plan
from seatfield.stages.level.result import (
    AmplifierChannel,
    ChannelLevel,
    ChannelNeed,
    Level,
    RoomSound,
    SeatBass,
    SeatLevel,
    WishLevel,
)

__all__ = [
    "AmplifierChannel",
    "ChannelLevel",
    "ChannelNeed",
    "Level",
    "RoomSound",
    "SeatBass",
    "SeatLevel",
    "WishLevel",
    "plan",
]
