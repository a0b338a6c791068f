"""Everything that the workbench asks about measuring: what to play, what was recorded, what it says, what to type."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from seatfield.model import Project, Sounding, TakeState
from seatfield.pipeline.beside import Task
from seatfield.pipeline.refusing import refusals_told
from seatfield.pipeline.session import Revision, Session
from seatfield.pipeline.staging import Staging, Waiting

if TYPE_CHECKING:
    from seatfield.capture import Heard
    from seatfield.pipeline.taking import AlignmentTold, Practice, TakesTold
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
    seconds
        Length of one file [s].
    """

    before: tuple[str, ...]
    sweeps: tuple[Sweep, ...]
    seconds: float
    rate_hz: int


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
    """

    recordings: tuple[str, ...]
    place: str
    as_used: bool = False
    runs: tuple[str, ...] = ()
    microphone_column: int | None = None
    loopback_column: int | None = None
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

        planned = sweeps_for(self._project)
        if planned.sweeps is None:
            return Sweeps(planned.before, tuple(_listed(one, None, 0) for one in planned.reach), 0.0, 0)
        made = last_sweeps(self._folder, self._project)
        of = {one.run: one for one in made.soundings}
        listed = tuple(_listed(one, of.get(one.run), len(made.columns)) for one in planned.reach)
        columns = {label: number for number, label in enumerate(made.columns, 1)}
        told = tuple(replace(one, column=columns.get(one.feed, 0)) for one in listed)
        return Sweeps(planned.before, told, block_s(made.settings), made.settings.rate_hz)

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
            full_scale_db=wanted.full_scale_db,
            note=wanted.note,
        )
        return self._do(KeepTask(self._folder, project, asked, at))  # type: ignore[no-any-return]

    def takes(self) -> "TakesTold":
        """Say what the kept takes say."""
        from seatfield.pipeline.taking import ReadTask

        return self._once(ReadTask(self._folder, self._project))  # type: ignore[no-any-return]

    def alignment(self, *, all_seats: bool, typed_at: str = "") -> "AlignmentTold":
        """Say what to type; note it as typed where `typed_at` says when."""
        from seatfield.pipeline.taking import AlignTask
        from seatfield.stages.alignment import Wishes

        if typed_at:
            self._session.refuse_if_read_only()
        return self._once(AlignTask(self._folder, self._project, Wishes(all_seats=all_seats), typed_at))  # type: ignore[no-any-return]

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


def _listed(one: "Reach", sounding: Sounding | None, columns: int) -> Sweep:
    number = sounding.number if sounding else 0
    feed, moved_to = (sounding.feed, sounding.moved_to) if sounding else ("", "")
    return Sweep(number, one.run, one.plain_name, one.ways[0].words, feed, 0, columns, moved_to)
