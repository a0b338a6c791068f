"""The bass from the command line: words within 80 columns, one JSON object, pictures."""

import json

import pytest

from seatfield.cli import main

ROOM = "examples/rented-room"


def run(capsys, *words):
    """Run the command and return its exit code and what it printed."""
    with pytest.raises(SystemExit) as ended:
        main(["bass", *words])
    return ended.value.code, capsys.readouterr().out


def test_the_bass_is_told_in_words_that_fit_a_terminal(capsys):
    """Findings, the list to try with tape distances, crossovers and modes."""
    code, out = run(capsys, ROOM)
    assert code == 0
    assert all(len(line) <= 80 for line in out.splitlines())
    for words in ("To try by ear", "along wall", "Crossovers to start from", "The lowest modes", "now"):
        assert words in out


def test_a_pair_is_asked_for_in_json(capsys):
    """Exactly one object, with two subwoofers in every set."""
    code, out = run(capsys, ROOM, "--json", "--subwoofers", "2")
    told = json.loads(out)
    assert code == 0
    assert told["format"] == "seatfield-plan"
    assert all(len(one["subwoofers"]) == 2 for one in told["bass"]["best"])
    assert told["bass"]["responses"] == []


def test_the_map_and_a_mode_are_written_as_pictures(capsys, tmp_path):
    """SVG by its suffix, PNG by its own; a mode that is not there is misuse."""
    code, _ = run(capsys, ROOM, "--draw", str(tmp_path / "map.svg"))
    assert code == 0
    assert (tmp_path / "map.svg").read_text("utf-8").startswith("<svg")
    code, _ = run(capsys, ROOM, "--draw", str(tmp_path / "mode.png"), "--mode", "2")
    assert code == 0
    assert (tmp_path / "mode.png").read_bytes().startswith(b"\x89PNG")
    code, _ = run(capsys, ROOM, "--draw", str(tmp_path / "no.svg"), "--mode", "9999")
    assert code == 2


def test_the_table_speaks_feet_in_a_project_of_feet(capsys):
    _, out = run(capsys, "examples/open-plan")
    assert '5 7/8" off' in out
    assert "cm off" not in out
