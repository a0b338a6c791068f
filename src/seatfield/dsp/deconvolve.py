"""From a recording of the sweep to the impulse responses of the path and of its harmonics."""

from dataclasses import dataclass

import numpy as np

from seatfield.dsp.arrays import Spectrum, Vector, bin_frequencies
from seatfield.dsp.impulse import ImpulseResponse
from seatfield.dsp.sweep import Sweep, harmonic_lead_s, sweep_signal

IN_BAND = 1e-4
OUT_OF_BAND = 1.0


@dataclass(frozen=True, slots=True)
class Deconvolver:
    """The inverse of a sweep for recordings of one length and one clock; make it once, use it for every channel.

    Attributes
    ----------
    sweep : Sweep
        The sweep that was played.
    sample_rate_hz : float
        Samples in one second of the player's time. [Hz]
    count : int
        Samples of a recording, and of the circle on which it is deconvolved.
    inverse : ndarray, shape (count // 2 + 1,)
        Regularised inverse spectrum. [1]
    """

    sweep: Sweep
    sample_rate_hz: float
    count: int
    inverse: Spectrum


def deconvolver(sweep: Sweep, sample_rate_hz: float, span_s: float, peak: float = 1.0) -> Deconvolver:
    """Return the regularised inverse of a sweep.

    Parameters
    ----------
    sweep : Sweep
        The sweep that was played.
    sample_rate_hz : float
        Samples of the recorder in one second of the player's time. A recorder whose clock runs fast or slow
        takes the sweep as a longer or shorter one; giving its true rate here takes the drift out without
        resampling the recording. [Hz]
    span_s : float
        Length of the recordings, from a little before the sweep to the end of its tail. [s]
    peak : float
        Peak sample value of the sweep as played, so that a wire gives a response of 1. [1]

    Returns
    -------
    Deconvolver
        Whose `count` is the number of samples asked of each recording.

    Notes
    -----
    H = Y X* / (|X|² + ε(f)); ε is 1e-4 of the ideal sweep's power fs² L / 4f inside the band and equals that power
    outside, with a flank of a quarter octave below and of 5 % above.

    References
    ----------
    Kirkeby, O., Nelson, P. A., "Digital filter design for inversion problems in sound reproduction",
    J. Audio Eng. Soc. 47 (1999) 583-595; Farina 2000; Novak 2015.
    """
    from scipy.fft import next_fast_len, rfft

    count = next_fast_len(round(span_s * sample_rate_hz), real=True)
    spectrum = rfft(peak * sweep_signal(sweep, sample_rate_hz), count)
    freq_hz = bin_frequencies(count, sample_rate_hz)
    ideal = (peak * sample_rate_hz) ** 2 * sweep.rate_s / (4.0 * np.maximum(freq_hz, sweep.low_hz / 4.0))
    inverse = np.conj(spectrum) / (np.abs(spectrum) ** 2 + ideal * _regularisation(freq_hz, sweep))
    return Deconvolver(sweep, sample_rate_hz, count, inverse)


def _regularisation(freq_hz: Vector, sweep: Sweep) -> Vector:
    below = np.clip(np.log2(sweep.low_hz / np.maximum(freq_hz, 1e-3)) / 0.25, 0.0, 1.0)
    above = np.clip((freq_hz / sweep.high_hz - 0.95) / 0.05, 0.0, 1.0)
    exponent = np.log10(IN_BAND) + (np.log10(OUT_OF_BAND) - np.log10(IN_BAND)) * np.maximum(below, above)
    regularisation: Vector = 10.0**exponent
    return regularisation


def deconvolved(tool: Deconvolver, recording: Vector, sent_s: float) -> Vector:
    """Return the circle on which linear and harmonic responses lie.

    Parameters
    ----------
    tool : Deconvolver
        The sweep's inverse.
    recording : ndarray, shape (n,)
        Samples; shorter ones are padded with silence, longer ones cut at `tool.count`. [1]
    sent_s : float
        When the sweep was sent, counted from the recording's first sample; it may lie between two samples. [s]

    Returns
    -------
    ndarray, shape (tool.count,)
        Sample 0 is the moment of sending; the end of the array holds negative times. [1]
    """
    from scipy.fft import irfft, rfft

    spectrum = rfft(recording[: tool.count], tool.count) * tool.inverse
    freq_hz = bin_frequencies(tool.count, tool.sample_rate_hz)
    circle: Vector = irfft(spectrum * np.exp(2j * np.pi * sent_s * freq_hz), tool.count)
    return circle


def linear_response(
    tool: Deconvolver, circle: Vector, before_s: float = 0.1, after_s: float = 1.9
) -> ImpulseResponse:
    """Return the linear impulse response.

    Parameters
    ----------
    tool : Deconvolver
        That made the circle.
    circle : ndarray, shape (tool.count,)
        From `deconvolved`. [1]
    before_s, after_s : float
        What to take before and after the moment of sending. [s]

    Returns
    -------
    ImpulseResponse
        With the moment of sending as origin, exactly on a sample.
    """
    return _taken(tool, circle, -round(before_s * tool.sample_rate_hz), before_s + after_s, 0.0)


def harmonic_response(
    tool: Deconvolver, circle: Vector, order: int, *, before_s: float = 0.01, after_s: float = 0.1
) -> ImpulseResponse:
    """Return the impulse response of one harmonic.

    Parameters
    ----------
    tool : Deconvolver
        That made the circle.
    circle : ndarray, shape (tool.count,)
        From `deconvolved`. [1]
    order : int
        Order of the harmonic, 2 and more.
    before_s, after_s : float
        What to take before and after the harmonic's moment. [s]

    Returns
    -------
    ImpulseResponse
        With the harmonic's moment of sending as origin; its spectrum at k·f belongs to an excitation at f.
    """
    moment_s = -harmonic_lead_s(tool.sweep, order)
    first = round((moment_s - before_s) * tool.sample_rate_hz)
    return _taken(tool, circle, first, before_s + after_s, moment_s)


def _taken(
    tool: Deconvolver, circle: Vector, first: int, length_s: float, origin_s: float
) -> ImpulseResponse:
    count = min(round(length_s * tool.sample_rate_hz), tool.count)
    samples = np.take(circle, np.arange(first, first + count), mode="wrap")
    return ImpulseResponse(samples, tool.sample_rate_hz, first / tool.sample_rate_hz - origin_s)
