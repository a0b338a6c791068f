"""A whole recording: what is read, what stops, and times that hold across recordings."""

import numpy as np
import pytest

from seatfield.dsp.biquad import filtered
from seatfield.dsp.crossover import crossover
from seatfield.dsp.reading import NothingToAverageError, Reader, Reading, arrival_after, averaged

SPEED_M_S = 343.0


@pytest.fixture(scope="module")
def reader(lab):
    return Reader(lab.stimulus)


def kinds(reading):
    return [trouble.kind for trouble in reading.troubles]


def test_a_good_recording_says_everything(lab, reader):
    rng = np.random.default_rng(20260725)
    (path,) = lab.room_paths(rng)
    reading = reader.read(lab.recorded(lab.stimulus, path.samples, rng, snr_db=40.0, ppm=60.0), 48000)
    assert reading.troubles == ()
    assert reading.clock.drift_ppm == pytest.approx(60.0, abs=0.1)
    assert reading.snr_db == pytest.approx(40.0, abs=1.5)
    assert reading.heard.polarity.sign == "normal"
    assert reading.hum.mains_hz is None
    assert reading.heard.rattles == ()
    assert len(reading.heard.reflections) > 0
    assert sum(one.time_s is not None for one in reading.heard.decays) >= 6


@pytest.mark.parametrize("snr_db", [20.0, 0.0])
def test_two_loudspeakers_differ_by_their_distances(lab, reader, snr_db):
    """Chirps from one loudspeaker in every file, recorders started at different moments with different clocks."""
    rng = np.random.default_rng(20260726)
    errors_m = []
    for _ in range(3):
        base, *others = lab.room_paths(rng, 3)
        first = reader.read(lab.recorded(lab.stimulus, base.samples, rng, snr_db=snr_db, ppm=30.0), 48000)
        start_s = arrival_after(first, first)
        for path in others:
            take = lab.recorded(
                lab.stimulus,
                path.samples,
                rng,
                snr_db=snr_db,
                ppm=-45.0,
                chirp_path=base.samples,
                early_s=float(rng.uniform(0.1, 0.6)),
            )
            time_s = arrival_after(reader.read(take, 48000, own_chirp=False), first)
            if start_s is not None and time_s is not None:
                errors_m.append((time_s - start_s - (path.flight_s - base.flight_s)) * SPEED_M_S)
    assert len(errors_m) >= 4
    assert np.percentile(np.abs(errors_m), 90) < 0.02


def test_with_a_loopback_an_arrival_is_the_time_of_flight(lab, reader):
    rng = np.random.default_rng(20260727)
    (path,) = lab.room_paths(rng)
    take = lab.recorded(lab.stimulus, path.samples, rng, ppm=40.0)
    loop = lab.recorded(lab.stimulus, np.array([1.0]), rng, snr_db=80.0, ppm=40.0)
    reading = reader.read(take, 48000, loopback=loop)
    assert reading.heard.arrival.time_s * SPEED_M_S == pytest.approx(path.flight_s * SPEED_M_S, abs=0.01)


@pytest.mark.parametrize(("count", "at_s"), [(64, 4.0), (64, 11.5), (150, 8.0)])
def test_a_loss_too_small_for_the_chirps_alone_shows_between_chirp_and_sweep(lab, reader, count, at_s):
    """64 samples look like 107 ppm, which a clock may have; the sweep then tells another time than its chirp."""
    rng = np.random.default_rng(20260728)
    (path,) = lab.room_paths(rng)
    take = lab.recorded(lab.stimulus, path.samples, rng, snr_db=30.0, ppm=20.0)
    at = round(at_s * 48000)
    reading = reader.read(np.delete(take, slice(at, at + count)), 48000)
    assert kinds(reading) == ["jump"]
    assert reading.heard is None


def test_a_loss_that_gives_the_response_two_beginnings_is_told_as_a_loss(lab, reader):
    rng = np.random.default_rng(20320728)
    (path,) = lab.room_paths(rng)
    take = lab.recorded(lab.stimulus, path.samples, rng, snr_db=30.0, ppm=20.0)
    at = 8 * 48000
    assert kinds(reader.read(np.delete(take, slice(at, at + 150)), 48000))[-1] == "jump"


@pytest.mark.parametrize("ppm", [-250.0, -60.0, 0.0, 150.0, 280.0])
def test_a_clock_that_merely_drifts_raises_no_alarm(lab, reader, ppm):
    rng = np.random.default_rng(20260729)
    for snr_db in (40.0, 5.0):
        (path,) = lab.room_paths(rng)
        reading = reader.read(lab.recorded(lab.stimulus, path.samples, rng, snr_db=snr_db, ppm=ppm), 48000)
        assert kinds(reading) == []


def test_a_dead_channel_is_told_from_a_dead_recording(lab, reader):
    """The chirps come from another loudspeaker; the swept one is silent."""
    rng = np.random.default_rng(20260730)
    (path,) = lab.room_paths(rng)
    chirps = lab.recorded(lab.stimulus, np.array([1e-9]), rng, snr_db=200.0, chirp_path=path.samples)
    reading = reader.read(chirps + 1e-3 * lab.pink(rng, len(chirps)), 48000, own_chirp=False)
    assert kinds(reading) == ["no-sweep"]
    assert reading.heard is None
    assert "dead" in reading.troubles[0].message


def test_noise_refuses_the_arrival_and_says_so(lab, reader):
    rng = np.random.default_rng(20260731)
    (path,) = lab.room_paths(rng)
    reading = reader.read(lab.recorded(lab.stimulus, path.samples, rng, snr_db=-10.0), 48000)
    assert kinds(reading) == ["noisy"]
    assert reading.heard.arrival.time_s is None
    assert reading.heard.reflections == ()
    assert reading.heard.polarity.sign == "normal"


@pytest.mark.parametrize(
    ("spoil", "kind"), [(lambda x: 0 * x, "silent"), (lambda x: np.clip(4 * x, -1, 1), "clipped")]
)
def test_a_spoilt_recording_is_never_used(lab, reader, spoil, kind):
    rng = np.random.default_rng(20260732)
    reading = reader.read(spoil(lab.recorded(lab.stimulus, np.array([1.0]), rng)), 48000)
    assert kinds(reading) == [kind]
    assert reading.heard is None


def test_a_subwoofer_is_read_in_its_band_and_nowhere_else(lab, reader):
    """Chirps from a full-range loudspeaker; the sub's moment lies later than its flight by its filter's group delay."""
    rng = np.random.default_rng(20260733)
    base, path = lab.room_paths(rng, 2)
    low_pass = crossover("low", "linkwitz-riley", 4, 80.0, 48000.0)
    sub = filtered(low_pass, path.samples)
    first = reader.read(lab.recorded(lab.stimulus, base.samples, rng, ppm=30.0), 48000)
    take = lab.recorded(lab.stimulus, sub, rng, ppm=30.0, chirp_path=base.samples)
    blind = reader.read(take, 48000, own_chirp=False)
    assert blind.heard.bass_only
    assert blind.heard.arrival.time_s is None
    assert "Name the crossover" in blind.troubles[0].message
    assert blind.heard.polarity.sign == "unknown"
    reading = reader.read(take, 48000, own_chirp=False, crossover_hz=80.0)
    assert reading.troubles == ()
    late_s = arrival_after(reading, first) - (path.flight_s - base.flight_s) - arrival_after(first, first)
    assert 0.001 < late_s < 0.025


def test_averaging_gives_an_arrival_that_one_recording_refuses(lab, reader):
    rng = np.random.default_rng(20260734)
    (path,) = lab.room_paths(rng)
    takes = [lab.recorded(lab.stimulus, path.samples, rng, snr_db=-8.0, ppm=20.0) for _ in range(8)]
    readings = tuple(reader.read(take, 48000) for take in takes)
    assert all(reading.heard.arrival.time_s is None for reading in readings)
    together = averaged(readings)
    assert together.arrival.time_s == pytest.approx(0.0, abs=1.5e-4)
    assert together.arrival.headroom_db - readings[0].heard.arrival.headroom_db == pytest.approx(9.0, abs=2.0)


def test_only_usable_recordings_are_averaged():
    with pytest.raises(
        NothingToAverageError, match="1 recordings were to be averaged, of which 0 can be used"
    ):
        averaged((Reading(()),))
