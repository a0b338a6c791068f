"""Saving the project file: whole or not at all, and never over somebody else's change."""

import codecs
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from seatfield.store.text import digest_of, file_in

_TRACE = ".saving-"


class FileChangedError(Exception):
    """The file on disk is not the one that was opened."""

    def __init__(self, file: Path) -> None:
        self.file = file
        super().__init__(f"{file} has changed since it was opened; open it again, then make the change again")


class FileExistsAlreadyError(Exception):
    """A new project would stand where one is."""

    def __init__(self, file: Path) -> None:
        self.file = file
        super().__init__(f"{file} exists already; choose another folder, or move it away")


def save(path: Path | str, text: str, digest: str) -> str:
    """Write a project file's text, unless the file has changed since it was opened.

    Parameters
    ----------
    path : path or str
        The project's folder or its project.toml.
    text : str
        The whole new text.
    digest : str
        SHA-256 of the bytes that were opened, in hexadecimal.

    Returns
    -------
    str
        Digest of the file as it stands now.

    Raises
    ------
    FileChangedError
        If the file's digest is another one, or the file is gone.
    OSError
        If the folder cannot be written.

    Notes
    -----
    The text goes to a new file in the same folder, is flushed to the disk, and takes the old file's name in one step:
    a process killed at any time leaves the old text or the new one, whole. Two savings at once wait for each other;
    an editor that saves between the last look at the file and that step, some microseconds, is not noticed.
    """
    file = file_in(Path(path)).resolve()
    with alone_in(file.parent):
        before = _content(file)
        if before is None or digest_of(before) != digest:
            raise FileChangedError(file)
        mark = codecs.BOM_UTF8 if before.startswith(codecs.BOM_UTF8) else b""
        content = mark + text.encode()
        if content != before:
            _replace(file, content, file.stat().st_mode & 0o7777)
    return digest_of(content)


def create(path: Path | str, text: str) -> Path:
    """Write a new project's file, with the folders above it.

    Parameters
    ----------
    path : path or str
        The project's folder, or a path that ends in .toml.
    text : str
        The whole text.

    Returns
    -------
    pathlib.Path
        The file.

    Raises
    ------
    FileExistsAlreadyError
        If there is such a file.
    OSError
        If the folder cannot be written.
    """
    path = Path(path)
    file = path if path.suffix == ".toml" else path / "project.toml"
    file.parent.mkdir(parents=True, exist_ok=True)
    with alone_in(file.parent):
        if file.exists():
            raise FileExistsAlreadyError(file)
        _replace(file, text.encode(), 0o644)
    return file


def _content(file: Path) -> bytes | None:
    try:
        return file.read_bytes()
    except FileNotFoundError:
        return None


def _replace(file: Path, content: bytes, mode: int) -> None:
    for left in file.parent.glob(f".{file.name}{_TRACE}*"):  # of a process that was killed: we are alone here
        left.unlink(missing_ok=True)
    number, name = tempfile.mkstemp(prefix=f".{file.name}{_TRACE}", dir=file.parent)
    try:
        with os.fdopen(number, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        Path(name).chmod(mode)
        Path(name).replace(file)
    except BaseException:
        with suppress(OSError):
            Path(name).unlink()
        raise
    flush_folder(file.parent)


def flush_folder(folder: Path) -> None:
    """Flush a folder's entries to the disk, where the system can.

    Parameters
    ----------
    folder : pathlib.Path
        The folder.
    """
    with suppress(OSError):
        number = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(number)
        finally:
            os.close(number)


@contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """Hold a folder's lock, where the system knows locks; it falls with the process.

    Parameters
    ----------
    folder : pathlib.Path
        The folder, which must exist.
    """
    try:
        import fcntl
    except ImportError:  # no such locks on this system; the digest still guards
        yield
        return
    number = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(number, fcntl.LOCK_EX)
        yield
    finally:
        os.close(number)
