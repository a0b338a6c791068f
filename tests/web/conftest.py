"""The workbench's server in this process, over a copy of an example."""

import pathlib
import shutil
import warnings

import pytest

from seatfield.pipeline.bench import Bench
from seatfield.web.app import make_app

EXAMPLES = pathlib.Path(__file__).parents[2] / "examples"
HOST = "127.0.0.1:8437"


@pytest.fixture
def folder(tmp_path):
    """A copy of the rented room, to be changed."""
    return pathlib.Path(shutil.copytree(EXAMPLES / "rented-room", tmp_path / "room"))


@pytest.fixture
def without_bass(folder):
    """Take the subwoofer out of the folder, so that what takes seconds has nothing to do."""
    text = (folder / "project.toml").read_text("utf-8")
    start = text.index("[[subwoofer]]")
    (folder / "project.toml").write_text(text[:start] + text[text.index("[cable]", start) :], "utf-8")


@pytest.fixture
def served(folder):
    """Return a function that opens a client on the folder; options go to the project at work."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from starlette.testclient import TestClient
    opened = []

    def open_client(**options):
        bench = Bench(folder, **options)
        client = TestClient(make_app(bench, frozenset({HOST})), base_url=f"http://{HOST}")
        opened.append(bench)
        return client

    yield open_client
    for bench in opened:
        bench.close()


@pytest.fixture
def client(served):
    """A client on the folder."""
    return served()
