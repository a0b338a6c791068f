"""Measure a room: write sweeps, keep takes, read them again. Recordings live in the project's ``log/takes``."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from seatfield.model import (
    Finding,
    Point3,
    Project,
    Severity,
    SweepSet,
    SweepSettings,
    Take,
    TakenFile,
    TakeState,
    worst_first,
)
from seatfield.pipeline.asked import doubts, outside, unusable
from seatfield.pipeline.encoding import encode
from seatfield.pipeline.keeping import TAKES, keep, kept_compensation, kept_file, kept_takes, session_of
from seatfield.pipeline.planning import plan
from seatfield.pipeline.retelling import read_sweep_set
from seatfield.pipeline.waves import write_wave
from seatfield.stages.faults import Faults
from seatfield.stages.faults import plan as find_faults
from seatfield.stages.plan import Plan
from seatfield.stages.takes import (
    Known,
    Session,
    Spot,
    SweepParams,
    SweepPlan,
    TakeRead,
    Takes,
    approach,
    block,
    block_s,
    blocks,
    findings_of,
    known_of,
    moved_findings,
    plan_sweeps,
    read_spot,
)
from seatfield.store import append_record, read_log

SWEEPS = "sweeps"
SAME_PLACE_M = 0.005
UNPAIRED = ("no-chirps", "too-short", "wrong-rate", "dropped-samples")
Watch = Callable[[str], None]


class NotMeasurableError(ValueError):
    """Something stands in the way of measuring; the message says what and what to do."""


def folder_of(path: Path) -> Path:
    """Return the project's folder, whether it or its file was named."""
    return path if path.is_dir() else path.parent


@lru_cache(maxsize=2)
def prepared(project: Project) -> Plan:
    """Return the plan as far as measuring needs it, computed once for a project.

    Raises
    ------
    NotMeasurableError
        If the room is not fit to be planned in.
    """
    made = plan(project, "terminals")
    if made.layout is None:
        raise NotMeasurableError(
            "The room's outline or its seats have faults, so there is nothing to measure against. "
            "Run `seatfield check` and mend them first."
        )
    return made


def sweeps_for(project: Project, params: SweepParams | None = None) -> SweepPlan:
    """Say what to play for every loudspeaker and how it gets there."""
    made = prepared(project)
    assert made.layout is not None
    assert made.terminals is not None
    return plan_sweeps(project, made.layout, made.terminals, params)


def settings_for(length_s: float, level_db: float, rate_hz: int) -> SweepSettings:
    """Return the settings of a sweep; where the rate carries no more, it ends below 22 kHz."""
    return SweepSettings(
        length_s=length_s, level_db=level_db, rate_hz=rate_hz, high_hz=min(22000.0, 0.458 * rate_hz)
    )


def note_sweeps(folder: Path, sweeps: SweepSet, *, at: str) -> None:
    """Note in the log what is played from now on."""
    append_record(folder, SWEEPS, encode(sweeps), at=at)


def write_sweeps(folder: Path, planned: SweepPlan, out: Path, *, at: str) -> tuple[Path, ...]:
    """Write the sweep files and their sheet, and note in the log what they hold.

    Parameters
    ----------
    folder
        The project's folder.
    planned
        What to play.
    out
        Where the files go.
    at
        When, in ISO 8601.

    Returns
    -------
    tuple of Path
        The sheet, then the files in the order of playing.

    Raises
    ------
    NotMeasurableError
        If nothing can be played.
    """
    if planned.sweeps is None:
        raise NotMeasurableError(
            "No sweep can reach any loudspeaker of this project. Say which amplifier drives them, then ask again."
        )
    from seatfield.stages.takes.sheet import sheet

    written = [out / "sheet.txt"]
    out.mkdir(parents=True, exist_ok=True)
    written[0].write_text(sheet(planned), encoding="utf-8")
    written += _waves(planned.sweeps, out)
    note_sweeps(folder, planned.sweeps, at=at)
    return tuple(written)


def _waves(sweeps: SweepSet, out: Path) -> Iterator[Path]:
    rate_hz = sweeps.settings.rate_hz
    frames = round(block_s(sweeps.settings) * rate_hz)
    first = approach(sweeps)
    if sweeps.one_file:
        target = out / sweeps.soundings[0].file
        total = len(first) + frames * len(sweeps.soundings)
        write_wave(target, blocks(sweeps), total, rate_hz, sweeps.mask)
        yield target
        return
    write_wave(out / "00 how loud.wav", (first,), len(first), rate_hz, sweeps.mask)
    yield out / "00 how loud.wav"
    for sounding in sweeps.soundings:
        write_wave(out / sounding.file, (block(sweeps, sounding),), frames, rate_hz, sweeps.mask)
        yield out / sounding.file


def last_sweeps(folder: Path, project: Project) -> SweepSet:
    """Return the set of sweeps that was written last, or the usual one where none was.

    Raises
    ------
    NotMeasurableError
        If nothing can be played.
    """
    written = written_sweeps(folder)
    if written:
        return written[0]
    planned = sweeps_for(project)
    if planned.sweeps is None:
        raise NotMeasurableError(
            "No sweep can reach any loudspeaker of this project, so there is no take to read."
        )
    return planned.sweeps


def written_sweeps(folder: Path) -> tuple[SweepSet, ...]:
    """Return every set of sweeps of the log, each once, the last written first."""
    entries = reversed(read_log(folder, SWEEPS).entries)
    return tuple(dict.fromkeys(read_sweep_set(entry.data) for entry in entries))


@dataclass(frozen=True, slots=True)
class TakeAsked:
    """A take as a person brings it.

    Parameters
    ----------
    files
        Name and bytes of each recording, in the order of the sheet.
    runs
        Whose sweeps they hold, in order; all of the set where left out.
    compensation
        Bytes of the microphone's file; empty without one.
    """

    files: tuple[tuple[str, bytes], ...]
    position: Point3
    seat: str = ""
    state: TakeState = TakeState.BARE
    runs: tuple[str, ...] = ()
    microphone_column: int | None = None
    loopback_column: int | None = None
    compensation: bytes = b""
    full_scale_db: float | None = None
    note: str = ""


def keep_take(folder: Path, project: Project, asked: TakeAsked, *, at: str) -> tuple[Take | None, Takes]:
    """Read a take and keep it, if any of its sweeps can be used.

    Parameters
    ----------
    folder, project
        The project.
    asked
        The recordings and where they were made.
    at
        When, in ISO 8601.

    Returns
    -------
    take : Take or None
        As kept; None where nothing of it can be used, which the findings tell.
    takes : Takes
        What it says.

    Raises
    ------
    NotMeasurableError
        If the recordings do not match the sweeps, the microphone stands outside the room, or its file is useless.
    """
    made = prepared(project)
    assert made.layout is not None
    known = known_of(project, made.layout)
    last = last_sweeps(folder, project)
    session = _session_of(_take(folder, last, asked, known, at), asked)
    refusal = outside(made.survey, asked.position) or unusable(session.compensation)
    if refusal:
        raise NotMeasurableError(refusal)
    take, told = session.take, _read_alone(session, known)
    if not _useful(told):
        older = _read_as_older(folder, session, asked, known, told)
        if older is None:
            return None, _none_fits(told, written_sweeps(folder))
        take, told = older
    for (_, content), file in zip(asked.files, take.files, strict=True):
        keep(kept_file(folder, file), content)
    if asked.compensation:
        keep(kept_compensation(folder, take.compensation), asked.compensation)
    append_record(folder, TAKES, encode(take), at=at)
    return take, told


def _read_alone(session: Session, known: Known) -> Takes:
    read, spot = read_spot([session], known)
    return Takes(read, (spot,), (*findings_of(read), *doubts(session.compensation)))


def _useful(told: Takes) -> bool:
    return any(channel.used for channel in told.takes[0].channels) or bool(told.spots[0].dead)


def _read_as_older(
    folder: Path, session: Session, asked: TakeAsked, known: Known, told: Takes
) -> tuple[Take, Takes] | None:
    """Read recordings as of the sweeps that were written before the last, where their chirps fit some of these."""
    if not _unpaired(told):
        return None
    tried = {_heard_as(session.take.sweeps)}
    for sweeps in written_sweeps(folder):
        if _heard_as(sweeps) in tried:
            continue
        tried.add(_heard_as(sweeps))
        try:
            files = _files(asked, _shared(sweeps, asked))
        except NotMeasurableError:
            continue
        take = replace(session.take, sweeps=sweeps, files=files)
        again = _read_alone(replace(session, take=take), known)
        if _useful(again):
            return take, again
    return None


def _heard_as(sweeps: SweepSet) -> tuple[SweepSettings, str, tuple[str, ...]]:
    return sweeps.settings, sweeps.reference_run, tuple(one.run for one in sweeps.soundings)


def _unpaired(told: Takes) -> bool:
    """Whether the chirps did not fit: the recordings may be of other sweeps."""
    return any(trouble.kind in UNPAIRED for one in told.takes[0].channels for trouble in one.troubles)


def _none_fits(told: Takes, written: tuple[SweepSet, ...]) -> Takes:
    """Add what was tried where no written sweeps fit."""
    lengths = sorted({sweeps.settings.length_s for sweeps in written})
    if not lengths or not _unpaired(told):
        return told
    tried = " and ".join(f"{length:g} s" for length in lengths)
    finding = Finding(
        "takes.other-sweeps",
        Severity.FIX,
        "the recordings",
        f"They fit none of the sweeps that this project has written, which are {tried} long.",
        source="the log of the sweeps",
        advice="If they were made with other sweeps, write those again (`seatfield sweep --seconds`), then take them.",
    )
    return replace(told, findings=(finding, *told.findings))


def _shared(sweeps: SweepSet, asked: TakeAsked) -> list[tuple[str, ...]]:
    """Return whose sweeps each file holds."""
    known = [one.run for one in sweeps.soundings]
    runs = asked.runs or tuple(known)
    unknown = [run for run in runs if run not in known]
    if unknown:
        raise NotMeasurableError(
            f"{', '.join(unknown)} is no run of the sweeps; there are {', '.join(known)}."
        )
    if len(asked.files) == 1:
        return [runs]
    if len(asked.files) != len(runs):
        raise NotMeasurableError(
            f"{len(asked.files)} recordings are given for {len(runs)} sweeps ({', '.join(runs)}). Give one for each, "
            "in this order, or name the runs that they hold with --channels."
        )
    return [(run,) for run in runs]


def _files(asked: TakeAsked, shared: list[tuple[str, ...]]) -> tuple[TakenFile, ...]:
    return tuple(
        TakenFile(name, sha256(content).hexdigest(), runs)
        for (name, content), runs in zip(asked.files, shared, strict=True)
    )


def _take(folder: Path, sweeps: SweepSet, asked: TakeAsked, known: Known, at: str) -> Take:
    return Take(
        f"take {len(read_log(folder, TAKES).entries) + 1}",
        at,
        asked.position,
        asked.seat,
        asked.state,
        sweeps,
        _files(asked, _shared(sweeps, asked)),
        asked.microphone_column,
        asked.loopback_column,
        sha256(asked.compensation).hexdigest() if asked.compensation else "",
        asked.full_scale_db,
        asked.note,
        tuple(known.places.items()),
    )


def _session_of(take: Take, asked: TakeAsked) -> Session:
    from seatfield.readers.microphone import read_compensation
    from seatfield.readers.recording import read_recording

    recordings = tuple(read_recording(content) for _, content in asked.files)
    compensation = read_compensation(asked.compensation) if asked.compensation else None
    return Session(take, recordings, compensation)


def read_takes(
    folder: Path,
    project: Project,
    *,
    state: TakeState | None = None,
    since: str = "",
    watch: Watch | None = None,
) -> Takes:
    """Read all kept takes of a project again.

    Parameters
    ----------
    folder, project
        The project.
    state
        Only takes with the amplifier set so.
    since
        Only takes from this moment on, in ISO 8601.
    watch
        Called with a sentence before each position.

    Returns
    -------
    Takes
        What they say; a recording that is gone or was changed is told and not used.
    """
    made = prepared(project)
    assert made.layout is not None
    known = known_of(project, made.layout)
    read: list[TakeRead] = []
    spots: list[Spot] = []
    wanted = [one for one in kept_takes(folder) if (state is None or one.state is state) and one.at >= since]
    for group in _by_spot(wanted):
        if watch:
            watch(f"reading {len(group)} at {group[0].seat or _place(group[0].position)}")
        told, spot = _read_group(folder, group, known)
        read += told
        spots.append(spot)
    return Takes(tuple(read), tuple(spots), (*moved_findings(spots), *findings_of(read)))


def _read_group(folder: Path, group: list[Take], known: Known) -> tuple[tuple[TakeRead, ...], Spot]:
    return read_spot([session_of(folder, take) for take in group], known)


def _place(position: Point3) -> str:
    return ", ".join(f"{value:.2f}" for value in position) + " m"


def _by_spot(takes: list[Take]) -> list[list[Take]]:
    """Group takes by place and state, in the order of their first."""
    groups: list[list[Take]] = []
    for take in takes:
        home = next((group for group in groups if _same(group[0], take)), None)
        if home is None:
            groups.append([take])
        else:
            home.append(take)
    return groups


def _same(one: Take, other: Take) -> bool:
    near = all(abs(a - b) <= SAME_PLACE_M for a, b in zip(one.position, other.position, strict=True))
    return near and one.state is other.state and _chirps_from(one) == _chirps_from(other)


def _chirps_from(take: Take) -> Point3 | None:
    return dict(take.places).get(take.sweeps.reference_run)


def faults_in(project: Project, takes: Takes) -> Faults:
    """Say what the takes show to be wrong with the channels."""
    made = prepared(project)
    assert made.layout is not None
    assert made.terminals is not None
    return find_faults(project, made.layout, made.terminals, takes)


def encode_takes(takes: Takes, faults: Faults) -> dict[str, Any]:
    """Turn takes and faults into the object that the commands print; responses stay inside."""
    findings = worst_first((*takes.findings, *faults.findings))
    return {
        "takes": encode(takes.takes),
        "faults": encode(faults.faults),
        "undecided": encode(faults.undecided),
        "findings": encode(findings),
    }
