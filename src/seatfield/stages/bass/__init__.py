"""Bass: the room's modes, the merit of every place for a subwoofer, and what each seat hears of it."""

from seatfield.stages.bass.params import DRAGGING, PARTS, BassParams
from seatfield.stages.bass.planning import plan
from seatfield.stages.bass.result import (
    AtPlace,
    Bass,
    BassSpot,
    Count,
    Curve,
    DoorOpen,
    Field,
    GroupCrossover,
    Now,
    Reach,
    RoomMode,
    RoomResponse,
    SeatMove,
    SetPlace,
    SubwooferSet,
    Try,
)

__all__ = [
    "DRAGGING",
    "PARTS",
    "AtPlace",
    "Bass",
    "BassParams",
    "BassSpot",
    "Count",
    "Curve",
    "DoorOpen",
    "Field",
    "GroupCrossover",
    "Now",
    "Reach",
    "RoomMode",
    "RoomResponse",
    "SeatMove",
    "SetPlace",
    "SubwooferSet",
    "Try",
    "plan",
]
