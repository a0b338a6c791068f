"""Rooms with cable to lay, written as a person writes them."""

from dataclasses import dataclass

import pytest

from seatfield.model import Project
from seatfield.stages import cable, layout, survey, terminals
from seatfield.stages.cable import CablePlan

KIT = """
[[amplifier]]
name = "receiver"
at = [2.5, 0.3, 0.4]
channels = 11
processed = 11
[[model]]
name = "box"
sensitivity = 87
impedance = 8
lowest_impedance = 6.4
highest_impedance = 40
dc_resistance = 5.6
"""


@dataclass(frozen=True)
class Job:
    """A project and its cable plan."""

    project: Project
    plan: CablePlan

    def run(self, name):
        return next(run for run in self.plan.runs if run.id == name)

    @property
    def codes(self):
        return {finding.code for finding in self.plan.findings}


def speaker(channel, at, mount):
    return f'[[loudspeaker]]\nchannel = "{channel}"\nmodel = "box"\nat = {list(at)}\nmount = "{mount}"\n'


@pytest.fixture
def cabled():
    """Plan the cable of a project that is fit to be planned in."""

    def plan(project, **wishes):
        surveyed = survey.plan(project)
        laid_out = layout.plan(project, surveyed)
        return cable.plan(project, surveyed, laid_out, terminals.plan(project, laid_out), **wishes)

    return plan


@pytest.fixture
def laid(plain_room, cabled):
    """Plan the cable of a plain room with some loudspeakers, given as (channel, place, mount)."""

    def lay(speakers, more="", system="4+5+0", change=(), amplifier="[2.5, 0.3, 0.4]"):
        text = KIT.replace("[2.5, 0.3, 0.4]", amplifier) + "".join(speaker(*s) for s in speakers) + more
        project = plain_room(text, system, change)
        return Job(project, cabled(project))

    return lay
