"""What differs between two states of a file is told by people's names and measures."""

import copy
import tomllib
from pathlib import Path

import pytest

from seatfield.pipeline.changes import changed, changed_briefly

EXAMPLE = Path(__file__).parents[2] / "examples" / "rented-room" / "project.toml"


@pytest.fixture
def data():
    return tomllib.loads(EXAMPLE.read_text("utf-8"))


def after(data, edit):
    """The lines that an edit of a copy makes."""
    other = copy.deepcopy(data)
    edit(other)
    return changed(data, other)


def test_nothing_changed_is_nothing_told(data):
    assert changed(data, copy.deepcopy(data)) == ()
    assert changed_briefly(data, copy.deepcopy(data)) == ""


@pytest.mark.parametrize(
    ("edit", "told"),
    [
        (lambda d: d["amplifier"][0].update(channels=5), "receiver: channels 7 → 5"),
        (lambda d: d["model"][0].pop("power"), "model bookshelf: power 80 → not given"),
        (lambda d: d["loudspeaker"][0].pop("at"), "M+030: at [3.66, 0.66, 1.0] → not given"),
        # By hand: 0.3 m to the one side and 0.4 m to the other are 0.5 m.
        (lambda d: d["subwoofer"][0].update(at=[0.55, 1.3, 0.19]), "sub: moved 0.50 m"),
        (lambda d: d["subwoofer"].pop(), "sub taken away"),
        (lambda d: d["subwoofer"].append({"name": "second sub"}), "second sub added"),
        (lambda d: d["opening"][1].update(curtain=False), "window: curtain yes → no"),
        (lambda d: d["cable"].update(slack="15 %"), "cable: slack 0.1 → 15 %"),
        (lambda d: d["loudspeaker"].pop(1), "M-030 taken away"),
    ],
)
def test_a_change_is_told_by_the_name_of_its_thing(data, edit, told):
    assert after(data, edit) == (told,)


def test_a_wall_that_gives_way_is_told_beside_the_one_that_was_typed():
    """An L of six corners: a notch made wider takes the wall before it along."""
    floor = [[0, 0], [5.2, 0], [5.2, 5.5], [3.0, 5.5], [3.0, 3.9], [0, 3.9]]
    wider = [[0, 0], [6.9, 0], [6.9, 5.5], [3.0, 5.5], [3.0, 3.9], [0, 3.9]]
    told = changed({"room": {"floor": floor}}, {"room": {"floor": wider}})
    assert told == ("room: wall A–B 5.20 m → 6.90 m, wall C–D 2.20 m → 3.90 m",)
    told = changed({"room": {"floor": floor}}, {"room": {"floor": [*floor, [0, 2]]}})
    assert told == ("room: 1 corner added",)


def test_many_changes_are_told_in_short(data):
    other = copy.deepcopy(data)
    for one in other["loudspeaker"]:
        one["mount"] = "wall"
    lines = changed(data, other)
    assert len(lines) > 3
    assert changed_briefly(data, other) == "; ".join(lines[:3]) + f" and {len(lines) - 3} more"


def test_lengths_in_feet_are_told_in_feet():
    before = {"units": "ft", "seat": [{"name": "sofa", "at": ["6 ft", "9 ft"]}]}
    then = {"units": "ft", "seat": [{"name": "sofa", "at": ["6 ft", "10 ft"]}]}
    assert changed(before, then) == ("sofa: moved 1′ 0″",)
