"""An impulse response with its clock and its origin, and cuts through it."""

from dataclasses import dataclass

import numpy as np

from seatfield.dsp.arrays import Spectrum, Vector, bin_frequencies, frozen


@dataclass(frozen=True, slots=True)
class ImpulseResponse:
    """Samples of an impulse response.

    Attributes
    ----------
    samples : ndarray, shape (n,)
        The response, read-only. [1]
    sample_rate_hz : float
        Samples in one second of the player's time. [Hz]
    start_s : float
        Time of the first sample; zero is the moment at which the impulse was sent. [s]
    """

    samples: Vector
    sample_rate_hz: float
    start_s: float = 0.0

    def __post_init__(self) -> None:
        """Hold a read-only copy."""
        object.__setattr__(self, "samples", frozen(self.samples))

    @property
    def end_s(self) -> float:
        """Time after the last sample [s]."""
        return self.start_s + len(self.samples) / self.sample_rate_hz

    def time_s(self, index: float) -> float:
        """Return the time of a sample, whole or between two [s]."""
        return self.start_s + index / self.sample_rate_hz

    def index(self, time_s: float) -> int:
        """Return the nearest sample inside the response to a time [s]."""
        place = (time_s - self.start_s) * self.sample_rate_hz
        return round(min(max(place, 0.0), float(len(self.samples))))


def cut(response: ImpulseResponse, from_s: float, to_s: float) -> ImpulseResponse:
    """Return the part of a response between two times.

    Parameters
    ----------
    response : ImpulseResponse
        The whole.
    from_s, to_s : float
        Limits; what lies outside the response is left out. [s]

    Returns
    -------
    ImpulseResponse
        The part, with its times kept.
    """
    first, last = response.index(from_s), response.index(to_s)
    return ImpulseResponse(response.samples[first:last], response.sample_rate_hz, response.time_s(first))


def faded(response: ImpulseResponse, fade_in_s: float, fade_out_s: float) -> ImpulseResponse:
    """Return a response under raised-cosine flanks at both ends.

    Parameters
    ----------
    response : ImpulseResponse
        What is to be windowed.
    fade_in_s, fade_out_s : float
        Lengths of the flanks inside the response. [s]

    Returns
    -------
    ImpulseResponse
        Same length and times.
    """
    held = np.array(response.samples)
    rise = min(round(fade_in_s * response.sample_rate_hz), len(held))
    fall = min(round(fade_out_s * response.sample_rate_hz), len(held))
    if rise:
        held[:rise] *= 0.5 - 0.5 * np.cos(np.pi * (np.arange(rise) + 0.5) / rise)
    if fall:
        held[-fall:] *= 0.5 + 0.5 * np.cos(np.pi * (np.arange(fall) + 0.5) / fall)
    return ImpulseResponse(held, response.sample_rate_hz, response.start_s)


def band_limited(
    response: ImpulseResponse, low_hz: float, high_hz: float, octaves: float = 0.5
) -> ImpulseResponse:
    """Return the response with only a band left, without shift in time.

    Parameters
    ----------
    response : ImpulseResponse
        What is to be filtered; it is taken as silent outside its samples.
    low_hz, high_hz : float
        Half-amplitude limits; a low limit of 0 leaves the lows in. [Hz]
    octaves : float
        Width of each raised-cosine flank on the logarithmic axis. [octave]

    Returns
    -------
    ImpulseResponse
        Same length and times.
    """
    from scipy.fft import irfft, next_fast_len, rfft

    count = next_fast_len(
        len(response.samples) + round(response.sample_rate_hz * 2.0 / max(low_hz, 20.0)), real=True
    )
    freq_hz = bin_frequencies(count, response.sample_rate_hz)
    gain = _rise(freq_hz, low_hz, octaves) * (1.0 - _rise(freq_hz, high_hz, octaves))
    samples = irfft(rfft(response.samples, count) * gain, count)[: len(response.samples)]
    return ImpulseResponse(samples, response.sample_rate_hz, response.start_s)


def pulse_shaped(
    response: ImpulseResponse, low_hz: float, width_hz: float, order: int = 4
) -> ImpulseResponse:
    """Return the response through a causal high-pass and a Gaussian low-pass, neither of which rings before its time.

    Parameters
    ----------
    response : ImpulseResponse
        What is to be filtered; it is taken as silent outside its samples.
    low_hz : float
        Corner of the Butterworth high-pass. [Hz]
    width_hz : float
        Frequency at which the Gaussian has fallen to e^(-1/2), -4.3 dB. [Hz]
    order : int
        Order of the high-pass.

    Returns
    -------
    ImpulseResponse
        Same length and times; the Gaussian moves nothing in time.
    """
    from scipy.fft import irfft, next_fast_len, rfft

    count = next_fast_len(len(response.samples) + round(8.0 * response.sample_rate_hz / low_hz), real=True)
    freq_hz = bin_frequencies(count, response.sample_rate_hz)
    gain = _high_pass(freq_hz / low_hz, order) * np.exp(-0.5 * (freq_hz / width_hz) ** 2)
    samples = irfft(rfft(response.samples, count) * gain, count)[: len(response.samples)]
    return ImpulseResponse(samples, response.sample_rate_hz, response.start_s)


def _high_pass(ratio: Vector, order: int) -> Spectrum:
    """Butterworth, with its poles evenly spaced on the left half of the unit circle."""
    s = 1j * ratio
    poles = np.exp(1j * np.pi * (2.0 * np.arange(1, order + 1) + order - 1.0) / (2.0 * order))
    gain: Spectrum = s**order / np.prod([s - pole for pole in poles], axis=0)
    return gain


def _rise(freq_hz: Vector, at_hz: float, octaves: float) -> Vector:
    if at_hz <= 0.0:
        return np.ones_like(freq_hz)
    distance = np.log2(np.maximum(freq_hz, 1e-6) / at_hz) / octaves
    rise: Vector = 0.5 + 0.5 * np.sin(np.pi * np.clip(distance, -0.5, 0.5))
    return rise


def tail_noise(response: ImpulseResponse, share: float = 0.25, parts: int = 4) -> float:
    """Return the loudest effective value among parts of the response's end.

    Parameters
    ----------
    response : ImpulseResponse
        Long enough that its end holds noise and no more room.
    share : float
        Share of the response that counts as its end. [1]
    parts : int
        Number of parts; the loudest one speaks, so that a passing noise is not averaged away.

    Returns
    -------
    float
        Effective value of the noise. [1]
    """
    end = response.samples[-max(parts, round(share * len(response.samples))) :]
    return float(max(np.sqrt(np.mean(part**2)) for part in np.array_split(end, parts)))
