"""What the alignment hands on: values to type, what they are predicted to do, and for whom."""

from dataclasses import dataclass

from seatfield.model import ChannelSetting, EqFilter, Finding, Point3


@dataclass(frozen=True, slots=True)
class ChannelAligned:
    """What to type for one channel.

    Parameters
    ----------
    delay_ms
        Electrical delay [ms].
    distance_m
        The distance to type that makes this delay: a larger one means less delay [m].
    trim_db
        Level correction, in the amplifier's steps [dB].
    crossover_hz
        Where it hands its bass over [Hz]; None for full range, and for a subwoofer.
    inverted
        Whether to turn its polarity.
    filters
        Bands of the equaliser, within the number that the amplifier has.
    remarks
        What to know about these values.
    """

    channel: str
    run: str
    delay_ms: float
    distance_m: float
    trim_db: float
    crossover_hz: float | None
    inverted: bool
    filters: tuple[EqFilter, ...]
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Predicted:
    """The predicted response of one channel at one position, subwoofers included.

    Parameters
    ----------
    level_db
        Level from 20 Hz to 320 Hz, smoothed over a sixth of an octave [dB re wire].
    spread_db
        Standard deviation of that level over all positions: how little one place says of the next [dB]. Empty where
        there is one position.
    arrival_s
        First sound once the values are typed, on the position's own clock; None where it was refused [s].
    """

    run: str
    position: Point3
    seat: str
    freq_hz: tuple[float, ...]
    level_db: tuple[float, ...]
    spread_db: tuple[float, ...] = ()
    arrival_s: float | None = None


@dataclass(frozen=True, slots=True)
class SeatGain:
    """What the alignment gains at one position.

    Parameters
    ----------
    join_before_db, join_after_db
        Mean loss of subwoofers and mains against their sum in phase round the crossover [dB].
    uneven_before_db, uneven_after_db
        Effective deviation of the bass from its target [dB], the mean over channels.
    arrival_spread_ms, level_spread_db
        Largest difference of the main channels' arrivals and levels once the values are typed [ms], [dB].
    """

    position: Point3
    seat: str
    join_before_db: float | None
    join_after_db: float | None
    uneven_before_db: float
    uneven_after_db: float
    arrival_spread_ms: float | None
    level_spread_db: float | None


@dataclass(frozen=True, slots=True)
class Alignment:
    """Values to type, and what they are predicted to do.

    Parameters
    ----------
    aligned_to
        ``main seat`` or ``all seats``.
    settings
        The same values as the amplifier's own, for prediction, rehearsal and the log.
    polarity_gain_db
        By how much the chosen polarity of the subwoofers beats the other [dB]; None without subwoofers. Under 1 dB
        there is no clear winner.
    """

    aligned_to: str
    channels: tuple[ChannelAligned, ...]
    settings: tuple[ChannelSetting, ...]
    seats: tuple[SeatGain, ...]
    predicted: tuple[Predicted, ...]
    polarity_gain_db: float | None
    findings: tuple[Finding, ...]
