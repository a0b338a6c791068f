"""What a hand can do to a project, as values: move, write, add, remove; each becomes edits of the file.

Places are metres on the floor plan; what is typed stays as it was typed. ``key`` is a place in the file, such as
``furniture[2]`` or ``room.floor[1]``.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

from seatfield.pipeline.adding import added, appended_channels
from seatfield.pipeline.moving import moved, put, turned
from seatfield.pipeline.outline import corner_removed, settled, slid_wall, split_wall, wall_length
from seatfield.pipeline.places_in_file import CommandRefusedError, Place, at_place
from seatfield.pipeline.session import Change, Revision
from seatfield.store import Append as AppendEdit
from seatfield.store import Edit, Set
from seatfield.store import Remove as RemoveEdit

Spot = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Move:
    """Move a thing, or one corner of an outline, to a place on the floor plan [m].

    Parameters
    ----------
    snap
        Whether it may spring to a wall, a neighbour or the next whole centimetre.
    """

    key: str
    to: Spot
    snap: bool = True
    do: Literal["move"] = "move"


@dataclass(frozen=True, slots=True)
class SlideWall:
    """Move a wall square to itself, so that it passes through a place [m]."""

    wall: int
    to: Spot
    snap: bool = True
    do: Literal["slide wall"] = "slide wall"


@dataclass(frozen=True, slots=True)
class WallLength:
    """Give a wall a length as typed; the walls after it give way."""

    wall: int
    length: str
    do: Literal["wall length"] = "wall length"


@dataclass(frozen=True, slots=True)
class SplitWall:
    """Put a new corner into a wall, at the place nearest to one on the floor plan [m]."""

    wall: int
    at: Spot
    do: Literal["split wall"] = "split wall"


@dataclass(frozen=True, slots=True)
class Settle:
    """Turn an outline that was read by tape into corners, as adjusted."""

    do: Literal["settle"] = "settle"


@dataclass(frozen=True, slots=True)
class Turn:
    """Turn a thing with an outline by a quarter, counter-clockwise."""

    key: str
    do: Literal["turn"] = "turn"


@dataclass(frozen=True, slots=True)
class Put:
    """Give a thing with an outline a place of its middle, a width and a depth as typed; what is left out stays."""

    key: str
    x: str | None = None
    y: str | None = None
    width: str | None = None
    depth: str | None = None
    do: Literal["put"] = "put"


@dataclass(frozen=True, slots=True)
class Write:
    """Give a key a value as typed; nothing takes the key away."""

    key: str
    value: Any = None
    do: Literal["write"] = "write"


@dataclass(frozen=True, slots=True)
class Append:
    """Add an entry at the end of a list of the file."""

    key: str
    value: Any
    do: Literal["append"] = "append"


@dataclass(frozen=True, slots=True)
class Add:
    """Add a thing of a known sort, such as ``seat``, ``sofa`` or ``door``, near a place [m] or in the room's middle."""

    what: str
    at: Spot | None = None
    do: Literal["add"] = "add"


@dataclass(frozen=True, slots=True)
class AddChannels:
    """Add a loudspeaker for every channel of the sound system that has none, or for one, where the plan shows it."""

    channel: str = ""
    do: Literal["add channels"] = "add channels"


@dataclass(frozen=True, slots=True)
class Remove:
    """Take a thing, a corner or a key away."""

    key: str
    do: Literal["remove"] = "remove"


Command = (
    Move
    | SlideWall
    | WallLength
    | SplitWall
    | Settle
    | Turn
    | Put
    | Write
    | Append
    | Add
    | AddChannels
    | Remove
)


def change_of(commands: Iterable[Command]) -> Change:
    """Return the change that does these commands one after the other.

    Parameters
    ----------
    commands
        Each is made on the state of the file that the change is handed, so several must not touch one list.

    Returns
    -------
    Change
        For `Session.change` and `Session.preview`.

    Raises
    ------
    CommandRefusedError
        When it is made, if a command makes no sense here.
    """
    commands = tuple(commands)

    def change(seen: Revision) -> Iterable[Edit]:
        place = _place_on(seen)
        return [edit for command in commands for edit in _edits(command, place)]

    return change


@lru_cache(maxsize=4)
def _place_on(seen: Revision) -> Place:
    """Where commands are made on a revision; a hand that moves asks for it with every move."""
    return at_place(seen.project, seen.data())


def _edits(command: Command, place: Place) -> Iterable[Edit]:
    return _DOERS[type(command)](place, command)


def _written(place: Place, command: Write) -> Iterable[Edit]:
    path = place.path(command.key)
    if command.value is not None:
        return (Set(path, _plain(command.key, command.value)),)
    return (RemoveEdit(path),) if place.stands(path) else ()


def _removed(place: Place, key: str) -> Iterable[Edit]:
    path = place.path(key)
    if path[:2] == ("room", "floor") and len(path) == 3:
        return corner_removed(place, int(path[2]))
    if not place.stands(path):
        raise CommandRefusedError(f"There is no {key} in the file; nothing was taken away.")
    return (RemoveEdit(path),)


def _plain(key: str, value: Any) -> Any:
    """Return a value that a project file can hold."""
    from seatfield.store.encoding import toml_value

    try:
        toml_value(value)
    except (TypeError, ValueError, RecursionError) as refused:
        raise CommandRefusedError(f"{key or 'the file'}: {refused}.") from refused
    return value


def _appended(place: Place, command: Append) -> Iterable[Edit]:
    return (AppendEdit(place.path(command.key), _plain(command.key, command.value)),)


_DOERS: dict[type, Callable[[Place, Any], Iterable[Edit]]] = {
    Move: lambda place, c: moved(place, c.key, c.to, snap=c.snap),
    SlideWall: lambda place, c: slid_wall(place, c.wall, c.to, snap=c.snap),
    WallLength: lambda place, c: wall_length(place, c.wall, c.length),
    SplitWall: lambda place, c: split_wall(place, c.wall, c.at),
    Settle: lambda place, _c: settled(place),
    Turn: lambda place, c: turned(place, c.key),
    Put: lambda place, c: put(place, c.key, middle=(c.x, c.y), size=(c.width, c.depth)),
    Add: lambda place, c: added(place, c.what, c.at),
    AddChannels: lambda place, c: appended_channels(place, c.channel),
    Remove: lambda place, c: _removed(place, c.key),
    Append: _appended,
    Write: _written,
}
