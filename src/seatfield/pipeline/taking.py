"""Measuring from the page: each question a task for the process beside the hand, each answer plain."""

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory

from seatfield.model import ChannelSetting, FaultKind, Finding, Project, SweepSettings, TakeState, worst_first
from seatfield.pipeline.aligning import Aligned, align, note_settings, noted_settings
from seatfield.pipeline.beside import Watch
from seatfield.pipeline.measuring import TakeAsked, faults_in, keep_take, prepared, read_takes
from seatfield.pipeline.memo import Memo
from seatfield.pipeline.playing import LiveAsked
from seatfield.pipeline.refusing import refusals_told
from seatfield.pipeline.rehearsing import RehearsalAsked, planted_faults, recordings, rehearsed_sweeps
from seatfield.pipeline.values import ValueRefused, value_files, zipped
from seatfield.pipeline.waves import wave_header, whole_24
from seatfield.stages.alignment import (
    Aged,
    Alignment,
    Built,
    Judged,
    Redo,
    RoomFitted,
    Typed,
    Verified,
    Wishes,
    judge,
)
from seatfield.stages.faults import FaultFound, Faults, Undecided
from seatfield.stages.takes import SweepParams, TakeRead, Takes
from seatfield.stages.takes.rehearsal import Rehearsed

ARCHIVE = "values.zip"
PRACTICE_S = 3.0
"""Length of a sweep to practise with: enough where the room is quiet and made up [s]."""


@dataclass(frozen=True, slots=True)
class FaultTold:
    """A fault, and what to do about it; see `seatfield.stages.faults.FaultFound`."""

    kind: FaultKind
    runs: tuple[str, ...]
    confidence: float
    message: str
    advice: str


@dataclass(frozen=True, slots=True)
class TakesTold:
    """What the takes say.

    Parameters
    ----------
    refused
        Why the take that was just sent was not kept; empty where it was, or none was sent.
    """

    takes: tuple[TakeRead, ...]
    faults: tuple[FaultTold, ...]
    undecided: tuple[Undecided, ...]
    findings: tuple[Finding, ...]
    refused: str = ""


@dataclass(frozen=True, slots=True)
class AlignmentTold:
    """What to type, what it does, and what is left to do; see `seatfield.pipeline.aligning.Aligned`.

    Parameters
    ----------
    leave
        Whether nothing gains, so that nothing is to be typed.
    noted_at
        When the values of an alignment were last noted as typed; empty where they never were.
    files
        Names of the files that can be taken along.
    """

    alignment: Alignment | None
    refusal: str
    leave: bool
    faults: tuple[FaultTold, ...]
    undecided: tuple[Undecided, ...]
    built: tuple[Built, ...]
    verified: tuple[Verified, ...]
    redo: tuple[Redo, ...]
    aged: tuple[Aged, ...]
    room: RoomFitted | None
    noted_at: str = ""
    files: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class JudgedTold:
    """Another calibration's values, judged; those that cannot be understood with the reason."""

    judged: tuple[Judged, ...]
    refused: tuple[ValueRefused, ...]


@dataclass(frozen=True, slots=True)
class Hidden:
    """A fault that was hidden in a rehearsal, and whom it concerns."""

    kind: FaultKind
    runs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Practice:
    """A rehearsal: what its recordings say, and what was hidden in them."""

    takes: TakesTold
    alignment: AlignmentTold
    hidden: tuple[Hidden, ...]


@dataclass(frozen=True, slots=True)
class KeepTask:
    """Read a take and keep it; what it says by itself, before all takes are read together."""

    folder: Path
    project: Project
    asked: TakeAsked
    at: str

    @refusals_told()
    def run(self, memo: Memo, watch: Watch) -> TakesTold:
        """Read and keep."""
        del memo
        watch("takes")
        take, told = keep_take(self.folder, self.project, self.asked, at=self.at)
        by_itself = _told(told, faults_in(self.project, told))
        if take is not None:
            return by_itself
        why = next((finding.message for finding in told.findings), "Nothing of it can be read.")
        refused = f"This take was not kept, for none of its sweeps can be used. {why}"
        return replace(by_itself, refused=refused)


@dataclass(frozen=True, slots=True)
class ReadTask:
    """Read all kept takes."""

    folder: Path
    project: Project

    @refusals_told()
    def run(self, memo: Memo, watch: Watch) -> TakesTold:
        """Read."""
        del memo
        watch("takes")
        takes = read_takes(self.folder, self.project, watch=lambda sentence: watch(f"takes: {sentence}"))
        return _told(takes, faults_in(self.project, takes))


@dataclass(frozen=True, slots=True)
class AlignTask:
    """Align by all kept takes; note the values as typed where `typed_at` says when.

    Parameters
    ----------
    with_room
        Whether to fit the room model too.
    """

    folder: Path
    project: Project
    wishes: Wishes
    typed_at: str = ""
    with_room: bool = False

    @refusals_told()
    def run(self, memo: Memo, watch: Watch) -> AlignmentTold:
        """Align."""
        del memo
        watch("settings")
        aligned = self._align(watch)
        if self.typed_at and aligned.alignment is not None:
            note_settings(self.folder, self.project, aligned.alignment, at=self.typed_at)
            aligned = self._align(watch)
        noted = noted_settings(self.folder)
        return _aligned(aligned, noted.at if noted else "")

    def _align(self, watch: Watch) -> Aligned:
        return align(
            self.folder,
            self.project,
            self.wishes,
            with_room=self.with_room,
            watch=lambda sentence: watch(f"settings: {sentence}"),
        )


@dataclass(frozen=True, slots=True)
class JudgeTask:
    """Judge another calibration's values against an alignment, or against the plan where there is none."""

    project: Project
    alignment: Alignment | None
    typed: tuple[Typed, ...]

    @refusals_told()
    def run(self, memo: Memo, watch: Watch) -> tuple[Judged, ...]:
        """Judge."""
        del memo
        watch("settings")
        made = prepared(self.project)
        assert made.layout is not None
        return judge(self.project, made.layout, self.alignment, self.typed)


@dataclass(frozen=True, slots=True)
class FileTask:
    """Make a file of an alignment that `AlignmentTold.files` names."""

    alignment: Alignment
    name: str

    def run(self, memo: Memo, watch: Watch) -> bytes:
        """Make it."""
        del memo
        watch("settings")
        files = value_files(self.alignment)
        return zipped(files) if self.name == ARCHIVE else files[self.name]()


@dataclass(frozen=True, slots=True)
class PracticeTask:
    """Rehearse a measurement in the project's own room; nothing is kept in its folder.

    Parameters
    ----------
    faults
        How many are hidden by chance.
    positions
        How many places round the main seat are visited.
    in_force
        Settings typed into the amplifier, where it is set as people listen.
    """

    project: Project
    seed: int
    faults: int
    positions: int
    as_used: bool = False
    in_force: tuple[ChannelSetting, ...] = ()
    at: str = "2000-01-01T00:00:00+00:00"

    @refusals_told()
    def run(self, memo: Memo, watch: Watch) -> Practice:
        """Rehearse, read and align."""
        del memo
        watch("practice")
        asked = RehearsalAsked(
            seed=self.seed,
            positions=self.positions,
            state=TakeState.AS_USED if self.as_used else TakeState.BARE,
            chance_faults=self.faults,
            params=SweepParams(SweepSettings(length_s=PRACTICE_S)),
            in_force=self.in_force,
        )
        with TemporaryDirectory(prefix="seatfield-practice-") as name:
            folder = Path(name)
            sweeps = rehearsed_sweeps(folder, self.project, asked, at=self.at)
            planted = planted_faults(self.project, asked)
            for take in _practised(asked, list(recordings(self.project, sweeps, asked, planted))):
                keep_take(folder, self.project, take, at=self.at)
            aligned = align(folder, self.project)
        hidden = tuple(Hidden(one.kind, one.runs) for one in planted)
        return Practice(_told(aligned.takes, aligned.faults), _aligned(aligned, ""), hidden)


@dataclass(frozen=True, slots=True)
class SoundTask:
    """Play one sweep through a sound device and record it, or the bursts by which the volume is set.

    Parameters
    ----------
    asked
        Devices, and the run whose sweep is played; no run for the bursts.
    """

    folder: Path
    project: Project
    asked: LiveAsked

    @refusals_told()
    def run(self, memo: Memo, watch: Watch) -> tuple[tuple[str, bytes], ...]:
        """Play and record; gives name and content of each recording."""
        from seatfield.capture import SamplesLostError
        from seatfield.pipeline.playing import play_approach, play_sweeps, prepare_live

        del memo
        watch("sound")
        live = prepare_live(self.folder, self.project, self.asked)
        if not self.asked.runs:
            with suppress(SamplesLostError):  # nothing is read from the bursts
                play_approach(live)
            return ()
        return play_sweeps(live, lambda _sentence: None)


def _practised(asked: RehearsalAsked, made: list[Rehearsed]) -> Iterator[TakeAsked]:
    """Yield one take for each place of the microphone."""
    assert asked.params is not None
    rate_hz = asked.params.settings.rate_hz
    for spell in dict.fromkeys(one.spell for one in made):
        own = [one for one in made if one.spell == spell]
        files = tuple((one.soundings[0].file, _wave(one, rate_hz)) for one in own)
        runs = tuple(sounding.run for one in own for sounding in one.soundings)
        yield TakeAsked(files, spell.position, spell.seat, asked.state, runs)


def _wave(one: Rehearsed, rate_hz: int) -> bytes:
    content = wave_header(len(one.samples), one.samples.shape[1], rate_hz, 0) + whole_24(one.samples)
    return content + b"\0" * (len(content) % 2)


def _told(takes: Takes, faults: Faults) -> TakesTold:
    findings = worst_first((*takes.findings, *faults.findings))
    return TakesTold(takes.takes, _faults(faults), faults.undecided, findings)


def _faults(faults: Faults) -> tuple[FaultTold, ...]:
    return tuple(_fault(one) for one in faults.faults)


def _fault(one: FaultFound) -> FaultTold:
    return FaultTold(one.kind, (one.run, *one.with_runs), one.confidence, one.message, one.advice)


def _aligned(aligned: Aligned, noted_at: str) -> AlignmentTold:
    alignment = aligned.alignment
    return AlignmentTold(
        alignment,
        aligned.refusal,
        aligned.leave,
        _faults(aligned.faults),
        aligned.faults.undecided,
        aligned.built,
        aligned.verified,
        aligned.redo,
        aligned.aged,
        aligned.room,
        noted_at,
        () if alignment is None or aligned.leave else (*value_files(alignment), ARCHIVE),
    )
