"""A small invented install, its sweeps, and what a microphone takes of them in a room of the project's own making."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from seatfield.model import SweepSettings, Take, TakenFile, TakeState
from seatfield.readers.recording import Recording
from seatfield.stages import layout, survey, terminals
from seatfield.stages.takes import Session, SweepParams, known_of, plan_sweeps, read_spot
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
RATE_HZ = 48000
QUICK = SweepSettings(length_s=1.5, tail_s=1.0)


def kit_text(places=PLACES):
    boxes = (
        f'[[loudspeaker]]\nchannel = "{run}"\nmodel = "box"\nat = {list(at)}\n' for run, at in places.items()
    )
    return KIT + "".join(boxes)


@pytest.fixture
def install(plain_room):
    """The install, planned, with sweeps of a second and a half."""
    project = plain_room(kit_text(), layout="2+5+0")
    surveyed = survey.plan(project)
    laid_out = layout.plan(project, surveyed)
    mapped = terminals.plan(project, laid_out)
    known = known_of(project, laid_out)
    middle = Spell("middle", project.main_seat.head)

    def sweeps(runs=None, **chosen):
        whole = plan_sweeps(project, laid_out, mapped, SweepParams(QUICK, **chosen)).sweeps
        kept = whole.soundings if runs is None else tuple(one for one in whole.soundings if one.run in runs)
        return replace(whole, soundings=kept)

    def params(seed=3, **more):
        return RehearsalParams(seed, more.pop("spells", (middle,)), **more)

    def sessions(chosen, sweep_set, room=None):
        spells = {}
        for one in rehearse(project, surveyed, laid_out, sweep_set, chosen, room=room):
            spells.setdefault(one.spell, []).append(one)
        return [
            session(spell, [one.samples for one in made], sweep_set, chosen.state)
            for spell, made in spells.items()
        ]

    def session(spell, samples, sweep_set, state=TakeState.BARE, rate_hz=RATE_HZ):
        groups = [tuple(one.run for one in sweep_set.soundings)] if len(samples) == 1 else None
        groups = groups or [(one.run,) for one in sweep_set.soundings]
        files = tuple(TakenFile(f"{place}.wav", "", runs) for place, runs in enumerate(groups, 1))
        loopback = 1 if sweep_set.reference == "loopback" else None
        take = Take(
            "take 1", "2031-05-04", spell.position, spell.seat, state, sweep_set, files, None, loopback
        )
        return Session(take, tuple(Recording(np.atleast_2d(one.T).T, rate_hz) for one in samples))

    def read(chosen, sweep_set, room=None):
        return [read_spot([one], known)[1] for one in sessions(chosen, sweep_set, room)]

    return SimpleNamespace(
        project=project,
        survey=surveyed,
        layout=laid_out,
        terminals=mapped,
        known=known,
        places=PLACES | {"sub": (0.4, 0.6, 0.2)},
        middle=middle,
        sweeps=sweeps,
        params=params,
        sessions=sessions,
        session=session,
        read=read,
    )


@pytest.fixture(scope="session")
def shoebox():
    """Rooms of a general library (pyroomacoustics, image sources) instead of the project's own renderer."""
    import pyroomacoustics as pra

    def made(project, absorption, order=10):
        size = [
            max(x for x, _ in project.room.floor),
            max(y for _, y in project.room.floor),
            project.room.ceiling_m,
        ]

        def render(source, microphone):
            room = pra.ShoeBox(size, fs=RATE_HZ, materials=pra.Material(absorption), max_order=order)
            room.add_source(list(source))
            room.add_microphone(list(microphone))
            room.compute_rir()
            response = np.zeros(round(1.2 * RATE_HZ))
            heard = np.asarray(room.rir[0][0])[40 : 40 + len(response)]  # its filters delay all by 40 samples
            response[: len(heard)] = heard
            return response

        return render

    return made
