"""The project: everything that a person said about one room and its kit, validated once, frozen."""

from dataclasses import dataclass, field
from enum import StrEnum

from seatfield.model.kit import (
    Amplifier,
    CableWishes,
    Costs,
    Device,
    Link,
    Loudspeaker,
    LoudspeakerModel,
    Service,
    Subwoofer,
    SubwooferModel,
)
from seatfield.model.room import Limits, Point, Room, Screen, Seat


class LengthUnit(StrEnum):
    """Unit of the plain numbers in the file, and of lengths on screen and paper."""

    METRE = "m"
    FOOT = "ft"


class Loudness(StrEnum):
    """How loud the system should play."""

    QUIET = "quiet"
    USUAL = "usual"
    REFERENCE = "reference"


@dataclass(frozen=True, slots=True)
class Underlay:
    """A photo or scan under the plan, scaled by one known length [m] between two points [pixels]."""

    file: str
    points: tuple[Point, Point]
    length_m: float


@dataclass(frozen=True, slots=True)
class Project:
    """One room and its kit as described by a person.

    Parameters
    ----------
    layout
        A BS.2051 name, the trade's shorthand, or ``best that fits``.
    models, subwoofer_models
        By the user's own names.
    """

    name: str
    units: LengthUnit
    currency: str
    room: Room
    seats: tuple[Seat, ...]
    screen: Screen
    layout: str
    limits: Limits = field(default_factory=Limits)
    loudness: Loudness = Loudness.USUAL
    viewing_angle_deg: float | None = None
    amplifiers: tuple[Amplifier, ...] = ()
    models: tuple[LoudspeakerModel, ...] = ()
    subwoofer_models: tuple[SubwooferModel, ...] = ()
    loudspeakers: tuple[Loudspeaker, ...] = ()
    subwoofers: tuple[Subwoofer, ...] = ()
    cable: CableWishes = field(default_factory=CableWishes)
    costs: Costs = field(default_factory=Costs)
    devices: tuple[Device, ...] = ()
    links: tuple[Link, ...] = ()
    services: tuple[Service, ...] = ()
    underlay: Underlay | None = None

    @property
    def main_seat(self) -> Seat:
        """The seat that everything is aligned to."""
        return next(seat for seat in self.seats if seat.main)

    def model_of(self, loudspeaker: Loudspeaker) -> LoudspeakerModel:
        """Return the model of a loudspeaker; the door has made sure that it exists."""
        return next(model for model in self.models if model.name == loudspeaker.model)

    def subwoofer_model_of(self, subwoofer: Subwoofer) -> SubwooferModel:
        """Return the model of a subwoofer; the door has made sure that it exists."""
        return next(model for model in self.subwoofer_models if model.name == subwoofer.model)
