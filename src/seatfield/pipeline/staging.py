"""Recordings that the page has sent and that wait to be read, in a folder of their own that ends with the session."""

from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import RLock

MOST = 96
"""As many wait at once; the earliest is forgotten first."""


class NotWaitingError(LookupError):
    """A recording was named that does not wait here."""

    def __init__(self, name: str) -> None:
        super().__init__(f"No recording {name[:80]!r} waits here; send it once more.")


class NoRecordingError(ValueError):
    """Something was sent that is no recording; the message says why."""


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


class Staging:
    """The recordings that wait."""

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
        with self._lock:
            folder = self._opened()
            (folder / waiting.id).write_bytes(content)
            self._names.pop(waiting.id, None)
            self._names[waiting.id] = name
            for old in list(self._names)[:-MOST]:
                del self._names[old]
                (folder / old).unlink(missing_ok=True)
        return waiting

    def get(self, identity: str) -> tuple[str, bytes]:
        """Return the name and the bytes of a recording.

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
