"""The workbench as a person meets it: its own process, its built page, a real Chromium."""

import os
import pathlib
import re
import shutil
import subprocess
import sys

import pytest

ROOT = pathlib.Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"
FRONTEND = ROOT / "frontend"
PAGE = ROOT / "src" / "seatfield" / "web" / "assets" / "index.html"
CHROMIUM = shutil.which("chromium") or "/usr/bin/chromium"
SEATFIELD = str(pathlib.Path(sys.executable).parent / "seatfield")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--enable-unsafe-swiftshader",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def pytest_collection_modifyitems(items):
    """Everything here drives a browser; one worker runs it, so that figures are of one thing at a time."""
    for item in items:
        if pathlib.Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.browser)
            item.add_marker(pytest.mark.xdist_group("browser"))


def stale():
    """Whether the page is older than what it is built from."""
    if not PAGE.is_file():
        return True
    sources = [*(FRONTEND / "src").rglob("*"), *(FRONTEND / "build").rglob("*"), *FRONTEND.glob("*.*")]
    sources.append(ROOT / "src" / "seatfield" / "drawing" / "style.json")
    return max(file.stat().st_mtime for file in sources if file.is_file()) > PAGE.stat().st_mtime


@pytest.fixture(scope="session")
def page_built():
    """Build the page with the Node that the environment brings, where it is missing or out of date."""
    if not stale():
        return
    bin_folder = pathlib.Path(sys.executable).parent
    environment = os.environ | {"PATH": f"{bin_folder}{os.pathsep}{os.environ['PATH']}"}
    if not (FRONTEND / "node_modules").is_dir():
        subprocess.run(["npm", "ci"], cwd=FRONTEND, env=environment, check=True)
    subprocess.run(["npm", "run", "build"], cwd=FRONTEND, env=environment, check=True)


@pytest.fixture(scope="session")
def launch():
    """Return a function that starts a browser."""
    playwright = pytest.importorskip("playwright.sync_api")
    if not pathlib.Path(CHROMIUM).exists():
        pytest.skip("Chromium is not installed")
    with playwright.sync_playwright() as running:
        yield lambda *more: running.chromium.launch(executable_path=CHROMIUM, args=[*FLAGS, *more])


@pytest.fixture(scope="session")
def chromium(launch):
    """One browser for nearly all tests."""
    browser = launch()
    yield browser
    browser.close()


class Workbench:
    """A running `seatfield serve` over a folder."""

    def __init__(self, folder, *options):
        self.folder = pathlib.Path(folder)
        command = [SEATFIELD, "serve", str(folder), "--port", "0", "--no-browser"]
        self.process = subprocess.Popen([*command, *options], stdout=subprocess.PIPE, text=True)
        self.address = next(w for w in self.process.stdout.readline().split() if w.startswith("http"))

    def text(self):
        return (self.folder / "project.toml").read_text("utf-8")

    def close(self):
        self.process.terminate()
        self.process.wait(10)
        self.process.stdout.close()


@pytest.fixture
def serve(page_built, tmp_path):
    """Return a function that serves a copy of an example, or any folder, for this test alone."""
    yield from _serving(tmp_path, light=True)


def without_bass(folder):
    """Take the subwoofer out of a project, so that what takes seconds has nothing to do."""
    file = folder / "project.toml"
    text = file.read_text("utf-8")
    tables = re.split(r"(?m)^(?=\[)", text)
    file.write_text("".join(table for table in tables if not table.startswith("[[subwoofer]]")), "utf-8")


@pytest.fixture(scope="session")
def shared(page_built, tmp_path_factory):
    """Return a function that serves a copy of an example once for all tests that change nothing in it."""
    running = {}
    serving = _serving(tmp_path_factory.mktemp("shared"))
    start = next(serving)

    def started(example):
        if example not in running:
            running[example] = start(example)
        return running[example]

    yield started
    next(serving, None)


def _serving(folder, *, light=False):
    running = []

    def start(example, *options):
        place = pathlib.Path(example)
        if not place.is_absolute():
            place = pathlib.Path(shutil.copytree(EXAMPLES / example, folder / example))
            if light:
                without_bass(place)
        running.append(Workbench(place, *options))
        return running[-1]

    yield start
    for workbench in running:
        workbench.close()


@pytest.fixture
def visit(chromium):
    """Return a function that opens a page; trouble on the console, or a call elsewhere, fails the test."""
    contexts, trouble = [], []

    def open_page(workbench, **options):
        options = {"viewport": {"width": 1440, "height": 900}} | options
        context = chromium.new_context(**options)
        context.set_default_timeout(20_000)
        contexts.append(context)
        page = context.new_page()
        page.on(
            "console", lambda told: trouble.append(told.text) if told.type in {"error", "warning"} else None
        )
        page.on("pageerror", lambda error: trouble.append(str(error)))
        page.on("request", lambda asked: trouble.append(asked.url) if foreign(asked.url, workbench) else None)
        page.goto(workbench.address)
        page.wait_for_selector(".scene path")
        return page

    yield open_page
    for context in contexts:
        context.close()
    # WebGL without a graphics card says so on the console; a refusal is told by the browser too.
    usual = ("GPU stall", "GL Driver", "WebGL", "status of 422", "status of 409", "status of 415")
    assert not [told for told in trouble if not any(word in told for word in usual)]


@pytest.fixture
def step(visit):
    """Return a function that opens a step of a workbench."""

    def opened(workbench, name):
        page = visit(workbench)
        rail = page.get_by_role("navigation", name="The job in its order")
        rail.get_by_role("button", name=name, exact=True).click()
        return page

    return opened


def foreign(url, workbench):
    """Whether an address lies outside the workbench."""
    return not url.startswith((workbench.address, "blob:", "data:"))


@pytest.fixture
def chromium_that_hears(launch):
    """Return a function that opens a page in a browser of its own whose microphone is made up, or plays a file."""
    opened = []

    def open_page(workbench, file=None):
        heard = [f"--use-file-for-fake-audio-capture={file}%noloop"] if file else []
        opened.append(launch("--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream", *heard))
        page = opened[-1].new_page(viewport={"width": 1440, "height": 900})
        page.set_default_timeout(30_000)
        page.goto(workbench.address)
        page.wait_for_selector(".scene path")
        return page

    yield open_page
    for browser in opened:
        browser.close()
