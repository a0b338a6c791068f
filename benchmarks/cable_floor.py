"""The cable stage's network against a dense one: half a metre of floor grid with all sight lines, on the same rooms.

The name of the row carries what the compact network loses in cost: mean and worst over the rooms.
"""

import random
import time

from seatfield.stages import survey
from seatfield.stages.cable.network import build
from seatfield.stages.cable.routes import Wire, route
from seatfield.stages.cable.setting import End, describe
from seatfield.stages.cable.tariff import Tariff, Weights
from seatfield.store.door import open_text

ROOMS = 12
CABLE_M2 = 30e-6
FILE = """
format = 1
name = "random room"
[room]
floor = {floor}
ceiling = 2.5
[[opening]]
kind = "door"
wall = 1
start = {door}
width = 0.85
height = 2.0
[[furniture]]
name = "sofa"
outline = {sofa}
height = 0.8
[[cover]]
kind = "rug"
outline = {rug}
[[seat]]
name = "middle"
at = [{x}, {y}]
ear = 1.1
main = true
[screen]
centre = [{x}, 0.1, 1.0]
width = 1.3
[limits]
walkways = [ [[{east}, {y}], [{x}, {y}]] ]
[system]
layout = "0+5+0"
"""


def run():
    """One row: time of the compact network and of the dense one, with the loss of cost between them."""
    pick = random.Random(20261126)
    losses, fast, slow = [], 0.0, 0.0
    for _ in range(ROOMS):
        setting, ends, tariff = _room(pick)
        few, few_s = _timed(setting, ends, tariff, None)
        many, many_s = _timed(setting, ends, tariff, 0.5)
        losses.append(few / many - 1)
        fast, slow = fast + few_s, slow + many_s
    loss = f"mean {sum(losses) / ROOMS:.2%}, worst {max(losses):.2%}"
    return [(f"cable: {ROOMS} rooms, loses {loss}", fast, "dense floor of 0.5 m", slow)]


def _room(pick):
    wide, deep = pick.uniform(4, 6.5), pick.uniform(3.5, 5.5)
    floor = [[0, 0], [wide, 0], [wide, deep], [0, deep]]
    if pick.random() < 0.5:
        floor[2:3] = [[wide, 0.65 * deep], [0.6 * wide, 0.65 * deep], [0.6 * wide, deep]]
    text = FILE.format(
        floor=floor,
        door=round(pick.uniform(0.2, 0.65 * deep - 1.1), 2),
        sofa=_box(0.3 * wide, 0.5 * deep, 0.55 * wide, 0.7 * deep),
        rug=_box(0.25 * wide, 0.2 * deep, 0.6 * wide, 0.48 * deep),
        x=round(0.45 * wide, 3),
        y=round(0.6 * deep, 3),
        east=round(0.95 * wide, 3),
    )
    project = open_text(text).project
    setting = describe(survey.plan(project), project.limits, CABLE_M2)
    spots = [(0.15, 0.15), (0.85, 0.15), (0.9, 0.55), (0.1, 0.6), (0.5, 0.85), (0.2, 0.9), (0.8, 0.45)]
    count = pick.randint(5, 7)
    ends = [End("amplifier", (0.45 * wide, 0.3, 0.4), None, source=True)]
    for n, (x, y) in enumerate(pick.sample(spots, count)):
        ends.append(End(f"box {n}", (x * wide, y * deep, 1.0), None))
    return setting, tuple(ends), Tariff(Weights(project.costs), count, CABLE_M2)


def _box(west, south, east, north):
    return [[west, south], [east, south], [east, north], [west, north]]


def _timed(setting, ends, tariff, grid_m):
    began = time.perf_counter()
    joined = build(setting, ends, tariff, grid_m=grid_m)
    wires = [Wire(end.id, "amplifier", end.id) for end in ends[1:] if end.id in joined.ends]
    cost = route(joined, wires, tariff).cost.total
    return cost, time.perf_counter() - began


if __name__ == "__main__":
    print(*run(), sep="\n")
