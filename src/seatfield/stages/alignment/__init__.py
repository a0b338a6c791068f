"""Alignment: what to type into the amplifier, which seat gains, what another calibration is worth."""

from seatfield.stages.alignment.ageing import Aged, aged
from seatfield.stages.alignment.bench import Wishes
from seatfield.stages.alignment.built import Built, as_built
from seatfield.stages.alignment.judging import Judged, Typed, judge
from seatfield.stages.alignment.planning import NothingToAlignError, plan, predict
from seatfield.stages.alignment.redoing import Redo, redo, setup_of
from seatfield.stages.alignment.result import Alignment, ChannelAligned, Predicted, SeatGain
from seatfield.stages.alignment.room import BassFitted, DecayFitted, RoomFitted, fit_room
from seatfield.stages.alignment.verifying import Verified, verify
from seatfield.stages.alignment.worth import LEAVE

__all__ = [
    "LEAVE",
    "Aged",
    "Alignment",
    "BassFitted",
    "Built",
    "ChannelAligned",
    "DecayFitted",
    "Judged",
    "NothingToAlignError",
    "Predicted",
    "Redo",
    "RoomFitted",
    "SeatGain",
    "Typed",
    "Verified",
    "Wishes",
    "aged",
    "as_built",
    "fit_room",
    "judge",
    "plan",
    "predict",
    "redo",
    "setup_of",
    "verify",
]
