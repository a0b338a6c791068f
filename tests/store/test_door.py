"""The door: a project file becomes a project, or every fault of it with its line."""
# ruff: noqa: E501 - the table of faults reads best with one case a line

import os
import re
import tomllib
from pathlib import Path

import pytest

from seatfield.catalogue.device_kinds import DEVICE_KINDS
from seatfield.catalogue.formats import FORMATS
from seatfield.model import CeilingThingKind, Fault, LengthUnit
from seatfield.store import numbered_walls, open_folder, open_text

CONTRACT = Path(__file__).parent / "files" / "contract.toml"

MINIMAL = """\
[room]
floor = [[0, 0], [4, 0], [4, 5], [0, 5]]
ceiling = 2.5
[[seat]]
at = [2, 3.5]
ear = 1.05
[screen]
centre = [2, 0.1, 1]
width = 1.25
[system]
layout = "5.1.2"
"""


def with_line(line, after=""):
    """Return the minimal file with a line after another one, or at its end."""
    if not after:
        return f"{MINIMAL}{line}\n"
    assert after in MINIMAL
    return MINIMAL.replace(after, f"{after}\n{line}", 1)


def instead(old, new):
    """Return the minimal file with one text instead of another."""
    assert old in MINIMAL
    return MINIMAL.replace(old, new, 1)


def only_fault(text):
    """Return the one fault that a text has."""
    opened = open_text(text)
    assert opened.project is None
    assert len(opened.faults) == 1, [str(fault) for fault in opened.faults]
    return opened.faults[0]


def test_the_contracts_example_opens_without_faults():
    """The example of the file's contract, as it is printed there, is a project."""
    opened = open_folder(CONTRACT)
    assert opened.faults == ()
    project = opened.project
    assert (project.name, project.units, project.layout) == (
        "Study over the bakery",
        LengthUnit.METRE,
        "2+5+0",
    )
    assert project.cable.stock[0].length_m == pytest.approx(100 * 0.3048)  # NIST SP 811: 1 ft = 0.3048 m
    assert project.cable.stock[0].area_mm2 == pytest.approx(2.081, abs=0.001)  # ASTM B258 table: 14 AWG
    assert project.room.walls[3].stud_spacing_m == 0.6
    assert project.room.walls[4].finish.name == "plastered masonry"
    assert project.main_seat.name == "middle"
    assert project.loudspeakers[0].id == "M+030"
    assert project.devices[0].settings[0].only == (("untouched", ("E-AC-3 with objects",)),)


def test_every_key_of_the_contracts_example_reaches_the_project():
    """A number changed anywhere in the example changes the project: nothing is dropped silently."""
    text = CONTRACT.read_text()
    before = open_text(text).project
    numbers = [
        m
        for m in re.finditer(r"(?<![\w.+\"])\d+(?:\.\d+)?(?![\w\"])", text)
        if not in_comment(text, m.start())
    ]
    deaf = []
    for match in numbers:
        changed = text[: match.start()] + f"{float(match[0]) * 1.001 + 0.0007:.6f}" + text[match.end() :]
        opened = open_text(changed)
        if opened.project == before:
            deaf.append(text[: match.start()].count("\n") + 1)
    assert deaf == []
    assert len(numbers) > 150


def in_comment(text, offset):
    """Whether a place stands in a comment; the example has no # inside quotes."""
    return "#" in text[text.rfind("\n", 0, offset) + 1 : offset]


def test_a_minimal_file_is_a_project():
    """Room, one seat, screen and system are enough; the one seat is the main one."""
    opened = open_text(MINIMAL)
    assert opened.faults == ()
    assert opened.project.main_seat.at == (2.0, 3.5)
    assert opened.project.screen.height_m == pytest.approx(1.25 * 9 / 16)


def test_a_folder_and_its_file_open_alike(tmp_path):
    """A project's folder stands for the project.toml in it."""
    file = tmp_path / "project.toml"
    file.write_text(MINIMAL)
    assert open_folder(tmp_path) == open_folder(str(file))
    assert open_folder(tmp_path).path == file


def test_feet_and_text_with_units_become_metres():
    """Plain numbers are in the project's units; text with a unit is in its own."""
    text = 'units = "ft"\n' + MINIMAL.replace("ceiling = 2.5", 'ceiling = "8\' 2 1/2\\""').replace(
        "1.05", '"105 cm"'
    )
    project = open_text(text).project
    assert project.room.floor[2] == pytest.approx((4 * 0.3048, 5 * 0.3048))
    assert project.room.ceiling_m == pytest.approx(98.5 * 0.0254)
    assert project.seats[0].ear_m == (1.05, 1.05)


def test_windows_line_ends_and_a_byte_order_mark_are_taken(tmp_path):
    """What a Windows editor adds does no harm."""
    file = tmp_path / "project.toml"
    file.write_bytes(b"\xef\xbb\xbf" + MINIMAL.replace("\n", "\r\n").encode())
    assert open_folder(file).project == open_text(MINIMAL).project


def test_the_room_may_be_given_by_tape():
    """Wall lengths and diagonals stand in place of the outline."""
    walls = 'walls = ["4 m", "5 m", "400 cm", 5]\ndiagonals = [{ between = [0, 2], length = "6.40 m" }]'
    project = open_text(instead("floor = [[0, 0], [4, 0], [4, 5], [0, 5]]", walls)).project
    assert project.room.tape.walls_m == (4.0, 5.0, 4.0, 5.0)
    assert project.room.tape.diagonals[0].length_m == 6.4
    assert [wall.number for wall in project.room.walls] == [0, 1, 2, 3]


def test_ceiling_planes_finishes_and_hanging_things_are_read():
    """Sloping ceilings, own absorption bands, and what hangs under the ceiling."""
    text = instead(
        "ceiling = 2.5",
        "ceiling = [[[0,0,2],[4,0,2],[0,5,3.2]]]\nfinishes = { walls = { 125 = 0.1, 500 = 0.2 } }",
    )
    text += "[[beam]]\noutline = [[0,1],[4,1],[4,1.2],[0,1.2]]\ndrop = 0.2\n[[treatment]]\nwall = 1\nfrom = 1\nto = 2\n"
    text += "sill = 0.5\nheight = 1\nfinish = { 250 = 0.8 }\n"
    opened = open_text(text)
    assert opened.faults == ()
    room = opened.project.room
    assert room.ceiling_m is None
    assert room.ceiling_planes[0].points[2] == (0.0, 5.0, 3.2)
    assert room.walls[0].finish.absorption == (0.1, 0.2)
    assert room.ceiling_things[0].kind is CeilingThingKind.BEAM
    assert room.treatments[0].finish.freq_hz == (250.0,)


def test_things_without_a_name_get_one_of_their_own():
    """Two doors are told apart; one is called what it is."""
    door = '[[opening]]\nkind = "door"\nwall = 0\nstart = {}\nwidth = 0.8\nheight = 2\n'
    window = '[[opening]]\nkind = "window"\nwall = 1\nstart = 1\nwidth = 1\nheight = 1\n'
    project = open_text(MINIMAL + door.format(0.1) + window + door.format(2)).project
    assert [opening.id for opening in project.room.openings] == ["door 1", "window", "door 2"]
    assert project.room.openings[2].key == "opening[2]"


SPEAKER = '[[model]]\nname = "shelf"\n[[model]]\nname = "box"\nkind = "subwoofer"\n[[loudspeaker]]\nchannel = "M+030"\nmodel = "shelf"\n'
DEVICES = '[[device]]\nname = "player"\nports = ["out"]\n[[amplifier]]\nname = "receiver"\n'
LINK = '[[link]]\nkind = "hdmi"\nbetween = ["player.out", "receiver.in 1"]\n'


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        # unknown and missing keys
        (with_line("heigth = 0.7", "width = 1.25"), r":10: screen.heigth: found the unknown key 'heigth'; wanted a key of screen. Did you mean 'height'\?"),
        (with_line("[rom]"), r":12: rom: found the unknown key 'rom'; wanted a key or table of the file. Did you mean 'room'\?"),
        (instead("ceiling = 2.5\n", ""), r":1: room.ceiling: found nothing; wanted the key ceiling: height of the ceiling"),
        (instead('[system]\nlayout = "5.1.2"\n', ""), r":1: system: found nothing; wanted the key system: what sound system is wanted"),
        (instead("[[seat]]\nat = [2, 3.5]\near = 1.05\n", ""), r":1: seat: found nothing; wanted the key seat: seats, as \[\[seat\]\]"),
        # everyday words
        (with_line("[tv]"), r":12: tv: found the unknown key 'tv'; wanted a key or table of the file. Did you mean 'screen'\?"),
        (with_line("[[speaker]]"), r":12: speaker: .*Did you mean 'loudspeaker'\?"),
        (with_line("position = [1, 2]\n", "ear = 1.05"), r":7: seat\[0\].position: .*Did you mean 'at'\?"),
        (with_line("zzz = 1", "width = 1.25"), r":10: screen.zzz: found the unknown key 'zzz'; wanted one of the keys centre, width, height, viewing_angle\."),
        (with_line('[[opening]]\nkind = "Door"\nwall = 0\nstart = 1\nwidth = 0.8\nheight = 2'), r":13: opening\[0\].kind: .*Did you mean 'door'\?"),
        (with_line('[[opening]]\nkind = "sliding patio door"\nwall = 0\nstart = 1\nwidth = 0.8\nheight = 2'), r"Did you mean 'door'\?"),
        (with_line(SPEAKER + 'mount = "floor"'), r"loudspeaker\[0\].mount: found \"floor\"; .*Did you mean 'stand'\?"),
        (with_line('[[opening]]\nkind = "door"\nwall = 0\nstart = 1\nwidth = 0.8\nheight = 2\nopens = "in"'), r"opening\[0\].opens: found \"in\"; .*Did you mean 'inward'\?"),
        (with_line(SPEAKER.replace("M+030", "FL")), r"found \"FL\"; wanted a loudspeaker label .*Did you mean 'M\+030'\?"),
        (with_line(SPEAKER.replace("M+030", "SR")), r"Did you mean 'M-110'\?"),
        (with_line(SPEAKER.replace("M+030", "Surround Back Right")), r"Did you mean 'M-135'\?"),
        # decimal commas
        (instead("ceiling = 2.5", "ceiling = 2,45"), r":3: found the bare decimal comma 2,45; wanted \"2,45\", for a decimal comma needs quotes, or 2.45"),
        (instead("[4, 5], [0, 5]]", "[5,2, 0], [0, 5]]"), r":2: room.floor\[2\]: found \[5,2, 0\]; wanted a point \[x, y\]; inside brackets a comma parts numbers, so if 5,2 is a decimal comma write a point: \[5.2, 0\]"),
        # types
        (instead("ceiling = 2.5", "ceiling = true"), r":3: room.ceiling: found true; wanted a length such as 2.40 m"),
        (instead("ceiling = 2.5", 'ceiling = "high"'), r':3: room.ceiling: found "high"; wanted a length such as'),
        (instead("[4, 5], [0, 5]]", "[4], [0, 5]]"), r":2: room.floor\[2\]: found \[4\]; wanted a point \[x, y\]"),
        (instead("[4, 5], [0, 5]]", "[4, '5 m 3'], [0, 5]]"), r":2: room.floor\[2\]\[1\]: found '5 m 3'; wanted a length"),
        (instead("floor = [[0, 0], [4, 0], [4, 5], [0, 5]]", "floor = 4"), r":2: room.floor: found 4; wanted a list of corners"),
        (instead("floor = [[0, 0], [4, 0], [4, 5], [0, 5]]", "floor = [[0, 0], [4, 0]]"), r"at least three of them, from 3 to 200"),
        (instead("[[seat]]", "[seat]"), r":4: seat: found a table; wanted tables headed \[\[seat\]\], with double brackets"),
        (with_line("[[limits]]"), r":12: limits: found a table; wanted a table of keys"),
        (with_line("name = 3\n", "ear = 1.05"), r":7: seat\[0\].name: found 3; wanted text in quotes"),
        (with_line('name = " "\n', "ear = 1.05"), r":7: seat\[0\].name: found \" \"; wanted a name in quotes that is not empty"),
        (with_line('main = "yes"\n', "ear = 1.05"), r":7: seat\[0\].main: found \"yes\"; wanted true or false, without quotes"),
        (with_line('[limits]\nholes = "wall"'), r':13: limits.holes: found "wall"; wanted one of "none", "walls", "walls and ceiling". Did you mean \'walls\'\?'),
        (with_line('[[amplifier]]\nname = "a"\nchannels = 7.5'), r":14: amplifier\[0\].channels: found 7.5; wanted a whole number from 0 to 64"),
        # numbers of no ordinary size
        (instead("2.5", "1e300"), r":3: room.ceiling: found 1e300; wanted a length from 0.0001 to 10000 m"),
        (instead("2.5", "nan"), r":3: room.ceiling: found nan; wanted a length .* as a number of ordinary size"),
        (instead("2.5", "-inf"), r":3: room.ceiling: found -inf; wanted a length .* as a number of ordinary size"),
        (instead("2.5", "9" * 400), r":3: room.ceiling: found 9{59}…; wanted a length .* as a number of ordinary size"),
        (instead("2.5", "0"), r":3: room.ceiling: found 0; wanted a length from 0.0001"),
        (instead("[4, 5], [0, 5]]", "[4, 1e-320], [0, -1e9]]"), r":2: room.floor\[3\]\[1\]: found -1e9; wanted a length from -10000 to 10000 m"),
        (with_line("temperature = 900", "ceiling = 2.5"), r":4: room.temperature: found 900; wanted a temperature from -60 to 200 °C"),
        # lengths that can be read in two ways
        (instead("ceiling = 2.5", 'ceiling = "5.10 ft"'), r":3: room.ceiling: found \"5.10 ft\"; wanted 5 ft 10 in or 5 ft 1.2 in; as it stands it can be read either way"),
        ('units = "ft"\n' + instead("2.5", "8.11"), r":4: room.ceiling: found 8.11; wanted 8 ft 11 in or 8 ft 1.32 in; as it stands"),
        (with_line('[cable]\n[[cable.stock]]\nconductor = "14"'), r":14: cable.stock\[0\].conductor: found \"14\"; wanted 14 AWG or 14 mm2; as it stands"),
        (with_line('[[cable.stock]]\nconductor = "42 strand"'), r":13: cable.stock\[0\].conductor: found \"42 strand\"; wanted the conductor's cross-section; a count of strands"),
        (with_line('[[cable.stock]]\nconductor = "14/2"\ncores = 4'), r":14: cable.stock\[0\].cores: found 4; wanted 2 cores, as its conductor's marking says"),
        # the room
        (instead("[0, 5]]", "[0, 5], [0, 0]]"), r":2: room.floor\[4\]: found \[0, 0\]; wanted corners that differ; the outline closes by itself"),
        (with_line("walls = [4, 5, 4, 5]", "ceiling = 2.5"), r":4: room.walls: found \[4, 5, 4, 5\]; wanted either floor or walls, not both"),
        (instead("floor = [[0, 0], [4, 0], [4, 5], [0, 5]]\n", ""), r":1: room.floor: found nothing; wanted the room's outline: floor = "),
        (instead("2.5", "[[[0,0,2],[1,0,2],[2,0,3]]]"), r":3: room.ceiling\[0\]: found .*; wanted three points of the ceiling that do not stand in one line"),
        (with_line('[room.finishes]\nwalls = "plasterd masonry"'), r":13: room.finishes.walls: .* wanted a finish of the built-in table, which docs/project-file.md lists, .*Did you mean 'plastered masonry'\?"),
        (with_line("[room.finishes]\nwalls = { 125 = 7 }"), r":13: room.finishes.walls.125: found 7; wanted a finish's name, .*numbers from 0 to 1.2"),
        # walls and corners
        (with_line("[[socket]]\nwall = 4\nat = 1"), r":13: socket\[0\].wall: found 4; wanted the number of a wall, from 0 to 3 for 4 corners"),
        (with_line("[[wall]]\nnumber = 1\n[[wall]]\nnumber = 1"), r":15: wall\[1\].number: found 1; wanted one table \[\[wall\]\] for each wall"),
        (with_line("[[radiator]]\nwall = 1\nfrom = 2\nto = 1"), r":15: radiator\[0\].to: found 1; wanted a place beyond from"),
        (with_line('[[cover]]\nkind = "rug"'), r":12: cover\[0\].outline: found nothing; wanted an outline, or wall, from and to"),
        (instead("floor = [[0, 0], [4, 0], [4, 5], [0, 5]]", "walls = [4, 5, 4, 5]\ndiagonals = [{ between = [0, 9], length = 6 }]"), r":3: room.diagonals\[0\].between\[1\]: found 9; wanted the number of a corner, from 0 to 3"),
        (with_line('[[socket]]\nwall = "A-C"\nat = 1'), r":13: socket\[0\].wall: found \"A-C\"; wanted the number of a wall, from 0 to 3 for 4 corners, or \"A-B\" to \"D-A\""),
        (with_line('[[socket]]\nwall = "north"\nat = 1'), r":13: socket\[0\].wall: found \"north\"; wanted the number of a wall, from 0, or its corners' letters such as \"A-B\""),
        # seats
        (with_line("[[seat]]\nat = [1, 3]\near = 1"), r":4: seat\[0\]: found 2 seats, none of them main; wanted main = true in exactly one \[\[seat\]\]"),
        (with_line("main = true\n[[seat]]\nat = [1, 3]\near = 1\nmain = true", "ear = 1.05"), r":11: seat\[1\].main: found true; wanted main = true in exactly one \[\[seat\]\]; another one is main already"),
        (instead("ear = 1.05", "ear = [1.1, 1.0]"), r":6: seat\[0\].ear: found \[1.1, 1.0\]; wanted a height of the ears, .*the lowest first"),
        # kit and its references
        (instead('"5.1.2"', '"5.1.3"'), r':11: system.layout: found "5.1.3"; wanted a sound system such as .*Did you mean'),
        (with_line(SPEAKER.replace('model = "shelf"', 'model = "shelv"')), r":19: loudspeaker\[0\].model: found \"shelv\"; wanted the name of a \[\[model\]\] for a loudspeaker. Did you mean 'shelf'\?"),
        (with_line(SPEAKER.replace('model = "shelf"', 'model = "box"')), r"loudspeaker\[0\].model: found \"box\"; wanted the name of a \[\[model\]\] for a loudspeaker; 'box' is one of the other kind"),
        (with_line(SPEAKER + '[[loudspeaker]]\nchannel = "M+030"\nmodel = "shelf"'), r":21: loudspeaker\[1\].channel: found \"M\+030\"; wanted an id of its own for each loudspeaker and subwoofer: two with this channel need an id each, such as id = \"M\+030 b\"; no loudspeaker has \"M-030\", the other side, yet. Did you mean 'M-030'\?"),
        (with_line(SPEAKER.replace("M+030", "M+31")), r"found \"M\+31\"; wanted a loudspeaker label of ITU-R BS.2051 .*Did you mean 'M\+030'\?"),
        (with_line(SPEAKER.replace("M+030", "front right")), r"Did you mean 'M-030'\?"),
        (with_line('[[amplifier]]\nname = "a"\n[[amplifier.terminal]]\nname = "L"\ncarries = ["M+110", "M+111"]'), r":16: amplifier\[0\].terminal\[0\].carries\[1\]: found \"M\+111\"; wanted a loudspeaker label .*Did you mean 'M\+110'\?"),
        (with_line(SPEAKER.replace('kind = "subwoofer"', 'kind = "subwoofer"\nsensitivity = 86')), r"model\[1\].sensitivity: found the unknown key 'sensitivity'; wanted one of the keys name, kind, enclosure, low_corner, q"),
        (with_line('[[model]]\nname = "b"\nkind = "subwofer"'), r"found \"subwofer\"; wanted one of \"loudspeaker\", \"upward\", \"subwoofer\". Did you mean 'subwoofer'"),
        (with_line('[[model]]\nname = "b"\n[[model]]\nname = "b"'), r":15: model\[1\].name: found \"b\"; wanted a name that no other model has"),
        (with_line('[[model]]\nname = "b"\ndirectivity = { freq_hz = [100, 200], angle_deg = [0], level_db = [[0]] }'), r"model\[0\].directivity.level_db: found \[\[0\]\]; wanted 2 lists, one for each frequency, of 1 levels each"),
        (with_line('[[amplifier]]\nname = "a"\nsettings = { trim_range = [1, -1] }'), r"settings.trim_range: found \[1, -1\]; wanted numbers that ascend"),
        (with_line('[[amplifier]]\nname = "a"\nterminal_kind = "spring clips"'), r"amplifier\[0\].terminal_kind: found \"spring clips\"; wanted one of .*Did you mean 'spring clip'\?"),
        (with_line('[[amplifier]]\nname = "a"\n[[amplifier.terminal]]\nname = "B"\ncarries = ["third zone"]'), r"terminal\[0\].carries\[0\]: found \"third zone\"; wanted a loudspeaker label"),
        # the chain
        (with_line(DEVICES + LINK.replace("player.out", "player.output")), r":19: link\[0\].between\[0\]: .* wanted a port of player: out. Did you mean 'player.out'\?"),
        (with_line(DEVICES + LINK.replace("player.out", "plyer.out")), r":19: link\[0\].between\[0\]: found \"plyer.out\"; wanted a port of a \[\[device\]\] or an \[\[amplifier\]\], as \"name.port\". Did you mean 'player.out'\?"),
        (with_line(DEVICES + '[[service]]\nname = "s"\non = ["playr"]'), r":19: service\[0\].on\[0\]: found \"playr\"; wanted the name of a \[\[device\]\] or an \[\[amplifier\]\]. Did you mean 'player'\?"),
        (with_line('[[device]]\nname = "p"\nsettings = [ { name = "o", values = ["a b"], a_only = [] } ]'), r":14: device\[0\].settings\[0\].a_only: found \[\]; wanted name, values, a_b_only"),
        # audio formats and kinds of device
        (with_line('[[device]]\nname = "p"\ndecodes = ["LPCM 2", "E-AC-4"]'), r":14: device\[0\].decodes\[1\]: found \"E-AC-4\"; wanted an audio format by its open name, one of LPCM, AC-3, E-AC-3, .*Did you mean 'E-AC-3'\?"),
        (with_line('[[device]]\nname = "p"\npasses = ["AC-3 7.1"]'), r":14: device\[0\].passes\[0\]: found \"AC-3 7.1\"; wanted an audio format .*Did you mean 'AC-3 5.1'\?"),
        (with_line('[[device]]\nname = "p"\nconverts = { "E-AC-3" = "AC3" }'), r":14: device\[0\].converts.\"?E-AC-3\"?: found \"AC3\"; wanted an audio format .*Did you mean 'AC-3'\?"),
        (with_line('[[device]]\nname = "p"\nsettings = [ { name = "o", values = ["on"], on_only = ["DTZ"] } ]'), r":14: device\[0\].settings\[0\].on_only\[0\]: found \"DTZ\"; wanted an audio format .*Did you mean 'DTS'\?"),
        (with_line('[[amplifier]]\nname = "a"\ndecodes = ["DTS lossles"]'), r":14: amplifier\[0\].decodes\[0\]: found \"DTS lossles\"; wanted an audio format .*Did you mean 'DTS lossless'\?"),
        (with_line('[[amplifier]]\nname = "a"\nshows = { "MLP with object" = "" }'), r":14: amplifier\[0\].shows.\"?MLP with object\"?: found \"\"; wanted an audio format .*Did you mean 'MLP with objects'\?"),
        (with_line('[[service]]\nname = "s"\noffers = ["LPCM 8 191"]'), r":14: service\[0\].offers\[0\]: found \"LPCM 8 191\"; wanted an audio format"),
        (with_line('[[device]]\nname = "p"\nkind = "televison"'), r":14: device\[0\].kind: found \"televison\"; wanted one of \"display\", \"projector\", .*or nothing. Did you mean 'television'\?"),
        # the file itself
        ("format = 2\nroom = 3\n", r":1: format: found 2; wanted format 1; a newer Seatfield wrote this file, and opens it"),
        ("format = 0\n" + MINIMAL, r":1: format: found 0; wanted the number 1"),
        ("format = 1\n[room\n", r":2: found text that is no TOML: expected ']' .*at column 6; wanted TOML, such as"),
        ("[room]\nfloor = [[0, 0], [4,\n", r":2: found text that is no TOML: .*at the end of the file; wanted the rest of the file, which seems to be cut off"),
        ("a = 1\na = 2\n", r":2: found text that is no TOML: cannot overwrite a value"),
        ("a = 1\nb = " + "9" * 5000, r":2: found a number of thousands of digits; wanted fewer digits"),
        ("a = 1\nb = " + "[" * 60 + "]" * 60, r":2: found brackets nested deeper than any project needs"),
        ("a = 1\nb = " + "[" * 20000 + "]" * 20000, r":2: found brackets nested deeper than any project needs"),
    ],
)  # fmt: skip
def test_each_kind_of_fault_has_its_sentence(text, sentence):
    """A slip is told alone, with its line, its key, what stands there and what would be right."""
    assert re.search(sentence, str(only_fault(text))), str(only_fault(text))


def test_a_terminal_says_its_kind_and_what_it_carries_beside_channels():
    """Words for uses are taken in any case; kinds stand at the terminal, the amplifier and the model."""
    text = """[[amplifier]]
name = "a"
terminal_kind = "spring clip"
second_zone = 2
bi_amp = ["M+030"]
[[amplifier.terminal]]
name = "B"
carries = ["Second zone", "M+135"]
kind = "binding post"
[[model]]
name = "box"
terminal_kind = "loose lead"
"""
    project = open_text(with_line(text)).project
    (amplifier,) = project.amplifiers
    assert (amplifier.terminal_kind, amplifier.second_zone, amplifier.bi_amp) == (
        "spring clip",
        2,
        ("M+030",),
    )
    assert amplifier.terminals[0].carries == ("second zone", "M+135")
    assert amplifier.terminals[0].kind == "binding post"
    assert project.models[0].terminal_kind == "loose lead"


def test_every_format_and_kind_that_the_stages_know_passes_the_door():
    """What the catalogue reads, the door lets in, as the user wrote it."""
    names = [f"{entry.name}" for entry in FORMATS] + ["lpcm 8 192/24", "E-AC-3 5.1", "LPCM 2 48 kHz 16 bit"]
    words = [word for kind in DEVICE_KINDS for word in (kind.name, *kind.also)]
    text = MINIMAL + "".join(
        f'[[device]]\nname = "{word}"\nkind = "{word}"\npasses = {names}\n'.replace("'", '"')
        for word in words
    )
    opened = open_text(text)
    assert opened.faults == ()
    assert [device.kind for device in opened.project.devices] == words
    assert opened.project.devices[0].passes == tuple(names)


def test_all_faults_are_told_at_once_in_the_files_order():
    """Wrong types, unknown keys and broken references come together, by line; a misspelt key is not missing too."""
    text = with_line(SPEAKER.replace('"M+030"', "7").replace('model = "shelf"', 'model = "x"'))
    text = text.replace("ear = 1.05", "eer = 1.05").replace("width = 1.25", "width = false")
    faults = open_text(text).faults
    assert [fault.key for fault in faults] == [
        "seat[0].eer",
        "screen.width",
        "loudspeaker[0].channel",
        "loudspeaker[0].model",
    ]
    assert [fault.line for fault in faults] == sorted(fault.line for fault in faults)


def test_one_slip_in_a_table_hides_no_other():
    """A stretch that runs backwards, cores that disagree and an outline given twice are told beside other slips."""
    text = MINIMAL + '[[radiator]]\nwall = "x"\nfrom = 2\nto = 1\n'
    text += '[[cable.stock]]\nconductor = "14/2"\ncores = 3\nprice = "cheap"\n'
    text = text.replace("ceiling = 2.5", "ceiling = 0\nwalls = [1, 2, 3]")
    assert [fault.key for fault in open_text(text).faults] == [
        "room.ceiling",
        "room.walls",
        "radiator[0].wall",
        "radiator[0].to",
        "cable.stock[0].cores",
        "cable.stock[0].price",
    ]


def test_hundreds_of_faults_end_in_a_count():
    """The list of faults stays readable, and says how many it leaves out."""
    faults = open_text(MINIMAL + "".join(f"unknown_{n} = 1\n" for n in range(250))).faults
    assert len(faults) == 201
    assert faults[-1].found == "50 more faults"


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (MINIMAL.encode("utf-16"), r"project.toml:1: found text saved as UTF-16; wanted text saved as UTF-8"),
        (MINIMAL.encode("utf-32"), r"project.toml:1: found text saved as UTF-32; wanted text saved as UTF-8"),
        (
            f'{MINIMAL}name = "Küche"'.encode("latin-1"),
            r"project.toml:12: found the byte 0xfc, which is no UTF-8",
        ),
        (
            b"#" * 1_000_001,
            r"project.toml: found more than 1,000,000 bytes; wanted a project file of at most 1 MB",
        ),
        (b"", r"project.toml:1: room: found nothing; wanted the key room"),
    ],
)
def test_a_file_that_is_no_text_is_told_so(tmp_path, content, sentence):
    """Encodings and sizes that cannot be read are faults, with the line where it shows."""
    (tmp_path / "project.toml").write_bytes(content)
    faults = open_folder(tmp_path).faults
    assert re.search(sentence, str(faults[0])), str(faults[0])


def test_what_is_no_file_is_told_so(tmp_path):
    """Missing files, folders of that name and pipes are faults, not exceptions, and do not block."""
    (tmp_path / "a" / "project.toml" / "deeper").mkdir(parents=True)
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "b").mkdir()
    (tmp_path / "b" / "room.toml").write_text(MINIMAL)
    found = {name: open_folder(tmp_path / name).faults[0] for name in ("a", "b", "nowhere", "pipe", "a\0b")}
    assert found["a"].found == "a folder"
    assert found["b"].nearest == str(tmp_path / "b" / "room.toml")
    assert found["nowhere"].found == "no such file"
    assert found["pipe"].found == "something that is neither a file nor a folder"
    assert found["a\0b"].found.startswith("a file that does not open")
    assert all(isinstance(fault, Fault) and fault.line == 0 for fault in found.values())


def test_the_fixture_is_toml_by_the_standard_librarys_reading():
    """The example is TOML 1.0 by an outside parser, so that our reading of it is not its only truth."""
    assert tomllib.loads(CONTRACT.read_text())["format"] == 1


@pytest.mark.parametrize(
    ("written", "number"),
    [
        ("0", 0),
        ('"A-B"', 0),
        ('"A–B"', 0),
        ('"B - C"', 1),
        ('"c to d"', 2),
        ('"D-A"', 3),
        ('"A-D"', 3),
        ('"B-A"', 0),
    ],
)
def test_a_wall_is_told_by_number_or_by_the_letters_of_its_corners(written, number):
    """The sheets call corners A, B, C in the order of the file; wall A–B is wall 0."""
    opened = open_text(
        MINIMAL + f"[[socket]]\nwall = {written}\nat = 1\n[[wall]]\nnumber = {written}\nbuild = 'stud'\n"
    )
    assert opened.faults == ()
    assert opened.project.room.sockets[0].wall == number
    assert opened.project.room.walls[number].build == "stud"


def test_a_diagonal_is_told_by_letters_as_the_tape_is_read():
    """Corners of a diagonal may be letters."""
    walls = 'walls = [4, 5, 4, 5]\ndiagonals = [{ between = ["A", "C"], length = 6.40 }]'
    project = open_text(instead("floor = [[0, 0], [4, 0], [4, 5], [0, 5]]", walls)).project
    assert project.room.tape.diagonals[0].between == (0, 2)


def test_walls_by_letters_become_numbers_in_plain_data_and_nothing_else_changes():
    """What edits the file counts walls; data without letters stay as they are."""
    data = tomllib.loads(
        MINIMAL + '[[socket]]\nwall = "D-A"\nat = 1\n[[radiator]]\nwall = 1\nfrom = 1\nto = 2\n'
    )
    found = numbered_walls(data)
    assert found["socket"] == [{"wall": 3, "at": 1}]
    assert found | {"socket": data["socket"]} == data
    assert data["socket"][0]["wall"] == "D-A"


def test_whole_inches_of_a_screen_are_remembered_as_a_likely_diagonal():
    """55 in may be a diagonal; 55.0 in, 140 cm and feet are widths."""
    for written, whole in (
        ("'55 in'", True),
        ("'55\"'", True),
        ("'55.0 in'", False),
        ("'140 cm'", False),
        ("1.25", False),
    ):
        assert open_text(instead("width = 1.25", f"width = {written}")).project.screen.whole_inches is whole


@pytest.mark.parametrize(("units", "per_m"), [("m", 1.0), ("ft", 1 / 0.3048)])
def test_cable_without_a_length_is_priced_by_the_projects_unit(units, per_m):
    """Sold by the metre or by the foot of 0.3048 m (NIST SP 811); a spool's price is that of the spool."""
    size = {"m": "4, 5", "ft": "13, 16"}[units].split(", ")
    text = (
        f'format = 1\nname = "x"\nunits = "{units}"\n[room]\nfloor = [[0,0],[{size[0]},0],[{size[0]},{size[1]}],[0,{size[1]}]]\n'
        'ceiling = "2.5 m"\n[[seat]]\nat = ["2 m", "3 m"]\near = "1.1 m"\n'
        '[screen]\ncentre = ["2 m", "0.1 m", "1 m"]\nwidth = "1.2 m"\n[system]\nlayout = "0+5+0"\n'
        '[[cable.stock]]\nconductor = "16 AWG"\nprice = 0.35\nowned = 20\n'
        '[[cable.stock]]\nconductor = "14 AWG"\nlength = "30 m"\nprice = 45\nowned = 1\n'
    )
    loose, spool = open_text(text).project.cable.stock
    assert loose.price == pytest.approx(0.35 * per_m)
    assert loose.owned == pytest.approx(20 / per_m)
    assert (spool.price, spool.owned) == (45, 1)
    loose = open_text(text.replace("owned = 20", 'owned = "6096 mm"')).project.cable.stock[0]
    assert loose.owned == pytest.approx(6.096)
    (fault,) = open_text(text.replace("owned = 1\n", 'owned = "20 m"\n')).faults
    assert fault.key == "cable.stock[1].owned"
    assert "a count of spools, such as 1" in fault.wanted


def test_yes_and_no_are_told_as_true_and_false_and_hide_no_further_fault():
    """TOML 1.0 has true and false, in small letters."""
    text = with_line("[limits]\npets = yes\nchildren = No\nholes = none").replace(
        "width = 1.25", "width = -3"
    )
    told = [str(fault) for fault in open_text(text).faults]
    assert len(told) == 4
    for key, found, meant in (("pets", "yes", "yes is true"), ("children", "No", "No is false")):
        assert any(f"{key}: found {found}; wanted true or false" in line and meant in line for line in told)
    assert any('holes: found none; wanted "none", for text stands in quotes' in line for line in told)
    assert any("screen.width" in line for line in told)
    assert open_text(with_line("[limits]\npets = True")).faults[0].line == 13


def test_a_word_in_quotes_for_a_flag_says_which_it_means():
    seats = '[[seat]]\nname = "b"\nat = [1, 3]\near = 1.1\nmain = "yes"'
    (fault,) = open_text(with_line(seats)).faults
    assert (fault.key, fault.nearest) == ("seat[1].main", "true")


def test_a_list_that_may_hold_a_decimal_comma_is_asked_about():
    """[4,35, 2.00] has three numbers, or two."""
    outline = "walls = [4,35, 4.00,\n  4.35, 4.00]"
    text = re.sub(r"floor = .*", outline, with_line(""))
    (fault,) = open_text(text).faults
    assert fault.found.startswith("4,35 in a list")
    assert "4.35 if that is a decimal comma, or 4, 35" in fault.wanted
    for sure in ("walls = [4.35, 4.00, 4.35, 4.00]", "walls = [4,3,4,3]", "walls = [4, 3, 4, 3,\n]"):
        assert open_text(re.sub(r"floor = .*", sure, with_line(""))).faults == ()
    assert open_text(f'name = "[4,35, 2]"  # [4,35, 2.00]\n{MINIMAL}').faults == ()


def test_a_price_with_a_decimal_comma_is_a_price():
    stock = '[[cable.stock]]\nconductor = "16 AWG"\nprice = '
    assert open_text(with_line(stock + '"18,90"')).project.cable.stock[0].price == 18.9
    (fault,) = open_text(with_line(stock + '"18,90 EUR"')).faults
    assert "a price such as 18.90, as a number without its currency" in fault.wanted


def test_a_wall_told_by_its_everyday_key_is_one_fault():
    (fault,) = open_text(with_line('[[wall]]\nwall = "A-B"\nbuild = "stud"')).faults
    assert (fault.key, fault.nearest) == ("wall[0].wall", "number")


@pytest.mark.parametrize(
    ("kind", "meant"),
    [("ARC", "return"), ("eARC", "enhanced return"), ("coax", "coaxial"), ("analog", "analogue")],
)
def test_a_link_of_the_trades_word_names_its_kind(kind, meant):
    """HDMI 1.4b and 2.1 print the return channels' names so."""
    link = (
        '[[device]]\nname = "TV"\nkind = "television"\n[[device]]\nname = "box"\n'
        f'[[link]]\nbetween = ["TV.out", "box.in"]\nkind = "{kind}"\n'
    )
    (fault,) = open_text(with_line(link)).faults
    assert (fault.key, fault.nearest) == ("link[0].kind", meant)


def test_a_devices_kind_for_its_name_finds_the_device():
    chain = (
        '[[device]]\nname = "TV"\nkind = "television"\n[[device]]\nname = "box"\nkind = "player"\n'
        '[[link]]\nbetween = ["disc player.out", "television.in"]\nkind = "hdmi"\n'
        '[[service]]\nname = "films"\non = ["television"]\noffers = ["AC-3"]\n'
    )
    told = {fault.key: fault.nearest for fault in open_text(with_line(chain)).faults}
    assert told["service[0].on[0]"] == "TV"
    assert told["link[0].between[1]"] == "TV.in"
