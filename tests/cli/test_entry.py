"""The command line's promises: help that teaches, exit codes, one object with --json, no traceback."""

import pytest

from seatfield.cli import entry


def test_help_names_every_command_and_the_exit_codes(run):
    code, out, _ = run("--help")
    assert code == 0
    assert all(name in out for name in entry.COMMANDS)
    assert "1 when a finding" in " ".join(out.split())


@pytest.mark.parametrize("name", entry.COMMANDS)
def test_every_command_has_help_within_80_columns(run, name):
    code, out, _ = run(name, "--help")
    assert code == 0
    assert all(len(line) <= 80 for line in out.splitlines())


def test_a_misspelt_command_names_its_neighbour(run):
    code, _, err = run("plna")
    assert code == 2
    assert "Did you mean 'plan'?" in err


def test_misuse_with_json_is_one_object_too(run_json):
    code, told = run_json("plna")
    assert code == 2
    assert told["format"] == "seatfield-faults"
    assert "plna" in told["faults"][0]["found"]


def test_a_defect_of_the_program_is_a_sentence_and_never_a_traceback(run, monkeypatch, examples):
    def broken(*_arguments, **_options):
        raise ZeroDivisionError

    monkeypatch.setattr("seatfield.pipeline.plan", broken)
    code, out, err = run("check", examples / "attic")
    assert code == 2
    assert out == ""
    assert "This is a defect of the program" in err
    assert "Traceback" not in err
