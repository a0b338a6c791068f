"""An invented install with chosen faults, rendered by the project's own room or by a general library's."""

from types import SimpleNamespace

import numpy as np
import pytest

from seatfield.dsp.heard import Wanted
from seatfield.model import SweepSettings, Take, TakenFile, TakeState
from seatfield.readers.recording import Recording
from seatfield.stages import faults, layout, survey, terminals
from seatfield.stages.takes import Session, SweepParams, Takes, known_of, plan_sweeps, read_spot
from seatfield.stages.takes.rehearsal import RehearsalParams, Spell, planted, rehearse

KIT = """
[[amplifier]]
name = "receiver"
at = [1.0, 0.4, 0.4]
channels = 7
processed = 7
sub_outputs = 1
[[amplifier.terminal]]
name = "Front L"
carries = ["M+030"]
[[amplifier.terminal]]
name = "Front R"
carries = ["M-030"]
[[amplifier.terminal]]
name = "Center"
carries = ["M+000"]
[[amplifier.terminal]]
name = "Surround L"
carries = ["M+110"]
[[amplifier.terminal]]
name = "Surround R"
carries = ["M-110"]
[[amplifier.terminal]]
name = "Zone 2 L"
carries = ["U+030"]
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
    "M-030": (1.3, 0.7, 1.05),
    "M+000": (2.5, 0.45, 0.9),
    "M+110": (4.5, 3.5, 1.3),
    "M-110": (0.5, 3.5, 1.3),
}
ROUND = ((0, 0, 0), (0.45, 0.1, 0.4), (-0.45, 0.15, -0.2), (0.1, -0.5, 0.3))
QUICK = SweepSettings(length_s=1.0, tail_s=1.0)
LEAN = Wanted(decay_bands=(), distortion_bands=(), rattles=False)


@pytest.fixture
def install(plain_room):
    """A symmetric 5.1, its takes with chosen faults, and what is found in them."""
    boxes = (
        f'[[loudspeaker]]\nchannel = "{run}"\nmodel = "box"\nat = {list(at)}\n' for run, at in PLACES.items()
    )
    project = plain_room(KIT + "".join(boxes), layout="0+5+0")
    surveyed = survey.plan(project)
    laid_out = layout.plan(project, surveyed)
    mapped = terminals.plan(project, laid_out)
    known = known_of(project, laid_out)
    sweeps = plan_sweeps(project, laid_out, mapped, SweepParams(QUICK)).sweeps

    def spots(words, positions=1, state=TakeState.BARE, room=None, seed=20310507, **more):
        head = np.array(project.main_seat.head)
        places = tuple(
            Spell("middle" if not any(away) else "", tuple((head + away).tolist()))
            for away in ROUND[:positions]
        )
        chosen = tuple(planted(one, project, laid_out) for one in words)
        params = RehearsalParams(
            seed, places, state, chosen, microphone_sigma_m=0.01, build_sigma_m=0.04, **more
        )
        groups = {}
        for one in rehearse(project, surveyed, laid_out, sweeps, params, room=room):
            groups.setdefault(one.spell, []).append(one)
        return [spot(spell, made, state) for spell, made in groups.items()]

    def spot(spell, made, state):
        files = tuple(TakenFile("", "", (one.soundings[0].run,)) for one in made)
        take = Take("take 1", "2031-05-07", spell.position, spell.seat, state, sweeps, files)
        recordings = tuple(Recording(one.samples, QUICK.rate_hz) for one in made)
        return read_spot([Session(take, recordings)], known, LEAN)[1]

    def found(*all_spots):
        return faults.plan(project, laid_out, mapped, Takes((), tuple(all_spots), ()))

    return SimpleNamespace(project=project, spots=spots, found=found)


@pytest.fixture(scope="session")
def library_room():
    """A room of a general library (pyroomacoustics, image sources), of the install's size."""
    import pyroomacoustics as pra

    def render(source, microphone):
        room = pra.ShoeBox([5, 4, 2.5], fs=QUICK.rate_hz, materials=pra.Material(0.3), max_order=8)
        room.add_source(list(source))
        room.add_microphone(list(microphone))
        room.compute_rir()
        response = np.zeros(round(1.2 * QUICK.rate_hz))
        heard = np.asarray(room.rir[0][0])[40 : 40 + len(response)]  # its filters delay all by 40 samples
        response[: len(heard)] = heard
        return response

    return render
