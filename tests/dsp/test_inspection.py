"""Troubles that samples show; each is found where it is made, and a clean recording shows none."""

import numpy as np
import pytest

from seatfield.dsp.inspection import choose_channel, inspect_samples

RATE_HZ = 48000


@pytest.fixture(scope="module")
def clean(lab):
    rng = np.random.default_rng(20260706)
    (path,) = lab.room_paths(rng)
    return lab.recorded(lab.stimulus, path.samples, rng, snr_db=30.0)


def kinds(samples):
    return [trouble.kind for trouble in inspect_samples(samples, RATE_HZ)]


@pytest.mark.parametrize("bits", [16, 24, None])
def test_a_clean_recording_shows_nothing(clean, bits):
    assert kinds(clean if bits is None else np.round(clean * 2 ** (bits - 1)) / 2 ** (bits - 1)) == []


@pytest.mark.parametrize("level_db", [-12.0, -1.0])
def test_a_digital_loopback_shows_nothing(lab, level_db):
    """Full of exact silence and of a sine that dwells at its peak: neither is a gap nor clipping."""
    from seatfield.dsp.stimulus import Stimulus, marker_track, sweep_track

    stimulus = Stimulus(level_db=level_db)
    assert (
        kinds(np.round((sweep_track(stimulus, RATE_HZ) + marker_track(stimulus, RATE_HZ)) * 32767) / 32768)
        == []
    )


@pytest.mark.parametrize("top", [1.0, 0.6, 0.1])
def test_clipping_is_told_at_full_scale_and_below(clean, top):
    driven = np.clip(clean / np.max(np.abs(clean)) * top * 3, -top, top)
    (trouble,) = inspect_samples(driven, RATE_HZ)
    assert trouble.kind == "clipped"
    assert trouble.stops
    assert "Lower the input level" in trouble.message


@pytest.mark.parametrize("held", [True, False])
def test_a_gap_in_the_midst_of_sound_is_told_with_its_place(clean, held):
    broken = clean.copy()
    at = round(7.0 * RATE_HZ)
    broken[at : at + 128] = broken[at - 1] if held else 0.0
    (trouble,) = inspect_samples(np.round(broken * 2**23) / 2**23, RATE_HZ)
    assert trouble.kind == "gap"
    assert trouble.at_s == pytest.approx(7.0, abs=1e-3)


@pytest.mark.parametrize("samples", [np.zeros(1000), np.full(1000, 0.3), np.zeros(0), np.full(10, np.nan)])
def test_silence_is_told(samples):
    (trouble,) = inspect_samples(samples, RATE_HZ)
    assert trouble.kind == "silent"
    assert trouble.stops


def test_a_very_quiet_recording_is_told_and_still_used(clean):
    (trouble,) = inspect_samples(clean * 1e-3, RATE_HZ)
    assert trouble.kind == "quiet"
    assert not trouble.stops


def test_the_channel_that_sounds_is_chosen_and_twins_are_one(clean):
    silent, other = np.zeros_like(clean), np.roll(clean, 5000) * 0.3
    assert choose_channel(np.column_stack([silent, clean])) == (1, None)
    assert choose_channel(np.column_stack([clean, 0.5 * clean])) == (0, None)
    index, trouble = choose_channel(np.column_stack([other, clean]))
    assert index == 1
    assert trouble.kind == "stereo"
    assert "say which channel it is" in trouble.message
