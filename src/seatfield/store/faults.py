"""Faults of a parsed project file: what the records refuse, told in sentences with a line."""

from dataclasses import dataclass
from typing import Any, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from seatfield.model import Fault
from seatfield.store.paths import path_text
from seatfield.store.places import Path, Places
from seatfield.store.records import TAGGED, ProjectRecord, nearest_key

MOST_TOLD = 200
_LONGEST_FOUND = 60


@dataclass(frozen=True, slots=True)
class Trouble:
    """What is wrong at a path, before it has a line.

    Parameters
    ----------
    path
        Where.
    wanted
        What would be right.
    found
        What stands there; empty to quote the file.
    nearest
        The known key or value closest to it.
    """

    path: Path
    wanted: str
    found: str = ""
    nearest: str = ""


def faults_of(troubles: list[Trouble], file: str, where: Places) -> tuple[Fault, ...]:
    """Give each trouble its line and what the file says there, in the order of the file.

    Parameters
    ----------
    troubles : list of Trouble
        From the records and from the cross-references.
    file : str
        The file's name.
    where : Places
        Of the file's text.

    Returns
    -------
    tuple of Fault
        At most `MOST_TOLD`, and one more that tells how many were left out.
    """
    faults = [
        Fault(
            file,
            where.line(t.path),
            path_text(t.path),
            t.found or _quoted(t.path, where),
            t.wanted,
            t.nearest,
        )
        for t in troubles
    ]
    ordered = sorted(dict.fromkeys(faults), key=lambda fault: fault.line)
    if len(ordered) > MOST_TOLD:
        rest = f"{len(ordered) - MOST_TOLD} more faults"
        return (*ordered[:MOST_TOLD], Fault(file, ordered[MOST_TOLD].line, "", rest, "these mended first"))
    return tuple(ordered)


def _quoted(path: Path, where: Places) -> str:
    text = where.source(path)
    if text is None:
        return "a table" if path in where.mentions else "nothing"
    text = " ".join(text.split())
    return text if len(text) <= _LONGEST_FOUND else text[: _LONGEST_FOUND - 1] + "…"


def troubles_of(error: ValidationError, data: dict[str, Any]) -> list[Trouble]:
    """Translate what pydantic refused.

    Parameters
    ----------
    error : pydantic.ValidationError
        From `ProjectRecord`.
    data : dict
        What was validated.

    Returns
    -------
    list of Trouble
        One for each error.
    """
    details = error.errors(include_url=False)
    troubles = [_trouble(detail, data) for detail in details]
    misspelt = {(*t.path[:-1], t.nearest) for t in troubles if t.nearest and t.path}
    # A key under another name is told once, not as missing too.
    return [
        trouble
        for detail, trouble in zip(details, troubles, strict=True)
        if detail["type"] != "missing" or trouble.path not in misspelt
    ]


def _trouble(detail: ErrorDetails, data: dict[str, Any]) -> Trouble:
    path = tuple(step for step in detail["loc"] if not (isinstance(step, str) and step.startswith("<")))
    kind = detail["type"]
    if kind == "wanted":
        return _from_reader(path, detail.get("ctx", {}), data)
    if kind == "missing":
        return Trouble(path, _described(path, detail["loc"]), "nothing")
    if kind == "extra_forbidden":
        return _unknown(path, detail["loc"])
    return Trouble(path, _KINDS.get(kind, detail["msg"]))


_KINDS = {
    "model_type": "a table of keys",
    "dict_type": "a table of keys",
    "model_attributes_type": "a table of keys",
    "tuple_type": "a list in square brackets",
    "list_type": "a list in square brackets",
}


def _from_reader(path: Path, context: dict[str, Any], data: dict[str, Any]) -> Trouble:
    inside = (*path, *context.get("at", ()))
    found = "" if _stands(inside, data) else "nothing"
    return Trouble(inside, context["what"], found, context.get("nearest", ""))


def _stands(path: Path, data: Any) -> bool:
    for step in path:
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return False
    return True


def _unknown(path: Path, loc: Path) -> Trouble:
    known = _known_keys(_record_at(loc[:-1]))
    key = str(path[-1])
    close = nearest_key(key, known)
    what = f"one of the keys {', '.join(known)}" if known else "a key of the format"
    if close:
        what = f"a key of {path_text(path[:-1])}" if path[:-1] else "a key or table of the file"
    return Trouble(path, what, f"the unknown key {key[:_LONGEST_FOUND]!r}", close)


def _described(path: Path, loc: Path) -> str:
    record = _record_at(loc[:-1])
    for name, field in record.model_fields.items() if record else ():
        if (field.alias or name) == path[-1] and field.description:
            return f"the key {path[-1]}: {field.description}"
    return f"the key {path[-1]}"


def _known_keys(record: type[BaseModel] | None) -> tuple[str, ...]:
    if record is None:
        return ()
    return tuple(field.alias or name for name, field in record.model_fields.items())


def _record_at(loc: Path) -> type[BaseModel] | None:
    """Return the record that stands for the table at pydantic's location, tags of unions included."""
    record: type[BaseModel] | None = ProjectRecord
    for step in loc:
        if isinstance(step, int) or record is None:
            continue
        if step in TAGGED:
            record = TAGGED[step]
            continue
        fields = {field.alias or name: field.annotation for name, field in record.model_fields.items()}
        record = next(iter(_records_in(fields.get(step))), None)
    return record


def _records_in(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [record for part in get_args(annotation) for record in _records_in(part)]
