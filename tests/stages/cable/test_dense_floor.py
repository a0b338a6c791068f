"""The few points of the floor that routes go over lose little against a grid of half a metre with all sight lines."""

import pytest

from seatfield.model import Limits
from seatfield.stages import survey
from seatfield.stages.cable.network import build
from seatfield.stages.cable.routes import Wire, route
from seatfield.stages.cable.setting import End, describe
from seatfield.stages.cable.tariff import Tariff, Weights

CABLE_M2 = 30e-6
RUG = '[[cover]]\nkind = "rug"\noutline = [[1.2,0.7],[3.6,0.7],[3.6,2.2],[1.2,2.2]]\n'
SOFA = '[[furniture]]\nname = "sofa"\noutline = [[1.6,2.5],[3.4,2.5],[3.4,3.3],[1.6,3.3]]\nheight = 0.8\n'
DOOR = '[[opening]]\nkind = "door"\nwall = 1\nstart = 1.2\nwidth = 0.9\nheight = 2.0\n'
WALKWAY = "[limits]\nwalkways = [ [[4.9,1.7],[4.2,1.9],[3.8,3.4]] ]\n"
JUTTING = [("floor = [[0,0],[5,0],[5,4],[0,4]]", "floor = [[0,0],[5,0],[5,2.6],[3.7,2.6],[3.7,4],[0,4]]")]


@pytest.mark.parametrize(
    ("more", "change"),
    [(RUG + DOOR, []), (SOFA + DOOR + WALKWAY, []), (RUG + SOFA, JUTTING)],
    ids=["rug", "walkway", "L"],
)
def test_the_network_loses_under_two_hundredths_against_a_dense_floor(plain_room, more, change):
    project = plain_room(more, change=change)
    setting = describe(survey.plan(project), project.limits, CABLE_M2)
    stands = [(4.3, 0.9), (0.7, 0.8), (3.3, 3.6), (0.8, 3.1), (2.4, 3.7)]
    ends = tuple(End(f"box {n}", (x, y, 1.0), None) for n, (x, y) in enumerate(stands))
    ends = (End("amplifier", (2.4, 0.3, 0.4), None), *ends)
    tariff = Tariff(Weights(project.costs), len(stands), CABLE_M2)
    found = {}
    for grid_m in (None, 0.5):
        joined = build(setting, ends, tariff, grid_m=grid_m)
        found[grid_m] = route(joined, [Wire(end.id, "amplifier", end.id) for end in ends[1:]], tariff)
    assert found[0.5].cost.total >= found[0.5].bound - 1e-9
    assert found[None].cost.total <= 1.02 * found[0.5].cost.total
    assert found[None].cost.total >= found[0.5].bound - 1e-6


def test_the_grid_only_adds_to_the_network(plain_room):
    project = plain_room(RUG)
    setting = describe(survey.plan(project), Limits(), CABLE_M2)
    ends = (End("amplifier", (2.4, 0.3, 0.4), None), End("box", (3.3, 3.6, 1.0), None))
    tariff = Tariff(Weights(project.costs), 1, CABLE_M2)
    few, many = (build(setting, ends, tariff, grid_m=grid_m).network for grid_m in (None, 0.5))
    assert set(few.numbers) <= set(many.numbers)
