"""Play samples and record what comes back, through one device or two."""

import numpy as np
from numpy.typing import NDArray

from seatfield.capture.device import DeviceFailedError, SamplesLostError, SoundDevice, library

Samples = NDArray[np.float64]

LATENCY_S = 0.5
"""Buffers this long survive a busy computer; the chirps make the delay itself harmless [s]."""


def played_and_recorded(
    samples: Samples, rate_hz: int, output: SoundDevice, source: SoundDevice, channels: int
) -> Samples:
    """Play samples and return what was recorded meanwhile.

    Parameters
    ----------
    samples
        What to play, shape (n, outputs), full scale 1; half a second of silence at its beginning is wanted, for devices
        lose the first blocks.
    rate_hz
        Sample rate of both [Hz].
    output, source
        Devices; their clocks may differ, which the chirps tell.
    channels
        Number of channels to record.

    Returns
    -------
    ndarray, shape (n, channels)
        What was recorded, from the moment of playing on, until what went out last has surely come back.

    Raises
    ------
    DeviceFailedError
        If a device refuses.
    SamplesLostError
        If samples were lost, so that nothing may be read from the recording.
    NoSoundLibraryError
        If there is no library for devices.
    """
    sound = library()
    late = np.zeros((round(3.0 * LATENCY_S * rate_hz), samples.shape[1]))
    try:
        recorded = sound.playrec(
            np.concatenate([samples, late]).astype(np.float32),
            samplerate=rate_hz,
            channels=channels,
            device=(source.number, output.number),
            dtype="float32",
            latency=LATENCY_S,
            blocking=True,
        )
    except sound.PortAudioError as reason:
        raise DeviceFailedError(output.name, str(reason)) from None
    lost = sound.get_status()
    if lost.input_overflow or lost.output_underflow:
        raise SamplesLostError(output.name)
    return np.asarray(recorded, dtype=np.float64)
