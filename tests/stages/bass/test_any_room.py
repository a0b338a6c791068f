"""Whatever the door and the survey let through, the bass stage gives a result and no traceback."""

import random
import re

import numpy as np
import pytest

from seatfield.stages import survey
from seatfield.stages.bass import BassParams
from seatfield.store.door import open_text

FILE = """
format = 1
name = "Anything"
[room]
floor = [[0,0],[5.4,0],[5.4,3.4],[3.6,3.4],[3.6,4.8],[0,4.8]]
ceiling = {ceiling}
[[opening]]
kind = "door"
wall = 2
start = 0.3
width = 0.85
height = 2.0
opens = "inward"
[[opening]]
kind = "archway"
wall = 4
start = 0.5
width = 1.2
height = 2.1
beyond = [[0,4.9],[3.6,4.9],[3.6,7.5],[0,7.5]]
[[furniture]]
name = "sofa"
outline = [[1.2,2.4],[3.4,2.4],[3.4,3.3],[1.2,3.3]]
height = 0.8
[[treatment]]
name = "panel"
finish = "mineral wool panel"
wall = 5
from = 1.0
to = 2.0
sill = 0.5
height = 1.2
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
[system]
layout = "0+5+0"
[[model]]
name = "deep"
kind = "subwoofer"
low_corner = 30
[[subwoofer]]
name = "sub"
model = "deep"
at = [0.4, 0.4, 0.19]
"""
NUMBERS = ("0", "-1", "1", "2", "0.0001", "30", "240", "1e3", "-5.4", "3.4", "5.4", "4.8")
SLOPES = "[[[0,0,2.0],[5.4,0,2.0],[0,4.8,3.2]]]"


def spoilt(chance, text):
    """Replace some numbers of the file by others, most of them absurd."""
    for _ in range(chance.randint(1, 5)):
        spots = list(re.finditer(r"(?<=[\[, =])-?\d+\.?\d*(?=[\],\n ])", text))
        spot = chance.choice(spots)
        text = text[: spot.start()] + chance.choice(NUMBERS) + text[spot.end() :]
    return text


@pytest.mark.parametrize(("ceiling", "files"), [("2.5", 8), (SLOPES, 1)], ids=["flat", "sloped"])
def test_spoilt_rooms_are_heard(ceiling, files, heard):
    """Every level and merit that comes out is a number."""
    chance, done = random.Random(3), 0
    for _ in range(files):
        project = open_text(spoilt(chance, FILE.format(ceiling=ceiling))).project
        if project is None or not survey.plan(project).sound:
            continue
        done += 1
        found = heard(project, BassParams(parts=("places", "map", "seats", "doors"), spots=60))
        assert all(np.isfinite(spot.merit) for spot in found.spots)
        assert all(np.isfinite(curve.level_db).all() for curve in found.curves)
        assert found.modes_hz or any(finding.code == "bass.room-unfit" for finding in found.findings)
    assert done > 0
