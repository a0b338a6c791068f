"""What the level stage hands on: how loud each channel gets at each seat, and what limits it."""

from dataclasses import dataclass

from seatfield.model import Finding


@dataclass(frozen=True, slots=True)
class ChannelLevel:
    """One channel at one seat.

    Parameters
    ----------
    peak_db
        Highest direct sound at the seat, without the room [dB SPL]; None where figures are missing, and where its
        loudspeakers must not be joined to one amplifier channel.
    watts_needed_w
        Power that the wish for peaks takes at this seat, at the amplifier [W].
    limited_by
        What gives out first: ``amplifier``, ``load``, ``loudspeaker``, or ``wish`` where all of them reach what is
        wished for; empty where figures are missing.
    usual_db
        Level of the programme over its length, Z-weighted and with the room [dB SPL], where the channel is set by a
        meter at the main seat to the wish, or to as much less as its peaks lack there.
    room_db
        What the room adds to the direct sound of a steady programme here [dB].
    off_axis_db
        What the programme loses off the loudspeaker's axis here [dB]; None where nothing is known or claimed.
    cable_loss_db
        What the cable takes [dB]; None where no cable was planned.
    amplifier_db, loudspeaker_db
        How far each of the two goes by itself [dB SPL]; None where its figures are missing.
    """

    id: str
    channel: str
    distance_m: float
    peak_db: float | None
    watts_needed_w: float | None
    limited_by: str
    usual_db: float | None = None
    room_db: float | None = None
    off_axis_db: float | None = None
    cable_loss_db: float | None = None
    amplifier_db: float | None = None
    loudspeaker_db: float | None = None


@dataclass(frozen=True, slots=True)
class SeatBass:
    """The loudest bass at one seat, at one frequency, all subwoofers together.

    Parameters
    ----------
    demand_db
        What the wish asks of them [dB SPL]: `lfe_db` and `redirected_db` as independent sounds.
    lfe_db
        The low-frequency channel, 10 dB over another channel [dB SPL].
    redirected_db
        The bass of every small channel [dB SPL]; None where none is small.
    reach_db, low_db, high_db
        What they can do, with its band [dB SPL]; None where their figures or places are missing.
    room_db
        What the room and the distance make of one of them at 1 m in free space [dB].
    shortfall_db
        What is lacking, 0 where it is enough [dB].
    """

    freq_hz: float
    demand_db: float
    lfe_db: float
    redirected_db: float | None
    reach_db: float | None
    low_db: float | None
    high_db: float | None
    room_db: float | None
    shortfall_db: float | None


@dataclass(frozen=True, slots=True)
class SeatLevel:
    """Every channel at one seat.

    Parameters
    ----------
    bass
        The subwoofers at 20, 30 and 40 Hz; empty without subwoofers.
    hours_a_week
        How long one may listen here in a week by ITU-T H.870, if all channels play alike [h]; 168 at most.
    """

    seat: str
    channels: tuple[ChannelLevel, ...]
    bass: tuple[SeatBass, ...] = ()
    hours_a_week: float | None = None


@dataclass(frozen=True, slots=True)
class ChannelNeed:
    """What a wish takes of one channel at the main seat.

    Parameters
    ----------
    watts_w
        Power at the amplifier [W].
    lacks_db
        How far its peaks stay below the wish [dB]; 0 where they reach it.
    limited_by
        As for a channel's level.
    """

    id: str
    watts_w: float | None
    lacks_db: float | None
    limited_by: str


@dataclass(frozen=True, slots=True)
class WishLevel:
    """One of the loudness wishes, and what it takes.

    Parameters
    ----------
    usual_db, peak_db
        Level of the programme, and of a channel's peaks, at the main seat [dB SPL].
    channels
        What it takes of each channel.
    hours_a_week
        How long it may last in a week by ITU-T H.870 [h]; 168 at most.
    film_share
        Share of the week's allowance that a film of two hours takes [-].
    """

    wish: str
    usual_db: float
    peak_db: float
    channels: tuple[ChannelNeed, ...]
    hours_a_week: float
    film_share: float


@dataclass(frozen=True, slots=True)
class AmplifierChannel:
    """One channel of an amplifier and what hangs on it.

    Parameters
    ----------
    terminal
        In the words of its back panel.
    loudspeakers
        Several are in parallel.
    load_ohm
        What they count as against the amplifier's rating [ohm].
    lowest_load_ohm
        What the amplifier allows [ohm]; None where the file does not say.
    load
        ``fine``; ``warm`` where it is allowed but well below the impedance that the amplifier's power is told for;
        ``refused`` below what the amplifier allows; ``unknown`` where the file does not say what it allows.
    gives_w
        Power into this load with all channels driven [W]; None where figures are missing, or the load is refused.
    needs_w
        Power that the wish's peaks take at the main seat [W].
    overloaded
        Whether it needs 1 dB more than it gives, or drives a load that is refused.
    """

    amplifier: str
    terminal: str
    channel: str
    loudspeakers: tuple[str, ...]
    load_ohm: float
    lowest_load_ohm: float | None
    load: str
    gives_w: float | None
    needs_w: float | None
    overloaded: bool


@dataclass(frozen=True, slots=True)
class RoomSound:
    """What the room does to steady sound, by octaves.

    Parameters
    ----------
    freq_hz
        Octave bands [Hz].
    absorption_m2
        Equivalent absorption area of surfaces, furniture and air [m²].
    reverberation_s
        Time in which sound dies away by 60 dB, after Eyring [s].
    room_constant_m2
        S·a/(1 − a) of the surface S and its mean absorption a [m²].
    critical_distance_m
        Where direct and reverberant sound are equal, straight ahead of a loudspeaker [m].
    directivity_db
        Directivity index that loudspeakers are taken to have [dB].
    assumed
        Surfaces whose finish the file does not give, so that a prior stands for them.
    furnished_hz
        Octaves in which what the file lists absorbs less than a furnished room does, so that the latter counts [Hz].
    """

    freq_hz: tuple[float, ...]
    volume_m3: float
    surface_m2: float
    absorption_m2: tuple[float, ...]
    reverberation_s: tuple[float, ...]
    room_constant_m2: tuple[float, ...]
    critical_distance_m: tuple[float, ...]
    directivity_db: tuple[float, ...]
    assumed: tuple[str, ...]
    furnished_hz: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Level:
    """Levels at every seat, and the load on each amplifier channel.

    Parameters
    ----------
    wish_peak_db, wish_usual_db
        What the project's own wish is: peaks of a channel, and the programme, at the main seat [dB SPL].
    wishes
        All three wishes, the quietest first.
    """

    wish_peak_db: float
    seats: tuple[SeatLevel, ...]
    findings: tuple[Finding, ...]
    wish_usual_db: float = 0.0
    wishes: tuple[WishLevel, ...] = ()
    amplifier_channels: tuple[AmplifierChannel, ...] = ()
    room: RoomSound | None = None

    @property
    def refused(self) -> tuple[str, ...]:
        """Ids of the loudspeakers that must not be connected: their load is below what the amplifier allows."""
        refusing = (one for one in self.amplifier_channels if one.load == "refused")
        return tuple(dict.fromkeys(id_ for one in refusing for id_ in one.loudspeakers))
