"""Project folders of one's own to work on."""

import pathlib
import shutil

import pytest

EXAMPLES = pathlib.Path(__file__).parents[2] / "examples"


@pytest.fixture
def folder(tmp_path):
    """A copy of the rented room, to be changed."""
    return pathlib.Path(shutil.copytree(EXAMPLES / "rented-room", tmp_path / "room"))
