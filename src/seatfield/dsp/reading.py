"""One recording of one channel, read whole: clock, troubles, response, and what the response says."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from seatfield.dsp.arrays import Vector
from seatfield.dsp.arrival import Arrival
from seatfield.dsp.chirps import LEAST_STRENGTH_DB, chirp_snippet, lag_s, likeness
from seatfield.dsp.clock import Clock, read_clock
from seatfield.dsp.deconvolve import Deconvolver, deconvolved, deconvolver, linear_response
from seatfield.dsp.distortion import distortion
from seatfield.dsp.heard import Heard, Wanted, listen
from seatfield.dsp.impulse import ImpulseResponse, band_limited, pulse_shaped, tail_noise
from seatfield.dsp.inspection import inspect_samples
from seatfield.dsp.quiet import Hum, find_hum, noise_levels
from seatfield.dsp.rattle import find_rattles
from seatfield.dsp.stimulus import Stimulus, marker_signal
from seatfield.dsp.trouble import Trouble

PRE_S = 0.2
BEFORE_S = 0.1
NO_SWEEP_FACTOR = 7.0
JUMP_S = 60e-6


@dataclass(frozen=True, slots=True)
class Reading:
    """Everything that was read from one recording.

    Attributes
    ----------
    troubles : tuple of Trouble
        What is wrong; where one of them stops, `heard` is None.
    clock : Clock or None
        The recorder's clock, where chirps were found.
    origin_s : float
        The response's origin in the recording, in the player's seconds. [s]
    snr_db : float or None
        Power of the sweep over that of the silence, full band. [dB]
    sweep_db : float or None
        Effective value of the recorded sweep, noise subtracted. [dBFS]
    noise_db : tuple of float
        Silence in the level bands. [dBFS]
    hum : Hum or None
        Mains hum in the silence.
    heard : Heard or None
        The response and what it says.
    """

    troubles: tuple[Trouble, ...]
    clock: Clock | None = None
    origin_s: float = 0.0
    snr_db: float | None = None
    sweep_db: float | None = None
    noise_db: tuple[float, ...] = ()
    hum: Hum | None = None
    heard: Heard | None = None


class NothingToAverageError(ValueError):
    """Recordings were to be averaged of which some say nothing."""

    def __init__(self, given: int, usable: int) -> None:
        super().__init__(
            f"{given} recordings were to be averaged, of which {usable} can be used; every one must be usable, and one "
            "is the least. Leave out those with a trouble that stops."
        )


class Reader:
    """Reads recordings of one stimulus, and keeps the sweep's inverse between those that share a clock."""

    def __init__(self, stimulus: Stimulus, wanted: Wanted | None = None) -> None:
        """Hold what was played and what to read."""
        self.stimulus = stimulus
        self.wanted = wanted or Wanted()
        self._tools: dict[float, Deconvolver] = {}

    def tool(self, sample_rate_hz: float) -> Deconvolver:
        """Return the sweep's inverse for a clock, from the last few if it is among them."""
        key = round(sample_rate_hz, 2)  # 0.2 ppm, which smears a sweep by no more than 2 µs
        if key not in self._tools:
            if len(self._tools) > 1:
                self._tools.pop(next(iter(self._tools)))
            span_s = PRE_S + self.stimulus.sweep.duration_s + self.stimulus.tail_s
            self._tools[key] = deconvolver(self.stimulus.sweep, key, span_s, self.stimulus.peak)
        return self._tools[key]

    def read(
        self,
        recording: Vector,
        file_rate_hz: float,
        *,
        loopback: Vector | None = None,
        own_chirp: bool = True,
        crossover_hz: float | None = None,
    ) -> Reading:
        """Return everything that one recording says, or why it says nothing.

        Parameters
        ----------
        recording : ndarray, shape (n,)
            The microphone's channel; full scale is 1. [1]
        file_rate_hz : float
            Rate that the file states. [Hz]
        loopback : ndarray, shape (n,), optional
            What went out, recorded beside it: then arrival times are times of flight. [1]
        own_chirp : bool
            Whether chirps and sweep were played by one loudspeaker; then both must tell one time.
        crossover_hz : float, optional
            Crossover of a subwoofer, in whose band its arrival is defined. [Hz]

        Returns
        -------
        Reading
            With `heard` None where a trouble stops.
        """
        found = inspect_samples(recording, file_rate_hz)
        if any(one.stops for one in found):
            return Reading(found)
        clock, more = read_clock(recording if loopback is None else loopback, file_rate_hz, self.stimulus)
        found += more
        if clock is None or any(one.stops for one in found):
            return Reading(found, clock)
        reading = self._read(recording, clock, found, crossover_hz)
        if own_chirp and loopback is None and reading.heard is not None:
            return _checked(reading, self.stimulus, reading.heard)
        return reading

    def _read(
        self, recording: Vector, clock: Clock, found: tuple[Trouble, ...], crossover_hz: float | None
    ) -> Reading:
        stimulus, rate_hz = self.stimulus, clock.sample_rate_hz
        origin_s = _chirp_moment_s(clock, stimulus) + stimulus.sweep_start_s - stimulus.first_marker_s
        first = round((origin_s - PRE_S) * rate_hz)
        tool, piece = self.tool(rate_hz), _from(recording, first, self.tool(rate_hz).count)
        sent_s = origin_s - first / rate_hz
        silence = _silence(recording, clock, stimulus)
        circle = deconvolved(tool, piece, sent_s)
        response = linear_response(tool, circle, BEFORE_S, stimulus.tail_s - BEFORE_S)
        snr_db, sweep_db = _snr_db(piece, sent_s, rate_hz, stimulus, silence)
        reading = Reading(found, clock, origin_s, snr_db, sweep_db)
        if _no_sweep(response):
            return replace(reading, troubles=(*found, _no_sweep_trouble(snr_db)))
        heard = listen(response, self.wanted, edge_hz=tool.sweep.high_hz, crossover_hz=crossover_hz)
        starts_s = sent_s + heard.arrival.near_s
        heard = replace(
            heard,
            distortion=distortion(tool, circle, response, self.wanted.distortion_bands),
            rattles=find_rattles(piece, rate_hz, tool.sweep, starts_s, silence)
            if self.wanted.rattles
            else (),
        )
        if heard.refused:
            reading = replace(reading, troubles=(*found, _unarrived(heard.refused, snr_db)))
        noise_db = noise_levels(silence, rate_hz, self.wanted.level_bands)
        return replace(reading, noise_db=noise_db, hum=find_hum(silence, rate_hz), heard=heard)


def _checked(reading: Reading, stimulus: Stimulus, heard: Heard) -> Reading:
    """Return the reading, or what is left of it where sweep and chirp tell different times."""
    assert reading.clock is not None
    jump = _jump(reading.clock, stimulus, heard.response, heard.arrival)
    return replace(reading, troubles=(*reading.troubles, *jump), heard=None) if jump else reading


def averaged(
    readings: tuple[Reading, ...], wanted: Wanted | None = None, crossover_hz: float | None = None
) -> Heard:
    """Return what several recordings of one channel at one place say together.

    Parameters
    ----------
    readings : tuple of Reading
        Recordings of the same stimulus through the same path, none of them stopped. Each doubling of their number
        lowers the noise by 3 dB.
    wanted : Wanted, optional
        What to read.
    crossover_hz : float, optional
        Crossover of a subwoofer. [Hz]

    Returns
    -------
    Heard
        Of the mean response; distortion and rattles are those of the first recording.

    Raises
    ------
    NothingToAverageError
        If a reading was stopped by a trouble, or there is none.
    """
    all_heard = [reading.heard for reading in readings if reading.heard is not None]
    if not readings or len(all_heard) < len(readings):
        raise NothingToAverageError(len(readings), len(all_heard))
    first, count = all_heard[0], min(len(heard.response.samples) for heard in all_heard)
    mean = np.mean([heard.response.samples[:count] for heard in all_heard], axis=0)
    response = ImpulseResponse(mean, first.response.sample_rate_hz, first.response.start_s)
    together = listen(response, wanted or Wanted(), crossover_hz=crossover_hz)
    return replace(together, distortion=first.distortion, rattles=first.rattles)


def arrival_after(reading: Reading, base: Reading) -> float | None:
    """Return one recording's arrival on the clock of another that was made at the same place.

    Parameters
    ----------
    reading : Reading
        Whose arrival is wanted.
    base : Reading
        Whose origin it is counted from. The chirps of both were played by one loudspeaker.

    Returns
    -------
    float or None
        Arrival after the base's origin; None where the arrival was refused or a clock is missing. [s]

    Notes
    -----
    The chirp that both recordings hold went through the same room from the same loudspeaker, so the lag of their
    correlation is the difference of the two beginnings, however the recorder was started.
    """
    if reading.clock is None or base.clock is None or reading.heard is None:
        return None
    time_s = reading.heard.moment_s
    if time_s is None:
        return None
    return (
        time_s + reading.origin_s - base.origin_s - lag_s(base.clock.chirps.first, reading.clock.chirps.first)
    )


def _chirp_moment_s(clock: Clock, stimulus: Stimulus) -> float:
    """Return when the first chirp's largest part begins, to a fraction of a sample."""
    rate_hz = clock.sample_rate_hz
    ideal = chirp_snippet(marker_signal(stimulus.marker, rate_hz), rate_hz, stimulus.marker, 0.0)
    return lag_s(ideal, clock.chirps.first)


def _from(recording: Vector, first: int, count: int) -> Vector:
    front = np.zeros(max(0, -first))
    return np.concatenate([front, recording[max(0, first) : first + count]])[:count]


def _silence(recording: Vector, clock: Clock, stimulus: Stimulus) -> Vector:
    """Return what was recorded before the first chirp, or, where that is short, after the sweep has died away."""
    rate_hz, first_s = clock.sample_rate_hz, clock.chirps.first_s
    before = recording[: max(0, round((first_s - 0.03) * rate_hz))][-round(2.0 * rate_hz) :]
    if len(before) >= 0.4 * rate_hz:
        return before
    second_s = first_s + stimulus.spacing_s
    return recording[round((second_s - 0.5 * stimulus.tail_s) * rate_hz) : round((second_s - 0.03) * rate_hz)]


def _snr_db(
    piece: Vector, sent_s: float, rate_hz: float, stimulus: Stimulus, silence: Vector
) -> tuple[float, float | None]:
    last_s = sent_s + stimulus.sweep.duration_s
    power = float(np.mean(piece[round(sent_s * rate_hz) : round(last_s * rate_hz)] ** 2))
    noise = max(float(np.var(silence)), 1e-20)
    net = max(power - noise, 1e-20)
    sweep_db = 10.0 * float(np.log10(net)) if net > 0.01 * noise else None
    return 10.0 * float(np.log10(net / noise)), sweep_db


def _no_sweep(response: ImpulseResponse) -> bool:
    shapes: tuple[Callable[[], ImpulseResponse], ...] = (
        lambda: pulse_shaped(response, 200.0, 14000.0),
        lambda: band_limited(response, 20.0, 200.0),
    )
    return all(_peak_over_noise(shape()) < NO_SWEEP_FACTOR for shape in shapes)


def _peak_over_noise(response: ImpulseResponse) -> float:
    return float(np.max(np.abs(response.samples))) / max(tail_noise(response), 1e-30)


def _no_sweep_trouble(snr_db: float) -> Trouble:
    return Trouble(
        "no-sweep",
        "The chirps are there, but no sound of the sweep stands out of the noise. The channel is dead, is not fed, or "
        "is far too quiet.",
        stops=True,
        measured=snr_db,
        limit=0.0,
        unit="dB",
    )


def _unarrived(heard: Arrival, snr_db: float) -> Trouble:
    return Trouble(
        "noisy" if heard.headroom_db < 0.0 else "no-arrival",
        f"No arrival is given. {heard.refusal}",
        stops=False,
        measured=snr_db,
        limit=snr_db - heard.headroom_db,
        unit="dB",
    )


def _jump(clock: Clock, stimulus: Stimulus, response: ImpulseResponse, first: Arrival) -> tuple[Trouble, ...]:
    """Compare the chirp as recorded with the chirp that the response would give, which the sweep has told."""
    from scipy.signal import oaconvolve

    noisy = first.time_s is None and first.headroom_db < 0.0
    if noisy or clock.chirps.strength_db < LEAST_STRENGTH_DB + 6.0:
        return ()
    rate_hz = clock.sample_rate_hz
    predicted = oaconvolve(marker_signal(stimulus.marker, rate_hz), response.samples[: round(0.4 * rate_hz)])
    told = chirp_snippet(predicted, rate_hz, stimulus.marker, -response.start_s)
    if likeness(told, clock.chirps.first) < 0.5:
        return ()
    moment_s = _chirp_moment_s(clock, stimulus) + response.start_s
    off_s = lag_s(told, clock.chirps.first) - moment_s
    if abs(off_s) <= JUMP_S:
        return ()
    return (
        Trouble(
            "jump",
            f"Sweep and chirp, played by one loudspeaker, tell times that differ by {1e6 * off_s:.0f} µs "
            f"({JUMP_S * 1e6:.0f} are allowed): some {abs(off_s) * rate_hz:.0f} or more samples were lost or repeated "
            "in between. Close other programs, choose a larger buffer, and record again.",
            stops=True,
            measured=1e6 * off_s,
            limit=1e6 * JUMP_S,
            unit="µs",
        ),
    )
