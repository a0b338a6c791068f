"""Takes and settings on the page: by files, by the browser's own microphone, by practice without hardware."""

import json
import pathlib
import re
import shutil
import zipfile
from itertools import islice

import pytest
import soundfile

from seatfield.model import SweepSettings, TakeState
from seatfield.pipeline.aligning import align, note_settings
from seatfield.pipeline.measuring import TakeAsked, keep_take
from seatfield.pipeline.projects import open_project
from seatfield.pipeline.rehearsing import (
    RehearsalAsked,
    planted_faults,
    rehearsed_sweeps,
    write_rehearsal,
)
from seatfield.stages.alignment import Wishes
from seatfield.stages.takes import SweepParams

EXAMPLES = pathlib.Path(__file__).parents[2] / "examples"
NOW = "2031-05-04T20:15:00+02:00"
QUICK = SweepParams(SweepSettings(length_s=1.0, tail_s=1.0))


@pytest.fixture(scope="module")
def rehearsed(tmp_path_factory):
    """A log that tells of short sweeps, and recordings of the first three with one turned, by their runs."""
    folder = tmp_path_factory.mktemp("rehearsed")
    project = open_project(EXAMPLES / "rented-room")
    asked = RehearsalAsked(seed=5, faults=("inverted M+000",), params=QUICK)
    sweeps = rehearsed_sweeps(folder, project, asked, at=NOW)
    made = write_rehearsal(project, sweeps, asked, planted_faults(project, asked), folder / "recorded")
    return folder / "log", {one.runs[0]: one.file for one in islice(made, 3)}


@pytest.fixture
def recorded(serve, rehearsed):
    """A room at work whose sweeps are those of the recordings."""
    workbench, (log, files) = serve("rented-room"), rehearsed
    shutil.copytree(log, workbench.folder / "log", dirs_exist_ok=True)
    return workbench, files


def opened(page, step):
    page.get_by_role("navigation", name="The job in its order").get_by_role(
        "button", name=step, exact=True
    ).click()


def aim_at(page, what, value):
    page.get_by_text("what they aim at").click()
    page.get_by_label(what).fill(value)
    page.get_by_label(what).press("Enter")


def test_a_take_by_files_names_the_fault_and_gives_values_to_type(recorded, visit):
    workbench, files = recorded
    page = visit(workbench)
    page.set_default_timeout(90_000)
    opened(page, "takes")
    page.get_by_label("Where the microphone stands").fill("sofa middle")
    page.get_by_role("link", name="its file for M+030").wait_for()
    page.get_by_label("Recordings, in the order of the sweeps").set_input_files(list(files.values()))
    page.get_by_text(re.compile(r"recorded, \d+ s, loudest −?\d+ dB")).nth(len(files) - 1).wait_for()
    page.get_by_role("button", name="read the take").click()
    page.get_by_text(re.compile(r"\d+ % sure. Power off first. Look at")).wait_for()
    told = page.locator("section.panel").inner_text()
    assert re.search(r"M\+000.*\d+ % sure", told)
    assert len(list((workbench.folder / "log" / "takes").glob("*.wav"))) == len(files)
    opened(page, "settings")
    page.get_by_text("nothing to type here. Leave the values as they are.").wait_for()
    assert page.get_by_role("heading", name="type this").count() == 0
    aim_at(page, "bands of its equaliser", "2")
    page.get_by_role("heading", name="type this").wait_for()
    assert page.get_by_role("row").count() == len(files) + 1
    page.get_by_role("button", name="these values are typed").click()
    page.get_by_text("last noted").wait_for()
    page.get_by_text("nothing to type here. Leave the values as they are.").wait_for()
    assert page.get_by_role("heading", name="type this").count() == 0
    assert page.get_by_role("button", name="these values are typed").count() == 0
    assert (workbench.folder / "log" / "settings.jsonl").exists()
    page.get_by_role("heading", name="which seat gains").wait_for()
    page.get_by_role("img", name=re.compile("Predicted level")).wait_for()


def test_the_browsers_microphone_shows_its_level_and_is_recorded(serve, chromium_that_hears):
    """The browser's made-up microphone beeps: a level is shown, and what was recorded is refused with a reason."""
    workbench = serve("rented-room")
    page = chromium_that_hears(workbench)
    opened(page, "takes")
    page.get_by_role("button", name="this browser's microphone").click()
    page.get_by_role("button", name="listen", exact=True).click()
    page.get_by_role("img", name=re.compile(r"Level of the microphone: \d+ dB under full scale")).wait_for()
    page.get_by_role("button", name=re.compile("record what the player plays")).first.click()
    page.get_by_text("recording …", exact=True).wait_for()
    page.wait_for_timeout(2000)
    page.get_by_role("button", name="it has ended").click()
    page.get_by_text(re.compile(r"recorded, \d+ s, loudest −?\d+ dB")).wait_for()
    page.get_by_role("button", name="read the take").click()
    page.get_by_text("This take was not kept").wait_for()
    assert not (workbench.folder / "log" / "takes").exists()


def test_a_take_through_the_browsers_microphone_is_read(recorded, chromium_that_hears, tmp_path):
    """The browser hears a recording of a sweep in place of its microphone, and the take is kept."""
    workbench, files = recorded
    run = next(iter(files))
    samples, rate_hz = soundfile.read(files[run])
    soundfile.write(tmp_path / "heard.wav", samples, rate_hz, subtype="PCM_16")
    page = chromium_that_hears(workbench, tmp_path / "heard.wav")
    opened(page, "takes")
    page.get_by_role("button", name="this browser's microphone").click()
    page.get_by_role("button", name=f"record what the player plays for {run}").click()
    page.get_by_text("recording …", exact=True).wait_for()
    page.wait_for_timeout(1000.0 * len(samples) / rate_hz + 2500.0)
    page.get_by_role("button", name="it has ended").click()
    page.get_by_text(re.compile(r"recorded, \d+ s")).wait_for()
    page.get_by_role("button", name="read the take").click()
    page.get_by_role("row").filter(has_text=run).wait_for()
    assert page.get_by_role("row").filter(has_text="outwards").count() == 1
    assert len(list((workbench.folder / "log" / "takes").glob("*.wav"))) == 1


def test_practice_hides_faults_and_shows_them_when_asked(shared, visit):
    workbench = shared("rented-room")
    page = visit(workbench)
    page.set_default_timeout(120_000)
    opened(page, "takes")
    page.get_by_label("places of the microphone").fill("1")
    page.get_by_role("button", name="rehearse a measurement").click()
    hidden = page.get_by_role("button", name="what was hidden")
    hidden.wait_for()
    assert (
        page.get_by_text(
            re.compile("^(inverted|swapped|dead|wrong terminal|tweeter silent|high-res)")
        ).count()
        == 0
    )
    hidden.click()
    page.get_by_text(
        re.compile("^(inverted|swapped|dead|wrong terminal|tweeter silent|high-res).*: [MU]")
    ).wait_for()
    assert not (workbench.folder / "log" / "takes.jsonl").exists()


@pytest.fixture(scope="module")
def taken(rehearsed, tmp_path_factory):
    """A log with one kept take of three runs at the main seat, and the runs."""
    log, files = rehearsed
    folder = tmp_path_factory.mktemp("taken")
    shutil.copytree(log, folder / "log")
    project = open_project(EXAMPLES / "rented-room")
    held = tuple((file.name, file.read_bytes()) for file in files.values())
    asked = TakeAsked(held, project.main_seat.head, "sofa middle", runs=tuple(files))
    keep_take(folder, project, asked, at=NOW)
    return folder / "log", tuple(files)


def measured(serve, taken, *options):
    """A room at work that was measured already."""
    folder = serve("rented-room").folder
    shutil.copytree(taken[0], folder / "log", dirs_exist_ok=True)
    return serve(folder, *options)


def test_another_calibration_is_typed_and_judged_line_by_line(serve, taken, visit):
    """By keys alone: type a line, Enter judges; a value that cannot be read is told beside its line."""
    page = visit(measured(serve, taken))
    page.set_default_timeout(90_000)
    opened(page, "settings")
    page.get_by_role("heading", name="which seat gains").wait_for()
    page.get_by_text("judge what another calibration arrived at").click()
    assert page.get_by_role("button", name="judge these lines").is_disabled()
    for run, metres in zip(taken[1], ("2.85", "2.85", "6"), strict=True):
        page.get_by_label(f"distance of {run}, as the amplifier shows it").fill(metres)
    page.get_by_label(f"trim of {taken[1][0]}, as the amplifier shows it").fill("loud")
    page.get_by_label(f"crossover of {taken[1][0]}, as the amplifier shows it").fill("80 Hz")
    page.keyboard.press("Enter")
    page.get_by_text("judged line by line").wait_for()
    panel = page.locator("section.panel")
    assert "distance: normal. It agrees with the takes. Leave it." in panel.inner_text()
    assert re.search(
        r"distance: wrong. It reads \d.\d\d m farther than the takes let expect", panel.inner_text()
    )
    page.get_by_text(
        "trim: 'loud' is given; a number of dB from -40 to 40 is wanted, such as -2.5."
    ).wait_for()
    wrong = page.get_by_label(f"trim of {taken[1][0]}, as the amplifier shows it")
    assert wrong.get_attribute("aria-invalid") == "true"
    wrong.fill("-2,5")
    assert page.get_by_text("judged line by line").count() == 0
    page.get_by_role("button", name="judge these lines").click()
    page.get_by_text("judged line by line").wait_for()
    assert wrong.get_attribute("aria-invalid") == "false"
    assert "trim: normal. Alone it says nothing" in panel.inner_text()


def test_the_values_are_downloaded_as_files_also_where_the_project_is_only_shown(
    serve, taken, visit, tmp_path
):
    workbench = measured(serve, taken, "--read-only")
    page = visit(workbench)
    page.set_default_timeout(90_000)
    opened(page, "settings")
    aim_at(page, "bands of its equaliser", "2")
    kept = {}
    for name in ("values as CSV", "values as JSON", "coefficients as CSV", "everything in one ZIP"):
        with page.expect_download() as started:
            page.get_by_role("link", name=name).click()
        kept[started.value.suggested_filename] = tmp_path / started.value.suggested_filename
        started.value.save_as(kept[started.value.suggested_filename])
    assert set(kept) == {"values.csv", "values.json", "coefficients.csv", "values.zip"}
    lines = kept["values.csv"].read_text("utf-8").splitlines()
    assert [line.partition(",")[0] for line in lines[1:]] == list(taken[1])
    assert [one["run"] for one in json.loads(kept["values.json"].read_text("utf-8"))] == list(taken[1])
    with zipfile.ZipFile(kept["values.zip"]) as archive:
        assert archive.read("values.csv") == kept["values.csv"].read_bytes()
        waves = [name for name in archive.namelist() if name.endswith(".wav")]
    page.get_by_text("the filters of one run as a sound file").click()
    with page.expect_download() as started:
        page.get_by_role("link", name=waves[0]).click()
    started.value.save_as(tmp_path / "fir.wav")
    assert soundfile.info(tmp_path / "fir.wav").samplerate == 48000
    assert page.get_by_role("button", name="these values are typed").is_disabled()
    assert not list(workbench.folder.glob("**/values*"))


def test_the_microphone_s_file_is_given_with_the_take_and_told_in_words_where_it_is_none(
    recorded, visit, tmp_path
):
    workbench, files = recorded
    run, file = next(iter(files.items()))
    page = visit(workbench)
    page.set_default_timeout(90_000)
    opened(page, "takes")
    page.get_by_label("Where the microphone stands").fill("sofa middle")
    page.get_by_role("link", name=f"its file for {run}").wait_for()
    chosen = page.get_by_label("the file that came with it, if any")
    (tmp_path / "diary.txt").write_text("Dear diary, no sound", "utf-8")
    chosen.set_input_files(tmp_path / "diary.txt")
    page.get_by_text("diary.txt: No line of the file holds a frequency and a level").wait_for()
    (tmp_path / "mike.txt").write_text("* made up\n20 -1.5\n1000 0\n20000 3.5\n", "utf-8")
    chosen.set_input_files(tmp_path / "mike.txt")
    page.get_by_text("mike.txt: 3 frequencies from 20 Hz to 20 kHz, at most 3.5 dB off.").wait_for()
    page.get_by_label("Recordings, in the order of the sweeps").set_input_files(file)
    page.get_by_text("columns, loudness, a remark").click()
    page.get_by_label("worth remembering of this take").fill("window open")
    page.get_by_text(re.compile(r"recorded, \d+ s, loudest")).wait_for()
    page.get_by_role("button", name="read the take").click()
    page.get_by_role("row").filter(has_text=run).wait_for()
    assert len(list((workbench.folder / "log" / "takes").glob("*.txt"))) == 1
    noted = json.loads((workbench.folder / "log" / "takes.jsonl").read_text("utf-8").splitlines()[-1])
    assert "window open" in json.dumps(noted)


def test_a_take_is_read_without_the_microphone_s_file_once_it_is_taken_back(recorded, visit, tmp_path):
    workbench, files = recorded
    run, file = next(iter(files.items()))
    page = visit(workbench)
    page.set_default_timeout(90_000)
    opened(page, "takes")
    page.get_by_role("link", name=f"its file for {run}").wait_for()
    (tmp_path / "mike.txt").write_text("20 6\n20000 6\n", "utf-8")
    page.get_by_label("the file that came with it, if any").set_input_files(tmp_path / "mike.txt")
    page.get_by_role("button", name="read without it").click()
    page.get_by_label("Recordings, in the order of the sweeps").set_input_files(file)
    page.get_by_text(re.compile(r"recorded, \d+ s, loudest")).wait_for()
    page.get_by_role("button", name="read the take").click()
    page.get_by_role("row").filter(has_text=run).wait_for()
    assert not list((workbench.folder / "log" / "takes").glob("*.txt"))


def test_every_place_can_be_marked_with_a_tape_from_the_page(shared, visit):
    """Along a wall, out from it, up, and what a check must read: the same numbers as in the plan."""
    workbench = shared("attic")
    page = visit(workbench)
    opened(page, "places")
    page.get_by_role("heading", name="marking out, with a tape").wait_for()
    told = " ".join(page.locator("section.panel").inner_text().split())
    marks = page.request.get(f"{workbench.address}api/plan").json()["layout"]["marks"]
    assert any(mark["off_m"] for mark in marks)
    for mark in marks:
        assert f"{mark['height_m']:.2f} m up." in told
        for tape in mark["tapes"][:2]:
            assert f"{tape['distance_m']:.2f} m from corner {tape['corner']}" in told
        for tape in mark["tapes"][2:]:
            assert f"Check: {tape['distance_m']:.2f} m from corner {tape['corner']}." in told
        if mark["off_m"]:
            assert f"{mark['along_m']:.2f} m from corner {mark['from_corner']} along wall" in told
            assert f"{mark['off_m']:.2f} m square out from it" in told
        if mark["check_m"] is not None:
            assert f"Check: {mark['check_m']:.2f} m from {mark['check_from']}." in told


def test_other_sweeps_are_chosen_and_one_recording_of_all_is_read(serve, visit, tmp_path):
    """The one file is taken from the page; a rehearsed recording of it is given back as one."""
    workbench = serve("rented-room")
    page = visit(workbench)
    page.set_default_timeout(90_000)
    opened(page, "takes")
    page.get_by_label("Where the microphone stands").fill("sofa middle")
    page.get_by_text("longer, quieter, other chirps").click()
    seconds = page.get_by_label(re.compile("seconds of one sweep"))
    seconds.fill("1")
    seconds.press("Enter")
    all_in_one = page.get_by_role("link", name=re.compile("all in one file, [12] min"))
    all_in_one.wait_for()
    assert page.get_by_label("samples per second").input_value() == "48000"
    page.get_by_label("chirps from").select_option("M+030")
    page.get_by_text("The loudspeaker M+030 plays a short chirp").wait_for()
    with page.expect_download() as started:
        page.get_by_role("link", name="the sheet in words").click()
    started.value.save_as(tmp_path / "sheet.txt")
    assert "M+030 plays a short chirp" in " ".join((tmp_path / "sheet.txt").read_text("utf-8").split())
    with page.expect_download() as started:
        all_in_one.click()
    started.value.save_as(tmp_path / "sweeps.wav")
    assert soundfile.info(tmp_path / "sweeps.wav").duration > 20.0

    project = open_project(workbench.folder)
    asked = RehearsalAsked(seed=5, params=SweepParams(QUICK.settings, "M+030", one_file=True))
    sweeps = rehearsed_sweeps(workbench.folder, project, asked, at=NOW)
    (made,) = write_rehearsal(project, sweeps, asked, (), tmp_path / "whole")
    page.get_by_label("one recording holds them all").check()
    page.get_by_label("The recording of all sweeps").set_input_files(made.file)
    page.get_by_text(re.compile(r"recorded, \d+ s, loudest")).nth(len(made.runs) - 1).wait_for()
    page.get_by_role("button", name="read the take").click()
    page.get_by_role("row").filter(has_text="outwards").nth(2).wait_for()
    assert len(list((workbench.folder / "log" / "takes").glob("*.wav"))) == 1


def test_a_take_after_typing_is_told_against_the_prediction(serve, taken, visit):
    """The values were typed; the same runs, rehearsed with them in force, sound as predicted."""
    folder = measured(serve, taken).folder
    project = open_project(folder)
    wishes = Wishes(filters=2)
    alignment = align(folder, project, wishes).alignment
    note_settings(folder, project, alignment, at="2031-05-05T20:15:00+02:00")
    asked = RehearsalAsked(seed=6, state=TakeState.AS_USED, params=QUICK, in_force=alignment.settings)
    sweeps = rehearsed_sweeps(folder, project, asked, at=NOW)
    made = list(islice(write_rehearsal(project, sweeps, asked, (), folder / "after"), 3))
    files = tuple((one.file.name, one.file.read_bytes()) for one in made)
    runs = tuple(one.runs[0] for one in made)
    after = TakeAsked(files, project.main_seat.head, "sofa middle", TakeState.AS_USED, runs)
    keep_take(folder, project, after, at="2031-05-06T20:15:00+02:00")
    page = visit(serve(folder))
    page.set_default_timeout(90_000)
    opened(page, "settings")
    page.get_by_role("heading", name="measured since, against the prediction").wait_for()
    page.get_by_text(re.compile(r"sofa middle: 3 of 3 runs as predicted, 0\.\d\sdB off at\s+most")).wait_for()
    page.get_by_text("last noted 2031-05-05").wait_for()
