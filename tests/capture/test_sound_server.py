"""Live takes through a real sound server: what is played comes back, and a take of it reads as the wire that it is."""

import json
import subprocess
import sys

import pytest

pytestmark = pytest.mark.sound

PROJECT = """
format = 1
name = "Room over the canal"
[room]
floor = [[0,0],[5,0],[5,4],[0,4]]
ceiling = 2.5
[[seat]]
name = "middle"
at = [2.5, 3.0]
ear = 1.1
main = true
[screen]
centre = [2.5, 0.1, 1.0]
width = 1.3
[system]
layout = "0+5+0"
[[amplifier]]
name = "receiver"
at = [1.0, 0.4, 0.4]
channels = 7
processed = 7
sub_outputs = 1
[[model]]
name = "box"
low_corner = 60
""" + "".join(
    f'[[loudspeaker]]\nchannel = "{run}"\nmodel = "box"\nat = {at}\n'
    for run, at in {
        "M+030": [3.7, 0.7, 1.0],
        "M-030": [1.3, 0.7, 1.0],
        "M+000": [2.5, 0.4, 1.0],
        "M+110": [4.5, 3.5, 1.3],
        "M-110": [0.5, 3.5, 1.3],
    }.items()
)


def seatfield(server, *words, timeout=120):
    code = "import sys; from seatfield.cli import main; main(sys.argv[1:])"
    return subprocess.run(
        [sys.executable, "-c", code, *map(str, words)],
        env=server.environment,
        capture_output=True,
        text=True,
        timeout=timeout,
        check=False,
    )


def test_two_sweeps_played_through_the_server_come_back_together_upright_and_without_drift(
    sound_server, tmp_path
):
    (tmp_path / "project.toml").write_text(PROJECT, encoding="utf-8")
    made = seatfield(sound_server, "sweep", tmp_path, "--out", tmp_path / "sweeps", "--seconds", 1)
    assert made.returncode == 0, made.stderr
    done = seatfield(
        sound_server,
        "take", tmp_path, "--device", sound_server.device, "--yes", "--channels", "M+000,M-110",
        "--position", "middle", "--json",
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    told = json.loads(done.stdout)
    assert told["kept"] == "take 1"
    channels = {one["run"]: one for one in told["takes"][0]["channels"]}
    assert set(channels) == {"M+000", "M-110"}
    for one in channels.values():
        assert one["polarity"] == "normal"
        assert abs(one["drift_ppm"]) < 1.0
        assert one["snr_db"] > 40
    # a wire has no distances: both channels arrive together, and equally loud
    assert channels["M+000"]["arrival_ms"] == pytest.approx(channels["M-110"]["arrival_ms"], abs=0.03)
    assert channels["M+000"]["level_db"] == pytest.approx(channels["M-110"]["level_db"], abs=0.2)
    assert len(list((tmp_path / "log" / "takes").glob("*.wav"))) == 2


def test_a_device_that_is_not_there_is_told_with_those_that_are(sound_server, tmp_path):
    (tmp_path / "project.toml").write_text(PROJECT, encoding="utf-8")
    done = seatfield(sound_server, "take", tmp_path, "--device", "moon", "--yes", "--position", "middle")
    assert done.returncode == 2
    assert "no sound device 'moon'" in done.stderr
    assert "'wire'" in done.stderr
