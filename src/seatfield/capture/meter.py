"""How loud a sound device hears, moment by moment."""

from dataclasses import dataclass
from threading import RLock, Timer
from typing import Any

import numpy as np

from seatfield.capture.device import DeviceFailedError, chosen_device, library

PATIENCE_S = 3.0
"""A meter that nobody reads any more lets go of its device [s]."""


@dataclass(frozen=True, slots=True)
class Heard:
    """Largest sample and effective level since the last look; None where nothing was heard [dBFS]."""

    peak_db: float | None
    level_db: float | None


class Meter:
    """Listens to one device at a time, for as long as somebody looks."""

    def __init__(self) -> None:
        self._lock = RLock()
        self._stream: Any = None
        self._source = ""
        self._peak = self._power = 0.0
        self._frames = 0
        self._timer: Timer | None = None

    def look(self, source: str) -> Heard:
        """Return what was heard since the last look, and go on listening.

        Parameters
        ----------
        source
            Name of the device.

        Raises
        ------
        seatfield.capture.NoSuchDeviceError, seatfield.capture.NoSoundLibraryError
            If there is none.
        seatfield.capture.DeviceFailedError
            If it does not record.
        """
        with self._lock:
            if source != self._source or self._stream is None:
                self.close()
                self._open(source)
            self._wind()
            peak, power, frames = self._peak, self._power, self._frames
            self._peak, self._power, self._frames = 0.0, 0.0, 0
        return Heard(_db(peak), _db((power / frames) ** 0.5 if frames else 0.0))

    def close(self) -> None:
        """Let go of the device."""
        with self._lock:
            if self._timer is not None:
                self._timer.cancel()
            stream, self._stream, self._source = self._stream, None, ""
        if stream is not None:
            stream.close()

    def _open(self, source: str) -> None:
        sound, device = library(), chosen_device(source, inputs=1)
        try:
            self._stream = sound.InputStream(
                device=device.number, channels=1, dtype="float32", callback=self._hear
            )
            self._stream.start()
        except sound.PortAudioError as reason:
            self._stream = None
            raise DeviceFailedError(device.name, str(reason)) from None
        self._source = source

    def _wind(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
        self._timer = Timer(PATIENCE_S, self.close)
        self._timer.daemon = True
        self._timer.start()

    def _hear(self, samples: Any, frames: int, _time: Any, _status: Any) -> None:
        self._peak = max(self._peak, float(np.abs(samples).max(initial=0.0)))
        self._power += float(np.square(samples, dtype=float).sum())
        self._frames += frames


def _db(value: float) -> float | None:
    return 20.0 * float(np.log10(value)) if value > 0.0 else None
