"""Measuring over the API: what to play, recordings that wait, takes that are kept, devices of the machine."""

import io
from itertools import islice

import pytest
import soundfile

from seatfield.model import SweepSettings
from seatfield.pipeline.projects import open_project
from seatfield.pipeline.rehearsing import RehearsalAsked, recordings, rehearsed_sweeps
from seatfield.stages.takes import SweepParams
from seatfield.web.guards import LARGEST_RECORDING_BYTES

NOW = "2031-05-04T20:15:00+02:00"


def wave(samples, rate_hz=48000):
    """A WAV file as a general-purpose library writes it."""
    file = io.BytesIO()
    soundfile.write(file, samples, rate_hz, format="WAV", subtype="PCM_24")
    return file.getvalue()


@pytest.fixture
def take(folder):
    """One run of the room in the folder, and the recording of its short sweep."""
    project = open_project(folder)
    asked = RehearsalAsked(params=SweepParams(SweepSettings(length_s=1.0, tail_s=1.0)))
    sweeps = rehearsed_sweeps(folder, project, asked, at=NOW)
    one = next(islice(recordings(project, sweeps, asked, ()), 1))
    return one.soundings[0].run, wave(one.samples)


def test_every_sweep_is_listed_with_its_way_and_its_file_sounds_on_its_column(client):
    """The file is read by libsndfile; the loudness caution stands first."""
    told = client.get("/api/sweeps").json()
    assert told["before"][0].startswith("Loud sound harms hearing")
    listed = [one for one in told["sweeps"] if one["number"]]
    assert [one["number"] for one in listed] == list(range(1, len(listed) + 1))
    found = client.get(f"/api/sweeps/{listed[1]['number']}.wav")
    samples, rate_hz = soundfile.read(io.BytesIO(found.content))
    assert (rate_hz, samples.shape[1]) == (told["rate_hz"], listed[1]["columns"])
    loudest = (samples**2).sum(axis=0).argmax() + 1
    assert loudest == listed[1]["column"]
    assert client.get("/api/sweeps/99.wav").status_code == 422


def test_a_recording_waits_is_read_and_its_take_is_kept(client, folder, take):
    run, content = take
    waiting = client.put("/api/recordings", params={"name": "one.wav"}, content=content).json()
    assert waiting["seconds"] == pytest.approx(len(soundfile.read(io.BytesIO(content))[0]) / 48000)
    asked = {"recordings": [waiting["id"]], "runs": [run], "place": "sofa middle"}
    told = client.post("/api/takes", json=asked).json()
    assert not told["refused"]
    assert [one["run"] for one in told["takes"][0]["channels"]] == [run]
    assert told["takes"][0]["channels"][0]["polarity"] == "normal"
    assert [one["id"] for one in client.get("/api/takes").json()["takes"]] == ["take 1"]
    kept = list((folder / "log" / "takes").glob("*.wav"))
    assert [file.read_bytes() for file in kept] == [content]
    state = client.get("/api/state").json()
    assert next(one["about"] for one in state["standing"] if one["step"] == "takes") == "1 take kept"


@pytest.mark.parametrize(
    ("asked", "status", "sentence"),
    [
        ({"recordings": ["nowhere"], "place": "sofa middle"}, 404, "No recording 'nowhere' waits"),
        ({"recordings": ["nowhere"], "place": "the moon"}, 422, "is no seat"),
        ({"recordings": ["nowhere"], "place": "1, 2, far"}, 422, "far"),
    ],
)
def test_what_cannot_be_read_is_told_in_a_sentence(client, asked, status, sentence):
    answer = client.post("/api/takes", json=asked)
    assert answer.status_code == status
    assert sentence in answer.json()["sentence"]


def test_what_is_no_sound_is_not_taken(client, folder):
    answer = client.put("/api/recordings", params={"name": "tune.wav"}, content=b"no sound at all")
    assert answer.status_code == 415
    assert answer.json()["sentence"].startswith("tune.wav: ")
    assert not (folder / "log").exists()


def test_a_recording_may_be_larger_than_a_picture_and_is_limited_too(client):
    headers = {"content-length": str(LARGEST_RECORDING_BYTES + 1)}
    answer = client.put("/api/recordings", params={"name": "x"}, headers=headers, content=iter([b"x"]))
    assert answer.status_code == 413


def test_without_a_take_there_is_nothing_to_type_and_the_reason_is_told(client):
    told = client.get("/api/alignment").json()
    assert told["alignment"] is None
    assert "take" in told["refusal"]


def test_only_a_device_of_that_very_name_ever_plays(client):
    """A part of a name is enough on the command line; a page must not start a sound by a guess."""
    asked = {"output": "a", "source": "a", "run": ""}
    answer = client.post("/api/sound/recording", json=asked)
    assert answer.status_code == 422
    assert "'a'" in answer.json()["sentence"] or "Sound devices cannot be used" in answer.json()["sentence"]


def test_what_is_only_shown_records_nothing(served, folder):
    client = served(read_only=True)
    assert client.put("/api/recordings", params={"name": "x"}, content=b"x").status_code == 403
    assert client.get("/api/sweeps").status_code == 200
    assert not (folder / "log").exists()


def test_the_work_is_listed_in_its_order(client):
    steps = [one["what"] for one in client.get("/api/work").json()]
    assert steps[0].startswith("Read the cautions")
    assert len(steps) > 8
