"""Paths into the project file, written for people: ``seat[0].at``."""

import re

from seatfield.store.places import Path

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_STEP = re.compile(r'\[(\d+)\]|\.?([A-Za-z0-9_-]+)|\.?"([^"]*)"')


def path_text(path: Path) -> str:
    """Write a path as people read it.

    Parameters
    ----------
    path : tuple of str or int
        Such as ``("seat", 0, "at")``.

    Returns
    -------
    str
        Such as ``seat[0].at``; keys with other signs than letters, digits, ``_`` and ``-`` are quoted.
    """
    steps = []
    for step in path:
        if isinstance(step, int):
            steps.append(f"[{step}]")
        else:
            steps.append("." + (step if _BARE.fullmatch(step) else f'"{step}"'))
    return "".join(steps).removeprefix(".")


def read_path(text: str) -> Path:
    """Read a path as `path_text` writes it.

    Parameters
    ----------
    text : str
        Such as ``seat[0].at``.

    Returns
    -------
    tuple of str or int
        The path.

    Raises
    ------
    ValueError
        If the text is no path.
    """
    path: list[str | int] = []
    at = 0
    while at < len(text):
        match = _STEP.match(text, at)
        if match is None:
            raise ValueError(f'"{text}" is no place in a project file; a place is written like seat[0].at')
        path.append(int(match[1]) if match[1] else (match[2] or match[3] or ""))
        at = match.end()
    return tuple(path)
