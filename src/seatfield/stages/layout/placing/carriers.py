"""What may carry a loudspeaker: sizes, mounts, and the furniture that bears one."""

from dataclasses import dataclass

from seatfield.model import Furniture, LoudspeakerModel, ModelKind, Mount
from seatfield.stages.survey import is_one_of, is_seating, top_m

STAND_M = (0.15, 1.5)
"""Heights of the acoustic centre on a stand: common practice, no source [m]."""

FLOOR_STANDING_M = 0.6
"""A box taller than this stands on the floor and is never lifted: common practice, no source [m]."""

TALL_STAND_M = 1.3
"""A stand taller than this is no longer a usual one: common practice, no source [m]."""

LOWEST_ON_WALL_M = 0.3
BRACKET_M = 0.35
"""A loudspeaker hangs within this of its wall [m]."""

CEILING_DROP_M = 0.30
"""An acoustic centre hangs within this of the ceiling [m]."""

NEAREST_HEAD_M = 0.5
"""Nobody sits nearer to a loudspeaker: common practice, no source [m]."""

IN_FRONT_M = 0.22
"""What lies further ahead of a head than this stands before the seat and not beside it [m]."""

BEFORE_HEAD_M = 1.0
"""No stand in front of a seat is nearer to its head, in plan: common practice, no source [m]."""

HIGH_M, HIGH_STAND_M, AGAINST_WALL_M = 0.25, 1.2, 0.15
"""A stand that much over the head keeps so far from it in plan, unless its box is so near to a wall [m]."""

AT_SCREEN_M = 0.8
"""A stand so near to the screen belongs to the picture and not to the floor before it [m]."""

PASSAGE_M = 0.6
RADIATOR_M = 0.25
WALKWAY_M = 0.3
FLAT_M = 0.03
BOUNCE_HEIGHT_M = (2.2, 4.3)
"""Ceilings that throw sound back to a seat: common practice, no neutral source [m]."""

_BEARS_NOTHING = frozenset(
    {"plant", "lamp", "stove", "heater", "fire", "fireplace", "tree", "aquarium", "cot", "curtain"}
)


@dataclass(frozen=True, slots=True)
class Box:
    """The size of a loudspeaker: width, depth and height, and what it keeps from a door's clear opening [m]."""

    width_m: float = 0.20
    depth_m: float = 0.22
    height_m: float = 0.30
    door_clear_m: float = 0.10

    @property
    def radius_m(self) -> float:
        """Free floor that it needs round its centre [m]."""
        return max(self.width_m, self.depth_m) / 2

    @property
    def floor_standing(self) -> bool:
        """True for a box that is too tall for a stand."""
        return self.height_m > FLOOR_STANDING_M

    @property
    def stand_m(self) -> tuple[float, float]:
        """Least and greatest height of its acoustic centre on a stand; its own half height on the floor [m]."""
        return (self.height_m / 2, self.height_m / 2) if self.floor_standing else STAND_M

    @property
    def headroom_m(self) -> float:
        """Ceiling over its acoustic centre, with 2 cm to spare [m]."""
        return self.height_m / 2 + 0.02

    @property
    def off_wall_m(self) -> float:
        """Acoustic centre in front of the wall that it hangs on [m]."""
        return min(self.depth_m + 0.02, BRACKET_M)


def box_of(model: LoudspeakerModel | None) -> Box:
    """Return the size of a model; a small loudspeaker where the file gives none."""
    if model is None or model.size_m is None or min(model.size_m) <= 0 or max(model.size_m) > 2:
        return Box()
    return Box(*model.size_m)


def carries(piece: Furniture) -> bool:
    """Tell whether a loudspeaker may stand on a piece of furniture: common practice, no source."""
    if is_seating(piece) or len(piece.outline) < 3:
        return False
    return 0.2 <= top_m(piece) <= 2.2 and not is_one_of(piece, _BEARS_NOTHING)


def mounts_for(label: str, model: LoudspeakerModel | None, mount: Mount | None) -> tuple[Mount, ...]:
    """Return the mounts that a channel's loudspeaker may have.

    Parameters
    ----------
    label
        The channel.
    model
        Its model; None where the file names none.
    mount
        What the file asks for; None where it leaves the choice.

    Returns
    -------
    tuple
        A floor-standing box only on the floor; upward only for height channels, and only with a model made for it or
        none named.
    """
    upward = model is not None and model.kind is ModelKind.UPWARD
    if upward:
        return (Mount.UPWARD,)
    if mount is not None:
        return (mount,)
    if box_of(model).floor_standing:
        return (Mount.STAND,)
    usual = (Mount.STAND, Mount.SHELF, Mount.WALL, Mount.CEILING)
    return (*usual, Mount.UPWARD) if label.startswith("U") and model is None else usual
