"""`chain` and `sink` on real input: the examples, and displays of the open EDID collection (authorities/edid)."""

import json
import pathlib

import pytest

DISPLAYS = json.loads(
    (pathlib.Path(__file__).parents[2] / "authorities/edid/displays.json").read_text(encoding="utf-8")
)
RECEIVERS = [entry for entry in DISPLAYS if entry["well_formed"] and len(entry["printed"]["formats"]) > 2]


@pytest.fixture
def report(tmp_path):
    """A receiver's report as a binary file, with what edid-decode prints of it."""
    entry = RECEIVERS[0]
    file = tmp_path / "edid.bin"
    file.write_bytes(bytes.fromhex(entry["hex"]))
    return file, entry["printed"]


def test_chain_prints_the_promised_names(run_json, examples):
    code, told = run_json("chain", examples / "open-plan")
    assert code == 0
    promised = {
        "service",
        "device",
        "path",
        "format",
        "channels",
        "objects",
        "lossless",
        "losses",
        "mends",
        "display_shows",
    }
    assert len(told["chain"]["services"]) == 2
    for entry in told["chain"]["services"]:
        assert entry.keys() >= promised


def test_an_optical_link_in_the_way_is_named_as_the_first_loss(run_json, examples, tmp_path):
    text = (examples / "rented-room/project.toml").read_text(encoding="utf-8")
    (tmp_path / "project.toml").write_text(
        text.replace('kind = "hdmi"', 'kind = "optical"'), encoding="utf-8"
    )
    _, told = run_json("chain", tmp_path)
    first = told["chain"]["services"][0]
    assert not first["objects"]
    assert "player.out" in first["losses"][0]["where"]
    assert first["mends"]


def test_sink_prints_what_edid_decode_prints(run_json, report):
    file, printed = report
    code, told = run_json("sink", file)
    assert code == 0
    found = [(entry["code"], entry["channels"]) for entry in told["sink"]["formats"]]
    assert found == [(entry["code"], entry["channels"]) for entry in printed["formats"]]


def test_sink_fills_the_abilities_of_a_device_in_the_project(run, run_json, report, examples, tmp_path):
    (tmp_path / "project.toml").write_bytes((examples / "open-plan/project.toml").read_bytes())
    code, _, err = run("sink", report[0], "--into", tmp_path, "--device", "receiver")
    assert code == 0, err
    _, told = run_json("chain", tmp_path)
    assert "chain.decoders-unknown" not in {finding["code"] for finding in told["findings"]}


def test_sink_names_the_devices_there_are(run, report, examples):
    code, _, err = run("sink", report[0], "--into", examples / "open-plan", "--device", "nobody")
    assert code == 2
    assert "disc player" in err


def test_a_file_that_is_no_report_is_told_in_words(run_json, tmp_path):
    (tmp_path / "noise.bin").write_bytes(b"\x07" * 300)
    code, told = run_json("sink", tmp_path / "noise.bin")
    assert code == 2
    assert told["sink"]["formats"] == []
    assert told["warnings"]


@pytest.mark.parametrize("damage", ["a picture", "no header", "base checksum", "base cut short"])
def test_what_is_no_sound_edid_is_refused_and_never_written(run, report, examples, tmp_path, damage):
    """A PNG (ISO/IEC 15948) and a display's EDID with a base block that does not add up to 0 (VESA E-EDID)."""
    whole = report[0].read_bytes()
    whole = whole if whole.startswith(b"\0\xff") else bytes.fromhex("".join(report[0].read_text().split()))
    content = {
        "a picture": b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 8,
        "no header": b"\1" + whole[1:],
        "base checksum": whole[:20] + bytes([whole[20] ^ 1]) + whole[21:],
        "base cut short": whole[:100],
    }[damage]
    (tmp_path / "display.bin").write_bytes(content)
    project = tmp_path / "project.toml"
    project.write_bytes((examples / "open-plan/project.toml").read_bytes())
    before = project.read_bytes()
    for words in ((), ("--into", tmp_path, "--device", "receiver")):
        code, out, err = run("sink", tmp_path / "display.bin", *words)
        assert (code, out) == (2, "")
        assert "EDID" in err
    assert project.read_bytes() == before


def test_a_display_of_sound_bytes_is_read_from_hexadecimal_text_too(run_json, report, tmp_path):
    whole = report[0].read_bytes()
    whole = whole if whole.startswith(b"\0\xff") else bytes.fromhex("".join(report[0].read_text().split()))
    (tmp_path / "display.txt").write_text(whole.hex(" "), encoding="ascii")
    code, told = run_json("sink", tmp_path / "display.txt")
    assert code == 0
    assert told["sink"] == run_json("sink", report[0])[1]["sink"]
