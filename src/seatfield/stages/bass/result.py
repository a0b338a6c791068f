"""What the bass stage hands on: modes, merits of places, best sets, crossovers, seats moved, responses."""

from dataclasses import dataclass

from seatfield.model import Finding, Point3
from seatfield.stages.layout import Mark


@dataclass(frozen=True, slots=True)
class AtPlace:
    """How strong a mode is at a seat or a subwoofer.

    Parameters
    ----------
    level_db
        Against the place in the room where it is strongest; far below zero in a null [dB].
    """

    id: str
    level_db: float


@dataclass(frozen=True, slots=True)
class RoomMode:
    """One mode of the room.

    Parameters
    ----------
    decay_s
        Time in which it dies away by 60 dB [s]; with the tables' doubt, half or twice that.
    kind
        Which way it goes, in words.
    seats, subwoofers
        How strong it is there.
    does
        What it does where, in a sentence; empty for those above the crossover.
    """

    freq_hz: float
    decay_s: float
    kind: str
    seats: tuple[AtPlace, ...]
    subwoofers: tuple[AtPlace, ...]
    does: str = ""


@dataclass(frozen=True, slots=True)
class BassSpot:
    """A place where a subwoofer may stand.

    Parameters
    ----------
    at
        Acoustic centre [m].
    merit
        Unevenness of the bass over all seats: across frequency and from seat to seat, as the root of the sum of their
        squares; lower is better [dB].
    uneven_db, spread_db
        Its two parts: standard deviation across frequency, and between seats [dB].
    level_db
        Mean level at the seats, relative to the same subwoofer at 1 m in free space [dB].
    socket_m
        Distance to the nearest socket [m]; None where the file lists none.
    """

    at: Point3
    merit: float
    uneven_db: float
    spread_db: float
    level_db: float
    socket_m: float | None


@dataclass(frozen=True, slots=True)
class Field:
    """A number over the floor, for contour lines.

    Parameters
    ----------
    what
        What the number is, in words.
    x_m, y_m
        Grid lines [m].
    values
        By rows of constant y; None outside the room.
    """

    what: str
    unit: str
    x_m: tuple[float, ...]
    y_m: tuple[float, ...]
    values: tuple[tuple[float | None, ...], ...]


@dataclass(frozen=True, slots=True)
class SetPlace:
    """One subwoofer of a set: where it stands and how it is set."""

    at: Point3
    delay_ms: float
    gain_db: float
    inverted: bool


@dataclass(frozen=True, slots=True)
class SubwooferSet:
    """One to four subwoofers with their settings.

    Parameters
    ----------
    merit
        Unevenness over all seats [dB].
    margin
        How much worse the next set is that really differs [dB]; None where there is none.
    lead_db
        Least and most of that margin over what is not known of the room [dB]; no clear winner where the least is not
        above zero.
    over_now_db
        By how much it beats what stands there now: as described, least, most [dB]; None where nothing stands.
    misplaced
        Unevenness with one subwoofer put a little off, at worst [dB].
    level_db, uneven_db, spread_db
        As for a spot.
    """

    subwoofers: tuple[SetPlace, ...]
    merit: float
    margin: float | None
    lead_db: tuple[float, float] | None
    over_now_db: tuple[float, float, float] | None
    misplaced: float
    level_db: float
    uneven_db: float
    spread_db: float


@dataclass(frozen=True, slots=True)
class Count:
    """The best that a number of subwoofers can do, and what one more of them brings.

    Parameters
    ----------
    gain_db
        By how much it beats one fewer: as described, least, most over what is not known [dB]; None for one.
    pays
        Whether that is worth buying one more.
    """

    subwoofers: int
    merit: float
    gain_db: tuple[float, float, float] | None
    pays: bool


@dataclass(frozen=True, slots=True)
class Now:
    """What stands there now.

    Parameters
    ----------
    ids
        Subwoofers with a place.
    allowed
        Whether all of them stand where one may.
    why
        What is against it, in a sentence; empty where nothing is.
    """

    ids: tuple[str, ...]
    merit: float
    uneven_db: float
    spread_db: float
    level_db: float
    allowed: bool
    why: str


@dataclass(frozen=True, slots=True)
class Try:
    """One entry of the list to try by ear.

    Parameters
    ----------
    marks
        How to find each place with a tape.
    places
        The places [m].
    merit, misplaced
        Unevenness as predicted, and at worst when put a little off [dB].
    now
        True for where the subwoofers stand now.
    """

    number: int
    marks: tuple[Mark, ...]
    places: tuple[Point3, ...]
    merit: float
    misplaced: float
    now: bool = False


@dataclass(frozen=True, slots=True)
class Curve:
    """The subwoofers at one seat, all together.

    Parameters
    ----------
    which
        ``now``, or ``best`` for the best set with its settings.
    level_db, low_db, high_db
        Relative to one of them at 1 m in free space, with its band [dB].
    """

    which: str
    seat: str
    freq_hz: tuple[float, ...]
    level_db: tuple[float, ...]
    low_db: tuple[float, ...]
    high_db: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class RoomResponse:
    """One source at one seat.

    Parameters
    ----------
    source
        Id of the loudspeaker or subwoofer.
    level_db, low_db, high_db
        Relative to the same source at 1 m in free space, with the band of what is not known of the room [dB].
    """

    source: str
    seat: str
    freq_hz: tuple[float, ...]
    level_db: tuple[float, ...]
    low_db: tuple[float, ...]
    high_db: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class GroupCrossover:
    """Where a group of loudspeakers hands over to the subwoofers.

    Parameters
    ----------
    group
        Name of the group, such as ``front``.
    ids
        Its loudspeakers.
    low_corner_hz
        The highest low corner among them [Hz]; None where the file does not say.
    crossover_hz
        Best of the amplifier's crossovers [Hz].
    merit
        Unevenness of the sum around the crossover over the seats [dB].
    rivals
        Every crossover weighed and its merit [Hz], [dB].
    later_ms
        How much later than their tape distances say the subwoofers start best; negative for earlier [ms].
    inverted
        Whether to turn their polarity.
    sum_db
        Mean level of the sum around the crossover, over that of both added as powers; 3 dB at best [dB].
    seats_db
        That level at each seat [dB].
    """

    group: str
    ids: tuple[str, ...]
    low_corner_hz: float | None
    crossover_hz: float
    merit: float
    rivals: tuple[tuple[float, float], ...]
    later_ms: float
    inverted: bool
    sum_db: float
    seats_db: tuple[AtPlace, ...]


@dataclass(frozen=True, slots=True)
class SeatMove:
    """A gap in the bass at a seat, and how far to move the seats to leave it.

    Parameters
    ----------
    gap_hz, gap_db
        Where the gap is, and how far it lies under the level around it [dB].
    what, seats
        What is moved, a piece of furniture or a seat by name, and the seats that move with it.
    direction
        ``forward``, ``back``, ``left`` or ``right`` as seen facing the screen; empty where no move within reach helps.
    by_m
        How far [m].
    fill_db
        By how much the gap fills: as described, least, most over what is not known [dB].
    merit_before, merit_after
        Unevenness over all seats [dB].
    """

    seat: str
    gap_hz: float
    gap_db: float
    what: str
    seats: tuple[str, ...]
    direction: str
    by_m: float
    fill_db: tuple[float, float, float] | None
    merit_before: float
    merit_after: float


@dataclass(frozen=True, slots=True)
class DoorOpen:
    """What opening a door does at the main seat: the largest change of level, and its frequency."""

    opening: str
    change_db: float
    freq_hz: float


@dataclass(frozen=True, slots=True)
class Reach:
    """How loud a subwoofer gets at the main seat.

    Parameters
    ----------
    level_db, low_db, high_db
        Sound pressure level with its band [dB].
    wish_db
        What the loudness asked for wants [dB].
    """

    id: str
    freq_hz: float
    level_db: float
    low_db: float
    high_db: float
    wish_db: float


@dataclass(frozen=True, slots=True)
class Bass:
    """The bass in the room as it is.

    Parameters
    ----------
    modes_hz
        Frequencies of all modes, ascending, without the constant one [Hz].
    modes
        The same with what each does.
    schroeder_hz
        Above it three modes or more overlap and single ones no longer matter [Hz].
    volume_m3
        Of the room with the spaces described behind it [m³].
    spots
        Places where a subwoofer may stand, in no order of merit; empty where not asked for.
    map, seat_map
        Unevenness for one subwoofer at each point of the floor; and for one listener, with the subwoofers as they are.
    now
        What stands there; None where no subwoofer has a place.
    best
        Sets that really differ, best first.
    counts
        What each number of subwoofers can do.
    tries
        The list to try by ear, best first, with where they stand now at its end.
    tones_hz
        Tones to play while trying [Hz].
    curves
        Subwoofers now and at the best places, at every seat.
    responses
        Every source at every seat, where asked for.
    """

    speed_of_sound_m_s: float
    modes_hz: tuple[float, ...]
    findings: tuple[Finding, ...]
    modes: tuple[RoomMode, ...] = ()
    schroeder_hz: float | None = None
    volume_m3: float | None = None
    spots: tuple[BassSpot, ...] = ()
    map: Field | None = None
    seat_map: Field | None = None
    now: Now | None = None
    best: tuple[SubwooferSet, ...] = ()
    counts: tuple[Count, ...] = ()
    tries: tuple[Try, ...] = ()
    tones_hz: tuple[float, ...] = ()
    curves: tuple[Curve, ...] = ()
    crossovers: tuple[GroupCrossover, ...] = ()
    moves: tuple[SeatMove, ...] = ()
    doors: tuple[DoorOpen, ...] = ()
    reach: tuple[Reach, ...] = ()
    responses: tuple[RoomResponse, ...] = ()
