"""Placing: where each loudspeaker goes, by a published merit, over every surface that may carry it.

The merit of any placing can be asked for: ``merit(ground_of(project, survey), system, {label: Spot(at, mount)})``.
"""

from seatfield.stages.layout.placing.carriers import Box, box_of, mounts_for
from seatfield.stages.layout.placing.changes import Change, cheapest_change
from seatfield.stages.layout.placing.ground import Ground, ground_of
from seatfield.stages.layout.placing.merit import Cost, Merit, Spot, merit
from seatfield.stages.layout.placing.places import Places, place
from seatfield.stages.layout.placing.pools import Job
from seatfield.stages.layout.placing.search import Found
from seatfield.stages.layout.placing.spots import STEP_M
from seatfield.stages.layout.placing.weights import WEIGHTS, Weights

__all__ = [
    "STEP_M",
    "WEIGHTS",
    "Box",
    "Change",
    "Cost",
    "Found",
    "Ground",
    "Job",
    "Merit",
    "Places",
    "Spot",
    "Weights",
    "box_of",
    "cheapest_change",
    "ground_of",
    "merit",
    "mounts_for",
    "place",
]
