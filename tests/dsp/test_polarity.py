"""Polarity: right in rooms of a general library, the same from every direction of one real loudspeaker."""

from pathlib import Path

import numpy as np
import pytest

from seatfield.dsp.arrival import arrival
from seatfield.dsp.impulse import ImpulseResponse
from seatfield.dsp.polarity import polarity

ROOMS = Path(__file__).parents[2] / "authorities" / "rooms"


def read(response):
    return polarity(response, arrival(response))


def turned(response):
    return ImpulseResponse(-response.samples, response.sample_rate_hz, response.start_s)


@pytest.mark.parametrize("snr_db", [20.0, 0.0, -5.0, -10.0])
def test_polarity_is_right_in_ordinary_rooms(lab, snr_db):
    """Also with a tweeter inverted by its crossover, which is a normal loudspeaker."""
    assert "b" in {path.kind for path, _, _ in lab.ordinary}
    for room in lab.ordinary:
        response = lab.at_snr(room, snr_db)
        plain, inverted = read(response), read(turned(response))
        assert (plain.sign, inverted.sign) == ("normal", "inverted")
        assert plain.confidence == pytest.approx(inverted.confidence)
        assert plain.confidence > 0.7


@pytest.mark.parametrize("snr_db", [20.0, 0.0, -10.0])
def test_the_sign_of_the_largest_peak_would_be_wrong_where_the_band_is_right(lab, snr_db):
    """Why the band is used: over the same rooms the broad-band peak contradicts the truth for some."""
    peaks = [
        np.sign(one.samples[np.argmax(np.abs(one.samples))])
        for one in (lab.at_snr(room, snr_db) for room in lab.ordinary)
    ]
    assert min(peaks) < 0


@pytest.mark.slow
def test_polarity_is_right_in_a_hundred_rooms_down_to_minus_ten_decibels(lab):
    rooms = lab.heard_rooms(20260709, 100)
    for snr_db in (0.0, -10.0):
        signs = [read(lab.at_snr(room, snr_db)).sign for room in rooms]
        assert signs.count("inverted") == 0
        assert signs.count("unknown") <= 2


@pytest.mark.slow
def test_a_weak_direct_sound_is_wrong_in_at_most_one_of_twenty(lab):
    signs = [read(lab.at_snr(room, 0.0)).sign for room in lab.heard_rooms(20260710, 60, weak=True)]
    assert signs.count("inverted") <= 3


def test_one_real_loudspeaker_has_one_polarity_from_every_direction():
    """74 binaural responses of one loudspeaker in a real room (authorities/rooms): no ear contradicts another."""
    data = np.load(ROOMS / "surrey_room_a.npz")
    rate_hz = float(data["rate_hz"])
    signs = []
    for ear in data["early"].reshape(-1, data["early"].shape[-1]).astype(float):
        padded = np.concatenate([np.zeros(800), ear, 1e-3 * np.random.default_rng(3).normal(size=1600)])
        signs.append(read(ImpulseResponse(padded, rate_hz, -0.05)).sign)
    assert len(signs) == 74
    assert len(set(signs) - {"unknown"}) == 1
    assert signs.count("unknown") <= 1


def test_noise_has_no_polarity():
    unknown = read(ImpulseResponse(np.random.default_rng(4).normal(size=96000), 48000, -0.1))
    assert unknown.sign == "unknown"
    assert "above the noise" in unknown.reason
