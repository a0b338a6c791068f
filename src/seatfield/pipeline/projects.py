"""Open project folders."""

from pathlib import Path

from seatfield.model import Fault, Project
from seatfield.store import Opened
from seatfield.store import open_folder as _open_folder


class ProjectFaultsError(ValueError):
    """The project file has faults; `faults` holds every one of them."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))


def open_folder(path: str | Path) -> Opened:
    """Read a project folder, or its ``project.toml``; faults are part of the answer."""
    return _open_folder(Path(path))


def open_project(path: str | Path) -> Project:
    """Read a project folder, or its ``project.toml``.

    Parameters
    ----------
    path
        The folder, or the file in it.

    Returns
    -------
    Project
        Validated, frozen, SI inside.

    Raises
    ------
    ProjectFaultsError
        If anything in the file is wrong; every fault is told, with its line.
    """
    opened = open_folder(path)
    if opened.project is None:
        raise ProjectFaultsError(opened.faults)
    return opened.project
