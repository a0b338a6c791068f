"""Rehearse a measurement: recordings from the project's own room, to practise on and to test with."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from seatfield.model import ChannelSetting, Project, SweepSet, TakeState
from seatfield.pipeline.measuring import NotMeasurableError, last_sweeps, note_sweeps, prepared, sweeps_for
from seatfield.pipeline.waves import write_wave
from seatfield.stages.takes import SweepParams
from seatfield.stages.takes.rehearsal import (
    Planted,
    RehearsalParams,
    Rehearsed,
    Spell,
    planted,
    random_faults,
    rehearse,
)

AROUND_M = (
    (0.0, 0.0, 0.0),
    (0.45, 0.1, 0.4),
    (-0.45, 0.15, -0.2),
    (0.1, -0.5, 0.3),
    (-0.3, -0.35, 0.0),
    (0.25, 0.45, -0.25),
    (-0.2, 0.3, 0.45),
    (0.5, -0.3, -0.1),
)
"""Where the microphone goes round the main seat's head [m]: half a metre about it, at different heights."""


@dataclass(frozen=True, slots=True)
class RehearsalAsked:
    """What a person wants to practise.

    Parameters
    ----------
    seed
        Of everything left to chance.
    positions
        How many places round the main seat.
    seats
        Whether the other seats are visited too.
    faults
        Words such as ``inverted M+030``.
    chance_faults
        How many more are chosen by chance.
    params
        Of the sweeps; those written last where left out.
    in_force
        Settings typed into the amplifier; the usual crossover everywhere where left out.
    """

    seed: int = 1
    positions: int = 1
    seats: bool = False
    state: TakeState = TakeState.BARE
    faults: tuple[str, ...] = ()
    chance_faults: int = 0
    snr_db: float = 40.0
    params: SweepParams | None = None
    in_force: tuple[ChannelSetting, ...] = ()


@dataclass(frozen=True, slots=True)
class Practised:
    """One recording that was written: its file, where the microphone stood, and whose sweeps it holds."""

    file: Path
    spell: Spell
    runs: tuple[str, ...]


def rehearsed_sweeps(folder: Path, project: Project, asked: RehearsalAsked, *, at: str) -> SweepSet:
    """Return the sweeps to rehearse with, noted in the log where they are new.

    Raises
    ------
    NotMeasurableError
        If nothing can be played.
    """
    if asked.params is None:
        return last_sweeps(folder, project)
    planned = sweeps_for(project, asked.params)
    if planned.sweeps is None:
        raise NotMeasurableError(
            "No sweep can reach any loudspeaker of this project, so there is nothing to rehearse."
        )
    if planned.sweeps != last_sweeps(folder, project):
        note_sweeps(folder, planned.sweeps, at=at)
    return planned.sweeps


def planted_faults(project: Project, asked: RehearsalAsked) -> tuple[Planted, ...]:
    """Return the faults asked for, and those chosen by chance."""
    layout = prepared(project).layout
    assert layout is not None
    named = tuple(planted(text, project, layout) for text in asked.faults)
    used = {run for one in named for run in one.runs}
    chance = random_faults(project, layout, asked.chance_faults, asked.state, asked.seed)
    return (*named, *(one for one in chance if not used & set(one.runs)))


def spells(project: Project, asked: RehearsalAsked) -> tuple[Spell, ...]:
    """Return where the microphone stands, the main seat first."""
    main = project.main_seat
    x, y, z = main.head
    around = [
        Spell(main.name if place == 0 else "", (x + dx, y + dy, z + dz))
        for place, (dx, dy, dz) in enumerate(AROUND_M[: max(1, asked.positions)])
    ]
    others = [Spell(seat.name, seat.head) for seat in project.seats if not seat.main] if asked.seats else []
    return (*around, *others)


def recordings(
    project: Project, sweeps: SweepSet, asked: RehearsalAsked, faults: tuple[Planted, ...]
) -> Iterator[Rehearsed]:
    """Yield the recordings, one position after another."""
    made = prepared(project)
    assert made.layout is not None
    params = RehearsalParams(
        asked.seed,
        spells(project, asked),
        asked.state,
        faults,
        asked.in_force,
        asked.snr_db,
    )
    return rehearse(project, made.survey, made.layout, sweeps, params)


def write_rehearsal(
    project: Project, sweeps: SweepSet, asked: RehearsalAsked, faults: tuple[Planted, ...], out: Path
) -> Iterator[Practised]:
    """Write the recordings, a folder for each position, and yield each as it is written."""
    places: list[Spell] = []
    for one in recordings(project, sweeps, asked, faults):
        if one.spell not in places:
            places.append(one.spell)
        target = out / f"position {len(places)}" / one.soundings[0].file
        write_wave(target, (one.samples,), len(one.samples), sweeps.settings.rate_hz)
        yield Practised(target, one.spell, tuple(sounding.run for sounding in one.soundings))
