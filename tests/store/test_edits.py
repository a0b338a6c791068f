"""Edits of the file's text. The truth beside ours is tomlkit, an independent TOML reader."""

import difflib
import random
import tomllib
from pathlib import Path

import pytest
import tomlkit

from seatfield.store import Append, EditRefusedError, Remove, Set, edited, open_text, path_text, read_path

CONTRACT = (Path(__file__).parent / "files" / "contract.toml").read_text()


def changed_lines(before, after):
    """Return the lines taken away and the lines added."""
    lines = [line for line in difflib.ndiff(before.splitlines(), after.splitlines()) if line[0] in "-+"]
    return [line[2:] for line in lines if line[0] == "-"], [line[2:] for line in lines if line[0] == "+"]


def test_no_edit_leaves_every_byte():
    """The text comes back as it went in."""
    assert edited(CONTRACT, []) == CONTRACT


@pytest.mark.parametrize(
    ("edit", "gone", "come"),
    [
        (Set(("room", "ceiling"), 2.45), ["ceiling = 2.6 "], ["ceiling = 2.45 "]),
        (Set(("seat", 1, "at", 0), 1.75), ["at = [1.5, 2.9]"], ["at = [1.75, 2.9]"]),
        (Set(("seat", 0, "main"), False), ["main = true "], ["main = false "]),
        (Set(("limits", "keep_out", 0, "name"), 'by the "stove"'), ["keep_out = "], ['by the \\"stove\\"']),
        (Set(("limits", "keep_out", 0, "note"), "warm"), ["keep_out"], [', note = "warm" } ]']),
        (Set(("screen", "height"), 0.7), [], ["height = 0.7"]),
        (Set(("currency",), "GBP"), ['currency = "EUR"'], ['currency = "GBP"']),
        (Set(("costs", "hole"), 30), [], ["hole = 30"]),
        (Set(("amplifier", 0, "terminal", 0, "name"), "SL"), ["Surround L"], ['name = "SL"']),
        (Set(("loudspeaker", 0, "bracket", "arm"), 0.1), [], ["[loudspeaker.bracket]", "arm = 0.1", ""]),
        (Append(("seat",), {"name": "stool", "at": [1, 1], "ear": 1.2}), [], ["[[seat]]", 'name = "stool"']),
        (Append(("lamp",), {"outline": [[0, 0], [1, 0], [1, 1]], "drop": 0.3}), [], ["[[lamp]]", "drop = 0.3"]),
        (Append(("amplifier", 0, "terminal"), {"name": "C", "carries": ["M+000"]}), [], ["[[amplifier.terminal]]"]),
        (Append(("cable", "stock"), {"conductor": "16 AWG"}), [], ["[[cable.stock]]", 'conductor = "16 AWG"']),
        (Append(("limits", "mains_cables"), [[0, 0, 1], [1, 0, 1]]), ["mains_cables = []"], ["[[[0, 0, 1], [1,"]),
        (Append(("device", 0, "ports"), "out 2"), ['ports = ["out"]'], ['ports = ["out", "out 2"]']),
        (Remove(("seat", 1)), ["[[seat]]", 'name = "armchair"', "at = [1.5, 2.9]"], []),
        (Remove(("room", "temperature")), ["temperature = 21"], []),
        (Remove(("amplifier", 0)), ["[[amplifier]]", "[[amplifier.terminal]]"], []),
        (Remove(("wall",)), ["[[wall]]", "number = 3"], []),
        (Remove(("device", 0, "passes", 1)), ['"E-AC-3", '], ['passes = ["AC-3", "E-AC-3 with objects"]']),
        (Remove(("limits", "walkways", 0)), ["walkways"], ["walkways = []"]),
        (Remove(("room", "finishes", "walls")), ['walls = "plastered masonry"'], []),
    ],
)  # fmt: skip
def test_an_edit_changes_its_own_lines_alone(edit, gone, come):
    """Comments, order, spacing and every other line stay; two TOML readers see the same new data."""
    after = edited(CONTRACT, [edit])
    taken, added = changed_lines(CONTRACT, after)
    assert all(any(piece in line for line in taken) for piece in gone)
    assert all(any(piece in line for line in added) for piece in come)
    assert len(taken) <= max(1, len(gone)) + 20 * isinstance(edit, Remove)
    assert gone or not taken
    assert tomlkit.parse(after).unwrap() == tomllib.loads(after)


def test_a_changed_line_keeps_its_comment():
    """What a person wrote beside a value stays beside it."""
    after = edited(CONTRACT, [Set(("room", "temperature"), 19)])
    assert "temperature = 19                         # °C" in after


def test_comments_on_their_own_lines_survive_the_table_they_stand_by():
    """Taking a table away leaves remarks, which a person may still want."""
    after = edited(CONTRACT, [Remove(("loudspeaker", 0))])
    assert "# aim = [yaw, pitch]" in after


def test_edits_in_a_row_build_on_each_other():
    """A table that was added can be filled by the next edit, and the result opens."""
    edits = [
        Append(("loudspeaker",), {"channel": "M-030", "model": "bookshelf"}),
        Set(("loudspeaker", 1, "at"), [1.15, 0.35, 1.0]),
        Set(("loudspeaker", 1, "mount"), "stand"),
    ]
    opened = open_text(edited(CONTRACT, edits))
    assert opened.faults == ()
    assert opened.project.loudspeakers[1].at == (1.15, 0.35, 1.0)
    assert [speaker.id for speaker in opened.project.loudspeakers] == ["M+030", "M-030"]


def test_windows_line_ends_stay():
    """Added lines end as the file's do."""
    after = edited(CONTRACT.replace("\n", "\r\n"), [Append(("seat",), {"at": [1, 1], "ear": 1})])
    assert "\n" not in after.replace("\r\n", "")


@pytest.mark.parametrize(
    ("edit", "sentence"),
    [
        (Remove(("seat", 7)), r"seat\[7\]: no such place in the file; it must exist"),
        (Set(("seat", 7, "ear"), 1), r"seat\[7\].ear: no such place in the file"),
        (Set((), 1), "the file: an edit of the whole file; an edit names a key"),
        (Append(("room", "ceiling"), 1), "room.ceiling: no list stands here"),
        (Set(("name", "deeper"), 1), "name.deeper: no such place in the file"),
    ],
)
def test_an_edit_without_a_place_is_refused(edit, sentence):
    """The error names the place and what is wanted."""
    with pytest.raises(EditRefusedError, match=sentence):
        edited(CONTRACT, [edit])


def test_values_that_toml_has_not_are_refused():
    """Infinite numbers and objects never reach the file."""
    with pytest.raises(ValueError, match="nan is no number that a project file may hold"):
        edited(CONTRACT, [Set(("room", "ceiling"), float("nan"))])
    with pytest.raises(TypeError, match="a NoneType has no place in a project file"):
        edited(CONTRACT, [Set(("room", "ceiling"), None)])


def every_path(value, path=()):
    """Yield each path of plain data."""
    if path:
        yield path
    for key, item in (
        value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    ):
        yield from every_path(item, (*path, key))


def at(data, path):
    for step in path:
        data = data[step]
    return data


def test_any_value_anywhere_can_be_set_and_removed():
    """At every path of the example: setting a number, and taking away, give exactly that data to two readers."""
    data = tomllib.loads(CONTRACT)
    chance = random.Random(7)
    paths = list(every_path(data))
    assert len(paths) > 300
    for path in paths:
        if not isinstance(at(data, path), dict | list):
            after = edited(CONTRACT, [Set(path, 12.5)])
            assert at(tomllib.loads(after), path) == 12.5
        else:
            after = edited(CONTRACT, [Remove(path)])
            assert tomllib.loads(after) != data
        if chance.random() < 0.2:  # the other reader is slow
            assert tomlkit.parse(after).unwrap() == tomllib.loads(after)


def test_paths_are_written_and_read_back():
    """seat[0].at and keys in quotes."""
    for path in (("seat", 0, "at", 1), ("amplifier", 0, "shows", "E-AC-3 with objects"), ("room",)):
        assert read_path(path_text(path)) == path
    with pytest.raises(ValueError, match="is no place in a project file"):
        read_path("seat[x]")
