"""Rooms with kit to be levelled, written as a person writes them."""

import pytest

from seatfield.stages import bass, cable, layout, level, survey, terminals

AMPLIFIER = '[[amplifier]]\nname = "amp"\nchannels = 5\nwatts = 100\ninto = 8\nlowest_load = 6\n'
MODEL = '[[model]]\nname = "box"\nkind = "loudspeaker"\nsensitivity = 88\nimpedance = {ohm}\n{more}'
CENTRE = '[[loudspeaker]]\nchannel = "M+000"\nmodel = "box"\nat = [2.5, 0.0, 1.1]\n'
SURFACES = "\n[room.finishes]\nfloor = {row}\nceiling = {row}\nwalls = {row}\n"


def kit(ohm=8, more="", speakers=CENTRE, amplifier=AMPLIFIER):
    """Return the text of an amplifier, a model and loudspeakers."""
    return amplifier + MODEL.format(ohm=ohm, more=more) + speakers


def absorbing(share):
    """Return the change to the plain room that gives every surface the same absorption."""
    bands = ", ".join(f"{band} = {share}" for band in (125, 250, 500, 1000, 2000, 4000))
    return ("ceiling = 2.5\n", f"ceiling = 2.5\n{SURFACES.format(row='{ ' + bands + ' }')}")


def loud(wish):
    """Return the change to the plain room that sets the wish."""
    return ('layout = "0+5+0"', f'layout = "0+5+0"\nloudness = "{wish}"')


@pytest.fixture
def planned():
    """Level a project, with the stages before it that are asked for."""

    def run(project, *, cabled=False, modes=False):
        found = survey.plan(project)
        laid = layout.plan(project, found)
        mapped = terminals.plan(project, laid)
        runs = cable.plan(project, found, laid, mapped) if cabled else None
        deep = bass.plan(project, found, laid, bass.BassParams(parts=("seats",))) if modes else None
        return level.plan(project, found, laid, mapped, runs, deep)

    return run


def channel(found, name="M+000", seat=0):
    """Return one channel at a seat."""
    return next(one for one in found.seats[seat].channels if one.id == name)


def findings(found, code):
    """Return the findings of one code."""
    return [one for one in found.findings if one.code == code]
