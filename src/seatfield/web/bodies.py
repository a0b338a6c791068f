"""What the page may send."""

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field

from seatfield.pipeline import commands, gauge, screens

if TYPE_CHECKING:
    from seatfield.stages.alignment import Wishes

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
    curves_mm
        Size of the curves of the bass where they are shown, so that they follow too [mm].
    """

    seq: int
    key: str
    commands: Commands
    look: Look
    base: int | None = None
    curves_mm: tuple[Millimetres, Millimetres] | None = None

    @property
    def hears(self) -> bool:
        """Whether anything of the bass is shown."""
        return self.look.over in {"bass", "listener"} or self.curves_mm is not None


Text = Annotated[str, Field(max_length=300)]
Name = Annotated[str, Field(min_length=1, max_length=300)]
Column = Annotated[int, Field(ge=1, le=64)]


@dataclass(frozen=True, slots=True)
class TakeSent:
    """A take: recordings that wait, and where the microphone stood; see `seatfield.pipeline.gauge.TakeWanted`."""

    recordings: Annotated[tuple[Name, ...], Field(min_length=1, max_length=64)]
    place: Name
    as_used: bool = False
    runs: Annotated[tuple[Name, ...], Field(max_length=64)] = ()
    microphone_column: Column | None = None
    loopback_column: Column | None = None
    compensation: Text = ""
    full_scale_db: Annotated[float, Field(ge=0, le=200, allow_inf_nan=False)] | None = None
    note: Text = ""

    def wanted(self) -> gauge.TakeWanted:
        """Return it as the pipeline takes it."""
        return gauge.TakeWanted(**{field.name: getattr(self, field.name) for field in fields(self)})


@dataclass(frozen=True, slots=True)
class SweepsSent:
    """What the sweeps should be; see `seatfield.pipeline.gauge.SweepsWanted`."""

    length_s: Annotated[float, Field(ge=1, le=60, allow_inf_nan=False)] = 10.0
    level_db: Annotated[float, Field(ge=-60, le=-1, allow_inf_nan=False)] = -12.0
    rate_hz: Literal[44100, 48000, 88200, 96000] = 48000
    chirps: Text = ""

    def wanted(self) -> gauge.SweepsWanted:
        """Return it as the pipeline takes it."""
        return gauge.SweepsWanted(self.length_s, self.level_db, self.rate_hz, self.chirps)


@dataclass(frozen=True, slots=True)
class Wished:
    """For whom the alignment is, and what it aims at; see `seatfield.stages.alignment.Wishes`.

    Parameters
    ----------
    lfe_limit_hz
        0 where the amplifier has none [Hz].
    """

    all_seats: bool = False
    slope_db_per_octave: Annotated[float, Field(ge=-3, le=1, allow_inf_nan=False)] = -0.5
    bass_db: Annotated[float, Field(ge=-6, le=12, allow_inf_nan=False)] = 0.0
    lfe_limit_hz: Annotated[float, Field(ge=0, le=300, allow_inf_nan=False)] = 120.0
    filters: Annotated[int, Field(ge=0, le=40)] | None = None

    def wishes(self) -> "Wishes":
        """Return them as the pipeline takes them."""
        from seatfield.stages.alignment import Wishes

        return Wishes(
            self.all_seats,
            self.slope_db_per_octave,
            self.bass_db,
            self.lfe_limit_hz or None,
            self.filters,
        )


@dataclass(frozen=True, slots=True)
class Rehearsal:
    """What to practise: how many faults are hidden by chance, and how many places are visited."""

    seed: Annotated[int, Field(ge=0, le=1_000_000)] = 1
    faults: Annotated[int, Field(ge=0, le=4)] = 1
    positions: Annotated[int, Field(ge=1, le=4)] = 2


@dataclass(frozen=True, slots=True)
class Playing:
    """Through which devices to play and record, whose sweep; without a run the bursts that set the volume."""

    output: Name
    source: Name
    channels: Column = 1
    run: Text = ""


@dataclass(frozen=True, slots=True)
class Tick:
    """Something that was done, or was not after all."""

    what: Annotated[str, Field(min_length=1, max_length=300)]
    done: bool = True
