"""The recorder's clock against the player's, and what a wrong distance of the chirps means."""

from dataclasses import dataclass

from seatfield.dsp.arrays import Vector
from seatfield.dsp.chirps import Chirps, find_chirps
from seatfield.dsp.stimulus import Stimulus
from seatfield.dsp.trouble import Trouble

LIMIT_PPM = 300.0
RATES_HZ = (32000.0, 44100.0, 48000.0, 88200.0, 96000.0, 176400.0, 192000.0, 16000.0, 22050.0, 24000.0)


@dataclass(frozen=True, slots=True)
class Clock:
    """The recorder's clock as the chirps tell it.

    Attributes
    ----------
    sample_rate_hz : float
        Samples of the recorder in one second of the player. [Hz]
    drift_ppm : float
        By how much the recorder runs fast against the rate that holds. [ppm]
    chirps : Chirps
        The pair that was read.
    """

    sample_rate_hz: float
    drift_ppm: float
    chirps: Chirps


def read_clock(
    recording: Vector, file_rate_hz: float, stimulus: Stimulus
) -> tuple[Clock | None, tuple[Trouble, ...]]:
    """Return the recorder's clock, and the troubles that the chirps show.

    Parameters
    ----------
    recording : ndarray, shape (n,)
        One channel. [1]
    file_rate_hz : float
        Rate that the file states. [Hz]
    stimulus : Stimulus
        What was played.

    Returns
    -------
    clock : Clock or None
        None where no pair of chirps was found at any usual rate.
    troubles : tuple of Trouble
        `no-chirps`, `too-short`, `wrong-rate` or `dropped-samples`, each of which stops; or none.

    Notes
    -----
    Clocks of sound devices differ by some tens of ppm; more than 300 ppm is taken as lost or repeated samples
    (common practice, no source). The chirps' own distance is the measure, so a loudspeaker's sharpness does not
    enter.
    """
    if len(recording) < stimulus.spacing_s * file_rate_hz * 0.98:
        short = _too_short(len(recording) / file_rate_hz, stimulus.spacing_s)
        other = _clock_at_other_rate(recording, file_rate_hz, stimulus)
        return (None, (short,)) if other is None else (other, (_wrong_rate(file_rate_hz, other),))
    chirps = find_chirps(recording, file_rate_hz, stimulus)
    if chirps is None:
        other = _clock_at_other_rate(recording, file_rate_hz, stimulus)
        return (None, (_no_chirps(),)) if other is None else (other, (_wrong_rate(file_rate_hz, other),))
    clock = _clock(chirps, file_rate_hz, stimulus)
    if abs(clock.drift_ppm) <= LIMIT_PPM:
        return clock, ()
    other = _clock_at_other_rate(recording, file_rate_hz, stimulus)
    if other is not None and other.chirps.strength_db > clock.chirps.strength_db:
        return other, (_wrong_rate(file_rate_hz, other),)
    return clock, (_dropped(clock, stimulus),)


def _clock(chirps: Chirps, rate_hz: float, stimulus: Stimulus) -> Clock:
    ratio = chirps.spacing_s / stimulus.spacing_s
    return Clock(rate_hz * ratio, (ratio - 1.0) * 1e6, chirps)


def _clock_at_other_rate(recording: Vector, file_rate_hz: float, stimulus: Stimulus) -> Clock | None:
    tried = (
        (rate_hz, find_chirps(recording, rate_hz, stimulus))
        for rate_hz in RATES_HZ
        if rate_hz != file_rate_hz
    )
    clocks = [_clock(chirps, rate_hz, stimulus) for rate_hz, chirps in tried if chirps is not None]
    true = [clock for clock in clocks if abs(clock.drift_ppm) < LIMIT_PPM]
    return max(true, key=lambda clock: clock.chirps.strength_db, default=None)


def _too_short(length_s: float, needed_s: float) -> Trouble:
    return Trouble(
        "too-short",
        f"The recording is {length_s:.1f} s long, but the chirps alone are {needed_s:.1f} s apart. "
        "Start the recorder before the file and stop it after the second chirp.",
        stops=True,
        measured=length_s,
        limit=needed_s,
        unit="s",
    )


def _no_chirps() -> Trouble:
    return Trouble(
        "no-chirps",
        "No pair of chirps stands out of the recording, so its clock and its beginning are unknown. Check that this "
        "is the recording of this sweep, that both chirps are in it, and that the loudspeaker that plays them sounds.",
        stops=True,
        measured=0.0,
        limit=2.0,
        unit="chirps",
    )


def _wrong_rate(file_rate_hz: float, clock: Clock) -> Trouble:
    return Trouble(
        "wrong-rate",
        f"The file says {file_rate_hz:.0f} samples per second, but its chirps are as far apart as at "
        f"{clock.sample_rate_hz:.0f}. Set recorder and player to one rate, or correct the file's rate, and read again.",
        stops=True,
        measured=clock.sample_rate_hz,
        limit=file_rate_hz,
        unit="Hz",
    )


def _dropped(clock: Clock, stimulus: Stimulus) -> Trouble:
    samples = clock.drift_ppm * 1e-6 * stimulus.spacing_s * clock.sample_rate_hz
    verb = "repeated" if samples > 0 else "lost"
    return Trouble(
        "dropped-samples",
        f"The chirps are {abs(clock.drift_ppm):.0f} ppm too {'far apart' if samples > 0 else 'close'}, more than the "
        f"{LIMIT_PPM:.0f} ppm by which clocks differ: some {abs(samples):.0f} samples were {verb}. "
        "Close other programs, choose a larger buffer, and record again.",
        stops=True,
        measured=clock.drift_ppm,
        limit=LIMIT_PPM,
        unit="ppm",
    )
