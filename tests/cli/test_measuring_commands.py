"""The commands of measuring: the names that `--json` promises, exit codes, and words a person can act on."""

import pytest

TEXT = """
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
layout = "2.1"
[[amplifier]]
name = "receiver"
at = [1.0, 0.4, 0.4]
channels = 2
processed = 2
sub_outputs = 1
[[model]]
name = "box"
low_corner = 55
[[model]]
name = "sub"
kind = "subwoofer"
low_corner = 28
[[loudspeaker]]
channel = "M+030"
model = "box"
at = [3.7, 0.7, 1.0]
[[loudspeaker]]
channel = "M-030"
model = "box"
at = [1.4, 0.9, 1.0]
[[subwoofer]]
name = "sub"
model = "sub"
at = [0.4, 0.5, 0.2]
"""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "project.toml").write_text(TEXT, encoding="utf-8")
    return tmp_path


def test_the_whole_way_with_json_keeps_the_promised_names(run_json, folder):
    code, told = run_json(
        "rehearse", folder, "--out", folder / "r", "--seconds", 1, "--fault", "inverted M-030"
    )
    assert code == 0
    assert told["positions"][0]["seat"] == "middle"
    assert "faults" not in told  # hidden until --reveal
    code, told = run_json("take", folder, "--wav", told["positions"][0]["folder"], "--position", "middle")
    assert code == 0
    assert told["kept"] == "take 1"
    channel = told["takes"][0]["channels"][0]
    assert {
        "channel", "arrival_ms", "distance_m", "polarity", "polarity_confidence", "level_db", "snr_db", "decay_s",
        "distortion_db",
    } <= set(channel)  # fmt: skip
    assert channel["polarity"] in {"normal", "inverted", "unknown"}
    assert {"band_hz", "time_s", "range_used"} <= set(channel["decay_s"][0])
    (fault,) = told["faults"]
    assert {"kind", "channel", "confidence", "look_at"} <= set(fault)
    assert (fault["kind"], fault["channel"]) == ("inverted", "M-030")
    code, told = run_json("align", folder)
    assert code == 0
    assert {"channel", "delay_ms", "distance_m", "trim_db", "crossover_hz", "filters"} <= set(
        told["alignment"]["channels"][0]
    )
    assert [one["kind"] for one in told["faults"]] == ["inverted"]


def test_sweep_prints_its_sheet_and_with_json_the_order_and_the_mask(run, run_json, folder):
    code, out, _ = run("sweep", folder, "--out", folder / "s", "--seconds", 1)
    assert code == 0
    assert out.index("harms hearing") < out.index("column 1")
    code, told = run_json("sweep", folder, "--out", folder / "s", "--seconds", 1, "--one-file")
    assert code == 0
    assert told["sweeps"]["columns"][:2] == ["M+030", "M-030"]
    assert told["sweeps"]["mask"] == 0x60F
    assert [one["run"] for one in told["sweeps"]["soundings"]] == ["M+030", "M-030", "sub"]
    assert told["files"][1].endswith("sweeps.wav")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("sweep", "--out", "s", "--seconds", "0.2"), "1 to 60 s can be made"),
        (("sweep", "--out", "s", "--level", "0"), "-60 to -1 can be made"),
        (("sweep", "--out", "s", "--rate", "8000"), "44100, 48000, 88200 or 96000"),
        (("sweep", "--out", "s", "--chirps", "U+030"), "they can come from M+030"),
        (("take",), "No take is kept yet"),
        (("take", "--wav", "nothing.wav", "--position", "middle"), "cannot be read"),
        (("rehearse", "--out", "r", "--fault", "humming sub"), "the kinds are dead"),
        (("align", "--lfe-limit", "loud"), "is no frequency in Hz"),
    ],
)
def test_misuse_is_a_sentence_with_what_is_allowed(run, folder, monkeypatch, words, message):
    monkeypatch.chdir(folder)
    code, _, err = run(words[0], folder, *words[1:])
    assert code == 2
    assert message in " ".join(err.split())


def test_a_place_that_is_neither_seat_nor_three_lengths_is_told_with_both(run, folder):
    (folder / "a.wav").write_bytes(b"RIFF")
    for place in ("sofa", "1, 2"):
        code, _, err = run("take", folder, "--wav", folder / "a.wav", "--position", place)
        assert code == 2
        assert "'middle'" in err
    code, _, err = run("take", folder, "--wav", folder / "a.wav")
    assert code == 2
    assert "Say where the microphone stood" in err


def test_a_take_of_which_nothing_can_be_used_ends_with_1_and_says_why(run, folder):
    (folder / "a.wav").write_bytes(b"RIFF")
    code, out, _ = run("take", folder, "--wav", folder / "a.wav", "--position", "2.5 m, 3 m, 110 cm")
    assert code == 1
    assert "not sound that can be read" in " ".join(out.split())
    assert "Nothing of it can be used" in out


def test_align_without_takes_says_what_to_do_first_and_ends_with_1(run, folder):
    code, out, _ = run("align", folder)
    assert code == 1
    assert "seatfield sweep" in " ".join(out.split())


def test_other_values_are_judged_even_without_a_take(run_json, folder):
    (folder / "v.csv").write_text(
        "run,distance,crossover\nM+030,2.6,80\nM-030,2.5,30\nsub,6.3,\n", encoding="utf-8"
    )
    code, told = run_json("align", folder, "--judge", folder / "v.csv")
    assert code == 0
    verdicts = {(one["run"], one["what"]): one["verdict"] for one in told["judged"]}
    assert verdicts["sub", "distance"] == "normal"
    assert verdicts["M-030", "crossover"] == "wrong"


def test_a_folder_of_folders_is_refused_with_those_that_hold_recordings(run, folder):
    (folder / "r" / "position 1").mkdir(parents=True)
    (folder / "r" / "position 1" / "01.wav").write_bytes(b"RIFF")
    code, _, err = run("take", folder, folder / "r", "--position", "middle")
    assert code == 2
    assert "its folders do: position 1" in " ".join(err.split())
    (folder / "empty").mkdir()
    code, _, err = run("take", folder, folder / "empty", "--position", "middle")
    assert code == 2
    assert "no file in it ends with .wav or .flac" in " ".join(err.split())


def test_a_text_that_is_named_wav_is_told_without_words_of_the_program(run, folder):
    (folder / "a.wav").write_text("These are my notes.\n" * 50, encoding="utf-8")
    code, out, _ = run("take", folder, folder / "a.wav", "--position", "middle")
    assert code == 1
    assert "not sound that can be read" in " ".join(out.split())
    assert "BytesIO" not in out


def test_align_says_what_changed_before_the_faults_and_orders_nothing_that_does_not_gain(
    run, run_json, folder
):
    run_json("rehearse", folder, "--out", folder / "r", "--seconds", 1)
    assert run("take", folder, folder / "r" / "position 1", "--position", "middle")[0] == 0
    code, out, err = run("align", folder, "--typed")
    assert code == 0
    assert "Type this" in out
    assert "once typed" in out
    assert "reading 1 at middle" in err
    code, out, _ = run("align", folder)
    assert code == 0
    assert "Type this" not in out
    assert "Nothing to type here: leave the values as they are." in out
    moved = TEXT.replace("at = [1.4, 0.9, 1.0]", "at = [1.4, 2.4, 1.0]")
    (folder / "project.toml").write_text(moved, encoding="utf-8")
    _, out, _ = run("align", folder)
    assert out.index("M-030 stands 1.50 m") < out.index("fault")
