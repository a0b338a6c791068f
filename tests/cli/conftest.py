"""Run the command line in this process, as its entry point does."""

import json
import pathlib

import pytest

from seatfield.cli import main

EXAMPLES = pathlib.Path(__file__).parents[2] / "examples"


@pytest.fixture
def run(capsys):
    """Run the command with these words; give back exit code, standard output and standard error."""

    def call(*words):
        with pytest.raises(SystemExit) as ended:
            main([str(word) for word in words])
        printed = capsys.readouterr()
        return ended.value.code, printed.out, printed.err

    return call


@pytest.fixture
def run_json(run):
    """Run the command with --json; give back exit code and the one object printed."""

    def call(*words):
        code, out, err = run(*words, "--json")
        assert err == ""
        return code, json.loads(out)

    return call


@pytest.fixture
def examples():
    """The folder of example projects."""
    return EXAMPLES
