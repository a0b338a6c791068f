"""Impulse responses of the project's room: image sources while they are few, then a decay of noise."""

from collections.abc import Callable
from dataclasses import dataclass
from math import dist

import numpy as np

from seatfield.dsp.arrays import Spectrum, Vector
from seatfield.geometry.mirror import Bounce, Facet, bounce, facet
from seatfield.geometry.polygon import boundary_distance
from seatfield.geometry.sight import stays_inside
from seatfield.model import Finish, Outline, Point3
from seatfield.stages.survey import Survey

Room = Callable[[Point3, Point3], Vector]
"""From source and microphone to an impulse response, 1 at 1 m, at the rehearsal's rate."""

MIXED_S = 0.06
REFERENCE_HZ = 1000.0
UNKNOWN_ABSORPTION = 0.12
SCATTERED = 0.12
"""Share of the energy that furniture and roughness take at each reflection: common practice, no source."""
ROUND_A_CORNER = 0.3
"""What is left of the direct sound where a corner of the room hides its source: common practice, no source [-]."""
ON_WALL_M = 1e-3
HALF_TAPS = 32
LENGTH_S, EARLY_S = 1.2, 0.15
BANDS_HZ = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)


@dataclass(frozen=True, slots=True)
class Shell:
    """What the renderer needs of a room.

    Parameters
    ----------
    box_m
        Lower and upper corner where the room is rectangular with a flat ceiling; None elsewhere.
    outline
        Corners of the floor [m].
    facets
        Each surface's plane, normal inwards, and its finish.
    decay_s
        Decay time in each band [s].
    """

    box_m: tuple[Point3, Point3] | None
    outline: Outline
    facets: tuple[tuple[Facet, Finish], ...]
    volume_m3: float
    decay_s: tuple[float, ...]
    speed_of_sound_m_s: float

    def decay_at(self, freq_hz: float) -> float:
        """Return the decay time at a frequency, between the bands on the logarithmic axis [s]."""
        return float(np.interp(np.log(freq_hz), np.log(BANDS_HZ), self.decay_s))


def shell_of(survey: Survey, speed_of_sound_m_s: float) -> Shell:
    """Return the surfaces and the decay of a surveyed room.

    Parameters
    ----------
    survey
        The room.
    speed_of_sound_m_s
        Speed of sound [m/s].

    Returns
    -------
    Shell
        Decay times after Eyring from the finishes, with a share for furniture.

    References
    ----------
    C. F. Eyring, J. Acoust. Soc. Am. 1 (1930) 217, from memory.
    """
    surfaces = _surfaces(survey)
    area_m2 = sum(area for *_, area in surfaces)
    decays = []
    for band_hz in BANDS_HZ:
        mean = mean_absorption(survey, band_hz)
        lost = 1.0 - (1.0 - min(mean, 0.95)) * (1.0 - SCATTERED)
        decays.append(
            24.0 * np.log(10.0) * survey.volume_m3 / (speed_of_sound_m_s * area_m2 * -np.log(1.0 - lost))
        )
    return Shell(
        _box(survey, survey.volume_m3 / survey.area_m2),
        survey.room.floor,
        tuple((plane, finish) for plane, finish, _ in surfaces),
        survey.volume_m3,
        tuple(float(one) for one in decays),
        speed_of_sound_m_s,
    )


def _surfaces(survey: Survey) -> list[tuple[Facet, Finish, float]]:
    """Return each surface's plane, finish and area [m²]; of a sloping ceiling a level one at the mean height."""
    room, height_m = survey.room, survey.volume_m3 / survey.area_m2
    walls = [
        (facet((*frame.inward, 0.0), (*frame.start, 0.0)), frame.wall.finish, frame.length_m * height_m)
        for frame in survey.walls
    ]
    return [
        *walls,
        (facet((0.0, 0.0, 1.0), (0.0, 0.0, 0.0)), room.floor_finish, survey.area_m2),
        (facet((0.0, 0.0, -1.0), (0.0, 0.0, height_m)), room.ceiling_finish, survey.area_m2),
    ]


def mean_absorption(survey: Survey, freq_hz: float) -> float:
    """Return the absorption of all surfaces together, bare of furniture [-]."""
    surfaces = _surfaces(survey)
    total_m2 = sum(area for *_, area in surfaces)
    return sum(area * absorption_at(finish, freq_hz) for _, finish, area in surfaces) / total_m2


def _box(survey: Survey, height_m: float) -> tuple[Point3, Point3] | None:
    corners = survey.room.floor
    xs, ys = {x for x, _ in corners}, {y for _, y in corners}
    flat = survey.room.ceiling_m is not None and not survey.room.ceiling_planes
    if not flat or len(corners) != 4 or len(xs) != 2 or len(ys) != 2:
        return None
    return (min(xs), min(ys), 0.0), (max(xs), max(ys), height_m)


def absorption_at(finish: Finish, freq_hz: float) -> float:
    """Return a finish's absorption at a frequency, between its bands on the logarithmic axis.

    Notes
    -----
    Where the file says nothing 0.12 is taken: common practice, no source.
    """
    if not finish.freq_hz:
        return UNKNOWN_ABSORPTION
    return float(np.interp(np.log(freq_hz), np.log(finish.freq_hz), finish.absorption))


def renderer(shell: Shell, rate_hz: int, seed: int = 1) -> Room:
    """Return a function from source and microphone to the room's impulse response.

    Parameters
    ----------
    shell
        The room.
    rate_hz
        Sample rate [Hz].
    seed
        Of the noise that stands for the late decay.

    Returns
    -------
    callable
        Direct sound and reflections by image sources (J. B. Allen, D. A. Berkley, J. Acoust. Soc. Am. 65 (1979) 943)
        up to 60 ms in a rectangular room; in others the direct sound and first reflections. From there noise that
        decays in octaves as Eyring's time says, at the density of a diffuse field.

    Notes
    -----
    Point sources without directivity. Below some 150 Hz a real room's modes are sharper than this sum makes them.
    """
    colour = _colour(shell, rate_hz, 2 * round(EARLY_S * rate_hz))

    def render(source: Point3, microphone: Point3) -> Vector:
        early = _early(shell, source, microphone, rate_hz, colour)
        return early + _late(shell, source, microphone, rate_hz, seed)

    return render


def _early(shell: Shell, source: Point3, microphone: Point3, rate_hz: int, colour: Spectrum) -> Vector:
    """Return direct sound and reflections, those of each order through the mean reflection's colour as often."""
    from scipy.fft import irfft, rfft

    count = 2 * (len(colour) - 1)
    away_m, gain, order = (
        _images(shell, np.array(source), np.array(microphone), MIXED_S * shell.speed_of_sound_m_s)
        if shell.box_m
        else _first_images(shell, source, microphone)
    )
    fade = np.clip((MIXED_S - away_m / shell.speed_of_sound_m_s) / (0.5 * MIXED_S), 0.0, 1.0)
    gain = gain / away_m * np.where(order > 0, np.sqrt(fade), 1.0)
    place = away_m / shell.speed_of_sound_m_s * rate_hz
    total = np.zeros(len(colour), dtype=np.complex128)
    for times in range(int(order.max()) + 1):
        chosen = order == times
        if np.any(chosen):
            total += rfft(_train(place[chosen], gain[chosen], count // 2), count) * colour**times
    response = np.zeros(round(LENGTH_S * rate_hz))
    response[: count // 2] = irfft(total, count)[: count // 2]
    return response


def _images(
    shell: Shell, source: Vector, microphone: Vector, limit_m: float
) -> tuple[Vector, Vector, Vector]:
    """Return distance, gain and number of reflections of each image in a box."""
    assert shell.box_m is not None
    low, high = (np.array(corner) for corner in shell.box_m)
    size = high - low
    factors = np.array([_reflection(finish, REFERENCE_HZ) for _, finish in _ordered(shell)])
    axes = [_axis(source[k] - low[k], size[k], limit_m, factors[2 * k : 2 * k + 2]) for k in range(3)]
    places = np.stack(np.meshgrid(*(axis[0] for axis in axes), indexing="ij"), axis=-1).reshape(-1, 3)
    gain = np.prod(np.meshgrid(*(axis[1] for axis in axes), indexing="ij"), axis=0).ravel()
    order = np.sum(np.meshgrid(*(axis[2] for axis in axes), indexing="ij"), axis=0).ravel()
    away_m: Vector = np.linalg.norm(places - (microphone - low), axis=1)
    near = (away_m < limit_m) | (order == 0)
    return np.maximum(away_m[near], 0.05), np.asarray(gain[near]), np.asarray(order[near])


def _ordered(shell: Shell) -> list[tuple[Facet, Finish]]:
    """Return a box's surfaces as -x, +x, -y, +y, floor, ceiling."""

    def of(axis: int, sign: float) -> tuple[Facet, Finish]:
        return next(one for one in shell.facets if one[0].normal[axis] * sign > 0.99)

    return [of(axis, sign) for axis in range(3) for sign in (1.0, -1.0)]


def _axis(at: float, size: float, limit_m: float, factors: Vector) -> tuple[Vector, Vector, Vector]:
    count = int(limit_m / size) + 2
    number = np.arange(-count, count + 1)
    even = number % 2 == 0
    place = number * size + np.where(even, at, size - at)
    upper = np.where(number >= 0, (number + 1) // 2, (-number) // 2)
    lower = np.where(number >= 0, number // 2, (-number + 1) // 2)
    return np.array(place, dtype=np.float64), factors[0] ** lower * factors[1] ** upper, np.abs(number)


def _reflection(finish: Finish, freq_hz: float) -> float:
    return float(np.sqrt((1.0 - min(absorption_at(finish, freq_hz), 0.99)) * (1.0 - SCATTERED)))


def _first_images(shell: Shell, source: Point3, microphone: Point3) -> tuple[Vector, Vector, Vector]:
    """Return distance, gain and number of reflections of the direct sound and of each surface that reflects it.

    Sound that no straight way lets through comes round the corner, quieter.
    """
    seen = stays_inside(source[:2], microphone[:2], shell.outline)
    found = [(dist(source, microphone), 1.0 if seen else ROUND_A_CORNER, 0)]
    for plane, finish in shell.facets:
        met = bounce(plane, source, microphone)
        if met is not None and _free(shell.outline, plane, met, (source, microphone)):
            found.append((met.length_m, _reflection(finish, REFERENCE_HZ), 1))
    away_m, gain, order = np.array(found).T
    return np.maximum(away_m, 0.05), gain, order.astype(int)


def _free(outline: Outline, plane: Facet, met: Bounce, ends: tuple[Point3, Point3]) -> bool:
    """Tell whether a bounce falls on its surface, and nothing is in its way."""
    x, y, _ = met.at
    level = abs(plane.normal[2]) > 0.5
    if not level and boundary_distance(outline, (x, y)) > ON_WALL_M:
        return False
    # A little into the room, so that the wall itself does not count as in the way.
    near = (x, y) if level else (x + ON_WALL_M * plane.normal[0], y + ON_WALL_M * plane.normal[1])
    return all(stays_inside(near, end[:2], outline) for end in ends)


def _train(place: Vector, gain: Vector, length: int) -> Vector:
    """Return pulses between samples, each a windowed sinc that is flat up to 0.4 of the rate."""
    whole = np.floor(place).astype(int)
    offset = np.arange(-HALF_TAPS + 1, HALF_TAPS + 1)
    away = offset[None, :] - (place - whole)[:, None]
    taps = 0.9 * np.sinc(0.9 * away) * (0.5 + 0.5 * np.cos(np.pi * np.clip(away / HALF_TAPS, -1.0, 1.0)))
    index = whole[:, None] + offset[None, :]
    inside = (index >= 0) & (index < length)
    train: Vector = np.bincount(
        index[inside], weights=(gain[:, None] * taps)[inside], minlength=length
    ).astype(np.float64)
    return train


def _colour(shell: Shell, rate_hz: int, count: int) -> Spectrum:
    """Return the mean reflection over frequency, 1 at 1 kHz, as a minimum-phase filter."""
    from scipy.fft import irfft, rfft

    freq_hz = np.arange(count // 2 + 1) * rate_hz / count
    means = [np.mean([_reflection(finish, band_hz) for _, finish in shell.facets]) for band_hz in BANDS_HZ]
    size = np.interp(np.log(np.maximum(freq_hz, 1.0)), np.log(BANDS_HZ), means)
    size /= np.interp(np.log(REFERENCE_HZ), np.log(BANDS_HZ), means)
    cepstrum = irfft(np.log(size), count)
    cepstrum[1 : count // 2] *= 2.0
    cepstrum[count // 2 + 1 :] = 0.0
    return np.asarray(np.exp(rfft(cepstrum, count)))


def _late(shell: Shell, source: Point3, microphone: Point3, rate_hz: int, seed: int) -> Vector:
    """Return noise that takes over where the images end, its own for each path, alike for each run of the program."""
    place = [round(1000.0 * value) & 0xFFFFFFFF for value in (*source, *microphone)]
    rng = np.random.default_rng([seed, *place])
    length = round(LENGTH_S * rate_hz)
    time_s = np.arange(length) / rate_hz
    density = 4.0 * np.pi * shell.speed_of_sound_m_s / (shell.volume_m3 * rate_hz)
    begins_s = dist(source, microphone) / shell.speed_of_sound_m_s
    ends_s = MIXED_S if shell.box_m else begins_s + 0.02
    rises_s = 0.5 * MIXED_S if shell.box_m else begins_s + 0.001
    rise = np.sqrt(np.clip((time_s - rises_s) / (ends_s - rises_s), 0.0, 1.0))
    noise = rng.normal(size=length) * np.sqrt(density) * rise
    return _decaying(noise, time_s, shell.decay_s, rate_hz)


def _decaying(noise: Vector, time_s: Vector, decay_s: tuple[float, ...], rate_hz: int) -> Vector:
    """Return noise of which every octave decays at its own rate."""
    from scipy.fft import irfft, next_fast_len, rfft

    count = next_fast_len(len(noise), real=True)
    spectrum = rfft(noise, count)
    octave = np.log2(np.maximum(np.arange(count // 2 + 1) * rate_hz / count, 1.0))
    middles = np.log2(BANDS_HZ)
    total = np.zeros(len(noise))
    for place, (middle, time) in enumerate(zip(middles, decay_s, strict=True)):
        share = np.clip(1.0 - np.abs(octave - middle), 0.0, 1.0)
        if place == 0:
            share = np.where(octave < middle, 1.0, share)
        if place == len(decay_s) - 1:
            share = np.where(octave > middle, 1.0, share)
        total += irfft(spectrum * share, count)[: len(noise)] * np.exp(-3.0 * np.log(10.0) * time_s / time)
    return total
