"""References inside the project file: names that must exist, ids that must differ, numbers of walls.

They are checked on the plain data, so that they are told in one go with what the records refuse; a value of the
wrong type is passed over here, because the records tell it.
"""

from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

from seatfield.catalogue.device_kinds import device_kind
from seatfield.catalogue.systems import all_labels
from seatfield.store.faults import Trouble
from seatfield.store.places import Path
from seatfield.store.records import corner_letter, corner_number, nearest_of, wall_number

Data = dict[str, Any]
ON_WALLS = ("opening", "cover", "socket", "radiator", "treatment")


def reference_troubles(data: Data) -> list[Trouble]:
    """Check what refers to something else in the file.

    Parameters
    ----------
    data : dict
        As tomllib gave it.

    Returns
    -------
    list of Trouble
        In no particular order.
    """
    checks = (
        _outline,
        _places,
        _walls,
        _diagonals,
        _one_main_seat,
        _models,
        _ids,
        _unique_names,
        _links,
        _services,
    )
    return [trouble for check in checks for trouble in check(data)]


def _tables(data: Any, key: str) -> Iterator[tuple[Path, Data]]:
    rows = data.get(key) if isinstance(data, dict) else None
    for number, row in enumerate(rows if isinstance(rows, list) else []):
        if isinstance(row, dict):
            yield (key, number), row


def _text(row: Data, key: str) -> str | None:
    value = row.get(key)
    return value.strip() if isinstance(value, str) else None


def _wall_count(data: Data) -> int:
    room = data.get("room")
    outline = (room.get("floor") or room.get("walls")) if isinstance(room, dict) else None
    return len(outline) if isinstance(outline, list) and len(outline) >= 3 else 0


def numbered_walls(data: Data) -> Data:
    """Return plain data in which every wall is told by its number, whatever way it was written.

    Parameters
    ----------
    data : dict
        As tomllib gave it; it is not changed.

    Returns
    -------
    dict
        The same data where no wall is told by letters.
    """
    count = _wall_count(data)
    found = dict(data)
    for kind in ("wall", *ON_WALLS):
        key = "number" if kind == "wall" else "wall"
        rows = data.get(kind)
        if not isinstance(rows, list) or not any(
            isinstance(r, dict) and isinstance(r.get(key), str) for r in rows
        ):
            continue
        found[kind] = [_numbered(row, key, count) for row in rows]
    return found


def _numbered(row: Any, key: str, count: int) -> Any:
    number = wall_number(row.get(key), count) if isinstance(row, dict) else None
    return row if number is None else row | {key: number}


def _outline(data: Data) -> Iterator[Trouble]:
    room = data.get("room")
    if not isinstance(room, dict):
        return
    if "floor" not in room and "walls" not in room:
        yield Trouble(
            ("room", "floor"),
            "the room's outline: floor = [[x, y], …], or walls and diagonals by tape",
            "nothing",
        )
    if "floor" in room and "walls" in room:
        yield Trouble(("room", "walls"), "either floor or walls, not both")


def _places(data: Data) -> Iterator[Trouble]:
    for kind in ("cover", "treatment"):
        for path, row in _tables(data, kind):
            told = [key for key in ("wall", "from", "to") if key in row]
            if "outline" in row and told:
                yield Trouble((*path, "outline"), "either an outline, or wall, from and to, not both")
            elif "outline" not in row and not told:
                yield Trouble((*path, "outline"), "an outline, or wall, from and to", "nothing")
            elif "outline" not in row:
                missing = [key for key in ("wall", "from", "to") if key not in row]
                yield from (Trouble((*path, key), "wall, from and to together", "nothing") for key in missing)


def _walls(data: Data) -> Iterator[Trouble]:
    count = _wall_count(data)
    seen: set[int] = set()
    for kind in ("wall", *ON_WALLS):
        key = "number" if kind == "wall" else "wall"
        for path, row in _tables(data, kind):
            if not count or wall_number(row.get(key)) is None:
                continue
            number = wall_number(row[key], count)
            if number is None or not 0 <= number < count:
                last = f'"{corner_letter(count - 1)}-A"'
                what = f'the number of a wall, from 0 to {count - 1} for {count} corners, or "A-B" to {last}'
                yield Trouble((*path, key), what)
            elif kind == "wall" and number in seen:
                yield Trouble(
                    (*path, key), "one table [[wall]] for each wall; this number has been described above"
                )
            elif kind == "wall":
                seen.add(number)


def _diagonals(data: Data) -> Iterator[Trouble]:
    room = data.get("room")
    count = _wall_count(data)
    for path, row in _tables(room, "diagonals"):
        between = row.get("between")
        for place, corner in enumerate(between if isinstance(between, list) else []):
            number = corner_number(corner)
            if number is not None and count and not 0 <= number < count:
                what = f"the number of a corner, from 0 to {count - 1}, or A to {corner_letter(count - 1)}"
                yield Trouble(("room", *path, "between", place), what)
        ends = [corner_number(corner) for corner in between] if isinstance(between, list) else []
        if len(ends) == 2 and ends[0] == ends[1] is not None:
            yield Trouble(("room", *path, "between"), "two corners that differ")


def _one_main_seat(data: Data) -> Iterator[Trouble]:
    seats = list(_tables(data, "seat"))
    main = [path for path, row in seats if row.get("main") is True]
    if isinstance(data.get("seat"), list) and not data["seat"]:
        yield Trouble(("seat",), "at least one [[seat]]")
    unread = any("main" in row and not isinstance(row["main"], bool) for _, row in seats)
    if len(seats) > 1 and not main and not unread:
        yield Trouble(
            seats[0][0], "main = true in exactly one [[seat]]", f"{len(seats)} seats, none of them main"
        )
    for path in main[1:]:
        yield Trouble((*path, "main"), "main = true in exactly one [[seat]]; another one is main already")


def _models(data: Data) -> Iterator[Trouble]:
    rows = [row for _, row in _tables(data, "model")]
    names = {True: _names(rows, subwoofers=True), False: _names(rows, subwoofers=False)}
    for key in ("loudspeaker", "subwoofer"):
        for path, row in _tables(data, key):
            wished, known = _text(row, "model"), names[key == "subwoofer"]
            if wished is None or wished in known:
                continue
            what = f"the name of a [[model]] for a {key}"
            if wished in names[key != "subwoofer"]:
                what += f"; {wished!r} is one of the other kind"
            yield Trouble((*path, "model"), what, nearest=nearest_of(wished, known))


def _names(rows: list[Data], *, subwoofers: bool) -> tuple[str, ...]:
    chosen = (row for row in rows if (row.get("kind") == "subwoofer") is subwoofers)
    return tuple(name for row in chosen if (name := _text(row, "name")))


def _ids(data: Data) -> Iterator[Trouble]:
    seen: set[str] = set()
    channels = {_text(row, "channel") for _, row in _tables(data, "loudspeaker")}
    for kind, spare in (("loudspeaker", "channel"), ("subwoofer", "name")):
        for path, row in _tables(data, kind):
            key = "id" if "id" in row else spare
            own = _text(row, key)
            if own in seen:
                what = "an id of its own for each loudspeaker and subwoofer"
                what += (
                    "" if key == "id" else f': two with this {spare} need an id each, such as id = "{own} b"'
                )
                mirrored = _other_side(own) if key == "channel" and own else ""
                other = mirrored if mirrored not in channels else ""
                if other:
                    what += f'; no loudspeaker has "{other}", the other side, yet'
                yield Trouble((*path, key), what, nearest=other)
            elif own:
                seen.add(own)


def _other_side(label: str) -> str:
    """Return the label of the other side of the room; empty for a channel that has none."""
    other = label.translate(str.maketrans("+-", "-+"))
    return other if other in all_labels() else ""


def _unique_names(data: Data) -> Iterator[Trouble]:
    groups = (("amplifier", "device"), ("model",), ("service",), ("seat",))
    for group in groups:
        seen: set[str] = set()
        for kind in group:
            for path, row in _tables(data, kind):
                name = _text(row, "name")
                if name in seen:
                    yield Trouble((*path, "name"), f"a name that no other {' or '.join(group)} has")
                elif name:
                    seen.add(name)
    for key in ("opening", "cover"):
        yield from _same_ids(_tables(data, key), key)
    yield from (
        (Trouble(("cable", *t.path), t.wanted))
        for t in _same_ids(_tables(data.get("cable"), "stock"), "stock")
    )


def _same_ids(rows: Iterator[tuple[Path, Data]], kind: str) -> Iterator[Trouble]:
    seen: set[str] = set()
    for path, row in rows:
        own = _text(row, "id")
        if own in seen:
            yield Trouble((*path, "id"), f"an id that no other {kind} has")
        elif own:
            seen.add(own)


def _ports(data: Data) -> dict[str, tuple[str, ...] | None]:
    """Name each device with its ports; None where any port will do."""
    known: dict[str, tuple[str, ...] | None] = {}
    for _, row in _tables(data, "amplifier"):
        if name := _text(row, "name"):
            known[name] = None
    for _, row in _tables(data, "device"):
        if name := _text(row, "name"):
            ports = row.get("ports")
            listed = tuple(port for port in ports if isinstance(port, str)) if isinstance(ports, list) else ()
            known[name] = listed or None
    return known


def _links(data: Data) -> Iterator[Trouble]:
    known, meant = _ports(data), partial(_meant, data)
    for path, row in _tables(data, "link"):
        ends = row.get("between")
        for place, end in enumerate(ends if isinstance(ends, list) else []):
            if isinstance(end, str):
                yield from _end((*path, "between", place), end.strip(), known, meant)


def _meant(data: Data, word: str) -> str:
    """Return the device that a word names: nearly by its name, or by what kind of device it is."""
    rows = [row for kind in ("amplifier", "device") for _, row in _tables(data, kind)]
    if close := nearest_of(word, tuple(name for row in rows if (name := _text(row, "name")))):
        return close
    kind = device_kind(word)
    alike = [_text(row, "name") for row in rows if kind and device_kind(_text(row, "kind") or "") is kind]
    return (alike[0] or "") if len(alike) == 1 else ""


def _end(
    path: Path, end: str, known: dict[str, tuple[str, ...] | None], meant: Callable[[str], str]
) -> Iterator[Trouble]:
    owner = max((name for name in known if end.startswith(f"{name}.")), key=len, default="")
    if not owner:
        device, _, port = end.partition(".")
        close = meant(device)
        what = 'a port of a [[device]] or an [[amplifier]], as "name.port"'
        yield Trouble(path, what, nearest=f"{close}.{port}" if close else "")
        return
    ports, port = known[owner], end.removeprefix(f"{owner}.")
    if not port:
        yield Trouble(path, 'a port after the point, as "name.port"')
    elif ports is not None and port not in ports:
        close = nearest_of(port, ports)
        yield Trouble(
            path, f"a port of {owner}: {', '.join(ports)}", nearest=f"{owner}.{close}" if close else ""
        )


def _services(data: Data) -> Iterator[Trouble]:
    known = tuple(_ports(data))
    for path, row in _tables(data, "service"):
        devices = row.get("on")
        for place, device in enumerate(devices if isinstance(devices, list) else []):
            if isinstance(device, str) and device.strip() not in known:
                what = "the name of a [[device]] or an [[amplifier]]"
                yield Trouble((*path, "on", place), what, nearest=_meant(data, device.strip()))
