"""A small invented install, its sweeps, and what a microphone takes of them in a room of the project's own making."""

from types import SimpleNamespace

import pytest

from seatfield.model import SweepSettings, Take, TakenFile, TakeState
from seatfield.readers.recording import Recording
from seatfield.stages import layout, survey, terminals
from seatfield.stages.takes import Session, SweepParams, known_of, plan_sweeps
from seatfield.stages.takes.rehearsal import RehearsalParams, Spell, rehearse

KIT = """
[[amplifier]]
name = "receiver"
at = [1.0, 0.4, 0.4]
channels = 7
processed = 7
sub_outputs = 1
[[model]]
name = "box"
sensitivity = 87
impedance = 8
lowest_impedance = 5.5
highest_impedance = 28
low_corner = 60
enclosure = "vented"
driver_crossover = 2400
[[model]]
name = "sub"
kind = "subwoofer"
enclosure = "sealed"
low_corner = 30
[[subwoofer]]
name = "sub"
model = "sub"
at = [0.4, 0.6, 0.2]
"""
PLACES = {
    "M+030": (3.7, 0.7, 1.05),
    "M-030": (1.4, 0.75, 1.0),
    "M+000": (2.5, 0.45, 0.9),
    "M+110": (4.6, 3.4, 1.4),
    "M-110": (0.35, 3.55, 1.4),
    "U+030": (3.6, 1.2, 2.3),
    "U-030": (1.3, 1.25, 2.3),
}


def kit_text(places=PLACES):
    boxes = (
        f'[[loudspeaker]]\nchannel = "{run}"\nmodel = "box"\nat = {list(at)}\n' for run, at in places.items()
    )
    return KIT + "".join(boxes)


@pytest.fixture
def install(plain_room):
    """The install, planned, with sweeps of two seconds."""
    project = plain_room(kit_text(), layout="2+5+0")
    surveyed = survey.plan(project)
    laid_out = layout.plan(project, surveyed)
    mapped = terminals.plan(project, laid_out)

    def sweeps(**chosen):
        return plan_sweeps(
            project, laid_out, mapped, SweepParams(SweepSettings(length_s=2.0), **chosen)
        ).sweeps

    def sessions(params, sweep_set):
        spells = {}
        for one in rehearse(project, surveyed, laid_out, sweep_set, params):
            spells.setdefault(one.spell, []).append(one)
        return [
            Session(
                taken(spell, recordings, sweep_set, params.state),
                tuple(Recording(one.samples, 48000) for one in recordings),
            )
            for spell, recordings in spells.items()
        ]

    def taken(spell, recordings, sweep_set, state):
        files = tuple(
            TakenFile(one.soundings[0].file, "", tuple(sounding.run for sounding in one.soundings))
            for one in recordings
        )
        loopback = 1 if sweep_set.reference == "loopback" else None
        return Take(
            "take 1", "2031-05-04", spell.position, spell.seat, state, sweep_set, files, None, loopback
        )

    return SimpleNamespace(
        project=project,
        survey=surveyed,
        layout=laid_out,
        terminals=mapped,
        known=known_of(project, laid_out),
        sweeps=sweeps,
        sessions=sessions,
        spell=Spell("middle", project.main_seat.head),
        params=lambda seed=3, **more: RehearsalParams(
            seed, more.pop("spells", (Spell("middle", project.main_seat.head),)), **more
        ),
        state=TakeState,
    )
