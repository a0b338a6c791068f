"""Recordings in the project's ``log/takes``: kept under their hash, never overwritten, checked when read again."""

from hashlib import sha256
from pathlib import Path

from seatfield.model import Take, TakenFile
from seatfield.pipeline.retelling import read_take
from seatfield.stages.takes import Session
from seatfield.store import read_log

TAKES = "takes"


def kept_file(folder: Path, file: TakenFile) -> Path:
    """Return where a recording lies: under its own hash, so that it can never be another one."""
    suffix = Path(file.name).suffix.lower()
    return folder / "log" / "takes" / f"{file.sha256}{suffix if suffix in {'.wav', '.flac'} else ''}"


def kept_compensation(folder: Path, hashed: str) -> Path:
    """Return where a microphone's file lies."""
    return folder / "log" / "takes" / f"{hashed}.txt"


def keep(target: Path, content: bytes) -> None:
    """Write a recording that nothing may ever change; one that is there already stays."""
    if target.exists():
        return
    target.parent.mkdir(parents=True, exist_ok=True)
    half = target.with_name(f".{target.name}.part")
    half.write_bytes(content)
    half.chmod(0o444)
    half.replace(target)


def kept_takes(folder: Path) -> tuple[Take, ...]:
    """Return every take of the log, the earliest first."""
    return tuple(read_take(entry.data) for entry in read_log(folder, TAKES).entries)


def session_of(folder: Path, take: Take) -> Session:
    """Return a kept take with its recordings; one that is gone or was changed becomes an empty recording."""
    import numpy as np

    from seatfield.readers.microphone import read_compensation
    from seatfield.readers.recording import Recording, read_recording

    recordings = []
    for file in take.files:
        content = _intact(kept_file(folder, file), file.sha256)
        gone = Recording(
            np.zeros((0, 0)), 0, None, (f"The recording {file.name!r} is gone from the log, or was changed.",)
        )
        recordings.append(read_recording(content) if content is not None else gone)
    held = _intact(kept_compensation(folder, take.compensation), take.compensation)
    return Session(take, tuple(recordings), read_compensation(held) if held else None)


def _intact(path: Path, hashed: str) -> bytes | None:
    try:
        content = path.read_bytes()
    except OSError:
        return None
    return content if sha256(content).hexdigest() == hashed else None
