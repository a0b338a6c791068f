"""Commands on whole project folders: the examples, a new one, and files at fault."""

import pytest

EXAMPLE_NAMES = ["rented-room", "open-plan", "attic"]


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_the_examples_pass_the_check(run, examples, name):
    code, out, _ = run("check", examples / name)
    assert code == 0, out


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_the_plan_fits_80_columns(run, examples, name):
    code, out, _ = run("plan", examples / name)
    assert code == 0, out
    assert max(map(len, out.splitlines())) <= 80


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_the_plans_json_carries_the_promised_names(run_json, examples, name):
    code, plan = run_json("plan", examples / name)
    assert code == 0
    assert (plan["format"], plan["version"]) == ("seatfield-plan", 1)
    for finding in plan["findings"]:
        assert finding.keys() >= {
            "code",
            "severity",
            "subject",
            "message",
            "measured",
            "limit",
            "unit",
            "source",
            "advice",
        }
    assert plan["layout"]["system"]
    for entry in plan["layout"]["loudspeakers"]:
        assert entry.keys() >= {
            "id",
            "channel",
            "at",
            "azimuth_deg",
            "elevation_deg",
            "distance_m",
            "verdict",
        }
    assert plan["level"]["seats"]
    for entry in plan["cable"]["runs"]:
        named = {"id", "channel", "path", "routed_m", "cut_m", "conductor", "loop_ohm", "loss_db"}
        assert entry.keys() >= named
    assert plan["cable"]["cuts"]


def test_a_folder_and_its_file_give_the_same_plan(run_json, examples):
    by_folder = run_json("plan", examples / "attic")
    assert by_folder == run_json("plan", examples / "attic" / "project.toml")


def test_a_file_at_fault_ends_with_2_and_tells_every_fault_with_its_line(run, run_json, tmp_path, examples):
    text = (examples / "attic/project.toml").read_text(encoding="utf-8")
    broken = text.replace('mount = "stand"', 'mont = "stand"', 1).replace("ear = 1.0", 'ear = "high"', 1)
    (tmp_path / "project.toml").write_text(broken, encoding="utf-8")
    code, told = run_json("plan", tmp_path)
    assert code == 2
    assert len(told["faults"]) == 2
    for fault in told["faults"]:
        assert fault["line"] > 0
    assert "mount" in {fault["nearest"] for fault in told["faults"]}
    code, out, err = run("plan", tmp_path)
    assert (code, out) == (2, "")
    assert "Did you mean 'mount'?" in err


def test_an_outline_that_crosses_itself_stops_the_job_with_1(run_json, tmp_path):
    (tmp_path / "project.toml").write_text(
        'format = 1\nname = "bow"\nunits = "m"\n[room]\nfloor = [[0,0],[4,4],[4,0],[0,4]]\nceiling = 2.5\n'
        '[[seat]]\nname = "one"\nat = [1, 2]\near = 1.1\nmain = true\n'
        '[screen]\ncentre = [2, 0.1, 1]\nwidth = 1.2\n[system]\nlayout = "5.1"\n',
        encoding="utf-8",
    )
    code, plan = run_json("plan", tmp_path)
    assert code == 1
    assert plan["findings"][0]["severity"] == "stop"
    assert "layout" not in plan


def test_a_new_project_opens_at_once_and_is_never_overwritten(run, tmp_path):
    answers = [
        "--name",
        "X",
        "--units",
        "m",
        "--width",
        "4m",
        "--depth",
        "5m",
        "--height",
        "2.5m",
        "--seat",
        "3m",
        "--screen",
        "1.2m",
        "--layout",
        "5.1",
    ]
    assert run("new", tmp_path / "room", *answers)[0] == 0
    assert run("check", tmp_path / "room")[0] == 0
    code, _, err = run("new", tmp_path / "room", *answers)
    assert code == 2
    assert "exists already" in err


def test_lengths_in_feet_and_inches_start_a_project_too(run, run_json, tmp_path):
    lengths = [
        "--width",
        "13 ft 9 in",
        "--depth",
        "16' 5\"",
        "--height",
        "8 ft",
        "--seat",
        "10 ft",
        "--screen",
        "4 ft",
    ]
    assert (
        run("new", tmp_path / "room", "--name", "X", "--units", "ft", "--layout", "7.1.4", *lengths)[0] == 0
    )
    code, told = run_json("check", tmp_path / "room")
    assert code == 0, told


def test_systems_lists_windows_as_intervals_and_free_places_as_null(run_json):
    _, listed = run_json("systems")
    j = next(entry for entry in listed["systems"] if entry["name"] == "4+7+0")
    channels = {channel["label"]: channel for channel in j["channels"]}
    assert channels["M+090"]["azimuth_range_deg"] == [[85, 110]]
    assert channels["LFE1"]["azimuth_range_deg"] is None
