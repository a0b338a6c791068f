"""Twelve channels at five positions, analysed whole, against the time that recording them took.

Sixty recordings of the standard stimulus, a sweep of 10 s, are read by two processes, as the promise of a factor of
50 is for two cores. The recordings are rendered beforehand and do not count.
"""

import os
import resource
import sys
import time
from concurrent.futures import ProcessPoolExecutor

import numpy as np

RATE_HZ, CHANNELS, POSITIONS, WORKERS = 48000, 12, 5, 2


def rendered(index):
    """A decaying room, white noise, a recorder 20 to 70 ppm fast."""
    from scipy.signal import oaconvolve

    from seatfield.dsp.stimulus import Stimulus, marker_track, sweep_track

    rng, stimulus = np.random.default_rng(index), Stimulus()
    true_hz = RATE_HZ * (1.0 + 1e-6 * (20.0 + 12.0 * (index // CHANNELS)))
    time_s = np.arange(24000) / RATE_HZ
    room = 0.2 * rng.normal(size=24000) * 10.0 ** (-3.0 * time_s / 0.35)
    room[0] = 1.0
    room = np.concatenate([np.zeros(200 + 20 * (index % CHANNELS)), room])
    heard = oaconvolve(sweep_track(stimulus, true_hz) + marker_track(stimulus, true_hz), room)
    heard = heard[: round(stimulus.duration_s * RATE_HZ)]
    return (0.5 * heard / np.max(np.abs(heard)) + 1e-3 * rng.normal(size=len(heard))).astype(np.float32)


def read_position(position):
    """Read all channels at one position; return seconds of reading, of recording, refusals and peak memory."""
    from seatfield.dsp.reading import Reader
    from seatfield.dsp.stimulus import Stimulus

    takes = [rendered(position * CHANNELS + channel) for channel in range(CHANNELS)]
    reader, refused = Reader(Stimulus()), 0
    began = time.perf_counter()
    for take in takes:
        heard = reader.read(take.astype(np.float64), RATE_HZ).heard
        refused += heard is None or heard.arrival.time_s is None
    spent_s = time.perf_counter() - began
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    return spent_s, sum(len(take) for take in takes) / RATE_HZ, refused, peak_mb


def run():
    """Reading time on two cores against recording time."""
    os.environ["OMP_NUM_THREADS"] = "1"
    with ProcessPoolExecutor(WORKERS) as pool:
        parts = list(pool.map(read_position, range(POSITIONS)))
    spent_s = sum(part[0] for part in parts) / WORKERS
    assert not any(part[2] for part in parts)
    return [
        ("takes: 12 channels × 5 positions, read", spent_s, "recording them", sum(part[1] for part in parts))
    ]


if __name__ == "__main__":
    ((name, spent_s, reference, recorded_s),) = run()
    children_mb = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024.0
    print(
        f"{name}: {spent_s:.1f} s; {reference}: {recorded_s:.0f} s; {recorded_s / spent_s:.0f} times faster"
    )
    print(f"most memory of one process: {children_mb:.0f} MB")
    sys.exit(0)
