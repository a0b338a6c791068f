"""Edits of a project file's text: what is not edited keeps every byte, comments and order included.

An edit changes the text where the value stands and nowhere else; the result is read again by tomllib and must hold
exactly the data that the edit asks for.
"""

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from seatfield.store.encoding import toml_key, toml_value
from seatfield.store.paths import path_text
from seatfield.store.places import Header, Path, Places, places


class EditRefusedError(ValueError):
    """An edit that the file has no place for."""

    def __init__(self, path: Path, found: str, wanted: str) -> None:
        self.path = path
        super().__init__(f"{path_text(path) or 'the file'}: {found}; {wanted}")


@dataclass(frozen=True, slots=True)
class Set:
    """Give a key, or an element of a list, a value; the key is made where it is missing.

    Parameters
    ----------
    path
        Such as ``("seat", 0, "at")``.
    value
        Text, a number, true or false, or lists and tables of them.
    """

    path: Path
    value: Any


@dataclass(frozen=True, slots=True)
class Append:
    """Add a table, or an element, at the end of a list; the list is made where it is missing.

    Parameters
    ----------
    path
        Of the list, such as ``("seat",)``.
    value
        A table for a list of tables; any value for another list.
    """

    path: Path
    value: Any


@dataclass(frozen=True, slots=True)
class Remove:
    """Take away a key, an element, or a table with all tables inside it.

    Parameters
    ----------
    path
        Such as ``("seat", 1)``.
    """

    path: Path


Edit = Set | Append | Remove


def edited(text: str, edits: Iterable[Edit]) -> str:
    """Apply edits to a project file's text, in order.

    Parameters
    ----------
    text : str
        TOML that tomllib accepts.
    edits : iterable of Set, Append or Remove
        What to change.

    Returns
    -------
    str
        The text with nothing else changed.

    Raises
    ------
    EditRefusedError
        If the file has no place for an edit.
    """
    for edit in edits:
        wanted = _data_after(tomllib.loads(text), edit)
        text = _text_after(text, edit)
        found = tomllib.loads(text)
        if isinstance(edit, Remove):
            found, wanted = (_without_empty(data, edit.path) for data in (found, wanted))
        if found != wanted:
            raise EditRefusedError(
                edit.path, "the text around it does not allow this edit", "edit it by hand"
            )
    return text


def edited_data(data: dict[str, Any], edits: Iterable[Edit]) -> dict[str, Any]:
    """Apply edits to a project file's plain data, in order.

    Parameters
    ----------
    data : dict
        As tomllib reads it; it stays as it is.
    edits : iterable of Set, Append or Remove
        What to change.

    Returns
    -------
    dict
        The data that `edited` makes of the text, but for lists that vanish with their last entry.

    Raises
    ------
    EditRefusedError
        If the data has no place for an edit.
    """
    data = _plain(data)
    for edit in edits:
        data = _data_after(data, edit)
    return data


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    return [_plain(item) for item in value] if isinstance(value, list | tuple) else value


def _within(data: Any, path: Path, whole: Path) -> Any:
    for step in path:
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            raise EditRefusedError(whole, "no such place in the file", "it must exist") from None
    return data


def _data_after(data: dict[str, Any], edit: Edit) -> dict[str, Any]:
    if not edit.path:
        raise EditRefusedError(edit.path, "an edit of the whole file", "an edit names a key")
    if isinstance(edit, Remove):
        return _data_without(data, edit.path)
    *above, last = edit.path
    holder: Any = data
    for step in above:
        if isinstance(holder, dict) and isinstance(step, str):
            holder = holder.setdefault(step, {})
        else:
            holder = _within(holder, (step,), edit.path)
    if isinstance(edit, Append):
        row = holder.setdefault(last, []) if isinstance(holder, dict) else _within(holder, (last,), edit.path)
        if not isinstance(row, list):
            raise EditRefusedError(edit.path, "no list stands here", "a list or nothing must stand here")
        row.append(_plain(edit.value))
    elif isinstance(holder, dict | list) and (isinstance(holder, dict) is isinstance(last, str)):
        _put(holder, last, edit)
    else:
        raise EditRefusedError(edit.path, "no such place in the file", "it must exist")
    return data


def _put(holder: Any, last: str | int, edit: Set) -> None:
    if isinstance(holder, list):
        _within(holder, (last,), edit.path)
    holder[last] = _plain(edit.value)


def _data_without(data: dict[str, Any], path: Path) -> dict[str, Any]:
    holder = _within(data, path[:-1], path)
    _within(holder, path[-1:], path)
    del holder[path[-1]]
    return data


def _without_empty(data: dict[str, Any], path: Path) -> dict[str, Any]:
    """Drop what stands empty along a path: a table or a list by headers vanishes with its last member."""
    for length in range(len(path) - 1, 0, -1):
        holder: Any = data
        for step in path[: length - 1]:
            holder = holder[step] if _stands(holder, step) else None
        if isinstance(holder, dict) and holder.get(str(path[length - 1])) in ([], {}):
            del holder[path[length - 1]]
    return data


def _stands(holder: Any, step: str | int) -> bool:
    return (
        step in holder if isinstance(holder, dict) else isinstance(holder, list) and int(step) < len(holder)
    )


def _text_after(text: str, edit: Edit) -> str:
    where = places(text)
    if isinstance(edit, Remove):
        return _removed(where, edit.path)
    if isinstance(edit, Append):
        return _appended(where, edit)
    if edit.path in where.spans:
        span = where.spans[edit.path]
        return text[: span.start] + toml_value(edit.value) + text[span.end :]
    return _added_key(where, edit.path, toml_value(edit.value))


def _line_end(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _insert_line(text: str, offset: int, lines: str) -> str:
    """Insert whole lines after the line in which an offset stands."""
    end = text.find("\n", offset)
    if end < 0:
        return text + (_line_end(text) if text else "") + lines
    return text[: end + 1] + lines + text[end + 1 :]


def _added_key(where: Places, path: Path, value: str) -> str:
    table, key = path[:-1], path[-1]
    if not isinstance(key, str):
        raise EditRefusedError(path, "no such place in the file", "it must exist")
    if table in where.spans:
        return _into_inline(where, table, f"{toml_key(key)} = {value}")
    header = next((header for header in reversed(where.headers) if header.path == table), None)
    if header is None:
        return _added_table(where, table, f"{toml_key(key)} = {value}", path)
    return _under(where, header, f"{toml_key(key)} = {value}")


def _under(where: Places, header: Header, line: str) -> str:
    """Add a line after the last key of a table."""
    text, end = where.text, _line_end(where.text)
    if header.path == () and header.last_key_start is None:
        return line + end + text
    start = header.start if header.last_key_start is None else header.last_key_start
    indent = re.match(r"[ \t]*", text[text.rfind("\n", 0, start) + 1 :])
    return _insert_line(text, header.body_end, (indent[0] if indent else "") + line + end)


def _added_table(where: Places, table: Path, line: str, path: Path) -> str:
    dotted = [start for start in where.spans if start[: len(table)] == table and len(start) > len(table)]
    if dotted:  # the table exists by dotted keys alone: its new key stands beside them, dotted too
        owner = max((h for h in where.headers if h.path == table[: len(h.path)]), key=lambda h: len(h.path))
        prefix = ".".join(toml_key(str(step)) for step in table[len(owner.path) :])
        last = max(where.spans[span].end for span in dotted)
        text = where.text
        return _insert_line(text, last, f"{prefix}.{line}{_line_end(text)}")
    if any(
        isinstance(step, int) and table[: place + 1] not in where.mentions for place, step in enumerate(table)
    ):
        raise EditRefusedError(path, "no such place in the file", "it must exist")
    return _header_block(where, table, f"[{_header_name(table)}]", [line])


def _header_name(path: Path) -> str:
    return ".".join(toml_key(step) for step in path if isinstance(step, str))


def _header_block(where: Places, path: Path, header: str, lines: list[str]) -> str:
    """Add a table after the last one that belongs beside it, or at the end."""
    text, end = where.text, _line_end(where.text)
    beside = [h for h in where.headers if _belongs(h.path, path)]
    block = end.join([header, *lines]) + end
    if not beside or beside[-1] is where.headers[-1]:
        gap = "" if not text else end if text.endswith("\n") else end + end
        return text + gap + block
    return _insert_line(text, beside[-1].body_end, end + block)


def _belongs(header: Path, path: Path) -> bool:
    """Whether a header stands in the table that a new one must stand in, or in the list that it continues."""
    numbered = [place for place, step in enumerate(path) if isinstance(step, int)]
    fixed = path[: numbered[-1] + 1] if numbered else ()
    if fixed:
        return header[: len(fixed)] == fixed
    return header[: len(path)] == path and header != ()


def _into_inline(where: Places, holder: Path, item: str) -> str:
    """Add an element or a key at the end of a value in brackets."""
    text, span = where.text, where.spans[holder]
    inside = [where.spans[path].end for path in where.spans if path[:-1] == holder]
    dotted = [
        s.end for path, s in where.spans.items() if path[: len(holder)] == holder and len(path) > len(holder)
    ]
    if text[span.start] not in "[{":
        raise EditRefusedError(holder, "a single value stands here", "a list or a table must stand here")
    if not inside and not dotted:
        pad = " " if text[span.start] == "{" else ""
        return text[: span.start + 1] + pad + item + pad + text[span.end - 1 :]
    last = max(inside + dotted)
    return text[:last] + ", " + item + text[last:]


def _appended(where: Places, edit: Append) -> str:
    if edit.path in where.spans:
        return _into_inline(where, edit.path, toml_value(edit.value))
    if any(edit.path[:length] in where.spans for length in range(1, len(edit.path))):
        return _added_key(where, edit.path, toml_value([edit.value]))
    if not isinstance(edit.value, dict):
        return _added_key(where, edit.path, toml_value([edit.value]))
    lines = [f"{toml_key(str(key))} = {toml_value(item)}" for key, item in edit.value.items()]
    return _header_block(where, edit.path, f"[[{_header_name(edit.path)}]]", lines)


def _removed(where: Places, path: Path) -> str:
    if path in where.spans:
        holder = path[:-1]
        if holder in where.spans:
            return _out_of_inline(where, holder, path)
        return _without_lines(where.text, [(where.spans[path].key_start, where.spans[path].end)])
    tables = [(h.start, h.body_end) for h in where.headers if h.path[: len(path)] == path and h.path]
    dotted = [
        (span.key_start, span.end)
        for key, span in where.spans.items()
        if key[: len(path)] == path
        and not any(key[:length] in where.spans for length in range(len(path), len(key)))
    ]
    outside = [cut for cut in dotted if not any(start <= cut[0] < end for start, end in tables)]
    return _without_lines(where.text, sorted(tables + outside))


def _out_of_inline(where: Places, holder: Path, path: Path) -> str:
    text, span = where.text, where.spans[path]
    beside = sorted({(s.key_start, s.end) for key, s in where.spans.items() if key[:-1] == holder})
    place = beside.index((span.key_start, span.end))
    if place + 1 < len(beside):
        return text[: span.key_start] + text[beside[place + 1][0] :]
    if place:
        return text[: beside[place - 1][1]] + text[span.end :]
    before, after = (
        text[where.spans[holder].start + 1 : span.key_start],
        text[span.end : where.spans[holder].end - 1],
    )
    rest = "" if not (before + after).strip(" \t\r\n,") else before + after.lstrip(" \t,")
    return text[: where.spans[holder].start + 1] + rest + text[where.spans[holder].end - 1 :]


def _without_lines(text: str, cuts: list[tuple[int, int]]) -> str:
    """Take whole lines away; comments on lines of their own stay."""
    for start, end in reversed(cuts):
        first = text.rfind("\n", 0, start) + 1
        last = text.find("\n", end)
        rest = text[last + 1 :] if last >= 0 else ""
        if re.search(r"(?:^|\n)[ \t]*\r?\n\Z", text[:first]) or not first:
            rest = re.sub(r"\A[ \t]*\r?\n", "", rest)
        text = text[:first] + rest
    return text
