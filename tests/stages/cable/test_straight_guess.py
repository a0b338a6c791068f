"""Practice's rule of thumb: ten feet across a room become fifteen to twenty along it, and more under the ceiling.

From the trade, no source: 10 ft across a room takes 15 to 20 ft at floor level and 20 to 30 ft to a loudspeaker under
an 8 ft ceiling. The room has 200 square feet and an 8 ft ceiling; loudspeakers are 8 to 12 ft from the amplifier.
The rule is rough, so a tenth either way is granted.
"""

from statistics import median

import pytest

FOOT_M = 0.3048
ROOM = [
    ("floor = [[0,0],[5,0],[5,4],[0,4]]", "floor = [[0,0],[4.36,0],[4.36,4.26],[0,4.26]]"),
    ("ceiling = 2.5", "ceiling = 2.44"),
]
LOW = [("M+110", 4.0, 2.9), ("M-110", 0.3, 2.9), ("M+090", 4.1, 2.2), ("M-135", 0.8, 2.9)]
HIGH = [
    ("U+030", 3.9, 1.9),
    ("U-030", 0.4, 1.9),
    ("U+110", 3.6, 2.9),
    ("U-110", 0.7, 2.9),
    ("U+000", 2.18, 3.0),
]


def feet(runs):
    near = [run for run in runs if 8 <= run.straight_m / FOOT_M <= 12]
    assert len(near) >= 3
    return median(run.routed_m for run in near) / FOOT_M


@pytest.fixture
def small_room(laid):
    def lay(speakers):
        return laid(speakers, change=ROOM).plan

    return lay


def test_ten_feet_along_the_floor_become_fifteen_to_twenty(small_room):
    plan = small_room([(channel, (x, y, 0.3), "stand") for channel, x, y in LOW])
    assert 0.9 * 15 <= feet(plan.runs) <= 1.1 * 20


def test_ten_feet_to_a_box_under_the_ceiling_become_twenty_to_thirty(small_room):
    plan = small_room([(channel, (x, y, 2.34), "ceiling") for channel, x, y in HIGH])
    assert 0.9 * 20 <= feet(plan.runs) <= 1.1 * 30


def test_the_guess_by_straight_lines_falls_short_of_what_is_cut(small_room):
    plan = small_room([(channel, (x, y, 2.34), "ceiling") for channel, x, y in HIGH])
    assert plan.straight_m == pytest.approx(sum(run.straight_m for run in plan.runs))
    assert sum(run.cut_m for run in plan.runs) > 2 * plan.straight_m
