"""Bass: the room's modes, the merit of every place for a subwoofer, and what each seat hears of it."""

from typing import TYPE_CHECKING

from seatfield.stages.bass.params import ALONG_HZ, DRAGGING, PARTS, BassParams
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

if TYPE_CHECKING:
    from seatfield.stages.bass.planning import plan
else:

    def __getattr__(name: str) -> object:
        """Load the planning when it is asked for: results alone do without its libraries."""
        if name != "plan":
            raise AttributeError(name)
        from seatfield.stages.bass.planning import plan

        return plan


__all__ = [
    "ALONG_HZ",
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
