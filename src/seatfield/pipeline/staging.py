"""Recordings that the page has sent and that wait to be read, in a folder of their own that ends with the session."""

from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import RLock

MOST = 96
"""As many wait at once; the earliest is forgotten first."""


class NotWaitingError(LookupError):
    """Something was named that does not wait here."""

    def __init__(self, name: str) -> None:
        super().__init__(f"Nothing waits here as {name[:80]!r}; send the file once more.")


class NoRecordingError(ValueError):
    """Something was sent that is no recording; the message says why."""


class NoMicrophoneFileError(ValueError):
    """Something was sent that is no microphone's file; the message says why."""

    def __init__(self, name: str, why: str) -> None:
        super().__init__(
            f"{name[:80]}: {why} Send the text that came with the microphone, with a frequency in Hz and a level in "
            "dB in each line."
        )


@dataclass(frozen=True, slots=True)
class Waiting:
    """A recording that waits.

    Parameters
    ----------
    id
        Name under which it is asked for.
    seconds
        Its length [s].
    peak_db
        Its largest sample [dBFS]; None where it is silent.
    troubles
        What is wrong with the file, in sentences.
    """

    id: str
    name: str
    seconds: float
    channels: int
    rate_hz: int
    peak_db: float | None
    troubles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MicrophoneFile:
    """A microphone's own file that waits: by how much its reading is off at each frequency.

    Parameters
    ----------
    id
        Name under which it is asked for.
    points, low_hz, high_hz
        How many frequencies it holds, the lowest and the highest [Hz].
    largest_db
        Its largest deviation, with its sign [dB].
    troubles
        What could not be read of it, in sentences.
    """

    id: str
    name: str
    points: int
    low_hz: float
    high_hz: float
    largest_db: float
    troubles: tuple[str, ...]


class Staging:
    """What waits to be read: recordings, and microphones' files."""

    def __init__(self) -> None:
        self._lock = RLock()
        self._folder: TemporaryDirectory[str] | None = None
        self._names: dict[str, str] = {}

    def put(self, name: str, content: bytes) -> Waiting:
        """Keep a recording until it is read.

        Raises
        ------
        NoRecordingError
            If nothing can be read of it.
        """
        waiting = _looked_at(name, content)
        self._hold(waiting.id, name, content)
        return waiting

    def put_microphone(self, name: str, content: bytes) -> MicrophoneFile:
        """Keep a microphone's file until takes are read with it.

        Raises
        ------
        NoMicrophoneFileError
            If it holds no frequency and level.
        """
        waiting = _microphone_file(name, content)
        self._hold(waiting.id, name, content)
        return waiting

    def _hold(self, identity: str, name: str, content: bytes) -> None:
        with self._lock:
            folder = self._opened()
            (folder / identity).write_bytes(content)
            self._names.pop(identity, None)
            self._names[identity] = name
            for old in list(self._names)[:-MOST]:
                del self._names[old]
                (folder / old).unlink(missing_ok=True)

    def get(self, identity: str) -> tuple[str, bytes]:
        """Return the name and the bytes of what waits.

        Raises
        ------
        NotWaitingError
            If there is none.
        """
        with self._lock:
            if identity not in self._names:
                raise NotWaitingError(identity)
            return self._names[identity], (self._opened() / identity).read_bytes()

    def close(self) -> None:
        """Forget everything."""
        with self._lock:
            if self._folder is not None:
                self._folder.cleanup()
            self._folder, self._names = None, {}

    def _opened(self) -> Path:
        if self._folder is None:
            self._folder = TemporaryDirectory(prefix="seatfield-")
        return Path(self._folder.name)


def _looked_at(name: str, content: bytes) -> Waiting:
    import numpy as np

    from seatfield.readers.recording import read_recording

    found = read_recording(content)
    if not found.samples.size:
        raise NoRecordingError(
            f"{name}: {(found.warnings or ('It holds no sound.',))[0]} Send a WAV or FLAC file."
        )
    peak = float(np.abs(found.samples).max())
    return Waiting(
        sha256(content).hexdigest(),
        name,
        len(found.samples) / found.rate_hz if found.rate_hz else 0.0,
        found.samples.shape[1],
        found.rate_hz,
        20.0 * float(np.log10(peak)) if peak > 0.0 else None,
        found.warnings,
    )


def _microphone_file(name: str, content: bytes) -> MicrophoneFile:
    from seatfield.readers.microphone import read_compensation

    found = read_compensation(content)
    if not found.freq_hz.size:
        raise NoMicrophoneFileError(name, found.warnings[-1])
    largest = max(found.level_db.tolist(), key=abs)
    return MicrophoneFile(
        sha256(content).hexdigest(),
        name,
        found.freq_hz.size,
        float(found.freq_hz[0]),
        float(found.freq_hz[-1]),
        largest,
        found.warnings,
    )
