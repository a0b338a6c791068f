"""Measuring over the API: what to play, recordings that wait, takes that are kept, devices of the machine."""

import io
import pathlib
import shutil
import zipfile
from itertools import islice

import pytest
import soundfile

from seatfield.model import SweepSettings
from seatfield.pipeline.aligning import align
from seatfield.pipeline.measuring import TakeAsked, keep_take
from seatfield.pipeline.projects import open_project
from seatfield.pipeline.rehearsing import RehearsalAsked, recordings, rehearsed_sweeps
from seatfield.pipeline.values import write_values
from seatfield.stages.alignment import Wishes
from seatfield.stages.takes import SweepParams
from seatfield.web.guards import LARGEST_RECORDING_BYTES

EXAMPLES = pathlib.Path(__file__).parents[2] / "examples"
NOW = "2031-05-04T20:15:00+02:00"


def wave(samples, rate_hz=48000):
    """A WAV file as a general-purpose library writes it."""
    file = io.BytesIO()
    soundfile.write(file, samples, rate_hz, format="WAV", subtype="PCM_24")
    return file.getvalue()


def recorded(folder, count, *, one_file=False):
    """The first recordings of short sweeps in the room in a folder, each with the runs that it holds."""
    project = open_project(folder)
    asked = RehearsalAsked(params=SweepParams(SweepSettings(length_s=1.0, tail_s=1.0), one_file=one_file))
    sweeps = rehearsed_sweeps(folder, project, asked, at=NOW)
    made = islice(recordings(project, sweeps, asked, ()), count)
    return [(tuple(sounding.run for sounding in one.soundings), wave(one.samples)) for one in made]


@pytest.fixture
def take(folder):
    """One run of the room in the folder, and the recording of its short sweep."""
    (((run,), content),) = recorded(folder, 1)
    return run, content


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


def test_other_sweeps_are_chosen_and_told_on_the_sheet(client, folder):
    """Two seconds instead of ten; the chirps come from another loudspeaker, and only from one that can play them."""
    first = client.get("/api/sweeps").json()
    wished = {"length_s": 2.0, "level_db": -20.0, "chirps": "M+030"}
    told = client.post("/api/sweeps", json=wished).json()
    assert first["seconds"] - 9.0 < told["seconds"] < first["seconds"] - 7.0
    assert (told["settings"]["level_db"], told["chirps_from"]) == (-20.0, "M+030")
    assert told == client.get("/api/sweeps").json()
    assert "M+030 plays a short chirp" in " ".join(client.get("/api/sweeps/sheet.txt").text.split())
    refused = client.post("/api/sweeps", json=wished | {"chirps": "U+999"})
    assert refused.status_code == 422
    assert "they can come from M+030" in refused.json()["sentence"]
    assert set(told["choices"]) >= {"M+030", "M-030", "loopback"}
    for channel in told["choices"]:
        assert client.post("/api/sweeps", json=wished | {"chirps": channel}).status_code == 200
    assert len((folder / "log" / "sweeps.jsonl").read_text("utf-8").splitlines()) == 1 + len(told["choices"])


def test_one_file_holds_the_bursts_and_every_sweep_in_their_order(client):
    """Read by libsndfile: part by part it is the single files."""
    told = client.post("/api/sweeps", json={"length_s": 1.0}).json()
    found = client.get("/api/sweeps/all.wav")
    assert int(found.headers["content-length"]) == len(found.content)
    samples, rate_hz = soundfile.read(io.BytesIO(found.content))
    numbers = [0, *(one["number"] for one in told["sweeps"] if one["number"])]
    single = [
        soundfile.read(io.BytesIO(client.get(f"/api/sweeps/{number}.wav").content))[0] for number in numbers
    ]
    assert rate_hz == told["rate_hz"]
    assert len(samples) == sum(map(len, single))
    at = 0
    for part in single:
        assert (samples[at : at + len(part)] == part).all()
        at += len(part)


def test_one_recording_may_hold_all_sweeps(client, folder):
    """As a recorder has them that runs while the one file plays."""
    ((runs, content),) = recorded(folder, 1, one_file=True)
    waiting = client.put("/api/recordings", params={"name": "whole.wav"}, content=content).json()
    asked = {"recordings": [waiting["id"]], "runs": runs, "place": "sofa middle"}
    channels = client.post("/api/takes", json=asked).json()["takes"][0]["channels"]
    assert [one["run"] for one in channels] == list(runs)
    assert {one["polarity"] for one in channels[:3]} == {"normal"}


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
        ({"recordings": ["nowhere"], "place": "sofa middle"}, 404, "Nothing waits here as 'nowhere'"),
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
    assert client.post("/api/sweeps", json={}).status_code == 403
    assert not (folder / "log").exists()


def test_the_work_is_listed_in_its_order(client):
    steps = [one["what"] for one in client.get("/api/work").json()]
    assert steps[0].startswith("Read the cautions")
    assert len(steps) > 8


@pytest.fixture(scope="module")
def measured(tmp_path_factory):
    """The log of a room of which three runs were recorded at the main seat."""
    folder = pathlib.Path(shutil.copytree(EXAMPLES / "rented-room", tmp_path_factory.mktemp("m") / "room"))
    project = open_project(folder)
    made = recorded(folder, 3)
    runs = tuple(run for held, _ in made for run in held)
    files = tuple((f"{run}.wav", content) for (run,), content in made)
    keep_take(folder, project, TakeAsked(files, project.main_seat.head, "sofa middle", runs=runs), at=NOW)
    return folder / "log", runs


@pytest.fixture
def aligned(measured, folder, client):
    """A client on a room that was measured, and the runs that were."""
    shutil.copytree(measured[0], folder / "log")
    return client, measured[1]


def test_what_gains_nothing_is_told_as_such_and_gives_nothing_to_take_along(aligned):
    """Typed once, the same takes ask for the same values: nothing gains over them."""
    client, _ = aligned
    wished = {"filters": 2}
    assert client.get("/api/alignment", params=wished).json()["leave"] is False
    again = client.post("/api/alignment/typed", json=wished).json()
    assert again["leave"] is True
    assert again["files"] == []
    assert "alignment.leave" in {one["code"] for one in again["alignment"]["findings"]}
    refused = client.get("/api/alignment/files/values.csv", params=wished)
    assert refused.status_code == 422
    assert "there is nothing to type" in refused.json()["sentence"]


def test_the_values_are_taken_along_as_the_files_that_the_command_line_writes(aligned, folder, tmp_path):
    client, _ = aligned
    wished = {"filters": 2}
    told = client.get("/api/alignment", params=wished).json()
    written = write_values(tmp_path / "out", align(folder, open_project(folder), Wishes(filters=2)).alignment)
    assert told["files"] == [*(file.name for file in written), "values.zip"]
    for file in written:
        found = client.get(f"/api/alignment/files/{file.name}", params=wished)
        assert found.content == file.read_bytes()
    waves = [file for file in written if file.suffix == ".wav"]
    assert waves
    taps, rate_hz = soundfile.read(
        io.BytesIO(client.get(f"/api/alignment/files/{waves[0].name}", params=wished).content)
    )
    assert (rate_hz, len(taps)) == (48000, 16384)
    archive = zipfile.ZipFile(
        io.BytesIO(client.get("/api/alignment/files/values.zip", params=wished).content)
    )
    assert {one: archive.read(one) for one in archive.namelist()} == {
        file.name: file.read_bytes() for file in written
    }
    assert not list(folder.glob("**/values*"))


@pytest.mark.parametrize(
    "name", ["../project.toml", "..%2Fproject.toml", "project.toml", "%2Fetc%2Fpasswd", "."]
)
def test_no_other_file_is_ever_handed_out_as_values(aligned, name):
    answer = aligned[0].get(f"/api/alignment/files/{name}")
    assert answer.status_code in {404, 422}
    assert "format = 1" not in answer.text


def test_what_is_only_shown_still_gives_its_values_and_judges_others(aligned, served, measured):
    client = served(read_only=True)
    found = client.get("/api/alignment/files/values.csv", params={"filters": 2})
    assert found.text.startswith("run,channel,distance_m")
    assert found.headers["content-type"].startswith("text/csv")
    table = f"run,crossover\n{measured[1][0]},80\n"
    assert client.get("/api/alignment/judged", params={"values": table}).status_code == 200
    assert client.post("/api/alignment/typed", json={}).status_code == 403


def test_another_calibration_is_judged_line_by_line_and_what_cannot_be_read_is_told_beside_it(aligned):
    """Our own values are normal; two metres more on one of them is not."""
    client, runs = aligned
    ours = {one["run"]: one for one in client.get("/api/alignment").json()["alignment"]["channels"]}
    rows = [
        f"{run},{ours[run]['distance_m'] + (2.0 if run == runs[2] else 0.0):.2f} m,{ours[run]['trim_db']} dB,80 Hz"
        for run in runs
    ]
    table = "\n".join(["run,distance,trim,crossover", *rows, "sub,far,loud,"])
    told = client.get("/api/alignment/judged", params={"values": table}).json()
    verdicts = {(one["run"], one["what"]): one["verdict"] for one in told["judged"]}
    assert verdicts[runs[0], "distance"] == verdicts[runs[1], "distance"] == "normal"
    assert verdicts[runs[2], "distance"] == "wrong"
    assert {verdicts[run, "trim"] for run in runs} == {"normal"}
    assert [(one["run"], one["what"]) for one in told["refused"]] == [("sub", "distance"), ("sub", "trim")]
    assert "'loud' is given; a number of dB" in told["refused"][1]["message"]
    refused = client.get("/api/alignment/judged", params={"values": "loudspeaker\n"})
    assert refused.status_code == 422
    assert "must name the columns" in refused.json()["sentence"]


def test_a_microphone_s_file_is_taken_off_what_it_read(client, folder, take):
    """A file that says 6 dB too loud everywhere makes the same recording 6 dB quieter."""
    run, content = take
    waiting = client.put("/api/recordings", params={"name": "one.wav"}, content=content).json()
    asked = {"recordings": [waiting["id"]], "runs": [run], "place": "sofa middle"}
    bare = client.post("/api/takes", json=asked).json()["takes"][0]["channels"][0]["level_db"]
    file = b"* made up\n20 6.0\n1000 6.0\n20000 6.0\n"
    told = client.put("/api/microphone-file", params={"name": "m.txt"}, content=file).json()
    assert (told["points"], told["low_hz"], told["high_hz"], told["largest_db"]) == (3, 20.0, 20000.0, 6.0)
    mended = client.post("/api/takes", json=asked | {"compensation": told["id"]}).json()
    assert mended["takes"][0]["channels"][0]["level_db"] == pytest.approx(bare - 6.0, abs=0.1)
    assert [one.read_bytes() for one in (folder / "log" / "takes").glob("*.txt")] == [file]


@pytest.mark.parametrize(
    ("content", "status", "sentence"),
    [
        (b"Dear diary, no sound", 415, "m.txt: No line of the file holds a frequency and a level"),
        (b"\0\1\2", 415, "Send the text that came with the microphone"),
        (b"20 0\n" * 300_000, 413, "At most 1 MB"),
    ],
)
def test_what_is_no_microphone_s_file_is_refused_in_words(client, content, status, sentence):
    answer = client.put("/api/microphone-file", params={"name": "m.txt"}, content=content)
    assert answer.status_code == status
    assert sentence in answer.json()["sentence"]


def test_a_microphone_s_file_that_does_not_wait_is_told(client, take):
    run, content = take
    waiting = client.put("/api/recordings", params={"name": "one.wav"}, content=content).json()
    asked = {"recordings": [waiting["id"]], "runs": [run], "place": "sofa middle", "compensation": "gone"}
    answer = client.post("/api/takes", json=asked)
    assert answer.status_code == 404
    assert "Nothing waits here as 'gone'" in answer.json()["sentence"]
