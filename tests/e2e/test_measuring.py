"""Takes and settings on the page: by files, by the browser's own microphone, by practice without hardware."""

import pathlib
import re
import shutil
from itertools import islice

import pytest
import soundfile

from seatfield.model import SweepSettings
from seatfield.pipeline.projects import open_project
from seatfield.pipeline.rehearsing import (
    RehearsalAsked,
    planted_faults,
    rehearsed_sweeps,
    write_rehearsal,
)
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
    page.get_by_text(re.compile(r"\d+ % sure. Look at")).wait_for()
    told = page.locator("section.panel").inner_text()
    assert re.search(r"M\+000.*\d+ % sure", told)
    assert len(list((workbench.folder / "log" / "takes").glob("*.wav"))) == len(files)
    opened(page, "settings")
    page.get_by_role("heading", name="type this").wait_for()
    assert page.get_by_role("row").count() == len(files) + 1
    page.get_by_role("button", name="these values are typed").click()
    page.get_by_text("last noted").wait_for()
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
