"""The workbench measures through a sound device of its machine: level, bursts, a sweep that is read and kept."""

import json
import pathlib
import shutil
import subprocess
import sys
import urllib.request

import pytest

from seatfield.model import SweepSettings
from seatfield.pipeline.projects import open_project
from seatfield.pipeline.rehearsing import RehearsalAsked, rehearsed_sweeps
from seatfield.stages.takes import SweepParams

pytestmark = pytest.mark.sound
EXAMPLES = pathlib.Path(__file__).parents[2] / "examples"
SEATFIELD = str(pathlib.Path(sys.executable).parent / "seatfield")


@pytest.fixture
def ask(sound_server, tmp_path):
    """Return a function that asks a workbench whose only devices are those of the test's own sound server."""
    folder = pathlib.Path(shutil.copytree(EXAMPLES / "rented-room", tmp_path / "room"))
    asked = RehearsalAsked(params=SweepParams(SweepSettings(length_s=1.0, tail_s=1.0)))
    rehearsed_sweeps(folder, open_project(folder), asked, at="2031-05-04T20:15:00+02:00")
    command = [SEATFIELD, "serve", str(folder), "--port", "0", "--no-browser"]
    served = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=sound_server.environment)
    address = next(word for word in served.stdout.readline().split() if word.startswith("http"))

    def call(path, body=None):
        content = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(
            f"{address}api/{path}", content, {"content-type": "application/json"}
        )
        with urllib.request.urlopen(request, timeout=120) as answer:
            return json.load(answer)

    yield call
    served.terminate()
    served.wait(10)
    served.stdout.close()


def test_a_take_through_the_machines_device_is_read(ask, sound_server):
    """The server's null sink hands on what is played, so that the microphone hears the sweep itself."""
    device = {"output": sound_server.device, "source": sound_server.device}
    assert sound_server.device in [one["name"] for one in ask("sound")["devices"]]
    assert set(ask(f"sound/level?source={sound_server.device}")) == {"peak_db", "level_db"}
    assert ask("sound/recording", device) is None
    waiting = ask("sound/recording", device | {"run": "M+030"})
    assert waiting["peak_db"] > -60
    told = ask("takes", {"recordings": [waiting["id"]], "runs": ["M+030"], "place": "sofa middle"})
    assert not told["refused"]
    assert [one["polarity"] for one in told["takes"][0]["channels"]] == ["normal"]
