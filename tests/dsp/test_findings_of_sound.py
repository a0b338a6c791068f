"""Early reflections, hum and rattle: each is found where it was put, and not where it was not."""

import numpy as np
import pytest

from seatfield.dsp.bands import band
from seatfield.dsp.impulse import ImpulseResponse
from seatfield.dsp.quiet import find_hum, noise_levels
from seatfield.dsp.rattle import find_rattles
from seatfield.dsp.reflections import early_reflections
from seatfield.dsp.sweep import passing_time_s, sweep_signal, synchronised_sweep

RATE_HZ = 48000


def test_reflections_are_listed_with_delay_and_level(lab):
    rng = np.random.default_rng(20260721)
    parts = [(0.0, 0.0), (0.0021, -6.0), (0.0072, -9.0), (0.0150, -15.0), (0.0200, -26.0)]
    samples = sum(10 ** (level_db / 20) * lab.pulse(0.005 + delay_s).samples for delay_s, level_db in parts)
    found = early_reflections(
        ImpulseResponse(samples + 1e-4 * rng.normal(size=len(samples)), RATE_HZ, -0.1), 0.005
    )
    assert [one.delay_s for one in found] == pytest.approx([0.0021, 0.0072, 0.0150], abs=5e-5)
    assert [one.level_db for one in found] == pytest.approx([-6.0, -9.0, -15.0], abs=0.7)


def test_first_reflection_of_a_general_librarys_room_is_where_geometry_puts_it():
    """One reflecting floor in pyroomacoustics: path difference by the mirror image."""
    import pyroomacoustics as pra

    walls = {name: pra.Material(0.99) for name in ("east", "west", "north", "south", "ceiling")}
    room = pra.ShoeBox(
        [6.0, 5.0, 3.0], fs=RATE_HZ, materials=walls | {"floor": pra.Material(0.2)}, max_order=1
    )
    room.add_source([1.0, 2.5, 1.2])
    room.add_microphone([4.0, 2.5, 1.0])
    room.compute_rir()
    direct_m, mirror_m = np.hypot(3.0, 0.2), np.hypot(3.0, 2.2)
    samples = np.concatenate([np.zeros(4800), room.rir[0][0], np.zeros(48000)])
    found = early_reflections(ImpulseResponse(samples, RATE_HZ, -0.1), direct_m / room.c + 40 / RATE_HZ)
    floor = min(found, key=lambda one: abs(one.delay_s - (mirror_m - direct_m) / room.c))
    assert floor.delay_s == pytest.approx((mirror_m - direct_m) / room.c, abs=5e-5)
    assert floor.level_db == pytest.approx(20 * np.log10(direct_m / mirror_m * np.sqrt(0.8)), abs=1.0)


def test_white_noise_has_the_level_of_its_bandwidth():
    """Effective value 0.01: -40 dBFS in all, of which a band holds its share of 24 kHz."""
    noise = 0.01 * np.random.default_rng(7).normal(size=8 * RATE_HZ)
    part = band(4000)
    (level_db,) = noise_levels(noise, RATE_HZ, (part,))
    assert level_db == pytest.approx(-40.0 + 10 * np.log10(part.width_hz / 24000.0), abs=0.15)


@pytest.mark.parametrize("mains_hz", [50.0, 60.0])
def test_hum_is_found_with_its_frequency_and_level(lab, mains_hz):
    rng = np.random.default_rng(20260722)
    time_s = np.arange(RATE_HZ) / RATE_HZ
    tones = 1e-3 * np.sin(2 * np.pi * mains_hz * time_s) + 3e-4 * np.sin(2 * np.pi * 3 * mains_hz * time_s)
    hum = find_hum(tones + 1e-4 * lab.pink(rng, RATE_HZ), RATE_HZ)
    assert hum.mains_hz == mains_hz
    assert [tone_hz for tone_hz, _ in hum.tones][:2] == [mains_hz, 3 * mains_hz]
    assert hum.level_db == pytest.approx(10 * np.log10((1e-3**2 + 3e-4**2) / 2), abs=0.5)


def test_no_hum_in_plain_noise(lab):
    rng = np.random.default_rng(20260723)
    assert sum(find_hum(1e-3 * lab.pink(rng, RATE_HZ), RATE_HZ).mains_hz is not None for _ in range(20)) == 0


@pytest.fixture(scope="module")
def bass(lab):
    rng = np.random.default_rng(20260724)
    sweep = synchronised_sweep()
    quiet = 1e-5 * lab.pink(rng, RATE_HZ)
    played = sweep_signal(sweep, RATE_HZ)
    played = 0.1 * (played + 0.03 * played**2 + 0.01 * played**3)
    return sweep, played + 1e-5 * lab.pink(rng, len(played)), quiet


def test_ordinary_distortion_is_no_rattle(bass):
    sweep, recording, quiet = bass
    assert find_rattles(recording, RATE_HZ, sweep, 0.0, quiet) == ()


def test_a_buzz_is_found_at_the_frequency_that_wakes_it(bass):
    """Clicks at every cycle, 50 dB under the sweep, while it passes 60 to 75 Hz."""
    sweep, recording, quiet = bass
    buzzing = recording.copy()
    first, last = (round(passing_time_s(sweep, hz) * RATE_HZ) for hz in (60.0, 75.0))
    for at in range(first, last, round(RATE_HZ / 67.0)):
        buzzing[at : at + 12] += 3e-3 * np.array([1, -1] * 6)
    (rattle,) = find_rattles(buzzing, RATE_HZ, sweep, 0.0, quiet)
    assert rattle.low_hz == pytest.approx(60.0, rel=0.05)
    assert rattle.high_hz == pytest.approx(75.0, rel=0.05)
    assert rattle.over_noise_db > 10.0
