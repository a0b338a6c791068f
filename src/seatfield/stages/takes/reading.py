"""Read the takes of one position: every sweep, on one clock."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from seatfield.dsp.arrays import Vector
from seatfield.dsp.chirps import lag_s
from seatfield.dsp.heard import Wanted
from seatfield.dsp.inspection import choose_channel
from seatfield.dsp.reading import Reader, Reading, averaged
from seatfield.dsp.trouble import Trouble
from seatfield.model import Finding, Severity, Sounding, SweepSettings, Take
from seatfield.readers.microphone import Compensation
from seatfield.readers.recording import Recording
from seatfield.stages.takes.knowing import Known
from seatfield.stages.takes.moving import left, moved_m
from seatfield.stages.takes.playing import stimulus_of
from seatfield.stages.takes.result import Aside, ChannelTaken, Heard, Spot, TakeRead
from seatfield.stages.takes.splitting import split
from seatfield.stages.takes.telling import Pairs, Placing, is_low, reference_flight_s, taken

UNARRIVED = ("noisy", "no-arrival")
"""Kinds of trouble that tell why no arrival is given; they go when more sweeps give one."""


@dataclass(frozen=True, slots=True)
class Session:
    """One take with its recordings, one for each of its files, and the microphone's compensation."""

    take: Take
    recordings: tuple[Recording, ...]
    compensation: Compensation | None = None


@dataclass(frozen=True, slots=True)
class Sweep:
    """One sweep's recording: its samples, its loopback's, and what was wrong with the file."""

    sounding: Sounding
    samples: Vector
    rate_hz: float
    loopback: Vector | None
    troubles: tuple[Trouble, ...]


@dataclass(frozen=True, slots=True)
class Read:
    """One sweep's reading, before it is put on the position's clock; by how much its run has moved since [m]."""

    session: Session
    sounding: Sounding
    reading: Reading
    moved_m: float = 0.0


def read_spot(
    sessions: Sequence[Session], known: Known, wanted: Wanted | None = None
) -> tuple[tuple[TakeRead, ...], Spot]:
    """Read all takes of one position and state.

    Parameters
    ----------
    sessions
        Takes at one position, the earliest first.
    known
        From the plan.
    wanted
        What the engine should read; everything where left out.

    Returns
    -------
    takes : tuple of TakeRead
        One for each session.
    spot : Spot
        The responses on one clock; where a run was taken twice the later take counts, or the mean of all its sweeps
        where noise hides the arrival in that. A run that the plan has moved since is told and set aside.
    """
    readers: dict[SweepSettings, Reader] = {}
    moved = {session.take.id: moved_m(session.take, known) for session in sessions}
    reads = [
        Read(
            session,
            sweep.sounding,
            _read(sweep, session.take, readers, known, wanted),
            moved[session.take.id].get(sweep.sounding.run, 0.0),
        )
        for session in sessions
        for sweep in sweeps_of(session)
    ]
    reads = _averaged(reads, known, wanted)
    base = _base(reads)
    placed = [(read, *_placed(read, base, known)) for read in reads]
    takes = tuple(
        _take(session.take, [told for read, told, _ in placed if read.session is session])
        for session in sessions
    )
    last = sessions[-1].take
    lost = last.sweeps.reference_run in moved[last.id]
    spot = _spot(last, placed, anchored=_anchored(base) and not lost)
    gone = left(last, known)
    return takes, spot if gone is None else replace(spot, seat="", left=gone)


def _take(take: Take, channels: list[ChannelTaken]) -> TakeRead:
    return TakeRead(take.id, take.at, take.position, take.seat, take.state, tuple(channels))


def _spot(last: Take, placed: list[tuple[Read, ChannelTaken, Heard | None]], *, anchored: bool) -> Spot:
    heard: dict[str, Heard] = {}
    dead: dict[str, None] = {}
    aside: dict[str, Aside] = {}
    for read, told, one in placed:
        run = read.sounding.run
        if read.moved_m:
            earlier = aside[run].takes if run in aside else ()
            aside[run] = Aside(run, read.moved_m, (*earlier, read.session.take.id))
        elif one is not None:
            heard[run] = one
            dead.pop(run, None)
        elif any(trouble.kind == "no-sweep" for trouble in told.troubles):
            heard.pop(run, None)
            dead[run] = None
    return Spot(
        last.position,
        last.seat,
        last.state,
        last.sweeps.reference_run,
        tuple(heard.values()),
        tuple(dead),
        anchored,
        tuple(one for run, one in aside.items() if run not in heard and run not in dead),
    )


def sweeps_of(session: Session) -> list[Sweep]:
    """Return the recording of each sweep of a take.

    Parameters
    ----------
    session
        The take and its recordings.

    Returns
    -------
    list of Sweep
        Those of a file that cannot be used hold no samples and a trouble that stops.
    """
    by_run = {sounding.run: sounding for sounding in session.take.sweeps.soundings}
    found: list[Sweep] = []
    for file, recording in zip(session.take.files, session.recordings, strict=True):
        found += _of_file([by_run[run] for run in file.runs], recording, session.take)
    return found


def _of_file(soundings: list[Sounding], recording: Recording, take: Take) -> list[Sweep]:
    microphone, loopback, troubles = _columns(recording, take)
    nothing = np.zeros(0)
    if any(trouble.stops for trouble in troubles):
        return [Sweep(one, nothing, 1.0, None, troubles) for one in soundings]
    rate_hz = float(recording.rate_hz)
    if len(soundings) == 1:
        return [Sweep(soundings[0], microphone, rate_hz, loopback, troubles)]
    parts = split(microphone if loopback is None else loopback, rate_hz, take.sweeps, len(soundings))
    if parts.trouble is not None:
        return [Sweep(one, nothing, 1.0, None, (*troubles, parts.trouble)) for one in soundings]
    return [
        Sweep(
            one,
            microphone[start : start + parts.length],
            rate_hz,
            None if loopback is None else loopback[start : start + parts.length],
            troubles,
        )
        for one, start in zip(soundings, parts.starts, strict=True)
    ]


def _columns(recording: Recording, take: Take) -> tuple[Vector, Vector | None, tuple[Trouble, ...]]:
    """Return the microphone's samples, the loopback's, and what is wrong with the file."""
    if not recording.samples.size:
        return np.zeros(0), None, (_unreadable(recording),)
    damaged = tuple(_damaged(sentence) for sentence in recording.warnings)
    wanted = [take.microphone_column, take.loopback_column]
    count = recording.samples.shape[1]
    if any(column is not None and not 0 <= column < count for column in wanted):
        return np.zeros(0), None, (*damaged, _no_column(count, wanted))
    loopback = None if take.loopback_column is None else recording.samples[:, take.loopback_column]
    if take.microphone_column is not None:
        return recording.samples[:, take.microphone_column], loopback, damaged
    rest = [column for column in range(count) if column != take.loopback_column]
    if not rest:
        return np.zeros(0), None, (*damaged, _no_column(count, wanted))
    chosen, trouble = choose_channel(recording.samples[:, rest])
    told = damaged if trouble is None else (*damaged, trouble)
    return recording.samples[:, rest[chosen]], loopback, told


def _unreadable(recording: Recording) -> Trouble:
    reason = recording.warnings[0] if recording.warnings else "It holds no sound."
    return Trouble("unreadable", f"{reason} Record it again.", True, 0.0, 1.0, "channels")


def _damaged(sentence: str) -> Trouble:
    return Trouble("damaged", f"{sentence} Record it again.", True, 0.0, 0.0, "")


def _no_column(count: int, wanted: list[int | None]) -> Trouble:
    asked = " and ".join(str(column + 1) for column in wanted if column is not None)
    has = "one channel" if count == 1 else f"{count} channels"
    mend = (
        "Name none: it is the microphone." if count == 1 else f"Name channels from 1 to {count}, each once."
    )
    return Trouble(
        "no-column",
        f"The recording has {has}, and channel {asked} was named for microphone or loopback. {mend}",
        stops=True,
        measured=float(count),
        limit=float(max((column + 1 for column in wanted if column is not None), default=1)),
        unit="channels",
    )


def _read(
    sweep: Sweep, take: Take, readers: dict[SweepSettings, Reader], known: Known, wanted: Wanted | None
) -> Reading:
    if any(trouble.stops for trouble in sweep.troubles):
        return Reading(sweep.troubles)
    settings = take.sweeps.settings
    reader = readers.setdefault(settings, Reader(stimulus_of(settings), wanted))
    own = sweep.sounding.run == take.sweeps.reference_run
    crossover_hz = known.crossover_hz if is_low(sweep.sounding.channel) else None
    reading = reader.read(
        sweep.samples, sweep.rate_hz, loopback=sweep.loopback, own_chirp=own, crossover_hz=crossover_hz
    )
    return replace(reading, troubles=(*sweep.troubles, *reading.troubles))


def _averaged(reads: list[Read], known: Known, wanted: Wanted | None) -> list[Read]:
    """Return the readings, the last of a run whose arrival was refused made the mean of all of that run's sweeps."""
    done = list(reads)
    for run in dict.fromkeys(read.sounding.run for read in reads):
        places = [place for place, read in enumerate(reads) if read.sounding.run == run]
        usable = [place for place in places if reads[place].reading.heard and not reads[place].moved_m]
        last = usable[-1] if usable else -1
        if len(usable) > 1 and _refused(reads[last].reading):
            done[last] = replace(
                reads[last], reading=_mean([reads[place] for place in usable], known, wanted)
            )
    return done


def _refused(reading: Reading) -> bool:
    return reading.heard is not None and reading.heard.refused is not None


def _mean(reads: list[Read], known: Known, wanted: Wanted | None) -> Reading:
    """Return the last reading with the mean response of all, as if it had been played that often."""
    crossover_hz = known.crossover_hz if is_low(reads[-1].sounding.channel) else None
    together = averaged(tuple(read.reading for read in reads), wanted, crossover_hz)
    last = reads[-1].reading
    refused = together.refused is not None
    kept = tuple(trouble for trouble in last.troubles if refused or trouble.kind not in UNARRIVED)
    return replace(last, heard=together, troubles=kept)


def _base(reads: list[Read]) -> Read | None:
    """Return the sweep whose clock the position shares: the reference's own where it was heard, else any."""
    heard = [read for read in reads if read.reading.heard is not None and read.reading.clock is not None]
    own = [
        read
        for read in heard
        if read.sounding.run == read.session.take.sweeps.reference_run
        and read.reading.heard is not None
        and read.reading.heard.arrival.time_s is not None
    ]
    return next(reversed(own or heard), None)


def _anchored(base: Read | None) -> bool:
    """Whether the clock's zero is known: the loopback tells it, or the reference's own arrival."""
    if base is None:
        return False
    reference = base.session.take.sweeps.reference_run
    heard = base.reading.heard
    own = base.sounding.run == reference and heard is not None and heard.arrival.time_s is not None
    return not reference or own


def _placed(read: Read, base: Read | None, known: Known) -> tuple[ChannelTaken, Heard | None]:
    pairs: Pairs = ()
    compensation = read.session.compensation
    if compensation is not None:
        pairs = tuple(zip(compensation.freq_hz.tolist(), compensation.level_db.tolist(), strict=True))
    shift_s = _shift_s(read, base, known)
    return taken(
        read.session.take,
        read.sounding.run,
        read.sounding.channel,
        read.reading,
        known,
        clock=Placing(shift_s, anchored=_anchored(base)),
        compensation=pairs,
    )


def _shift_s(read: Read, base: Read | None, known: Known) -> float:
    """Return what to add to a reading's times so that they are times of flight, or nearly so [s].

    With a loopback they are already. With a chirp they count from the chirp's largest part; the lag between this
    recording's chirp and the base's puts both on one clock, whose zero is then set so that the reference arrives after
    its planned flight.
    """
    reading, take = read.reading, read.session.take
    if not take.sweeps.reference_run or base is None or reading.clock is None:
        return 0.0
    assert base.reading.clock is not None
    assert base.reading.heard is not None
    lag = lag_s(base.reading.clock.chirps.first, reading.clock.chirps.first)
    to_base_s = reading.origin_s - base.reading.origin_s - lag
    first_s = base.reading.heard.arrival.time_s
    zero_s = first_s if _anchored(base) and first_s is not None else 0.0
    return to_base_s - zero_s + reference_flight_s(take, known)


def findings_of(takes: Sequence[TakeRead]) -> tuple[Finding, ...]:
    """Say in words which sweeps cannot be used, and what to do."""
    return tuple(
        Finding(
            f"takes.{trouble.kind}",
            Severity.FIX if trouble.stops else Severity.NOTE,
            f"{channel.run} at {take.seat or take.id}",
            trouble.message,
            measured=trouble.measured,
            limit=trouble.limit,
            unit=trouble.unit,
            source="common practice, no source",
            advice="This sweep is not used." if trouble.stops else "What could not be read is left out.",
            at=take.position,
        )
        for take in takes
        for channel in take.channels
        for trouble in channel.troubles
    )
