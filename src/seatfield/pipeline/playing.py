"""Take live: play every sweep through a sound device, record it, and hand the recordings on as files."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from seatfield.capture import SamplesLostError, SoundDevice, chosen_device, played_and_recorded
from seatfield.model import Project, Sounding, SweepSet
from seatfield.pipeline.measuring import NotMeasurableError, last_sweeps
from seatfield.pipeline.waves import wave_header, whole_24
from seatfield.stages.takes import approach, block

Samples = NDArray[np.float64]
Asked = Callable[[str], None]
ATTEMPTS = 3


@dataclass(frozen=True, slots=True)
class LiveAsked:
    """Through which devices to play and record.

    Parameters
    ----------
    output, source
        Names of the devices, or parts of them; `source` is the output's where left out.
    channels
        How many channels to record.
    runs
        Whose sweeps to play; all where left out.
    """

    output: str
    source: str = ""
    channels: int = 1
    runs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Live:
    """Devices that were found, and what is to be played through them."""

    output: SoundDevice
    source: SoundDevice
    sweeps: SweepSet
    soundings: tuple[Sounding, ...]
    channels: int


def prepare_live(folder: Path, project: Project, asked: LiveAsked) -> Live:
    """Find the devices and the sweeps.

    Raises
    ------
    NotMeasurableError
        If nothing can be played, or a run has no sweep.
    seatfield.capture.NoSuchDeviceError, seatfield.capture.NoSoundLibraryError
        If there is no such device, or no library for devices.
    """
    sweeps = last_sweeps(folder, project)
    known = {one.run: one for one in sweeps.soundings}
    unknown = [run for run in asked.runs if run not in known]
    if unknown:
        raise NotMeasurableError(
            f"{', '.join(unknown)} is no run of the sweeps; there are {', '.join(known)}."
        )
    output = chosen_device(asked.output, outputs=len(sweeps.columns))
    source = chosen_device(asked.source or asked.output, inputs=asked.channels)
    soundings = tuple(known[run] for run in asked.runs) or sweeps.soundings
    return Live(output, source, sweeps, soundings, asked.channels)


def play_approach(live: Live) -> None:
    """Play the bursts by which the volume is set."""
    played_and_recorded(
        approach(live.sweeps), live.sweeps.settings.rate_hz, live.output, live.source, live.channels
    )


def play_sweeps(live: Live, ask: Asked) -> tuple[tuple[str, bytes], ...]:
    """Play every sweep and return its recording as a WAV file.

    Parameters
    ----------
    live
        What to play through what.
    ask
        Called with a sentence before each sweep whose run has to be moved first; it returns when that is done.

    Returns
    -------
    tuple of (str, bytes)
        Name and content of one file for each sweep, in order.

    Raises
    ------
    seatfield.capture.DeviceFailedError
        If a device fails.
    """
    files = []
    for sounding in live.soundings:
        if sounding.moved_to:
            ask(
                f"Power off. Move the run of {sounding.run} to {sounding.moved_to!r}, its own run kept from touching "
                "anything. Power on."
            )
        rate_hz = live.sweeps.settings.rate_hz
        recorded = _recorded(live, sounding)
        files.append((f"{sounding.number:02d} {sounding.run} live.wav", _wave(recorded, rate_hz)))
    return tuple(files)


def _recorded(live: Live, sounding: Sounding) -> Samples:
    """Return the recording of one sweep, played again where samples were lost."""
    samples, rate_hz = block(live.sweeps, sounding), live.sweeps.settings.rate_hz
    for _ in range(ATTEMPTS - 1):
        try:
            return played_and_recorded(samples, rate_hz, live.output, live.source, live.channels)
        except SamplesLostError:
            continue
    return played_and_recorded(samples, rate_hz, live.output, live.source, live.channels)


def _wave(samples: Samples, rate_hz: int) -> bytes:
    content = wave_header(len(samples), samples.shape[1], rate_hz, 0) + whole_24(samples)
    return content + b"\0" * (len(content) % 2)
