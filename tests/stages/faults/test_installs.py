"""A few of the invented installs that `python -m benchmarks.installs` measures by the hundred.

Half of them sound in rooms of a general library (pyroomacoustics, image sources). The seeds were fixed before the
limits were looked at with them.
"""

from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
FIRST_SEED = 20311400


@pytest.mark.slow
@pytest.mark.parametrize("place", range(4))
def test_what_the_takes_can_show_is_named_and_sound_channels_are_left_alone(monkeypatch, place):
    monkeypatch.syspath_prepend(str(ROOT))
    from benchmarks.installs import judged
    from benchmarks.synthetic import installs

    one = installs.measured(FIRST_SEED + place, library=place % 2 == 1)
    named, left_open, missed, alarms = judged(one)
    assert alarms == []
    assert not [fault for fault in (*left_open, *missed) if one.shows(fault)]
    assert len(named) + len(left_open) + len(missed) == len(one.planted)
