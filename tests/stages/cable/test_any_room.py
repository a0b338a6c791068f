"""Whatever the door and the survey let through, the cable stage gives a plan, findings, or both, and no traceback."""

import random
import re

import pytest

from seatfield.stages import survey
from seatfield.store.door import open_text

FILE = """
format = 1
name = "Anything"
[room]
floor = [[0,0],[5.4,0],[5.4,3.4],[3.6,3.4],[3.6,4.8],[0,4.8]]
ceiling = [[[0,0,2.0],[5.4,0,2.0],[0,4.8,3.2]], [[0,0,2.6],[5.4,0,2.6],[0,4.8,2.6]]]
[[wall]]
number = 3
build = "stud"
[[opening]]
kind = "door"
wall = 2
start = 0.3
width = 0.85
height = 2.0
[[opening]]
kind = "window"
wall = 4
start = 0.5
width = 1.2
sill = 0.9
height = 1.1
[[furniture]]
name = "sofa"
outline = [[1.2,2.4],[3.4,2.4],[3.4,3.3],[1.2,3.3]]
height = 0.8
[[furniture]]
name = "chest"
outline = [[0.9,0.1],[2.9,0.1],[2.9,0.6],[0.9,0.6]]
height = 0.5
[[cover]]
kind = "rug"
outline = [[0.8,0.8],[3.4,0.8],[3.4,2.3],[0.8,2.3]]
[[cover]]
kind = "raceway"
wall = 0
from = 0.4
to = 3.1
height = 0.05
inside = [0.02, 0.01]
existing = true
[[cover]]
kind = "cavity"
wall = 3
from = 0.1
to = 1.3
[[radiator]]
wall = 1
from = 1.0
to = 2.0
[[socket]]
wall = 0
at = 0.9
[[seat]]
name = "middle"
at = [2.3, 2.9]
ear = 1.05
main = true
[screen]
centre = [2.3, 0.1, 1.0]
width = 1.25
[limits]
holes = "walls"
pets = true
walkways = [ [[4.0,3.2],[4.0,2.0],[3.6,1.0]] ]
mains_cables = [ [[0.5,0,0.3],[2.0,0,0.3]] ]
[system]
layout = "2+5+0"
[[amplifier]]
name = "receiver"
at = [1.2, 0.3, 0.5]
channels = 7
processed = 9
pre_outs = 2
excludes = [ ["back", "height"] ]
[[model]]
name = "bookshelf"
impedance = 8
lowest_impedance = 6.4
dc_resistance = 5.6
[[loudspeaker]]
channel = "M+030"
model = "bookshelf"
at = [3.45, 0.35, 1.0]
mount = "stand"
[[loudspeaker]]
channel = "M-110"
model = "bookshelf"
at = [0.15, 3.4, 1.6]
mount = "wall"
[[loudspeaker]]
channel = "U+030"
model = "bookshelf"
at = [3.2, 1.5, 2.2]
mount = "ceiling"
[cable]
slack = 0.10
ends = 0.5
[[cable.stock]]
conductor = "14 AWG"
length = "100 ft"
price = 38
"""
NUMBER = re.compile(r"(?<![\w.\"+-])\d+(?:\.\d+)?(?![\w\"])")


def damaged(seed):
    """Change one to four numbers of the file to others that a living room may have."""
    pick = random.Random(seed)
    text = FILE
    for _ in range(pick.randint(1, 4)):
        places = list(NUMBER.finditer(text, text.index("[room]")))
        place = pick.choice(places)
        value = float(place[0])
        new = pick.choice(
            [0, value * 2, value / 2, value + pick.uniform(-0.5, 0.5), round(value) or 1, 0.001]
        )
        text = f"{text[: place.start()]}{new:.3f}{text[place.end() :]}"
    return text


@pytest.mark.parametrize("block", range(4))
def test_a_room_with_odd_numbers_gives_a_plan_or_findings(block, cabled):
    planned = 0
    for seed in range(block * 8, block * 8 + 8):
        project = open_text(damaged(seed)).project
        if project is None or not survey.plan(project).sound:
            continue
        plan = cabled(project)
        planned += 1
        assert plan.runs or plan.findings
        for run in plan.runs:
            assert run.cut_m >= run.routed_m >= run.straight_m - 1e-9
        if plan.cost:
            assert plan.bound <= plan.cost.total + 1e-9
    assert planned >= 3
