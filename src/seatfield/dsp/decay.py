"""Decay times of a response in bands, with the noise taken out, or why there is none."""

from dataclasses import dataclass

import numpy as np

from seatfield.dsp.arrays import Vector, frozen
from seatfield.dsp.bands import Band
from seatfield.dsp.impulse import ImpulseResponse, cut, faded

LEAST_BT = 4.0
LEAST_BT_FORWARD = 16.0
LEAST_ACCURACY = 0.03
NEED_DB = {"T30": 45.0, "T20": 35.0}
SPREAD_DB = 1.5
END_FADE_S = 0.03
LEAST_BLOCKS = 5
CURVED_PERCENT = 10.0
CROOKED_PERMILLE = 10.0
LN_MILLION = 6.0 * np.log(10.0)


@dataclass(frozen=True, slots=True)
class Decay:
    """Decay time in one band.

    Attributes
    ----------
    band : Band
        The band.
    time_s : float or None
        Time for 60 dB, from the range named; None where it is refused. [s]
    range_used : str
        T30 or T20; empty where it is refused.
    from_db, to_db : float
        Limits of that range. [dB]
    edt_s, t20_s, t30_s : float or None
        Early decay time (0 to -10 dB), T20 (-5 to -25 dB) and T30 (-5 to -35 dB), each for 60 dB. [s]
    curvature_percent : float or None
        100 (T30 / T20 - 1); above 10 % the decay is no single exponential. [%]
    above_noise_db : float
        Start of the decay over the noise. [dB]
    bandwidth_time : float
        Bandwidth times decay time, of the best reading at hand. [1]
    sigma_s : float or None
        Standard uncertainty from the finite bandwidth and from the noise. [s]
    remark : str
        Refusal or doubt in words; empty where there is none.
    """

    band: Band
    time_s: float | None
    range_used: str
    from_db: float
    to_db: float
    edt_s: float | None
    t20_s: float | None
    t30_s: float | None
    curvature_percent: float | None
    above_noise_db: float
    bandwidth_time: float
    sigma_s: float | None
    remark: str


@dataclass(frozen=True, slots=True)
class DecayCurve:
    """A backward-integrated decay.

    Attributes
    ----------
    level_db : ndarray, shape (n,)
        Level over time, 0 dB at the start, read-only. [dB]
    step_s : float
        Time between values. [s]
    above_noise_db : float
        Start of the decay over the noise. [dB]
    """

    level_db: Vector
    step_s: float
    above_noise_db: float


def decay(response: ImpulseResponse, part: Band, arrival_s: float) -> Decay:
    """Return the decay time of a response in a band.

    Parameters
    ----------
    response : ImpulseResponse
        Linear response whose end holds noise.
    part : Band
        Usually an octave.
    arrival_s : float
        Moment of first sound. [s]

    Returns
    -------
    Decay
        T30 where the noise lies 45 dB under the start, else T20 from 35 dB, else a refusal.

    Notes
    -----
    The band filter runs forwards where B·T is 16 or more and backwards in time down to 4; below that the filter's
    own decay would be read and the answer is refused. The noise is subtracted from the squared response, the
    integral ends where decay and noise meet, and what lies beyond is added as an exponential. The levels asked for
    are eased by 1.5 dB, the spread of the noise reading itself, but where the noise moves the slope by more than
    3 % in one reading of ten, which happens in narrow bands, the answer is refused too.

    References
    ----------
    ISO 3382-1:2009, 5.3; ISO 3382-2:2008, 7 and Annex B; Schroeder, J. Acoust. Soc. Am. 37 (1965) 409;
    Chu, J. Acoust. Soc. Am. 63 (1978) 1444; Lundeby et al., Acustica 81 (1995) 344;
    Jacobsen, Rindel, J. Sound Vib. 117 (1987) 187 (time-reversed filtering).
    """
    found = _read(response, part, arrival_s, backward=False)
    if found.bandwidth_time < LEAST_BT_FORWARD:
        found = _read(response, part, arrival_s, backward=True)
    return found


def _read(response: ImpulseResponse, part: Band, arrival_s: float, *, backward: bool) -> Decay:
    filtered = band_filtered(response, part, backward=backward)
    curve = decay_curve(cut(filtered, arrival_s - (0.5 / part.width_hz if backward else 0.0), response.end_s))
    if curve is None:
        return _refused(part, 0.0, 0.0, "no decay stands out of the noise in this band")
    times = {name: slope_time_s(curve, *limits) for name, limits in _LIMITS.items()}
    allowed = {name: times[name] for name in NEED_DB if _clean(name, times[name], curve, part)}
    best = next((name for name in ("T30", "T20") if name in allowed), "")
    bt = part.width_hz * (times[best] if best else times["T20"] or times["EDT"] or 0.0)  # type: ignore[operator]
    if not best:
        return _refused(part, curve.above_noise_db, bt, _needs(curve.above_noise_db))
    if bt < LEAST_BT:
        return _refused(part, curve.above_noise_db, bt, _too_narrow(part, bt))
    return _accepted(part, curve, times, best, allowed)


def _clean(name: str, time_s: float | None, curve: DecayCurve, part: Band) -> bool:
    if time_s is None or curve.above_noise_db < NEED_DB[name] - SPREAD_DB:
        return False
    return 1.645 * noise_share(name, curve.above_noise_db, part.width_hz * time_s) <= LEAST_ACCURACY


def noise_share(range_used: str, above_noise_db: float, bandwidth_time: float) -> float:
    """Return the relative standard deviation that noise alone gives to a decay time.

    Parameters
    ----------
    range_used : str
        T20 or T30.
    above_noise_db : float
        Start of the decay over the noise. [dB]
    bandwidth_time : float
        Bandwidth times decay time. [1]

    Returns
    -------
    float
        Standard deviation over decay time. [1]

    Notes
    -----
    At the lower end of the range the energy still to come, E, is known to a relative variance of 4 σ² / E, where σ²
    is the noise in one of the 2 B T independent samples; an error there tilts the line by some 0.8 of itself over the
    range. Own derivation, checked by simulation.
    """
    lower_db, upper_db = -_LIMITS[range_used][1], -_LIMITS[range_used][0]
    variance = 2.0 * LN_MILLION * 10.0 ** ((lower_db - above_noise_db) / 10.0) / max(bandwidth_time, 1e-9)
    return float(0.8 * 10.0 / np.log(10.0) * np.sqrt(variance) / (lower_db - upper_db))


_LIMITS = {"EDT": (0.0, -10.0), "T20": (-5.0, -25.0), "T30": (-5.0, -35.0)}


def _accepted(
    part: Band, curve: DecayCurve, times: dict[str, float | None], best: str, allowed: dict[str, float | None]
) -> Decay:
    time_s, t20_s, t30_s = times[best], allowed.get("T20"), allowed.get("T30")
    assert time_s is not None
    curvature = 100.0 * (t30_s / t20_s - 1.0) if t20_s and t30_s else None
    remark = _doubt(curvature, crookedness_permille(curve, *_LIMITS[best]))
    return Decay(
        part,
        time_s,
        best,
        *_LIMITS[best],
        times["EDT"],
        t20_s,
        t30_s,
        curvature,
        curve.above_noise_db,
        part.width_hz * time_s,
        float(
            np.hypot(
                bandwidth_sigma_s(time_s, part.width_hz, best),
                time_s * noise_share(best, curve.above_noise_db, part.width_hz * time_s),
            )
        ),
        remark,
    )


def _refused(part: Band, above_noise_db: float, bt: float, remark: str) -> Decay:
    return Decay(part, None, "", 0.0, 0.0, None, None, None, None, above_noise_db, bt, None, remark)


def _doubt(curvature: float | None, crooked: float) -> str:
    if curvature is not None and abs(curvature) > CURVED_PERCENT:
        return f"the decay is curved: T30 differs from T20 by {curvature:.0f} %, so one number does not describe it"
    if crooked > CROOKED_PERMILLE:
        return (
            f"the decay is crooked ({crooked:.0f} permille off a line): single modes or echoes rule the band"
        )
    return ""


def _needs(above_noise_db: float) -> str:
    return (
        f"the decay starts {above_noise_db:.0f} dB above the noise; T20 needs {NEED_DB['T20']:.0f} dB, and more in a "
        "narrow band with a short decay: average more sweeps or play louder"
    )


def _too_narrow(part: Band, bt: float) -> str:
    return (
        f"bandwidth times decay time is {bt:.1f}, and less than {LEAST_BT:.0f} reads the filter instead of the room: "
        f"at {part.mid_hz:.0f} Hz look at single modes instead"
    )


def bandwidth_sigma_s(time_s: float, width_hz: float, range_used: str) -> float:
    """Return the standard uncertainty of one integrated impulse response's decay time.

    Parameters
    ----------
    time_s : float
        Decay time. [s]
    width_hz : float
        Bandwidth. [Hz]
    range_used : str
        T20 or T30.

    Returns
    -------
    float
        0.88 T √(1.19 / BT) for T20 and 0.55 T √(1.152 / BT) for T30. [s]

    References
    ----------
    ISO 3382-2:2008, 7.1 with N = 1 position and n = 10 averages, which the standard equates to one integrated
    impulse response; the constants are from memory.
    """
    factor, averages = (0.88, 1.90) if range_used == "T20" else (0.55, 1.52)
    return float(factor * time_s * np.sqrt((1.0 + averages / 10.0) / (width_hz * time_s)))


def band_filtered(response: ImpulseResponse, part: Band, *, backward: bool) -> ImpulseResponse:
    """Return the response through the band's filter, run forwards or backwards in time.

    Parameters
    ----------
    response : ImpulseResponse
        Linear response.
    part : Band
        The band.
    backward : bool
        True runs the filter backwards, so that its ringing lies before each sound.

    Returns
    -------
    ImpulseResponse
        Through a Butterworth band-pass of sixth order. The last 30 ms, over which an offset or a cut edge is faded
        out, are left off.
    """
    from scipy.signal import butter, sosfilt

    corners_hz = [part.low_hz, min(part.high_hz, 0.499 * response.sample_rate_hz)]
    sections = butter(3, corners_hz, "bandpass", fs=response.sample_rate_hz, output="sos")
    level = ImpulseResponse(
        response.samples - np.mean(response.samples), response.sample_rate_hz, response.start_s
    )
    held = faded(level, 0.0, END_FADE_S).samples
    samples = sosfilt(sections, held[::-1])[::-1] if backward else sosfilt(sections, held)
    whole = ImpulseResponse(samples, response.sample_rate_hz, response.start_s)
    return cut(whole, response.start_s, response.end_s - END_FADE_S)


def decay_curve(response: ImpulseResponse) -> DecayCurve | None:
    """Return the backward integral of a filtered response with noise subtracted and its tail completed.

    Parameters
    ----------
    response : ImpulseResponse
        One band, beginning at the arrival and ending in noise.

    Returns
    -------
    DecayCurve or None
        None where no decay of 10 dB stands out of the noise.

    References
    ----------
    Schroeder 1965; Chu 1978; Lundeby et al. 1995.
    """
    power = response.samples**2
    found = _meeting(power, response.sample_rate_hz)
    if found is None:
        return None
    meeting, slope_per_s, noise = found
    tail = noise * response.sample_rate_hz / slope_per_s
    net = power[:meeting] - noise
    energy = np.cumsum(net[::-1])[::-1] + tail
    if energy[0] <= 0.0:
        return None
    above_noise_db = 10.0 * float(np.log10(energy[0] * slope_per_s / response.sample_rate_hz / noise))
    level_db = 10.0 * np.log10(np.maximum(energy, 1e-12 * energy[0]) / energy[0])
    return DecayCurve(frozen(level_db), 1.0 / response.sample_rate_hz, above_noise_db)


def _meeting(power: Vector, rate_hz: float, rounds: int = 8) -> tuple[int, float, float] | None:
    """Return the sample where decay and noise meet, the late decay's rate in nepers of power per second, the noise."""
    length_s = len(power) / rate_hz
    noise = max(float(np.mean(power[-max(1, len(power) // 10) :])), 1e-30)
    block_s, meeting_s, slope_per_s = 0.02, 0.0, 0.0
    for _ in range(rounds):
        line = _late_line(*_blocks_db(power, rate_hz, block_s), 10.0 * float(np.log10(noise)), slope_per_s)
        if line is None:
            break
        offset_db, rise_db_per_s = line
        before_s, meeting_s = meeting_s, (10.0 * float(np.log10(noise)) - offset_db) / rise_db_per_s
        slope_per_s = -rise_db_per_s * np.log(10.0) / 10.0
        if abs(meeting_s - before_s) < 1e-3 * meeting_s:
            break
        block_s = float(np.clip(2.5 / -rise_db_per_s, 0.002, 0.1))
        quiet_s = min(max(meeting_s, 0.0) + 7.5 / -rise_db_per_s, 0.9 * length_s)
        noise = max(float(np.mean(power[int(quiet_s * rate_hz) :])), 1e-30)
    if meeting_s <= 0.0:
        return None
    return min(max(1, int(meeting_s * rate_hz)), len(power)), slope_per_s, noise


def _blocks_db(power: Vector, rate_hz: float, block_s: float) -> tuple[Vector, float]:
    size = max(1, round(block_s * rate_hz))
    count = len(power) // size
    means = power[: count * size].reshape(count, size).mean(axis=1)
    return 10.0 * np.log10(np.maximum(means, 1e-30)), size / rate_hz


def _late_line(
    level_db: Vector, step_s: float, noise_db: float, slope_per_s: float
) -> tuple[float, float] | None:
    """Return offset and rise of the straight line through the late decay, 6 to 26 dB above the noise."""
    top, margin_db = int(np.argmax(level_db)), 6.0
    below = np.flatnonzero(level_db[top:] < noise_db + margin_db)
    last = top + (int(below[0]) if len(below) else len(level_db) - top)
    above = np.flatnonzero(level_db[top:last] > noise_db + margin_db + 20.0)
    high = top + (int(above[-1]) if slope_per_s > 0.0 and len(above) else 0)
    high = max(top, min(high, last - LEAST_BLOCKS))
    if last - high < 3 or level_db[high] - noise_db < 10.0:
        return None
    time_s = (np.arange(high, last) + 0.5) * step_s
    rise, offset = np.polyfit(time_s, level_db[high:last], 1)
    return (float(offset), float(rise)) if rise < 0.0 else None


def crookedness_permille(curve: DecayCurve, from_db: float, to_db: float) -> float:
    """Return how far a range of a decay curve is from a straight line.

    Parameters
    ----------
    curve : DecayCurve
        Backward-integrated decay.
    from_db, to_db : float
        Upper and lower limit of the range, both reached by the curve. [dB]

    Returns
    -------
    float
        ξ = 1000 (1 - r²), with r the correlation of level and time; above 10 is suspicious. [permille]

    References
    ----------
    ISO 3382-2:2008, B.2.
    """
    part = _range(curve, from_db, to_db)
    return float(1000.0 * (1.0 - np.corrcoef(np.arange(len(part)), part)[0, 1] ** 2))


def _range(curve: DecayCurve, from_db: float, to_db: float) -> Vector:
    first, last = (int(np.argmax(curve.level_db <= limit_db)) for limit_db in (from_db, to_db))
    return curve.level_db[first:last]


def slope_time_s(curve: DecayCurve, from_db: float, to_db: float) -> float | None:
    """Return the decay time for 60 dB from a range of a decay curve.

    Parameters
    ----------
    curve : DecayCurve
        Backward-integrated decay.
    from_db, to_db : float
        Upper and lower limit of the range. [dB]

    Returns
    -------
    float or None
        -60 over the slope of the regression line; None where the curve does not reach the lower limit. [s]

    References
    ----------
    ISO 3382-1:2009, 5.3.3.
    """
    part = _range(curve, from_db, to_db)
    if len(part) < 8:
        return None
    rise = np.polyfit(np.arange(len(part)) * curve.step_s, part, 1)[0]
    return float(-60.0 / rise) if rise < 0.0 else None
