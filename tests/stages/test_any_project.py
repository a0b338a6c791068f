"""Whatever the door lets through, survey, layout and level give results and no traceback."""

import random
import re

import pytest

from seatfield.stages import layout, level, survey, terminals
from seatfield.store.door import open_text

FILE = """
format = 1
name = "Anything"
[room]
floor = [[0,0],[5.4,0],[5.4,3.4],[3.6,3.4],[3.6,4.8],[0,4.8]]
ceiling = [[[0,0,2.0],[5.4,0,2.0],[0,4.8,3.2]], [[0,0,2.6],[5.4,0,2.6],[0,4.8,2.6]]]
tolerance = 0.03
[[opening]]
kind = "door"
wall = 2
start = 0.3
width = 0.85
sill = 0
height = 2.0
opens = "inward"
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
base = 0
height = 0.8
[[furniture]]
name = "chest"
outline = [[0.2,0.1],[1.2,0.1],[1.2,0.6],[0.2,0.6]]
base = 0
height = 0.5
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
[[seat]]
name = "armchair"
at = [1.5, 2.9]
ear = [1.0, 1.1]
[screen]
centre = [2.3, 0.1, 1.0]
width = 1.25
[limits]
keep_out = [ { name = "stove", outline = [[4.4,0],[5.4,0],[5.4,1.0],[4.4,1.0]] } ]
[system]
layout = "4+7+0"
[[amplifier]]
name = "receiver"
at = [1.2, 0.3, 0.5]
channels = 7
watts = 80
into = 8
lowest_load = 6
[[model]]
name = "box"
kind = "loudspeaker"
sensitivity = 86
impedance = 8
max_level = 105
[[model]]
name = "deep"
kind = "subwoofer"
[[loudspeaker]]
channel = "M+030"
model = "box"
at = [3.45, 0.35, 1.0]
mount = "stand"
[[loudspeaker]]
channel = "M-030"
model = "box"
at = [1.05, 0.35, 1.0]
mount = "shelf"
[[loudspeaker]]
channel = "U+045"
model = "box"
at = [3.45, 1.35, 2.4]
mount = "ceiling"
[[subwoofer]]
name = "sub"
model = "deep"
at = [0.4, 0.4, 0.19]
"""
NUMBERS = ("0", "-1", "1", "2", "0.0001", "30", "240", "1e3", "1e9", "-5.4", "3.4", "5.4", "4.8")
TAPE = """walls = [5.4, 3.4, 1.8, 1.4, 3.6, 4.8]
diagonals = [{between=[0,2], length=6.38}, {between=[0,3], length=4.95}]"""


def spoilt(chance, start=FILE):
    """Replace some numbers of the file by others, most of them absurd."""
    text = start
    for _ in range(chance.randint(1, 6)):
        spots = list(re.finditer(r"(?<=[\[, =])-?\d+\.?\d*(?=[\],\n ])", text))
        spot = chance.choice(spots)
        text = text[: spot.start()] + chance.choice(NUMBERS) + text[spot.end() :]
    return text


@pytest.mark.parametrize(
    "start", [FILE, re.sub(r"floor = \[\[0,0.*", TAPE, FILE, count=1)], ids=["floor", "tape"]
)
def test_spoilt_files_that_the_door_lets_through_are_planned(start):
    chance, planned, unsound = random.Random(20), 0, 0
    for _ in range(100):
        project = open_text(spoilt(chance, start)).project
        if project is None:
            continue
        planned += 1
        found = survey.plan(project)
        if not found.sound:
            unsound += 1
            assert any(finding.severity == "stop" for finding in found.findings)
            continue
        laid_out = layout.plan(project, found)
        level.plan(project, found, laid_out, terminals.plan(project, laid_out))
    assert planned > 40
    assert unsound > 0
