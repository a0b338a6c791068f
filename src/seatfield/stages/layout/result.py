"""What the layout hands on: each loudspeaker from the main seat, its verdict and its tape distances."""

from dataclasses import dataclass
from enum import StrEnum
from math import dist

from seatfield.model import Aim, Finding, Mount, Point, Point3


class Verdict(StrEnum):
    """How well a loudspeaker stands against its window."""

    GOOD = "good"
    USABLE = "usable"
    POOR = "poor"
    NOT_POSSIBLE = "not possible"


@dataclass(frozen=True, slots=True)
class Placed:
    """A loudspeaker in the room, seen from the main seat in the screen's frame.

    Parameters
    ----------
    at
        Acoustic centre [m]; None where it has no position yet.
    azimuth_deg, elevation_deg
        As in ITU-R BS.2051: from the main seat, 0° at the screen's centre, positive to the left and up.
    distance_m
        Straight from the main seat's head to the box [m]; by way of its bounce the sound travels further.
    deviation_deg
        Great-circle distance to the nearest direction that the window allows [deg]; 0 inside.
    placed
        True where the program chose the position.
    limit, source
        The window in words, and the publication behind it.
    verdicts
        Every verdict that the tape's tolerance leaves open, the best first; one where it is certain.
    aim
        Where it points: as given, else at the main seat (an upward-firing one at its bounce).
    bounce
        Where an upward-firing loudspeaker's sound meets the ceiling [m]; its direction is that of its image in the
        ceiling.
    """

    id: str
    channel: str
    plain_name: str
    model: str
    at: Point3 | None
    mount: Mount | None
    azimuth_deg: float | None
    elevation_deg: float | None
    distance_m: float | None
    deviation_deg: float | None
    verdict: Verdict
    placed: bool
    limit: str
    source: str
    verdicts: tuple[Verdict, ...] = ()
    aim: Aim | None = None
    bounce: Point3 | None = None

    def way_m(self, head: Point3) -> float:
        """Return how far its sound travels to a head, by its bounce where it has one; it needs a place [m]."""
        assert self.at is not None
        if self.bounce is None:
            return dist(self.at, head)
        return dist(self.at, self.bounce) + dist(self.bounce, head)


@dataclass(frozen=True, slots=True)
class Tape:
    """A tape distance from a named fixed point."""

    corner: str
    at: Point
    distance_m: float


@dataclass(frozen=True, slots=True)
class Mark:
    """How to mark one loudspeaker's place with nothing but a tape.

    Parameters
    ----------
    id
        Of the loudspeaker or subwoofer.
    height_m
        Of its acoustic centre above the floor [m].
    tapes
        Two tape distances on the floor to the plumb point, crossing at 30 to 150°, and a third as a check;
        empty for a place on a wall.
    crossing_deg
        Angle at which the first two tapes cross [deg].
    wall, along_m, from_corner
        For a place on a wall: its number, and the distance along it from the named corner [m].
    off_m
        Distance out from the wall, where the place is told along a wall but is not on it [m].
    check_from, check_m
        Where no third tape lies free: where else to measure from, in words, and what must be read there [m].
    note
        Why no two tapes lie on the floor, or which of two crossings is meant; empty where all is plain.
    """

    id: str
    channel: str
    height_m: float
    tapes: tuple[Tape, ...] = ()
    crossing_deg: float | None = None
    wall: int | None = None
    along_m: float | None = None
    from_corner: str = ""
    note: str = ""
    off_m: float | None = None
    check_from: str = ""
    check_m: float | None = None


@dataclass(frozen=True, slots=True)
class Candidate:
    """A sound system and how well it suits this room.

    Parameters
    ----------
    feasible
        True where every loudspeaker of it can be at least usable, with the amplifier and the limits there are.
    score
        What it gives less what it asks; higher is better. The scale is common practice, no source.
    loudspeakers
        How many it takes, without subwoofers.
    reasons
        Sentences: what speaks for and against it.
    flips
        Sentences: at which change the choice tips.
    """

    system: str
    shorthand: str
    feasible: bool
    score: float
    loudspeakers: int
    reasons: tuple[str, ...]
    flips: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Stead:
    """A place for one channel among alternatives."""

    channel: str
    at: Point3
    mount: Mount
    azimuth_deg: float
    elevation_deg: float
    distance_m: float
    deviation_deg: float


@dataclass(frozen=True, slots=True)
class Alternative:
    """A really different place for a channel or a pair, and what it costs against the chosen one.

    Parameters
    ----------
    merit_loss
        How much merit it gives away, in the merit's degrees.
    degrees
        How much further outside its window the worse of a pair lies [deg].
    decibels
        How much louder (or, negative, quieter) it arrives at the main seat, the average of a pair [dB].
    cable_m
        How much more cable it takes [m].
    holes
        How many more holes it takes.
    """

    channels: tuple[str, ...]
    places: tuple[Stead, ...]
    merit_loss: float
    degrees: float
    decibels: float
    cable_m: float
    holes: int


@dataclass(frozen=True, slots=True)
class Fairest:
    """The place of a channel or a pair that treats the worst-served seat best, and what the main seat pays.

    Parameters
    ----------
    worst_before_deg, worst_after_deg
        Deviation at the worst seat, in that seat's own frame, at the chosen and at the fairest place [deg].
    main_pays_deg
        How much further outside its window the main seat then hears it [deg].
    """

    channels: tuple[str, ...]
    places: tuple[Stead, ...]
    worst_seat: str
    worst_before_deg: float
    worst_after_deg: float
    main_pays_deg: float


@dataclass(frozen=True, slots=True)
class SeatChannel:
    """One loudspeaker as one seat hears it, in that seat's own frame.

    Parameters
    ----------
    azimuth_error_deg
        How far outside the azimuth window [deg]; 0 inside and where none is prescribed.
    deviation_deg
        Great-circle distance to the window [deg].
    arrival_ms
        How much later it arrives here than at the main seat, for which arrivals are aligned [ms].
    off_axis_deg
        Angle off its axis [deg]; None for an upward-firing one.
    off_axis_db
        Level off the axis against the axis at 1, 2, 4 and 8 kHz [dB]; None where nothing is known or claimed.
    """

    id: str
    channel: str
    azimuth_deg: float
    elevation_deg: float
    distance_m: float
    azimuth_error_deg: float
    deviation_deg: float
    arrival_ms: float
    off_axis_deg: float | None = None
    off_axis_db: tuple[float | None, ...] = ()


@dataclass(frozen=True, slots=True)
class SeatView:
    """Every loudspeaker at one seat.

    Parameters
    ----------
    spread_ms
        From the first arrival to the last, once arrivals are aligned at the main seat [ms].
    worst
        Id of the loudspeaker that lies furthest outside its window here; empty where all are inside.
    """

    seat: str
    channels: tuple[SeatChannel, ...]
    spread_ms: float
    worst: str


@dataclass(frozen=True, slots=True)
class HeightOption:
    """One way to give a pair of height channels without, or with, a ceiling.

    Parameters
    ----------
    method
        ``on the ceiling``, ``high in front``, ``high at the side``, ``high behind`` or ``upward-firing``.
    elevation_deg
        What the ear gets, the mean of the pair [deg]; None where the method has no place at all.
    possible
        False where something forbids it; `reasons` say what, and what would lift it.
    bounce, tilt_deg
        For upward-firing: where the left one's sound meets the ceiling [m], and its tilt from straight up [deg].
    """

    channels: tuple[str, ...]
    method: str
    places: tuple[Stead, ...]
    elevation_deg: float | None
    deviation_deg: float | None
    verdict: Verdict
    possible: bool
    reasons: tuple[str, ...]
    bounce: Point3 | None = None
    tilt_deg: float | None = None


@dataclass(frozen=True, slots=True)
class Aiming:
    """Toe-in and tilt of one loudspeaker, and whether pointing it straight would do.

    Parameters
    ----------
    toe_in_deg
        Turn from square to its wall, or from straight ahead for one that hangs on none [deg].
    tilt_deg
        Upwards from level [deg].
    straight_off_axis_deg
        How far the main seat lies off the axis if it is left straight [deg].
    straight_db
        Level off the axis there at 1, 2, 4 and 8 kHz [dB]; None where nothing is known or claimed.
    straight_fine
        Whether leaving it straight is fine; None where the figures say nothing.
    """

    id: str
    toe_in_deg: float
    tilt_deg: float
    straight_off_axis_deg: float
    straight_db: tuple[float | None, ...]
    straight_fine: bool | None


@dataclass(frozen=True, slots=True)
class Reflection:
    """A first reflection of a front loudspeaker at the main seat.

    Parameters
    ----------
    surface
        The wall by its corners, ``floor`` or ``ceiling``.
    at
        Where it bounces [m].
    delay_ms
        Behind the direct sound [ms].
    level_db
        Against the direct sound, at 1 to 4 kHz [dB]; None where what is there throws nothing back.
    there
        What is there now.
    off_axis_deg
        How far off the loudspeaker's axis it leaves; past 90° far less of the treble goes there than is told.
    within_rule
        Whether it keeps to ITU-R BS.1116: 10 dB below the direct sound within 15 ms.
    """

    id: str
    channel: str
    surface: str
    at: Point3
    delay_ms: float
    level_db: float | None
    there: str
    within_rule: bool
    off_axis_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class ScreenView:
    """The picture from the main seat.

    Parameters
    ----------
    angle_deg
        Width of the picture as seen [deg].
    heights
        Viewing distance in picture heights [-].
    pixels_m
        Distances below which pixels of 1080 and of 2160 lines can be told apart, one arc minute [m].
    centre_below_deg
        How far the centre loudspeaker lies below (negative: above) the picture's centre [deg]; None without one.
    centre_tilt_deg
        The tilt that aims it at the ears [deg].
    """

    angle_deg: float
    heights: float
    distance_m: float
    pixels_m: tuple[float, float]
    centre_below_deg: float | None
    centre_tilt_deg: float | None


@dataclass(frozen=True, slots=True)
class Sought:
    """How the places were sought, and how far from the best possible they can be.

    Parameters
    ----------
    merit
        Merit of the placing as published; None where a given place is forbidden.
    grid_merit_gain
        How much the polish added to the best of the grid, over all groups.
    gap
        How much more merit any other placing on the grid could have, at most.
    step_m
        Step of the grid, along walls and in the seat's frame [m].
    tried
        Places of the grid that were weighed.
    claim
        What is claimed of the result, in words.
    costs
        What the merit is made of: channel, what for, how much.
    """

    merit: float | None
    grid_merit_gain: float
    gap: float
    step_m: float
    tried: int
    claim: str
    costs: tuple[tuple[str, str, float], ...]


@dataclass(frozen=True, slots=True)
class Layout:
    """Every loudspeaker of the chosen sound system in this room.

    Parameters
    ----------
    system
        BS.2051 name such as ``4+7+0``, or the shorthand where no standard names it.
    standard
        False for the common layouts that no standard names.
    candidates
        Sound systems, the one that suits best first.
    alternatives, fairest, heights, sought
        Where places were sought: what else there is and what it costs; empty where all were given.
    seats, aiming, reflections, screen
        Every seat's view, where loudspeakers point, first reflections of the front three, the picture.
    subwoofers
        As `loudspeakers`; a low-frequency channel is free where the standard prescribes no position.
    """

    system: str
    shorthand: str
    standard: bool
    loudspeakers: tuple[Placed, ...]
    marks: tuple[Mark, ...]
    findings: tuple[Finding, ...]
    subwoofers: tuple[Placed, ...] = ()
    candidates: tuple[Candidate, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    seats: tuple[SeatView, ...] = ()
    fairest: tuple[Fairest, ...] = ()
    heights: tuple[HeightOption, ...] = ()
    aiming: tuple[Aiming, ...] = ()
    reflections: tuple[Reflection, ...] = ()
    screen: ScreenView | None = None
    sought: Sought | None = None
