"""The project's log: what happened, line by line, never overwritten.

Each kind of record has a file ``log/<kind>.jsonl`` with one JSON object a line: ``at`` (when, as the caller's clock
says), ``data``, ``previous`` (the hash of the record before) and ``hash`` (SHA-256 over the rest of the line). A line
that was changed, or that a crash cut off, is told with its number and never used.
"""

import json
import os
import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from seatfield.model import Fault
from seatfield.store.saving import alone_in, flush_folder

FOLDER = "log"
FIRST = "0" * 64
"""The `previous` of a first record."""
_KIND = re.compile(r"[a-z][a-z-]{0,30}")
LARGEST_RECORD_BYTES = 1_000_000


@dataclass(frozen=True, slots=True)
class Entry:
    """One record of the log.

    Parameters
    ----------
    kind
        Such as ``takes``, ``ticks`` or ``proofs``.
    at
        When, in ISO 8601, as the caller gave it.
    data
        What was recorded: plain data.
    hash, previous
        SHA-256 of this record and of the one before, in hexadecimal.
    line
        Its line in the file, counted from 1.
    """

    kind: str
    at: str
    data: Mapping[str, Any]
    hash: str
    previous: str
    line: int


@dataclass(frozen=True, slots=True)
class Log:
    """All records of one kind, and the lines that are none."""

    entries: tuple[Entry, ...]
    faults: tuple[Fault, ...]


def log_file(folder: Path | str, kind: str) -> Path:
    """Return the file that holds one kind of record.

    Parameters
    ----------
    folder : path or str
        The project's folder.
    kind : str
        Lower-case letters and hyphens, such as ``takes``.

    Returns
    -------
    pathlib.Path
        The file, which need not exist.

    Raises
    ------
    ValueError
        If the kind has other signs.
    """
    if not _KIND.fullmatch(kind):
        raise ValueError(
            f"{kind!r} is no kind of record; a kind is written in lower-case letters, such as takes"
        )
    return Path(folder) / FOLDER / f"{kind}.jsonl"


def append_record(folder: Path | str, kind: str, data: Mapping[str, Any], *, at: str) -> Entry:
    """Add a record at the end of the log and flush it to the disk.

    Parameters
    ----------
    folder : path or str
        The project's folder.
    kind : str
        Such as ``takes``, ``ticks`` or ``proofs``.
    data : mapping
        Plain data: text, finite numbers, lists and mappings.
    at : str
        When, in ISO 8601; the store has no clock.

    Returns
    -------
    Entry
        The record as it stands.

    Raises
    ------
    ValueError
        If the data has no JSON, or is larger than a record should be.
    OSError
        If the log cannot be written.

    Notes
    -----
    One write to the end of the file under a lock; a process killed meanwhile leaves at most one unfinished line,
    which reading tells and the next record does not touch.
    """
    file = log_file(folder, kind)
    file.parent.mkdir(parents=True, exist_ok=True)
    with alone_in(file.parent):
        before = file.read_bytes() if file.exists() else b""
        known = _read(before, kind, str(file))
        previous = known.entries[-1].hash if known.entries else FIRST
        body = {"at": at, "data": dict(data), "previous": previous}
        line = _line(body)
        if len(line) > LARGEST_RECORD_BYTES:
            raise ValueError(
                f"a record of {len(line):,} bytes is given; at most {LARGEST_RECORD_BYTES:,} are taken"
            )
        unfinished = b"\n" if before and not before.endswith(b"\n") else b""
        _write_at_end(file, unfinished + line)
    number = (before + unfinished).count(b"\n") + 1
    return _entry(json.loads(line), kind, number)


def read_log(folder: Path | str, kind: str) -> Log:
    """Read all records of one kind.

    Parameters
    ----------
    folder : path or str
        The project's folder.
    kind : str
        Such as ``takes``.

    Returns
    -------
    Log
        The records in order; lines that are unfinished or were changed are faults.
    """
    file = log_file(folder, kind)
    try:
        content = file.read_bytes()
    except FileNotFoundError:
        return Log((), ())
    except OSError as error:
        found = f"a log that does not open ({error.strerror})"
        return Log((), (Fault(str(file), 0, "", found, "a file that may be read"),))
    return _read(content, kind, str(file))


def _hash(body: Mapping[str, Any]) -> str:
    plain = json.dumps(body, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return sha256(plain.encode()).hexdigest()


def _line(body: dict[str, Any]) -> bytes:
    try:
        whole = {**body, "hash": _hash(body)}
        return json.dumps(whole, ensure_ascii=False, allow_nan=False).encode() + b"\n"
    except (TypeError, ValueError) as error:
        raise ValueError(
            f"this record has no JSON ({error}); records hold text, finite numbers and lists"
        ) from None


def _write_at_end(file: Path, content: bytes) -> None:
    is_new = not file.exists()
    number = os.open(file, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o644)
    try:
        while content:
            content = content[os.write(number, content) :]
        os.fsync(number)
    finally:
        os.close(number)
    if is_new:
        flush_folder(file.parent)


def _read(content: bytes, kind: str, name: str) -> Log:
    entries: list[Entry] = []
    faults: list[Fault] = []
    lines = content.split(b"\n")
    for number, line in enumerate(lines, 1):
        if not line.strip():
            continue
        entry = _entry_of(line, kind, number)
        expected = entries[-1].hash if entries else FIRST
        if entry is None:
            cut = number == len(lines)
            found = "an unfinished record" if cut else "a record that was changed or cut off"
            faults.append(Fault(name, number, "", found, "a line as it was written; it is not used"))
        elif entry.previous != expected:
            found = "a record that does not follow the one before"
            faults.append(Fault(name, number, "", found, "the records between, which are missing"))
            entries.append(entry)
        else:
            entries.append(entry)
    return Log(tuple(entries), tuple(faults))


def _entry_of(line: bytes, kind: str, number: int) -> Entry | None:
    with suppress(ValueError, RecursionError, KeyError, TypeError, AttributeError):
        whole = json.loads(line.decode())
        body = {key: whole[key] for key in ("at", "data", "previous")}
        if set(whole) == {*body, "hash"} and whole["hash"] == _hash(body) and isinstance(whole["data"], dict):
            return _entry(whole, kind, number)
    return None


def _entry(whole: dict[str, Any], kind: str, number: int) -> Entry:
    return Entry(kind, whole["at"], whole["data"], whole["hash"], whole["previous"], number)
