"""A take: one visit of the microphone to one place, what was played for it and what was recorded."""

from dataclasses import dataclass
from enum import StrEnum

from seatfield.model.room import Point3


class TakeState(StrEnum):
    """How the amplifier was set while the sweeps played.

    BARE: upmix, equaliser, bass management and dynamics off, every loudspeaker on full range, no delays or trims.
    AS_USED: as people listen, with crossovers, delays and trims in force.
    """

    BARE = "bare"
    AS_USED = "as used"


class FaultKind(StrEnum):
    """What can be wrong with a channel and play on unnoticed."""

    DEAD = "dead"
    SWAPPED = "swapped"
    WRONG_TERMINAL = "wrong terminal"
    INVERTED = "inverted"
    TWEETER_SILENT = "tweeter silent"
    JOINT = "high-resistance joint"
    FULL_RANGE = "full range by mistake"
    LFE_LEVEL = "low-frequency channel off by 10 dB"
    SUB_FILTER = "subwoofer filter doubled"


@dataclass(frozen=True, slots=True)
class SweepSettings:
    """The sweep that every channel plays.

    Parameters
    ----------
    low_hz, high_hz
        First and last frequency [Hz].
    length_s, tail_s
        Length of the sweep, and of the silence after it in which the room dies away [s].
    level_db
        Peak of sweep and chirps [dBFS].
    rate_hz
        Sample rate of the files [Hz].
    """

    low_hz: float = 15.0
    high_hz: float = 22000.0
    length_s: float = 10.0
    tail_s: float = 2.0
    level_db: float = -12.0
    rate_hz: int = 48000


@dataclass(frozen=True, slots=True)
class Sounding:
    """One sweep of a set.

    Parameters
    ----------
    number
        Place in the order of playing, from 1.
    run, channel
        The loudspeaker or subwoofer that should sound, and its channel.
    feed
        Label of the column of the file that carries the sweep.
    moved_to
        Terminal to which its run is moved for this sweep, power off; empty where it stays.
    file
        Name of the WAV file that holds it.
    """

    number: int
    run: str
    channel: str
    feed: str
    moved_to: str
    file: str


@dataclass(frozen=True, slots=True)
class SweepSet:
    """What is played at every position.

    Parameters
    ----------
    settings
        The sweep.
    columns
        Labels of the file's columns, in the standard's order; ``loopback`` for the one that is wired back.
    mask
        Channel mask of the file's header.
    reference
        Label of the column that plays the chirps in every file.
    reference_run
        The loudspeaker on it; empty where it is the loopback.
    soundings
        In the order of playing.
    one_file
        True where all sweeps follow one another in one file.
    """

    settings: SweepSettings
    columns: tuple[str, ...]
    mask: int
    reference: str
    reference_run: str
    soundings: tuple[Sounding, ...]
    one_file: bool = False


@dataclass(frozen=True, slots=True)
class TakenFile:
    """A recording that is kept.

    Parameters
    ----------
    name
        As the person named it.
    sha256
        Hash of its bytes; it is kept under this name.
    runs
        The runs whose sweeps it holds, in order.
    """

    name: str
    sha256: str
    runs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Take:
    """One visit of the microphone to one place.

    Parameters
    ----------
    id
        Its number in the project, such as ``take 3``.
    at
        When, in ISO 8601.
    position
        Where the microphone stood [m].
    seat
        The seat at which it stood; empty elsewhere.
    microphone_column, loopback_column
        Columns of the recording, from 0; None where the recording's only sounding column is read, or no loopback was
        recorded.
    compensation
        Hash of the microphone's compensation file; empty without one.
    full_scale_db
        Sound pressure level that reads as 0 dBFS [dB]; None where the microphone is not calibrated.
    places
        Each loudspeaker and subwoofer, and where the plan had it that day [m]; empty in takes of old.
    """

    id: str
    at: str
    position: Point3
    seat: str
    state: TakeState
    sweeps: SweepSet
    files: tuple[TakenFile, ...]
    microphone_column: int | None = None
    loopback_column: int | None = None
    compensation: str = ""
    full_scale_db: float | None = None
    note: str = ""
    places: tuple[tuple[str, Point3], ...] = ()


@dataclass(frozen=True, slots=True)
class EqFilter:
    """One band of a parametric equaliser: a peak by its centre [Hz], quality and gain [dB]."""

    freq_hz: float
    q: float
    gain_db: float


@dataclass(frozen=True, slots=True)
class ChannelSetting:
    """What is set on the amplifier for one run.

    Parameters
    ----------
    delay_s
        Electrical delay [s].
    trim_db
        Level correction [dB].
    crossover_hz
        Where it hands its bass to the subwoofers [Hz]; None for full range, and for a subwoofer.
    inverted
        Whether its polarity is turned in the amplifier.
    """

    run: str
    delay_s: float = 0.0
    trim_db: float = 0.0
    crossover_hz: float | None = None
    inverted: bool = False
    filters: tuple[EqFilter, ...] = ()
