"""The recorder's clock from the chirps, in rooms of a general library and with noise; lost samples and wrong rates."""

import numpy as np
import pytest

from seatfield.dsp.chirps import lag_s
from seatfield.dsp.clock import read_clock
from seatfield.dsp.stimulus import Stimulus
from seatfield.dsp.sweep import synchronised_sweep


@pytest.mark.parametrize(("snr_db", "limit_ppm"), [(30.0, 0.1), (10.0, 0.5), (0.0, 0.5), (-10.0, 1.5)])
def test_drift_is_read_to_half_a_part_per_million(lab, snr_db, limit_ppm):
    rng = np.random.default_rng(20260701)
    for ppm in (-87.0, 13.0, 118.0):
        (path,) = lab.room_paths(rng)
        take = lab.recorded(lab.stimulus, path.samples, rng, snr_db=snr_db, ppm=ppm)
        clock, troubles = read_clock(take, 48000.0, lab.stimulus)
        assert troubles == ()
        assert clock.drift_ppm == pytest.approx(ppm, abs=limit_ppm)


@pytest.mark.parametrize(("file_hz", "true_hz"), [(48000, 44100), (44100, 48000), (96000, 48000)])
def test_a_wrong_rate_in_the_file_is_told(lab, file_hz, true_hz):
    rng = np.random.default_rng(20260702)
    take = lab.recorded(lab.stimulus, np.array([1.0]), rng, rate_hz=true_hz)
    clock, (trouble,) = read_clock(take, file_hz, lab.stimulus)
    assert trouble.kind == "wrong-rate"
    assert trouble.stops
    assert clock.sample_rate_hz == pytest.approx(true_hz, rel=1e-5)
    assert f"The file says {file_hz} samples per second" in trouble.message


def test_a_wrong_rate_is_told_even_where_a_short_sweep_holds_what_looks_like_chirps(lab):
    rng = np.random.default_rng(20260706)
    short = Stimulus(synchronised_sweep(duration_s=3.0))
    (path,) = lab.room_paths(rng)
    take = lab.recorded(short, path.samples, rng, snr_db=40.0)
    _, (trouble,) = read_clock(take, 44100.0, short)
    assert trouble.kind == "wrong-rate"


@pytest.mark.parametrize(("count", "word"), [(512, "lost"), (-480, "repeated")])
def test_lost_and_repeated_samples_are_told(lab, count, word):
    rng = np.random.default_rng(20260703)
    take = lab.recorded(lab.stimulus, np.array([1.0]), rng)
    at = 300000
    broken = (
        np.delete(take, slice(at, at + count)) if count > 0 else np.insert(take, at, take[at + count : at])
    )
    _, (trouble,) = read_clock(broken, 48000.0, lab.stimulus)
    assert trouble.kind == "dropped-samples"
    assert f"some {abs(count)} samples were {word}" in trouble.message.replace(
        f"{abs(count) - 1} ", f"{abs(count)} "
    )
    assert abs(trouble.measured) > trouble.limit == 300.0


def test_noise_alone_holds_no_chirps(lab):
    rng = np.random.default_rng(20260704)
    for _ in range(3):
        clock, (trouble,) = read_clock(0.1 * lab.pink(rng, 720000), 48000.0, lab.stimulus)
        assert clock is None
        assert trouble.kind == "no-chirps"


def test_a_recording_that_stops_early_is_told(lab):
    rng = np.random.default_rng(20260705)
    take = lab.recorded(lab.stimulus, np.array([1.0]), rng)[:400000]
    _, (trouble,) = read_clock(take, 48000.0, lab.stimulus)
    assert trouble.kind == "too-short"
    assert trouble.message.startswith("The recording is 8.3 s long")


@pytest.mark.parametrize("apart_s", [0.0355, 0.048])
def test_a_reflection_as_large_as_the_direct_sound_is_never_taken_for_another_time(lab, apart_s):
    rng = np.random.default_rng(20260707)
    path = np.zeros(4800)
    path[[200, 200 + round(apart_s * 48000)]] = 1.0
    clocks = []
    for _ in range(6):
        clock, troubles = read_clock(
            lab.recorded(lab.stimulus, path, rng, snr_db=20.0), 48000.0, lab.stimulus
        )
        assert troubles == ()
        clocks.append(clock)
    starts = [lag_s(clocks[0].chirps.first, clock.chirps.first) for clock in clocks]
    assert np.ptp(starts) < 3e-5
