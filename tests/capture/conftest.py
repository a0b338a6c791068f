"""A real sound server for the tests: PulseAudio with a null sink, in a folder of its own, seen through ALSA."""

import os
import shutil
import subprocess
import time
from types import SimpleNamespace

import pytest

SINK = "invented_room"
MAP = "front-left,front-right,rear-left,rear-right,front-center,lfe"  # ALSA's own order of six


@pytest.fixture(scope="session")
def sound_server(tmp_path_factory):
    """Start the server; give back the environment in which programs see it as the device `wire`."""
    if not shutil.which("pulseaudio"):
        pytest.skip("PulseAudio is not installed; scripts/debian-packages names the packages")
    home = tmp_path_factory.mktemp("sound")
    socket = home / "native"
    script = home / "default.pa"
    script.write_text(
        f"load-module module-native-protocol-unix auth-anonymous=1 socket={socket}\n"
        f"load-module module-null-sink sink_name={SINK} channels=6 rate=48000 format=float32le channel_map={MAP}\n"
        f"set-default-sink {SINK}\nset-default-source {SINK}.monitor\n"
    )
    (home / "asound.conf").write_text(
        "</usr/share/alsa/alsa.conf>\n"
        f'pcm.wire {{ type pulse server "unix:{socket}" hint {{ show on description "null sink" }} }}\n'
        f'ctl.wire {{ type pulse server "unix:{socket}" }}\n'
    )
    environment = os.environ | {
        "HOME": str(home),
        "XDG_RUNTIME_DIR": str(home),
        "PULSE_RUNTIME_PATH": str(home / "pulse"),
        "PULSE_SERVER": f"unix:{socket}",
        "ALSA_CONFIG_PATH": str(home / "asound.conf"),
    }
    server = subprocess.Popen(
        ["pulseaudio", "-n", "-F", str(script), "--daemonize=no", "--exit-idle-time=-1", "--disable-shm=yes"],
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    for _ in range(100):
        if socket.exists():
            break
        time.sleep(0.1)
    yield SimpleNamespace(environment=environment, device="wire")
    server.terminate()
    server.wait(timeout=10)
