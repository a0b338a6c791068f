"""Invented installs: room, layout, kit, positions of the microphone, faults; all by chance, the same for one seed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

AZIMUTHS = {
    "M+000": 0, "M+030": 30, "M-030": -30, "M+090": 90, "M-090": -90, "M+110": 110, "M-110": -110,
    "M+135": 135, "M-135": -135, "U+030": 35, "U-030": -35, "U+045": 45, "U-045": -45, "U+110": 110, "U-110": -110,
    "U+135": 135, "U-135": -135,
}  # fmt: skip
LAYOUTS = {
    "5.1": "M+030 M-030 M+000 M+110 M-110",
    "5.1.2": "M+030 M-030 M+000 M+110 M-110 U+030 U-030",
    "7.1": "M+030 M-030 M+000 M+090 M-090 M+135 M-135",
    "5.1.4": "M+030 M-030 M+000 M+110 M-110 U+030 U-030 U+110 U-110",
    "7.1.4": "M+030 M-030 M+000 M+090 M-090 M+135 M-135 U+045 U-045 U+135 U-135",
}
SPOILING = {"dead", "tweeter silent", "high-resistance joint"}
FLOORS = ("parquet on concrete", "thin carpet", "wood floor on joists", "carpet on open-cell underlay")
WALLS = ("plastered masonry", "plasterboard on studs")
EAR_M, RATE_HZ = 1.05, 48000
ROUND_M = (
    (0.0, 0.0, 0.0), (0.45, 0.1, 0.4), (-0.45, 0.15, -0.2), (0.1, -0.5, 0.3), (-0.3, -0.35, 0.0), (0.25, 0.45, -0.25),
)  # fmt: skip


@dataclass(frozen=True)
class Install:
    """One invented install, measured: what was planted, what was found, and how many channels there were."""

    planted: tuple
    found: object
    channels: int
    positions: int
    snr_db: float
    boxes: dict

    def shows(self, fault):
        """Tell whether the takes can show a fault.

        Notes
        -----
        One position cannot tell who sounds where. A joint that costs less than 4 dB where the impedance is low, from
        250 to 500 Hz and an octave above twice the crossover, is no louder than rooms and trims, and one without a
        sound loudspeaker of its model and height beside it has nothing to be compared with. All else shows.
        """
        if fault.kind.value in {"swapped", "wrong terminal"}:
            return self.positions >= 4
        if fault.kind.value == "high-resistance joint":
            run = fault.runs[0]
            return joint_loss_db(self.boxes[run], fault.amount) >= 4.0 and self._has_peer(run)
        return True

    def _has_peer(self, run):
        spoilt = {run for fault in self.planted if fault.kind.value in SPOILING for run in fault.runs}
        return any(
            box == self.boxes[run] and other[0] == run[0] and other not in spoilt
            for other, box in self.boxes.items()
            if other != run
        )


def joint_loss_db(box, ohm):
    """Return what a resistance costs a loudspeaker where its impedance is low [dB]."""
    from seatfield.stages.takes.rehearsal.boxes import joint_response

    stretches = (np.geomspace(250, 500), np.geomspace(2 * box.crossing_hz, 4 * box.crossing_hz))
    return float(
        np.mean([-20 * np.log10(np.abs(joint_response(box, ohm, freq_hz))) for freq_hz in stretches])
    )


def text(rng):
    """Return a project file: the screen on wall y = 0, the listener's left at +x."""
    size = rng.uniform([4.0, 3.8, 2.35], [6.5, 6.0, 2.8])
    name = list(LAYOUTS)[int(rng.integers(len(LAYOUTS)))]
    seat = np.array([size[0] / 2 + rng.uniform(-0.4, 0.4), size[1] * rng.uniform(0.5, 0.68)])
    boxes = [_box(rng, run, seat, size) for run in LAYOUTS[name].split()]
    sub = [float(rng.choice([0.3, size[0] - 0.3])), float(rng.uniform(0.3, 1.5)), 0.2]
    return f"""
format = 1
name = "Invented"
[room]
floor = [[0,0],[{size[0]:.3f},0],[{size[0]:.3f},{size[1]:.3f}],[0,{size[1]:.3f}]]
ceiling = {size[2]:.3f}
[room.finishes]
floor = "{rng.choice(FLOORS)}"
ceiling = "plasterboard on battens"
walls = "{rng.choice(WALLS)}"
[[seat]]
name = "middle"
at = [{seat[0]:.3f},{seat[1]:.3f}]
ear = {EAR_M}
main = true
[screen]
centre = [{size[0] / 2:.3f},0.1,1.0]
width = 1.3
[system]
layout = "{name}"
[[amplifier]]
name = "receiver"
at = [0.5,0.4,0.4]
channels = 11
processed = 11
sub_outputs = 1
[[model]]
name = "front"
sensitivity = 87
impedance = 8
lowest_impedance = {rng.uniform(4, 7):.1f}
highest_impedance = {rng.uniform(18, 40):.0f}
low_corner = {rng.uniform(38, 65):.0f}
enclosure = "vented"
driver_crossover = {rng.uniform(1800, 3000):.0f}
[[model]]
name = "small"
sensitivity = 85
impedance = 8
low_corner = {rng.uniform(70, 110):.0f}
enclosure = "sealed"
driver_crossover = {rng.uniform(2200, 3300):.0f}
[[model]]
name = "sub"
kind = "subwoofer"
enclosure = "{rng.choice(["sealed", "vented"])}"
low_corner = {rng.uniform(22, 35):.0f}
latency = {rng.choice([0.0, 0.0, 0.008])}
[[subwoofer]]
name = "sub"
model = "sub"
at = [{sub[0]:.3f},{sub[1]:.3f},{sub[2]:.3f}]
""" + "".join(boxes)


def _box(rng, run, seat, size):
    azimuth = np.radians(AZIMUTHS[run] + rng.uniform(-6, 6))
    high = run.startswith("U")
    away = rng.uniform(1.0, 1.6) if high else rng.uniform(1.7, 2.6)
    height = size[2] - 0.2 if high else EAR_M + rng.uniform(-0.15, 0.3)
    at = np.array([*(seat + away * np.array([np.sin(azimuth), -np.cos(azimuth)])), height])
    at = np.clip(at, [0.2, 0.2, 0.3], size - [0.2, 0.2, 0.12])
    model = "small" if high or run[2:] in {"090", "110", "135"} else "front"
    return (
        f'[[loudspeaker]]\nchannel = "{run}"\nmodel = "{model}"\nat = [{at[0]:.3f},{at[1]:.3f},{at[2]:.3f}]\n'
    )


def library_room(project, absorption):
    """Return a renderer of a general library (pyroomacoustics, image sources) for a project's box."""
    import pyroomacoustics as pra

    size = [
        max(x for x, _ in project.room.floor),
        max(y for _, y in project.room.floor),
        project.room.ceiling_m,
    ]

    def render(source, microphone):
        room = pra.ShoeBox(size, fs=RATE_HZ, materials=pra.Material(absorption), max_order=11)
        room.add_source(list(source))
        room.add_microphone(list(microphone))
        room.compute_rir()
        response = np.zeros(round(1.2 * RATE_HZ))
        heard = np.asarray(room.rir[0][0])[40 : 40 + len(response)]
        response[: len(heard)] = heard
        return response

    return render


def measured(seed, *, library):
    """Return an install with zero to three faults, its sweeps played, recorded, read and judged."""
    from seatfield.dsp.heard import Wanted
    from seatfield.model import SweepSettings, TakeState
    from seatfield.stages import faults, layout, survey, terminals
    from seatfield.stages.takes import SweepParams, Takes, known_of, plan_sweeps
    from seatfield.stages.takes.rehearsal import RehearsalParams, Spell, random_faults
    from seatfield.stages.takes.rehearsal.boxes import box_of
    from seatfield.store.door import open_text

    rng = np.random.default_rng([seed, 99])
    project = open_text(text(rng)).project
    surveyed = survey.plan(project)
    laid_out = layout.plan(project, surveyed)
    mapped = terminals.plan(project, laid_out)
    sweeps = plan_sweeps(
        project, laid_out, mapped, SweepParams(SweepSettings(length_s=1.5, tail_s=1.0))
    ).sweeps
    chosen = random_faults(project, laid_out, int(rng.integers(4)), TakeState.AS_USED, seed)
    planted = tuple(
        one for one in chosen if not (one.kind.value == "dead" and one.runs[0] == sweeps.reference_run)
    )
    positions, snr_db = int(rng.choice([1, 4, 6])), float(rng.uniform(20, 40))
    room = library_room(project, float(rng.uniform(0.18, 0.4))) if library else None
    head = np.array(project.main_seat.head)
    spells = tuple(
        Spell("" if place else "middle", tuple((head + away).tolist()))
        for place, away in enumerate(ROUND_M[:positions])
    )
    known, lean, spots = (
        known_of(project, laid_out),
        Wanted(decay_bands=(), distortion_bands=(), rattles=False),
        [],
    )
    for state in TakeState:
        params = RehearsalParams(
            seed,
            spells if state is TakeState.BARE else spells[:1],
            state,
            planted,
            snr_db=snr_db,
            microphone_sigma_m=0.01,
            build_sigma_m=0.05,
        )
        spots += _read(project, surveyed, laid_out, (sweeps, params, room), (known, lean))
    found = faults.plan(project, laid_out, mapped, Takes((), tuple(spots), ()))
    models = {model.name: model for model in project.models}
    boxes = {one.id: box_of(models[one.model]) for one in laid_out.loudspeakers}
    return Install(planted, found, len(sweeps.soundings), positions, snr_db, boxes)


def _read(project, surveyed, laid_out, playing, reading):
    from seatfield.model import Take, TakenFile
    from seatfield.readers.recording import Recording
    from seatfield.stages.takes import Session, read_spot
    from seatfield.stages.takes.rehearsal import rehearse

    (sweeps, params, room), (known, lean), groups = playing, reading, {}
    for one in rehearse(project, surveyed, laid_out, sweeps, params, room=room):
        groups.setdefault(one.spell, []).append(one)
    for spell, made in groups.items():
        files = tuple(TakenFile("", "", (one.soundings[0].run,)) for one in made)
        take = Take("take", "2031", spell.position, spell.seat, params.state, sweeps, files)
        recordings = tuple(Recording(one.samples, RATE_HZ) for one in made)
        yield read_spot([Session(take, recordings)], known, lean)[1]
