"""What differs between two states of a project file, in words: things by the names that people gave them."""

import json
import math
from collections.abc import Iterator
from typing import Any

from seatfield.drawing.measures import length_text
from seatfield.model import LengthUnit
from seatfield.stages.survey import corner_name, wall_name
from seatfield.units import QuantityError, parse_length

Data = dict[str, Any]
FEW = 3
_NAMES = ("name", "id", "channel", "kind", "conductor", "what")
_POINTS = {"outline", "beyond", "walkways", "mains_cables", "services"}
_LEAST_M = 0.0005


def changed(before: Data, after: Data) -> tuple[str, ...]:
    """Return one line for each thing that differs.

    Parameters
    ----------
    before, after
        Plain data of the project file, as typed.

    Returns
    -------
    tuple of str
        Such as ``"receiver: channels 5 → 7"``; none where nothing differs.
    """
    return tuple(_tables(before, after))


def changed_briefly(before: Data, after: Data) -> str:
    """Return the first few lines of `changed` in one; empty where nothing differs."""
    lines = changed(before, after)
    more = f" and {len(lines) - FEW} more" if len(lines) > FEW else ""
    return "; ".join(lines[:FEW]) + more


def _tables(before: Data, after: Data) -> Iterator[str]:
    unit = LengthUnit("ft" if "ft" in {before.get("units"), after.get("units")} else "m")
    for key in dict.fromkeys([*before, *after]):
        was, now = before.get(key), after.get(key)
        if was == now:
            continue
        if _is_rows(was) or _is_rows(now):
            yield from _rows(key, was or [], now or [], (len(_floor(after)), unit))
        elif isinstance(was, dict) or isinstance(now, dict):
            yield from _table(_words(key), was or {}, now or {}, unit)
        else:
            yield f"{_words(key)} {_told(was)} → {_told(now)}"


def _is_rows(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(one, dict) for one in value)


def _floor(data: Data) -> list[Any]:
    room = data.get("room")
    floor = room.get("floor") or room.get("walls") if isinstance(room, dict) else None
    return floor if isinstance(floor, list) else []


def _rows(key: str, was: list[Data], now: list[Data], room: tuple[int, LengthUnit]) -> Iterator[str]:
    """Tell of a list: of its entries that differ, between those at both its ends that do not."""
    corners, unit = room
    start = next(
        (i for i, (a, b) in enumerate(zip(was, now, strict=False)) if a != b), min(len(was), len(now))
    )
    left, right = was[start:], now[start:]
    while left and right and left[-1] == right[-1]:
        left, right = left[:-1], right[:-1]
    together = len(left) == len(right)
    for place in range(max(len(left), len(right))):
        one = left[place] if place < len(left) else None
        other = right[place] if place < len(right) else None
        if together and one is not None and other is not None:
            yield from _table(_called(key, one, start + place, corners), one, other, unit)
            continue
        if one is not None and one not in right:
            yield f"{_called(key, one, start + place, corners)} taken away"
        if other is not None and other not in left:
            yield f"{_called(key, other, start + place, corners)} added"


def _called(key: str, entry: Data, place: int, corners: int) -> str:
    """Return what people call an entry of a list: its own name, or the list's and its number."""
    number = entry.get("number")
    if key == "wall" and isinstance(number, int) and corners:
        return f"wall {wall_name(number, corners)}"
    if key == "wall" and isinstance(number, str):
        return f"wall {number}"
    name = next((entry[one] for one in _NAMES if isinstance(entry.get(one), str)), "")
    if key == "model":
        return f"model {name or place + 1}"
    return name or f"{_words(key)} {place + 1}"


def _table(name: str, was: Data, now: Data, unit: LengthUnit) -> Iterator[str]:
    """Tell of one table, everything that differs in it in one line; of tables in it in their own."""
    told = []
    for key in dict.fromkeys([*was, *now]):
        one, other = was.get(key), now.get(key)
        if one == other:
            continue
        if isinstance(one, dict) or isinstance(other, dict):
            yield from _table(f"{name}, {_words(key)}", one or {}, other or {}, unit)
        elif _is_rows(one) or _is_rows(other):
            for line in _rows(key, one or [], other or [], (0, unit)):
                yield f"{name}, {line}"
        else:
            told.append(_key(key, one, other, unit))
    if told:
        yield f"{name}: {', '.join(told)}"


def _key(key: str, was: Any, now: Any, unit: LengthUnit) -> str:
    if key == "floor":
        return _walls(was, now, unit)
    if key == "walls" and isinstance(was, list) and isinstance(now, list) and len(was) == len(now):
        pairs = enumerate(zip(was, now, strict=True))
        told = [f"wall {wall_name(i, len(now))} {_told(a)} → {_told(b)}" for i, (a, b) in pairs if a != b]
        return ", ".join(told)
    if key in {"at", "centre"} and isinstance(was, list) and isinstance(now, list):
        return _moved([was], [now], unit) or "moved"
    if key == "outline" and isinstance(was, list) and isinstance(now, list):
        return _moved(was, now, unit) or "another outline"
    if key in _POINTS:
        return f"{_words(key)} drawn anew"
    return f"{_words(key)} {_told(was)} → {_told(now)}"


def _walls(was: Any, now: Any, unit: LengthUnit) -> str:
    """Tell which walls have another length; a wall that was typed seldom changes alone."""
    lengths = [_lengths(corners, unit) for corners in (was, now)]
    if not lengths[0] or not lengths[1]:
        return "another outline"
    count = len(lengths[1]) - len(lengths[0])
    if count:
        what = "corner" if abs(count) == 1 else "corners"
        return f"{abs(count)} {what} {'added' if count > 0 else 'taken away'}"
    pairs = list(zip(*lengths, strict=True))
    told = [
        f"wall {wall_name(number, len(pairs))} {length_text(one, unit)} → {length_text(other, unit)}"
        for number, (one, other) in enumerate(pairs)
        if abs(one - other) > _LEAST_M
    ]
    return ", ".join(told) or f"corners of {corner_name(0)} to {corner_name(len(pairs) - 1)} moved"


def _lengths(corners: Any, unit: LengthUnit) -> list[float]:
    points = _points(corners, unit)
    return [math.dist(one, other) for one, other in zip(points, points[1:] + points[:1], strict=True)]


def _moved(was: list[Any], now: list[Any], unit: LengthUnit) -> str:
    """Tell how far the middle of these points moved, and whether what they enclose has another size."""
    sides = [_points(was, unit), _points(now, unit)]
    if not all(sides) or len(sides[0][0]) != len(sides[1][0]):
        return ""
    boxes = [[(min(axis), max(axis)) for axis in zip(*points, strict=True)] for points in sides]
    middles = [[(low + high) / 2 for low, high in box] for box in boxes]
    sizes = [[high - low for low, high in box] for box in boxes]
    told = []
    if (shift := math.dist(*middles)) > _LEAST_M:
        told.append(f"moved {length_text(shift, unit)}")
    if math.dist(*sizes) > _LEAST_M:
        told.append("now " + " × ".join(length_text(side, unit) for side in sizes[1]))
    return ", ".join(told)


def _points(value: Any, unit: LengthUnit) -> list[tuple[float, ...]]:
    """Return points in metres; none where anything of them is no length."""
    try:
        return [tuple(_metres(one, unit) for one in point) for point in value]
    except (QuantityError, TypeError, ValueError):
        return []


def _metres(value: Any, unit: LengthUnit) -> float:
    return parse_length(
        value if isinstance(value, str) else repr(float(value)), "ft" if unit == "ft" else "m"
    )


def _words(key: str) -> str:
    return key.replace("_", " ")


def _told(value: Any) -> str:
    if value is None:
        return "not given"
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 40 else f"{text[:39]}…"
