"""Everything that the workbench asks about measuring: what to play, what was recorded, what it says, what to type."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from seatfield.model import Project, Sounding, SweepSet, SweepSettings, TakeState
from seatfield.pipeline.beside import Task
from seatfield.pipeline.refusing import refusals_told
from seatfield.pipeline.session import Revision, Session
from seatfield.pipeline.staging import MicrophoneFile, Staging, Waiting

if TYPE_CHECKING:
    from seatfield.capture import Heard
    from seatfield.pipeline.taking import AlignmentTold, JudgedTold, Practice, TakesTold
    from seatfield.stages.alignment import Wishes
    from seatfield.stages.takes import Reach

Do = Callable[[Task], Any]


@dataclass(frozen=True, slots=True)
class Sweep:
    """One sweep as the page lists it: its number, whose it is, and how it gets there.

    Parameters
    ----------
    number
        0 where nothing reaches it.
    feed, column, columns
        Column of the file that carries it, by its label and its number from 1, and how many there are.
    moved_to
        Terminal to which its run is moved for this sweep, power off; empty where it stays.
    """

    number: int
    run: str
    name: str
    words: str
    feed: str
    column: int
    columns: int
    moved_to: str


@dataclass(frozen=True, slots=True)
class Sweeps:
    """What is played, in order.

    Parameters
    ----------
    before
        What to do before the first, the loudness caution first.
    chirps
        Who plays the chirps by which recordings are put on one clock, in words.
    seconds
        Length of one file [s].
    settings
        The sweep itself; None where nothing can be played.
    chirps_from
        Channel that plays the chirps.
    choices
        Channels that could.
    """

    before: tuple[str, ...]
    sweeps: tuple[Sweep, ...]
    chirps: str = ""
    seconds: float = 0.0
    rate_hz: int = 0
    settings: SweepSettings | None = None
    chirps_from: str = ""
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SweepsWanted:
    """What a person wishes of the sweeps.

    Parameters
    ----------
    length_s
        Of one sweep [s].
    level_db
        Its peak [dBFS].
    chirps
        Channel that plays the chirps, or ``loopback``; empty for the usual one.
    """

    length_s: float = 10.0
    level_db: float = -12.0
    rate_hz: int = 48000
    chirps: str = ""


@dataclass(frozen=True, slots=True)
class TakeWanted:
    """A take as the page sends it.

    Parameters
    ----------
    recordings
        Those that wait, in order.
    place
        A seat's name, or three lengths.
    runs
        Whose sweeps they hold, in order.
    microphone_column, loopback_column
        Columns of the recording, from 1.
    compensation
        The microphone's file that waits; empty without one.
    """

    recordings: tuple[str, ...]
    place: str
    as_used: bool = False
    runs: tuple[str, ...] = ()
    microphone_column: int | None = None
    loopback_column: int | None = None
    compensation: str = ""
    full_scale_db: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Device:
    """A sound device of this machine."""

    name: str
    outputs: int
    inputs: int


@dataclass(frozen=True, slots=True)
class Sound:
    """The sound devices of this machine, or why there are none."""

    devices: tuple[Device, ...]
    trouble: str = ""


class Gauge:
    """Measuring in one project at work.

    Parameters
    ----------
    session
        The project.
    shown
        Gives the revision that is shown.
    do
        Does a task beside the hand.
    """

    def __init__(self, session: Session, shown: Callable[[], Revision], do: Do) -> None:
        self._session, self._shown, self._do = session, shown, do
        self._staging = Staging()
        self._meter: Any = None
        self._kept: dict[Any, Any] = {}

    @property
    def _folder(self) -> Path:
        return self._session.folder

    @property
    def _project(self) -> Project:
        return self._shown().project

    def close(self) -> None:
        """Let go of devices and of what waits."""
        self._staging.close()
        if self._meter is not None:
            self._meter.close()

    @refusals_told()
    def sweeps(self) -> Sweeps:
        """Say what to play, in which order, and how it gets to each loudspeaker."""
        from seatfield.pipeline.measuring import last_sweeps, sweeps_for
        from seatfield.stages.takes import block_s
        from seatfield.stages.takes.sheet import chirps_words

        planned = sweeps_for(self._project)
        if planned.sweeps is None:
            return Sweeps(planned.before, tuple(_listed(one, None, 0) for one in planned.reach))
        made = last_sweeps(self._folder, self._project)
        of = {one.run: one for one in made.soundings}
        listed = tuple(_listed(one, of.get(one.run), len(made.columns)) for one in planned.reach)
        columns = {label: number for number, label in enumerate(made.columns, 1)}
        told = tuple(replace(one, column=columns.get(one.feed, 0)) for one in listed)
        return Sweeps(
            planned.before,
            told,
            chirps_words(made),
            block_s(made.settings),
            made.settings.rate_hz,
            made.settings,
            made.reference,
            _could_chirp(made),
        )

    @refusals_told()
    def choose_sweeps(self, wanted: SweepsWanted, *, at: str) -> Sweeps:
        """Play other sweeps from now on; recordings of the earlier ones are still read.

        Raises
        ------
        seatfield.pipeline.beside.WorkRefusedError
            If nothing can be played, or the chirps are asked of a channel that cannot play them.
        """
        from seatfield.pipeline.measuring import NotMeasurableError, note_sweeps, settings_for, sweeps_for
        from seatfield.stages.takes import SweepParams

        self._session.refuse_if_read_only()
        settings = settings_for(wanted.length_s, wanted.level_db, wanted.rate_hz)
        planned = sweeps_for(self._project, SweepParams(settings, wanted.chirps))
        if planned.sweeps is None:
            raise NotMeasurableError(
                "No sweep can reach any loudspeaker. Say which amplifier drives them first."
            )
        note_sweeps(self._folder, planned.sweeps, at=at)
        return self.sweeps()

    @refusals_told()
    def sweep_sheet(self) -> str:
        """Say on one sheet what to play and record, and how it gets to each loudspeaker."""
        from seatfield.pipeline.measuring import last_sweeps, sweeps_for
        from seatfield.stages.takes.sheet import sheet

        planned = sweeps_for(self._project)
        made = last_sweeps(self._folder, self._project) if planned.sweeps else None
        return sheet(replace(planned, sweeps=made))

    @refusals_told()
    def all_sweeps_wave(self) -> tuple[int, Iterator[bytes]]:
        """Return length and parts of one WAV file that holds the bursts and every sweep in their order."""
        from seatfield.pipeline.measuring import last_sweeps
        from seatfield.pipeline.waves import wave_header, whole_24
        from seatfield.stages.takes import approach, block_frames, blocks

        sweeps = last_sweeps(self._folder, self._project)
        frames = len(approach(sweeps)) + len(sweeps.soundings) * block_frames(sweeps.settings)
        columns = len(sweeps.columns)
        head = wave_header(frames, columns, sweeps.settings.rate_hz, sweeps.mask)
        size = frames * columns * 3

        def parts() -> Iterator[bytes]:
            yield head
            for samples in blocks(sweeps):
                yield whole_24(samples)
            yield b"\0" * (size % 2)

        return len(head) + size + size % 2, parts()

    @refusals_told()
    def sweep_wave(self, number: int) -> bytes:
        """Return the WAV file of one sweep, or of the bursts by which the volume is set where the number is 0.

        Raises
        ------
        seatfield.pipeline.beside.WorkRefusedError
            If there is no such sweep.
        """
        from seatfield.pipeline.measuring import NotMeasurableError, last_sweeps
        from seatfield.pipeline.waves import wave_header, whole_24
        from seatfield.stages.takes import approach, block

        sweeps = last_sweeps(self._folder, self._project)
        sounding = next((one for one in sweeps.soundings if one.number == number), None)
        if number and sounding is None:
            raise NotMeasurableError(f"There is no sweep {number}; there are {len(sweeps.soundings)}.")
        samples = block(sweeps, sounding) if sounding else approach(sweeps)
        head = wave_header(len(samples), samples.shape[1], sweeps.settings.rate_hz, sweeps.mask)
        content = head + whole_24(samples)
        return content + b"\0" * (len(content) % 2)

    def put(self, name: str, content: bytes) -> Waiting:
        """Keep a recording until it is read; see `Staging.put`."""
        self._session.refuse_if_read_only()
        return self._staging.put(name, content)

    def put_microphone(self, name: str, content: bytes) -> MicrophoneFile:
        """Keep a microphone's file until takes are read with it; see `Staging.put_microphone`."""
        self._session.refuse_if_read_only()
        return self._staging.put_microphone(name, content)

    @refusals_told()
    def keep(self, wanted: TakeWanted, *, at: str) -> "TakesTold":
        """Read a take, keep it if any of its sweeps can be used, and say what it says by itself.

        Raises
        ------
        seatfield.pipeline.staging.NotWaitingError
            If a recording is unknown.
        seatfield.pipeline.beside.WorkRefusedError
            If the place is unknown, or the recordings do not match the sweeps.
        """
        from seatfield.pipeline.measuring import TakeAsked
        from seatfield.pipeline.spots import named_spot
        from seatfield.pipeline.taking import KeepTask

        self._session.refuse_if_read_only()
        project = self._project
        seat, position = named_spot(project, wanted.place)
        asked = TakeAsked(
            tuple(self._staging.get(one) for one in wanted.recordings),
            position,
            seat,
            TakeState.AS_USED if wanted.as_used else TakeState.BARE,
            wanted.runs,
            None if wanted.microphone_column is None else wanted.microphone_column - 1,
            None if wanted.loopback_column is None else wanted.loopback_column - 1,
            self._staging.get(wanted.compensation)[1] if wanted.compensation else b"",
            full_scale_db=wanted.full_scale_db,
            note=wanted.note,
        )
        return self._do(KeepTask(self._folder, project, asked, at))  # type: ignore[no-any-return]

    def takes(self) -> "TakesTold":
        """Say what the kept takes say."""
        from seatfield.pipeline.taking import ReadTask

        return self._once(ReadTask(self._folder, self._project))  # type: ignore[no-any-return]

    def alignment(self, wishes: "Wishes", *, typed_at: str = "", with_room: bool = False) -> "AlignmentTold":
        """Say what to type; note it as typed where `typed_at` says when."""
        from seatfield.pipeline.taking import AlignTask

        if typed_at:
            self._session.refuse_if_read_only()
        return self._once(AlignTask(self._folder, self._project, wishes, typed_at, with_room))  # type: ignore[no-any-return]

    @refusals_told()
    def judged(self, values: str, wishes: "Wishes") -> "JudgedTold":
        """Judge another calibration's values, given as a table; see `seatfield.pipeline.values.values_of`.

        Raises
        ------
        seatfield.pipeline.beside.WorkRefusedError
            If the table does not name its columns.
        """
        from seatfield.pipeline.taking import JudgedTold, JudgeTask
        from seatfield.pipeline.values import values_of

        typed, refused = values_of(values, self._project)
        task = JudgeTask(self._project, self.alignment(wishes).alignment, typed)
        return JudgedTold(self._do(task), refused)

    @refusals_told()
    def value_file(self, name: str, wishes: "Wishes") -> bytes:
        """Make one of the files that `AlignmentTold.files` names.

        Raises
        ------
        seatfield.pipeline.beside.WorkRefusedError
            If there is nothing to type, or no file of that name.
        """
        from seatfield.pipeline.taking import FileTask
        from seatfield.pipeline.values import NoSuchValuesError

        told = self.alignment(wishes)
        if told.alignment is None or name not in told.files:
            raise NoSuchValuesError(name, told.files)
        return self._do(FileTask(told.alignment, name))  # type: ignore[no-any-return]

    def practise(self, *, seed: int, faults: int, positions: int) -> "Practice":
        """Rehearse a measurement; nothing of it is kept."""
        from seatfield.pipeline.taking import PracticeTask

        return self._do(PracticeTask(self._project, seed, faults, positions))  # type: ignore[no-any-return]

    def sound(self) -> Sound:
        """Return the sound devices of this machine."""
        from seatfield.capture import NoSoundLibraryError, devices

        try:
            return Sound(tuple(Device(one.name, one.outputs, one.inputs) for one in devices()))
        except NoSoundLibraryError as none:
            return Sound((), str(none))

    @refusals_told()
    def level(self, source: str) -> "Heard":
        """Return how loud a device has heard since the last look."""
        from seatfield.capture import Meter

        if self._meter is None:
            self._meter = Meter()
        return self._meter.look(self._named(source))  # type: ignore[no-any-return]

    @refusals_told()
    def record(self, output: str, source: str, channels: int, run: str) -> Waiting | None:
        """Play the sweep of a run through a device and keep its recording; without a run, the bursts, kept nowhere."""
        from seatfield.pipeline.playing import LiveAsked
        from seatfield.pipeline.taking import SoundTask

        self._session.refuse_if_read_only()
        if self._meter is not None:
            self._meter.close()
        asked = LiveAsked(self._named(output), self._named(source), channels, (run,) if run else ())
        files = self._do(SoundTask(self._folder, self._project, asked))
        return self._staging.put(*files[0]) if files else None

    def _named(self, device: str) -> str:
        """Return the name of a device, if there is one of that very name: nothing plays by a guess."""
        from seatfield.capture import NoSuchDeviceError, devices

        known = devices()
        if all(one.name != device for one in known):
            raise NoSuchDeviceError(device, "any channel", known)
        return device

    def _once(self, task: Any) -> Any:
        """Do a task unless its answer is there: same folder's log, same project, same question."""
        key = (task, self._stamp())
        if key not in self._kept:
            self._kept = {key: self._do(task)} | dict(list(self._kept.items())[:3])
        return self._kept[key]

    def _stamp(self) -> tuple[tuple[str, int], ...]:
        log = self._folder / "log"
        return tuple((file.name, file.stat().st_size) for file in sorted(log.glob("*.jsonl")))


def _could_chirp(sweeps: SweepSet) -> tuple[str, ...]:
    """Return the mains that have a column of their own, and the column that is wired back."""
    mains = (one.channel for one in sweeps.soundings if one.feed == one.channel and not one.moved_to)
    return (*(channel for channel in mains if not channel.startswith("LFE")), "loopback")


def _listed(one: "Reach", sounding: Sounding | None, columns: int) -> Sweep:
    number = sounding.number if sounding else 0
    feed, moved_to = (sounding.feed, sounding.moved_to) if sounding else ("", "")
    return Sweep(number, one.run, one.plain_name, one.ways[0].words, feed, 0, columns, moved_to)
