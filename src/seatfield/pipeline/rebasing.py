"""Edits made on an old text of the project file, carried over onto the text that stands now.

An edit names a place by number (``furniture[2]``); somebody else may have added or removed one before it. The place is
found again by what stood there, and the edit fits if what it replaces is still what its maker saw.
"""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from seatfield.store import Append, Edit, path_text

Path = tuple[str | int, ...]
_MISSING = object()
_NAMES = ("id", "name", "channel", "number")


class NoLongerFitsError(ValueError):
    """The place of an edit was changed meanwhile; the maker of the edit must be asked."""

    def __init__(self, path: Path, was: Any, now: Any) -> None:
        self.key, self.was, self.now = path_text(path), _told(was), _told(now)
        super().__init__(
            f"{self.key} was changed meanwhile: it was {self.was} when you began, and is {self.now} now. "
            "Make your change again if you still want it."
        )


def rebased(edits: Iterable[Edit], base: dict[str, Any], now: dict[str, Any]) -> tuple[Edit, ...]:
    """Carry edits of one state of the file over onto another.

    Parameters
    ----------
    edits
        As made on `base`.
    base, now
        The file's plain data as the edits' maker saw it, and as it stands.

    Returns
    -------
    tuple of Edit
        The same edits with their places in `now`.

    Raises
    ------
    NoLongerFitsError
        If a place that an edit replaces or removes was changed meanwhile, or is gone.
    """
    edits = tuple(edits)
    return edits if base == now else tuple(_carried(edit, base, now) for edit in edits)


def _carried(edit: Edit, base: Any, now: Any) -> Edit:
    path = _counterpart(edit.path, base, now)
    if not isinstance(edit, Append):
        was, stands = _value(base, edit.path), _value(now, path)
        if was != stands and stands != getattr(edit, "value", _MISSING):
            raise NoLongerFitsError(edit.path, was, stands)
    return replace(edit, path=path)


def _counterpart(path: Path, base: Any, now: Any) -> Path:
    """Return the path in `now` of what stood at `path` in `base`."""
    found: list[str | int] = []
    for depth, step in enumerate(path):
        place = _same_entry(path[: depth + 1], base, now) if isinstance(step, int) else step
        found.append(place)
        base, now = _value(base, (step,)), _value(now, (place,))
    return tuple(found)


def _same_entry(path: Path, base: Any, now: Any) -> int:
    """Return the number, in the list `now`, of the entry that stood in the list `base`."""
    number = int(path[-1])
    if not isinstance(base, list) or not number < len(base):
        return number
    entry = base[number]
    if not isinstance(entry, dict):
        if not isinstance(now, list) or len(now) != len(base):
            raise NoLongerFitsError(path[:-1], base, now)
        return number
    rows = now if isinstance(now, list) else []
    same = [i for i, other in enumerate(rows) if other == entry] or [
        i for i, other in enumerate(rows) if _name(other) and _name(other) == _name(entry)
    ]
    if number in same:
        return number
    if len(same) != 1:
        raise NoLongerFitsError(path, entry, _MISSING)
    return same[0]


def _name(entry: Any) -> tuple[tuple[str, Any], ...]:
    return tuple((key, entry[key]) for key in _NAMES if key in entry) if isinstance(entry, dict) else ()


def _value(data: Any, path: Path) -> Any:
    for step in path:
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return _MISSING
    return data


def _told(value: Any) -> str:
    if value is _MISSING:
        return "not there"
    text = value if isinstance(value, str) else repr(value)
    return text if len(text) <= 80 else f"{text[:77]}…"
