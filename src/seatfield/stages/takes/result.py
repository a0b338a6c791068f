"""What the takes hand on: for every run at every position, what its sweep says, and what was refused."""

from dataclasses import dataclass

from seatfield.dsp.arrival import Arrival
from seatfield.dsp.impulse import ImpulseResponse
from seatfield.dsp.trouble import Trouble
from seatfield.model import Finding, Point3, TakeState


@dataclass(frozen=True, slots=True)
class DecayTold:
    """Decay time in one octave.

    Parameters
    ----------
    time_s
        Time for 60 dB [s]; None where it is refused.
    range_used
        ``T30`` or ``T20``; empty where it is refused.
    remark
        Refusal or doubt in words.
    """

    band_hz: float
    time_s: float | None
    range_used: str
    curvature_percent: float | None
    remark: str


@dataclass(frozen=True, slots=True)
class DistortionTold:
    """Harmonic distortion in one band: the level, or what it does not exceed where noise hides it [dB]."""

    band_hz: float
    level_db: float | None
    at_most_db: float


@dataclass(frozen=True, slots=True)
class BandTold:
    """Gain of the path and noise of the room in one band [dB], [dBFS]."""

    band_hz: float
    level_db: float | None
    noise_db: float | None


@dataclass(frozen=True, slots=True)
class ReflectionTold:
    """One early reflection: after the direct sound [ms], its detour [m], its level against the direct sound [dB]."""

    delay_ms: float
    detour_m: float
    level_db: float


@dataclass(frozen=True, slots=True)
class RattleTold:
    """A stretch of the sweep during which something buzzes [Hz], and how loud against the sweep [dB]."""

    low_hz: float
    high_hz: float
    level_db: float


@dataclass(frozen=True, slots=True)
class ChannelTaken:
    """What one sweep at one position says.

    Parameters
    ----------
    arrival_ms
        First sound [ms]; of a subwoofer, in the octave round the crossover. None where it is refused.
    arrival_from
        What it is counted from: ``loopback``, or the run whose chirp every recording holds.
    distance_m
        Acoustic distance [m]: sound's travel, with whatever delay electronics add. None where the arrival is refused,
        or the reference's arrival or place is unknown.
    distance_from
        In words, what fixes its absolute value; differences between channels hold in any case.
    polarity
        ``normal``, ``inverted`` or ``unknown``.
    level_db
        Effective level of a tone as played, as the mean from 500 Hz to 2 kHz, of a subwoofer from 40 to 80 Hz.
    level_unit
        ``dBFS``, or ``dB SPL`` where the microphone is calibrated.
    bands
        Gain from file to microphone and noise of the room in third octaves.
    response_hz, response_db
        Gain, windowed to 0.5 s and smoothed over a twelfth of an octave.
    troubles
        What was wrong, in words; where one of them stops, nothing else is told.
    """

    channel: str
    run: str
    arrival_ms: float | None = None
    arrival_from: str = ""
    distance_m: float | None = None
    distance_from: str = ""
    polarity: str = "unknown"
    polarity_confidence: float = 0.5
    polarity_reason: str = ""
    level_db: float | None = None
    level_unit: str = "dBFS"
    snr_db: float | None = None
    drift_ppm: float | None = None
    decay_s: tuple[DecayTold, ...] = ()
    distortion_db: tuple[DistortionTold, ...] = ()
    bands: tuple[BandTold, ...] = ()
    response_hz: tuple[float, ...] = ()
    response_db: tuple[float, ...] = ()
    reflections: tuple[ReflectionTold, ...] = ()
    noise_db: float | None = None
    hum_hz: float | None = None
    hum_db: float | None = None
    rattles: tuple[RattleTold, ...] = ()
    troubles: tuple[Trouble, ...] = ()

    @property
    def used(self) -> bool:
        """False where a trouble stopped the reading."""
        return not any(trouble.stops for trouble in self.troubles)


@dataclass(frozen=True, slots=True)
class TakeRead:
    """One take as read."""

    id: str
    at: str
    position: Point3
    seat: str
    state: TakeState
    channels: tuple[ChannelTaken, ...]


@dataclass(frozen=True, slots=True)
class Heard:
    """The response of one run at one position, for the stages that build on it.

    Parameters
    ----------
    response
        Its times count from a moment that all responses of the position share.
    arrival
        First sound above 200 Hz on that clock.
    low
        True for a low-frequency channel.
    bass_only
        Whether nothing but bass was heard, as of a main that is silent beside its subwoofers.
    compensation
        The microphone's deviation as pairs of frequency [Hz] and level [dB], to be subtracted; empty without one.
    """

    run: str
    channel: str
    response: ImpulseResponse
    arrival: Arrival
    told: ChannelTaken
    low: bool
    bass_only: bool = False
    compensation: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Aside:
    """What no longer stands where it stood when takes were made: a run or a seat, how far off [m], which takes."""

    name: str
    moved_m: float
    takes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Spot:
    """All responses of one position, on one clock.

    Parameters
    ----------
    dead
        Runs whose chirps were there and whose sweep was not.
    reference
        The run that plays the chirps; empty where the loopback does, so that times are times of flight.
    anchored
        False where the reference's own arrival is not known, or it was moved since, so that only differences of times
        mean anything.
    aside
        Runs that the plan has moved since and that were not taken again: nothing of them is in `heard` or `dead`.
    left
        The seat for which it was taken, where that has moved since; `seat` is empty then.
    """

    position: Point3
    seat: str
    state: TakeState
    reference: str
    heard: tuple[Heard, ...]
    dead: tuple[str, ...]
    anchored: bool = True
    aside: tuple[Aside, ...] = ()
    left: Aside | None = None

    def of(self, run: str) -> Heard | None:
        """Return the response of a run, or None."""
        return next((one for one in self.heard if one.run == run), None)


@dataclass(frozen=True, slots=True)
class Takes:
    """All takes of a project.

    Parameters
    ----------
    spots
        One for each position and state; where a run was taken twice the later one counts. For later stages, not for
        printing.
    """

    takes: tuple[TakeRead, ...]
    spots: tuple[Spot, ...]
    findings: tuple[Finding, ...]
