"""From an empty room to a printed pack: by mouse alone, by keyboard alone, by touch alone."""

import pathlib
import re
import subprocess
import sys
import tomllib

import pypdf
import pytest

SEATFIELD = str(pathlib.Path(sys.executable).parent / "seatfield")

ANSWERS = [
    "--name",
    "New room",
    "--units",
    "m",
    "--width",
    "4.20 m",
    "--depth",
    "5.00 m",
    "--height",
    "2.50 m",
]
ANSWERS += ["--seat", "3.00 m", "--screen", "1.25 m", "--layout", "5.1"]


@pytest.fixture(scope="module")
def new_project(tmp_path_factory):
    """A project as `seatfield new` starts it."""
    folder = tmp_path_factory.mktemp("job") / "new"
    subprocess.run([SEATFIELD, "new", str(folder), *ANSWERS], check=True, stdout=subprocess.DEVNULL)
    return folder, (folder / "project.toml").read_text("utf-8")


@pytest.fixture
def new_room(shared, new_project):
    """That project at work, as it was at its beginning."""
    folder, text = new_project
    (folder / "project.toml").write_text(text, "utf-8")
    return shared(folder)


def data(workbench):
    return tomllib.loads(workbench.text())


SAVED = """(least) => {
  const found = /revision (\\d+), saved/.exec(document.body.innerText);
  return found && Number(found[1]) >= least ? Number(found[1]) : null;
}"""


def counter(page):
    """Return a function that waits until so many changes since now are shown as saved."""
    first = page.wait_for_function(SAVED, arg=1).json_value()
    return lambda count: page.wait_for_function(SAVED, arg=first + count)


def printed(download):
    """The downloaded pack's pages as text."""
    reader = pypdf.PdfReader(download.path())
    return [page.extract_text() for page in reader.pages]


def is_the_pack(pages):
    text = " ".join(" ".join(pages).split())
    assert len(pages) > 4
    assert "New room" in text
    assert re.search(r"M\+030", text)


def test_by_mouse(new_room, visit):
    page = visit(new_room)
    saved = counter(page)
    page.get_by_role("button", name="door", exact=True).click()
    saved(1)
    page.get_by_role("button", name=re.compile("wall A–B.*type its length")).click()
    page.keyboard.type("4.50 m")
    page.keyboard.press("Enter")
    saved(2)
    page.get_by_role("button", name="places", exact=True).click()
    page.get_by_role("button", name="add every one that is missing").click()
    saved(3)
    page.get_by_role("button", name="amplifier", exact=True).click()
    saved(4)
    before = data(new_room)["loudspeaker"][0]["at"]
    box = page.locator('[data-key="loudspeaker[0]"]').bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 40, y + 25, steps=8)
    page.mouse.up()
    saved(5)
    assert data(new_room)["loudspeaker"][0]["at"] != before
    page.get_by_role("button", name="undo").click()
    saved(6)
    assert data(new_room)["loudspeaker"][0]["at"] == before
    page.get_by_role("button", name="paper", exact=True).click()
    with page.expect_download(timeout=60_000) as download:
        page.get_by_role("link", name="print the pack").click()
    is_the_pack(printed(download.value))


def tab_to(page, name, most=400):
    """Press Tab until the thing of this name has the focus."""
    for _ in range(most):
        page.keyboard.press("Tab")
        found = page.evaluate(
            "(document.activeElement.getAttribute('aria-label') || document.activeElement.innerText || '').trim()"
        )
        if re.fullmatch(name, found.split("\n")[0]):
            return
    raise AssertionError(f"No Tab leads to {name}")


def test_by_keyboard(new_room, visit):
    page = visit(new_room)
    saved = counter(page)
    tab_to(page, "places")
    page.keyboard.press("Enter")
    tab_to(page, "add every one that is missing")
    page.keyboard.press("Enter")
    saved(1)
    tab_to(page, "amplifier")
    page.keyboard.press("Space")
    saved(2)
    before = data(new_room)["amplifier"][0]["at"]
    tab_to(page, r"amplifier, 0.30 m up")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+ArrowDown")
    saved(3)
    after = data(new_room)["amplifier"][0]["at"]
    assert [round(b - a, 3) for a, b in zip(before, after, strict=True)] == [0.02, -0.1, 0]
    page.keyboard.press("Control+z")
    saved(4)
    assert data(new_room)["amplifier"][0]["at"] == before
    tab_to(page, "paper")
    page.keyboard.press("Enter")
    tab_to(page, "print the pack")
    with page.expect_download(timeout=60_000) as download:
        page.keyboard.press("Enter")
    is_the_pack(printed(download.value))


def test_by_touch(new_room, visit):
    page = visit(new_room, viewport={"width": 390, "height": 800}, has_touch=True, is_mobile=True)
    saved = counter(page)
    page.get_by_role("button", name="places", exact=True).tap()
    page.get_by_role("button", name="add every one that is missing").tap()
    saved(1)
    page.get_by_role("button", name="amplifier", exact=True).tap()
    saved(2)
    page.evaluate("scrollTo(0, 0)")
    before = data(new_room)["seat"][0]["at"]
    box = page.locator('[data-key="seat[0]"]').bounding_box()
    drag_by_touch(page, box["x"] + box["width"] / 2, box["y"] + box["height"] / 2, 30, 20)
    saved(3)
    assert data(new_room)["seat"][0]["at"] != before
    page.get_by_role("button", name="paper", exact=True).tap()
    with page.expect_download(timeout=60_000) as download:
        page.get_by_role("link", name="print the pack").tap()
    is_the_pack(printed(download.value))


def drag_by_touch(page, x, y, dx, dy):
    """A finger put down, moved and lifted, through the browser's own input."""
    touch = page.context.new_cdp_session(page)

    def tell(kind, *points):
        touch.send(
            "Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": a, "y": b} for a, b in points]}
        )

    tell("touchStart", (x, y))
    for step in range(1, 9):
        tell("touchMove", (x + dx * step / 8, y + dy * step / 8))
        page.wait_for_timeout(16)
    tell("touchEnd")
