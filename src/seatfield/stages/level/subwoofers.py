"""The loudest bass: what the wish asks of the subwoofers at each seat, and what they can do there."""

from dataclasses import dataclass
from itertools import pairwise
from math import dist, log, pi

from seatfield.decibel import amplitude_db, amplitude_ratio, power_db, power_ratio, sum_db
from seatfield.model import AmplifierSettings, LoudspeakerModel, Project, Seat, SubwooferModel
from seatfield.stages.bass.result import Bass
from seatfield.stages.layout.result import Placed
from seatfield.stages.level.result import RoomSound, SeatBass
from seatfield.stages.level.wishes import Wish

FREQS_HZ = (20.0, 30.0, 40.0)
LFE_GAIN_DB = 10.0
"""The low-frequency channel plays this much louder than another: ITU-R BS.775, annex 7, and SMPTE RP 200, from memory
[dB]."""
FULL_RANGE_HZ = 20.0
"""A loudspeaker that reaches down to here keeps its bass; every other one is small [Hz]."""
USUAL_CROSSOVER_HZ = 80.0
LEAST_SHARE = 0.9
"""A crossover lies no lower than this share of the loudspeaker's low corner: common practice, no source [-]."""
FLOOR_DB = amplitude_db(2.0)
"""What the floor adds where makers measure outdoors: the pressure of a source and its image [dB]."""
SPEED_OF_SOUND_M_S = 343.2
ESTIMATE_DB = 6.0
"""Doubt of the estimate without the room's modes: common practice, no source [dB]."""


@dataclass(frozen=True, slots=True)
class Demand:
    """What a wish asks of the subwoofers at one frequency [dB SPL]."""

    lfe_db: float
    redirected_db: float | None

    @property
    def whole_db(self) -> float:
        """Both as independent sounds: their powers add [dB SPL]."""
        return sum_db(level for level in (self.lfe_db, self.redirected_db) if level is not None)


def demand(
    wish: Wish, small: tuple[LoudspeakerModel, ...], settings: AmplifierSettings, freq_hz: float
) -> Demand:
    """Return what a wish asks of the subwoofers at the main seat.

    Parameters
    ----------
    wish
        Peaks of one channel.
    small
        Models of the loudspeakers whose bass goes to the subwoofers, one entry a loudspeaker.
    settings
        The amplifier's crossovers and the order of its low pass.
    freq_hz
        Frequency [Hz].

    Returns
    -------
    Demand
        The low-frequency channel 10 dB above a channel's peaks, and every small channel's peaks through its low pass.

    Notes
    -----
    The channels are taken as independent, so powers add; the same bass in step in all of n channels would be
    10·lg n louder than is told here.

    References
    ----------
    ITU-R BS.775, annex 7 (low-frequency effects channel), from memory; S. H. Linkwitz, J. Audio Eng. Soc. 24 (1976) 2.
    """
    parts = [wish.peak_db + _passed_db(settings, crossover_hz(settings, one), freq_hz) for one in small]
    return Demand(wish.peak_db + LFE_GAIN_DB, sum_db(parts) if parts else None)


def crossover_hz(settings: AmplifierSettings, model: LoudspeakerModel) -> float:
    """Return the amplifier's crossover nearest to 80 Hz that a loudspeaker reaches down to, or its highest [Hz]."""
    offered = sorted(settings.crossovers_hz) or [USUAL_CROSSOVER_HZ]
    fit = [freq for freq in offered if freq >= LEAST_SHARE * (model.low_corner_hz or USUAL_CROSSOVER_HZ)]
    return min(fit or offered[-1:], key=lambda freq: abs(log(freq / USUAL_CROSSOVER_HZ)))


def _passed_db(settings: AmplifierSettings, corner_hz: float, freq_hz: float) -> float:
    """Return what the low pass leaves: a Linkwitz-Riley filter, or a Butterworth one of an odd order [dB]."""
    order = max(settings.low_pass_order, 1)
    butter = order if order % 2 else order // 2
    slope = -power_db(1 + (freq_hz / corner_hz) ** (2 * butter))
    return slope if order % 2 else 2 * slope


def most_db(model: SubwooferModel, freq_hz: float) -> float | None:
    """Return the highest level of a subwoofer at 1 m, as its maker tells it.

    Parameters
    ----------
    model
        Its figures.
    freq_hz
        Frequency [Hz].

    Returns
    -------
    float or None
        Between two told frequencies on a straight line over the logarithm of the frequency; below the lowest 12 dB an
        octave less, by which the pressure of a cone with a given travel falls, and for a vented box 24 dB below its
        low corner, where the vent helps no more; above the highest as there [dB SPL]. None where nothing is told.

    References
    ----------
    R. H. Small, J. Audio Eng. Soc. 20 (1972) 798 and 21 (1973) 316: displacement-limited power, from memory.
    """
    told = sorted(model.max_level)
    if not told:
        return None
    lowest, level = told[0]
    if freq_hz < lowest:
        vented = model.enclosure == "vented"
        bend = min(lowest, max(model.low_corner_hz or 0.0, freq_hz)) if vented else freq_hz
        return level + 2 * amplitude_db(bend / lowest) + 4 * amplitude_db(freq_hz / bend)
    for (low, start), (high, end) in pairwise(told):
        if freq_hz <= high:
            return start + (end - start) * log(freq_hz / low) / log(high / low)
    return told[-1][1]


@dataclass(frozen=True, slots=True)
class Low:
    """What the subwoofers are reckoned with.

    Parameters
    ----------
    standing
        Subwoofers with a place, and their models.
    bass
        The bass stage's result; None where it was not computed.
    """

    project: Project
    standing: tuple[tuple[Placed, SubwooferModel], ...]
    small: tuple[LoudspeakerModel, ...]
    bass: Bass | None
    room: RoomSound | None
    wish: Wish

    @property
    def settings(self) -> AmplifierSettings:
        """Settings of the processor, the usual ones without any."""
        able = [one for one in self.project.amplifiers if one.processed > 0] or self.project.amplifiers[:1]
        return able[0].settings if able else AmplifierSettings()

    @property
    def from_modes(self) -> bool:
        """True where the room is known by its modes, False where it is estimated."""
        return self.bass is not None and any(curve.which == "now" for curve in self.bass.curves)


def seat_bass(low: Low, seat: Seat) -> tuple[SeatBass, ...]:
    """Return the loudest bass at a seat.

    Parameters
    ----------
    low
        Subwoofers, room and wish.
    seat
        The seat.

    Returns
    -------
    tuple
        At 20, 30 and 40 Hz; empty without subwoofers.

    Notes
    -----
    All subwoofers play the same signal, so the weakest of them sets how loud they may go. A maker's level is taken as
    measured over a floor outdoors, 6 dB over free space.
    """
    if not low.project.subwoofers:
        return ()
    return tuple(_at(low, seat, freq) for freq in FREQS_HZ)


def _at(low: Low, seat: Seat, freq_hz: float) -> SeatBass:
    asked = demand(low.wish, low.small, low.settings, freq_hz)
    room, most = room_gain_db(low, seat, freq_hz), weakest_db(low, freq_hz)
    if room is None or most is None:
        return SeatBass(freq_hz, asked.whole_db, asked.lfe_db, asked.redirected_db, *(None,) * 5)
    reach, least, best = (most - FLOOR_DB + gain for gain in room)
    short = max(asked.whole_db - reach, 0.0)
    return SeatBass(
        freq_hz, asked.whole_db, asked.lfe_db, asked.redirected_db, reach, least, best, room[0], short
    )


def weakest_db(low: Low, freq_hz: float) -> float | None:
    """Return the highest level at 1 m of the weakest subwoofer; None where one is not told [dB SPL]."""
    told = [most_db(model, freq_hz) for _, model in low.standing]
    known = [level for level in told if level is not None]
    return min(known) if known and len(known) == len(told) else None


def room_gain_db(low: Low, seat: Seat, freq_hz: float) -> tuple[float, float, float] | None:
    """Return what room and distance make of the subwoofers at a seat.

    Parameters
    ----------
    low
        Subwoofers and room.
    seat
        The seat.
    freq_hz
        Frequency [Hz].

    Returns
    -------
    tuple or None
        All subwoofers at this seat against one of them at 1 m in free space, with the least and the most that the
        doubt leaves [dB]; None where no subwoofer has a place.

    Notes
    -----
    From the room's modes, the mean of a third of an octave; without them an estimate of what is usual somewhere in a
    room like this: the direct sound with the floor, and the stronger of the reverberant field and the even pressure of
    a closed room, 4π/(V·|k² − i·k·A/8V|).
    """
    if not low.standing:
        return None
    curves = low.bass.curves if low.bass is not None else ()
    curve = next((one for one in curves if one.which == "now" and one.seat == seat.name), None)
    if curve is None:
        return None if low.from_modes else _estimate(low, seat, freq_hz)
    near = [i for i, at in enumerate(curve.freq_hz) if freq_hz / 2 ** (1 / 6) <= at <= freq_hz * 2 ** (1 / 6)]
    if not near:
        return None
    level, least, most = (
        power_db(sum(power_ratio(row[i]) for i in near) / len(near))
        for row in (curve.level_db, curve.low_db, curve.high_db)
    )
    return level, least, most


def _estimate(low: Low, seat: Seat, freq_hz: float) -> tuple[float, float, float] | None:
    if low.room is None:
        return None
    volume, absorption = low.room.volume_m3, low.room.absorption_m2[0]
    k = 2 * pi * freq_hz / SPEED_OF_SOUND_M_S
    even = 4 * pi / (volume * abs(complex(k**2, -k * absorption / (8 * volume))))
    late = max(16 * pi / low.room.room_constant_m2[0], even**2)
    single = [
        power_db((2 / max(dist(one.at, seat.head), 0.3)) ** 2 + late)
        for one, _ in low.standing
        if one.at is not None
    ]
    level = amplitude_db(sum(map(amplitude_ratio, single)))
    return level, level - ESTIMATE_DB, level + ESTIMATE_DB
