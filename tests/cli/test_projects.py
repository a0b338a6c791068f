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


ANSWERS = {
    "name": "X", "units": "m", "width": "4 m", "depth": "5 m", "height": "2.5 m", "seat": "3 m", "screen": "1.2 m",
    "layout": "5.1",
}  # fmt: skip


def answered(run, folder, **changed):
    words = [word for key, answer in (ANSWERS | changed).items() for word in (f"--{key}", answer)]
    return run("new", folder, *words)


@pytest.mark.parametrize("screen", ["55 in", "55in", '55"', "55"])
def test_a_diagonal_is_not_taken_for_a_width(run, tmp_path, screen):
    """A 16:9 picture of 55 in is 55 · 16 / √(16² + 9²) = 47.94 in, 1.22 m, wide."""
    code, _, err = answered(run, tmp_path / "room", screen=screen)
    assert code == 2
    assert "55 in across the corners is 1.22 m wide" in " ".join(err.split())
    assert not (tmp_path / "room").exists()


def test_a_diagonal_that_is_said_to_be_one_gives_the_width(run, tmp_path):
    assert answered(run, tmp_path / "room", screen="55 in diagonal")[0] == 0
    assert "width = 1.218" in (tmp_path / "room/project.toml").read_text(encoding="utf-8")
    assert answered(run, tmp_path / "other", screen="55.0 in")[0] == 0


@pytest.mark.parametrize(
    ("key", "answer", "meant"),
    [
        ("depth", "5100", "5.10 m"),
        ("width", "13", None),
        ("height", "248", "2.48 m"),
        ("seat", "300", "3.00 m"),
    ],
)
def test_a_size_that_no_living_room_has_is_refused_with_the_likely_slip(run, tmp_path, key, answer, meant):
    code, _, err = answered(run, tmp_path / "room", **{key: answer})
    assert code == (2 if meant else 0)
    assert meant is None or f"meant: {meant}" in " ".join(err.split())


def test_plan_tells_how_to_find_every_place_with_a_tape(run, run_json, examples):
    code, out, _ = run("plan", examples / "rented-room")
    assert code == 0
    _, told = run_json("plan", examples / "rented-room")
    told_by_tape = out.split("Places by tape")[1].split("Cable")[0]
    placed = [entry for entry in told["layout"]["loudspeakers"] if entry["at"]]
    assert placed
    for entry in told["layout"]["marks"]:
        (line,) = (line for line in told_by_tape.splitlines() if line.startswith(entry["id"] + " "))
        reach = entry["tapes"][0]["distance_m"] if entry["tapes"] else entry["along_m"]
        assert f"{reach:.2f} m" in line
    assert {entry["id"] for entry in placed} <= {entry["id"] for entry in told["layout"]["marks"]}


def test_check_says_what_it_made_of_the_room(run, examples):
    _, out, _ = run("check", examples / "rented-room")
    assert out.startswith("The room as read: 4 corners")
    assert " m², " in out


def test_faults_wrap_and_no_line_ends_in_blanks(run, examples, tmp_path):
    text = (examples / "open-plan/project.toml").read_text(encoding="utf-8")
    (tmp_path / "project.toml").write_text(text.replace('"E-AC-3', '"nothing-known', 1), encoding="utf-8")
    code, _, err = run("check", tmp_path)
    assert code == 2
    short = err.replace(str(tmp_path), "")
    assert len(short.splitlines()) > 3
    assert max(map(len, short.splitlines())) <= 80
    for words in (("plan", examples / "attic"), ("chain", examples / "open-plan")):
        _, out, _ = run(*words)
        assert all(line == line.rstrip() for line in out.splitlines())


def test_chain_tells_the_worst_finding_first(run, examples, tmp_path):
    text = (examples / "open-plan/project.toml").read_text(encoding="utf-8")
    (tmp_path / "project.toml").write_text(
        text.replace('kind = "hdmi"', 'kind = "optical"'), encoding="utf-8"
    )
    _, out, _ = run("chain", tmp_path)
    marks = [line.split()[0] for line in out.splitlines() if line.startswith(("STOP", "FIX", "note"))]
    assert "FIX" in marks
    assert marks == sorted(marks, key=["STOP", "FIX", "note"].index)
    assert out.startswith(marks[0])


def test_what_new_offers_is_in_the_unit_that_was_chosen(tmp_path, monkeypatch):
    """The whole talk answered with the return key gives a project, in metres and in feet."""
    from click.testing import CliRunner

    from seatfield.cli.commands.new import command

    monkeypatch.chdir(tmp_path)
    for units, wall in (("m", "[4.2, 0]"), ("ft", "[14, 0]")):
        ended = CliRunner().invoke(command, [units, "--units", units], input="\n" * 7)
        assert ended.exit_code == 0, ended.output
        assert wall in (tmp_path / units / "project.toml").read_text(encoding="utf-8")
