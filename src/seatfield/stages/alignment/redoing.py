"""What changed since the values were typed, and what has to be done again for it."""

from collections.abc import Mapping
from dataclasses import dataclass

from seatfield.model import Project
from seatfield.stages.layout import Layout
from seatfield.stages.takes import known_of


@dataclass(frozen=True, slots=True)
class Redo:
    """One change, and what to do again because of it."""

    changed: str
    redo: tuple[str, ...]


def setup_of(project: Project, layout: Layout) -> dict[str, str]:
    """Return what the alignment depends on, as texts that can be kept and compared.

    Parameters
    ----------
    project, layout
        The plan.

    Returns
    -------
    dict of str to str
        By kind and name: ``loudspeaker M+030``, ``seat middle``, ``furniture sofa``, ``room``, ``amplifier receiver``.
    """
    places = known_of(project, layout).places
    setup = {
        f"loudspeaker {one.id}": f"{one.model} at {_rounded(places.get(one.id))}"
        for one in layout.loudspeakers
    }
    setup |= {
        f"subwoofer {sub.id}": f"{sub.model} at {_rounded(places.get(sub.id))}" for sub in project.subwoofers
    }
    setup |= {f"seat {seat.name}": f"{_rounded(seat.head)}" for seat in project.seats}
    setup |= {
        f"furniture {one.name}": f"{[_rounded(corner) for corner in one.outline]} {one.height_m:.2f}"
        for one in project.room.furniture
    }
    setup |= {
        f"treatment {one.name}": f"{one.finish.name} {one.wall} {one.outline}"
        for one in project.room.treatments
    }
    room = project.room
    setup["room"] = (
        f"{[_rounded(corner) for corner in room.floor]} {room.floor_finish.name} {room.ceiling_finish.name}"
    )
    setup |= {f"amplifier {one.name}": f"{one.settings}" for one in project.amplifiers}
    return setup


def _rounded(place: tuple[float, ...] | None) -> str:
    return "no place" if place is None else ", ".join(f"{value:.2f}" for value in place)


_WHOLE = "take every seat again (sweep, take)"
_TYPE = "align again and type the new values"
_REDO = {
    "loudspeaker": (
        "take {name} again at every seat",
        "align again and type its distance, trim and crossover",
    ),
    "subwoofer": (
        "take {name} again at every seat",
        "align again: delay, polarity and level of the subwoofers, and the bass filters",
    ),
    "seat": ("take {name}", "align again; if it is the main seat, type all distances and trims"),
    "furniture": ("take every seat again for the bass", "align again: filters and the subwoofers' delay"),
    "treatment": (_WHOLE, "align again: trims and filters"),
    "room": (_WHOLE, _TYPE),
    "amplifier": (_TYPE,),
}


def redo(before: Mapping[str, str], now: Mapping[str, str]) -> tuple[Redo, ...]:
    """Say what changed between two setups, and what to do again.

    Parameters
    ----------
    before, now
        From `setup_of`.

    Returns
    -------
    tuple of Redo
        In the order of the setup; what has not changed asks for nothing.
    """
    found = []
    for key in dict.fromkeys((*now, *before)):
        if before.get(key) == now.get(key):
            continue
        kind, _, name = key.partition(" ")
        how = "is new" if key not in before else "is gone" if key not in now else "changed"
        steps = tuple(step.format(name=name) for step in _REDO[kind])
        found.append(Redo(f"{key} {how}", steps[1:] if how == "is gone" and len(steps) > 1 else steps))
    return tuple(found)
