"""Rooms of a general library, loudspeakers with usual crossovers, and recorders with their faults.

The rooms come from pyroomacoustics (image sources), a library that knows nothing of this project. Seeds were
fixed before anything was tuned on them; the rooms used while tuning had other seeds.
"""

from dataclasses import dataclass
from functools import lru_cache
from types import SimpleNamespace

import numpy as np
import pytest
from scipy import fft, signal

from seatfield.dsp.deconvolve import deconvolved, deconvolver, linear_response
from seatfield.dsp.impulse import ImpulseResponse
from seatfield.dsp.stimulus import Stimulus, marker_track, sweep_track

RATE_HZ = 48000
SHIFT = 40  # the library's fractional-delay filter puts every arrival 40 samples late


@dataclass(frozen=True)
class Path:
    """One way from a loudspeaker to a microphone."""

    samples: np.ndarray
    distance_m: float
    flight_s: float
    kind: str


def loudspeaker(kind, count=4096):
    """Impulse response of a usual two-way box; "b" has its tweeter inverted, as a second-order crossover asks."""
    impulse = np.zeros(count)
    impulse[0] = 1.0
    order, crossing_hz, sign, low_hz = {"a": (2, 2000, 1, 60), "b": (1, 2500, -1, 90), "c": (3, 3000, 1, 45)}[
        kind
    ]
    times = 1 if kind == "c" else 2
    woofer, tweeter = impulse, sign * impulse
    for _ in range(times):
        woofer = signal.sosfilt(signal.butter(order, crossing_hz, "low", fs=RATE_HZ, output="sos"), woofer)
        tweeter = signal.sosfilt(signal.butter(order, crossing_hz, "high", fs=RATE_HZ, output="sos"), tweeter)
    both = signal.sosfilt(signal.butter(2, low_hz, "high", fs=RATE_HZ, output="sos"), woofer + tweeter)
    return signal.sosfilt(signal.butter(2, 20000, "low", fs=RATE_HZ, output="sos"), both)


def room_paths(rng, loudspeakers=1, *, weak=False):
    """Paths from some loudspeakers to one microphone in a random room of usual size."""
    import pyroomacoustics as pra

    size_m = rng.uniform([3.5, 3.5, 2.3], [6.5, 6.5, 2.8])
    absorption, _ = pra.inverse_sabine(rng.uniform(0.25, 0.6), size_m)
    room = pra.ShoeBox(size_m, fs=RATE_HZ, materials=pra.Material(min(absorption, 0.95)), max_order=12)
    ear_m = rng.uniform([0.8, 0.8, 0.9], [size_m[0] - 0.8, size_m[1] - 0.8, 1.4])
    room.add_microphone(ear_m)
    places = []
    while len(places) < loudspeakers:
        place_m = rng.uniform([0.3, 0.3, 0.4], [size_m[0] - 0.3, size_m[1] - 0.3, 1.6])
        if np.linalg.norm(place_m - ear_m) > 1.0:
            places.append(place_m)
            room.add_source(place_m)
    room.compute_rir()
    paths = []
    for place_m, impulse in zip(places, room.rir[0], strict=True):
        distance_m = float(np.linalg.norm(place_m - ear_m))
        flight_s = distance_m / room.c + SHIFT / RATE_HZ
        kind = "abc"[int(rng.integers(3))]
        box = loudspeaker(kind)
        heard = _weakened(impulse, flight_s, box) if weak else impulse
        paths.append(Path(np.convolve(heard, box)[:40000], distance_m, flight_s, kind))
    return paths


def _weakened(impulse, flight_s, box):
    """Dull the direct sound and put its peak 10 dB under that of the reflections."""
    middle = round(flight_s * RATE_HZ)
    direct = np.zeros_like(impulse)
    direct[middle - 41 : middle + 42] = impulse[middle - 41 : middle + 42]
    rest = impulse - direct
    dull = signal.sosfilt(signal.butter(1, 4000, "low", fs=RATE_HZ, output="sos"), direct)
    ratio = np.max(np.abs(np.convolve(rest, box))) / np.max(np.abs(np.convolve(dull, box)))
    return rest + 10 ** (-10 / 20) * ratio * dull


def pink(rng, count):
    long = fft.next_fast_len(count, real=True)
    spectrum = rng.normal(size=long // 2 + 1) + 1j * rng.normal(size=long // 2 + 1)
    noise = fft.irfft(spectrum / np.sqrt(np.maximum(np.fft.rfftfreq(long, 1 / RATE_HZ), 10.0)), long)[:count]
    return noise / np.std(noise)


@lru_cache(maxsize=8)
def tracks(stimulus, true_hz):
    return sweep_track(stimulus, true_hz), marker_track(stimulus, true_hz)


def recorded(
    stimulus, samples, rng, *, snr_db=40.0, ppm=0.0, rate_hz=RATE_HZ, chirp_path=None, early_s=0.0, peak=0.5
):
    """What a recorder takes whose clock runs `ppm` fast, with pink noise `snr_db` under the sweep.

    `chirp_path` is the path of the loudspeaker that plays the chirps, where that is another one; `peak` is what the
    recorder's gain makes of the loudest sample, or None for no gain.
    """
    true_hz = rate_hz * (1 + ppm * 1e-6)
    count = round((stimulus.duration_s + 0.5) * rate_hz)
    sweep, chirps = tracks(stimulus, true_hz)
    parts = [(sweep + chirps, samples)] if chirp_path is None else [(sweep, samples), (chirps, chirp_path)]
    heard = np.zeros(count)
    for played, path in parts:
        taken = signal.oaconvolve(played, path)[:count]
        heard[: len(taken)] += taken
    starts = round(stimulus.sweep_start_s * rate_hz)
    power = np.mean(heard[starts : starts + round(stimulus.sweep.duration_s * rate_hz)] ** 2)
    heard = heard + pink(rng, count) * np.sqrt(power) * 10 ** (-snr_db / 20)
    return heard[round(early_s * rate_hz) :] * (1.0 if peak is None else peak / np.max(np.abs(heard)))


@lru_cache(maxsize=4)
def heard_rooms(seed, count, *, weak=False):
    """Rooms as a recorder without drift hears them: path, deconvolved sweep, and deconvolved noise at 0 dB.

    Kept for the tests that share them. Deconvolution is linear, so a response at any signal-to-noise ratio is the
    one plus a share of the other.
    """
    rng, stimulus = np.random.default_rng(seed), Stimulus()
    tool = deconvolver(
        stimulus.sweep, RATE_HZ, 0.2 + stimulus.sweep.duration_s + stimulus.tail_s, stimulus.peak
    )
    first = round((stimulus.sweep_start_s - 0.2) * RATE_HZ)
    rooms = []
    for _ in range(count):
        (path,) = room_paths(rng, weak=weak)
        quiet = recorded(stimulus, path.samples, rng, snr_db=200.0, peak=None)[first : first + tool.count]
        power = np.mean(quiet[round(0.2 * RATE_HZ) :][: round(stimulus.sweep.duration_s * RATE_HZ)] ** 2)
        noise = np.sqrt(power) * pink(rng, tool.count)
        parts = [linear_response(tool, deconvolved(tool, part, 0.2)) for part in (quiet, noise)]
        rooms.append((path, *parts))
    return rooms


def at_snr(room, snr_db):
    _, clean, noise = room
    return ImpulseResponse(clean.samples + 10 ** (-snr_db / 20) * noise.samples, RATE_HZ, clean.start_s)


def pulse(delay_s, rate_hz=RATE_HZ, count=96000, start_s=-0.1):
    """A band-limited unit pulse at a time between samples, with a gentle roll-off above 18 kHz."""
    freq_hz = np.fft.rfftfreq(count, 1 / rate_hz)
    gain = np.exp(-((freq_hz / 20000.0) ** 8))
    samples = np.fft.irfft(gain * np.exp(-2j * np.pi * freq_hz * (delay_s - start_s)), count)
    return ImpulseResponse(samples, rate_hz, start_s)


@pytest.fixture(scope="session")
def lab():
    return SimpleNamespace(
        rate_hz=RATE_HZ,
        loudspeaker=loudspeaker,
        room_paths=room_paths,
        pink=pink,
        recorded=recorded,
        pulse=pulse,
        stimulus=Stimulus(),
        at_snr=at_snr,
        ordinary=heard_rooms(20260707, 8),
        weak=heard_rooms(20260708, 6, weak=True),
        heard_rooms=heard_rooms,
    )
