"""The door: a project file becomes a validated project, or the list of all its faults."""

from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from pydantic import ValidationError

from seatfield.model import Fault, Project
from seatfield.store.faults import Trouble, faults_of, troubles_of
from seatfield.store.places import places
from seatfield.store.records import FORMAT, ProjectRecord
from seatfield.store.references import reference_troubles
from seatfield.store.text import (
    Source,
    UnreadableFileError,
    file_in,
    plain_data,
    read_source,
    source_of,
    tight_commas,
)

MOST_SLIPS = 50
"""Slips of the pen that are read past, so that the faults behind them are told too."""


@dataclass(frozen=True, slots=True)
class Opened:
    """What opening a project file gave.

    Parameters
    ----------
    project
        The project; None where faults forbid one.
    faults
        All of the file's faults, in its order; empty where there is a project.
    digest
        SHA-256 of the file's bytes, which saving asks for; empty where it could not be read.
    path
        The project.toml itself.
    text
        Its text; empty where it could not be read.
    """

    project: Project | None
    faults: tuple[Fault, ...]
    digest: str
    path: FilePath
    text: str = ""


def open_folder(path: FilePath | str) -> Opened:
    """Open a project's folder, or its project.toml.

    Parameters
    ----------
    path : path or str
        The folder or the file.

    Returns
    -------
    Opened
        The project, or every fault of the file with its line.

    Notes
    -----
    Trouble with the file is never raised: it comes back as faults.
    """
    path = FilePath(path)
    try:
        source = read_source(path)
    except UnreadableFileError as error:
        return Opened(None, (error.fault,), "", file_in(path))
    return _opened(source)


def open_text(text: str, path: FilePath | str = "project.toml") -> Opened:
    """Open a project file's text, as from an editor that has not saved it.

    Parameters
    ----------
    text : str
        TOML.
    path : path or str
        Named in faults.

    Returns
    -------
    Opened
        As from `open_folder`.
    """
    path = FilePath(path)
    try:
        return _opened(source_of(text.encode("utf-8", "surrogatepass"), path))
    except UnreadableFileError as error:
        return Opened(None, (error.fault,), "", path)


def open_data(data: dict[str, Any], path: FilePath | str = "project.toml") -> Opened:
    """Open a project's plain data, as while a hand moves something and no text is written yet.

    Parameters
    ----------
    data : dict
        As tomllib reads it.
    path : path or str
        Named in faults.

    Returns
    -------
    Opened
        As from `open_folder`, but faults have no lines, for there is no text.
    """
    project, troubles = _validated(data)
    return Opened(project, faults_of(troubles, str(path), places("")), "", FilePath(path))


def _opened(source: Source) -> Opened:
    name = str(source.path)
    data, text, broken = _parsed(source.text, name)
    if data is None:
        return Opened(None, broken, source.digest, source.path, source.text)
    project, troubles = _validated(data)
    told = (*broken, *faults_of(troubles, name, places(text)))
    unsure = (fault for fault in tight_commas(text, name) if fault.line not in {f.line for f in told})
    faults = tuple(sorted((*told, *unsure), key=lambda fault: fault.line))
    return Opened(None if faults else project, faults, source.digest, source.path, source.text)


def _parsed(text: str, name: str) -> tuple[dict[str, Any] | None, str, tuple[Fault, ...]]:
    """Parse, reading on past slips whose meaning is plain; return data, the text they come from, and those slips."""
    broken: tuple[Fault, ...] = ()
    while True:
        try:
            return plain_data(text, name), text, broken
        except UnreadableFileError as error:
            broken = (*broken, error.fault)
            if not error.mended or len(broken) > MOST_SLIPS:
                return None, text, broken
            text = error.mended


def _validated(data: dict[str, Any]) -> tuple[Project | None, list[Trouble]]:
    if newer := _newer_format(data):
        return None, [newer]
    troubles = reference_troubles(data)
    try:
        record = ProjectRecord.model_validate(data, context={"units": data.get("units", "m")})
    except ValidationError as error:
        return None, troubles_of(error, data) + troubles
    return (None, troubles) if troubles else (record.project(), [])


def _newer_format(data: dict[str, Any]) -> Trouble | None:
    number = data.get("format")
    if isinstance(number, int) and not isinstance(number, bool) and number > FORMAT:
        what = f"format {FORMAT}; a newer Seatfield wrote this file, and opens it"
        return Trouble(("format",), what)
    return None
