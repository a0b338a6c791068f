"""What the page may send."""

from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from seatfield.pipeline import commands, screens

OneCommand = Annotated[commands.Command, Field(discriminator="do")]
Commands = Annotated[tuple[OneCommand, ...], Field(min_length=1, max_length=200)]
Millimetres = Annotated[float, Field(ge=0, le=5000, allow_inf_nan=False)]
Scale = Annotated[float, Field(ge=5, le=1000, allow_inf_nan=False)]


@dataclass(frozen=True, slots=True)
class Edits:
    """Commands made on the revision that the person saw."""

    commands: Commands
    base: int | None = None


@dataclass(frozen=True, slots=True)
class Look:
    """How the view wants the floor: its scale, its paper, and what lies over it."""

    scale: Scale = 50.0
    width: Millimetres = 0.0
    height: Millimetres = 0.0
    over: screens.Over = ""

    def drawn(self) -> screens.Look:
        """Return it as the pipeline takes it."""
        return screens.Look(self.scale, self.width, self.height, self.over)


@dataclass(frozen=True, slots=True)
class Following:
    """Commands of a hand that still moves, to be computed and not saved.

    Parameters
    ----------
    seq
        Number of this request; the answer carries it.
    key
        The thing in the hand.
    """

    seq: int
    key: str
    commands: Commands
    look: Look
    base: int | None = None


@dataclass(frozen=True, slots=True)
class Tick:
    """Something that was done, or was not after all."""

    what: Annotated[str, Field(min_length=1, max_length=300)]
    done: bool = True
