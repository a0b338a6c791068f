"""Subwoofer and mains: known delays and polarities come back, and all seats count."""

import numpy as np
import pytest

from seatfield.dsp.align import JoinSearch, join_loss_db, join_several, join_subwoofer
from seatfield.dsp.crossover import crossover_response
from seatfield.dsp.level import log_axis

FREQ_HZ = log_axis(40.0, 140.0, 24)
LOW, HIGH = (crossover_response(side, "linkwitz-riley", 4, 80.0, FREQ_HZ) for side in ("low", "high"))


def late(response, delay_s):
    return response * np.exp(-2j * np.pi * FREQ_HZ * delay_s)


@pytest.mark.parametrize(("delay_s", "sign"), [(0.0, 1), (0.0043, -1), (-0.006, 1), (0.0085, -1)])
def test_free_field_delay_and_polarity_come_back_exactly(delay_s, sign):
    """A Linkwitz-Riley pair is in phase, so the sub's own delay and polarity are what must be undone."""
    mains, sub = np.array([HIGH]), np.array([sign * late(LOW, -delay_s)])
    found = join_subwoofer(mains, sub, FREQ_HZ)
    assert found.delay_s == pytest.approx(delay_s, abs=6e-5)
    assert found.inverted == (sign < 0)
    assert found.loss_db < 0.01
    assert found.other_polarity_db > found.loss_db + 0.5


def test_losses_have_their_closed_form():
    """Equal responses a phase φ apart lose -20 lg cos(φ / 2); opposite ones are cut at 40 dB."""
    phase = np.array([0.0, np.pi / 2, np.pi])
    loss = join_loss_db(np.ones(3, dtype=complex), np.exp(1j * phase))
    assert loss == pytest.approx([0.0, 3.0103, 40.0], abs=1e-3)


def test_gain_comes_back_where_it_is_asked_for():
    quiet = np.array([LOW]) * 10 ** (-6 / 20)
    found = join_subwoofer(
        np.array([HIGH]), quiet, FREQ_HZ, JoinSearch(gains_db=tuple(np.arange(-10.0, 10.5, 0.5)))
    )
    assert found.gain_db == pytest.approx(6.0, abs=0.5)


def room(rng, sources, seats):
    """Transfer functions of a pyroomacoustics room at the axis' frequencies."""
    import pyroomacoustics as pra

    size_m = rng.uniform([4.0, 3.5, 2.3], [6.0, 5.0, 2.7])
    box = pra.ShoeBox(size_m, fs=2000, materials=pra.Material(0.25), max_order=20)
    for _ in range(sources):
        box.add_source(rng.uniform([0.3, 0.3, 0.3], [size_m[0] - 0.3, 1.0, 1.2]))
    middle = np.array([0.5 * size_m[0], 0.7 * size_m[1], 1.1])
    box.add_microphone_array((middle + rng.uniform(-0.5, 0.5, (seats, 3)) * [1, 1, 0.2]).T)
    box.compute_rir()
    return np.array([[_transfer(impulse) for impulse in row] for row in box.rir]).transpose(1, 0, 2)


def _transfer(impulse):
    return np.exp(-2j * np.pi * np.outer(FREQ_HZ, np.arange(len(impulse)) / 2000)) @ impulse


def test_in_rooms_the_grid_over_all_seats_beats_the_geometric_delay():
    """Mean over rooms of the loss against the sum in phase; fitted over all seats beats fitted on one."""
    rng = np.random.default_rng(20260841)
    before, all_seats, one_seat = [], [], []
    for _ in range(8):
        paths = room(rng, 2, 4)
        mains, sub = paths[0] * HIGH, late(paths[1] * LOW, 0.006)
        found = join_subwoofer(mains, sub, FREQ_HZ)
        single = join_subwoofer(mains[:1], sub[:1], FREQ_HZ)
        sign = -1 if single.inverted else 1
        before.append(found.loss_before_db)
        all_seats.append(found.loss_db)
        one_seat.append(float(np.mean(join_loss_db(mains, sign * late(sub, single.delay_s)))))
    assert np.mean(all_seats) < np.mean(before) - 0.5
    assert np.mean(all_seats) <= np.mean(one_seat) + 1e-9
    assert all(found <= start + 1e-9 for found, start in zip(all_seats, before, strict=True))


def test_two_subwoofers_join_no_worse_than_they_were():
    rng = np.random.default_rng(20260842)
    paths = room(rng, 3, 4)
    mains, subs = paths[0] * HIGH, np.array([late(paths[1] * LOW, 0.004), -paths[2] * LOW])
    joins = join_several(mains, subs, FREQ_HZ)
    placed = [
        (-1 if one.inverted else 1) * late(sub, one.delay_s) for one, sub in zip(joins, subs, strict=True)
    ]
    before, after = (
        20 * np.log10(np.abs(mains + sum(parts))).mean() for parts in ([subs[0], subs[1]], placed)
    )
    assert after > before
