"""Every view: nothing serious for axe-core, light and dark, wide and narrow; no label covered; a quiet console."""

import re
from itertools import combinations

import pytest

WIDE, NARROW = {"width": 1440, "height": 900}, {"width": 360, "height": 740}
VIEWS = ("plan", "walls", "in the round", "compare")


SERIOUS = """async (within) => {
    const found = await axe.run(within, {resultTypes: ["violations"]});
    return found.violations.filter((one) => ["serious", "critical"].includes(one.impact))
        .map((one) => [one.id, one.nodes[0].html.slice(0, 160)]);
}"""


def serious(page, within):
    """What axe-core finds in a part of the page that is serious or critical, on paper and on blueprint."""
    if not page.evaluate("'axe' in window"):
        axe = pytest.importorskip("axe_playwright_python.sync_playwright")
        page.evaluate(axe.Axe().axe_script)
    found = page.evaluate(SERIOUS, within)
    page.locator("footer").get_by_role("button", name=re.compile("^(paper|blueprint)$")).click()
    return [*found, *page.evaluate(SERIOUS, within)]


def turn_to(page, view):
    page.get_by_role("group", name="View").get_by_role("button", name=view, exact=True).click()


@pytest.mark.parametrize("size", [WIDE, NARROW])
def test_no_view_has_anything_serious(shared, visit, size):
    """Each view and each step of the job in all four crossings of width and theme, on one page for each width."""
    page = visit(shared("rented-room"), viewport=size)
    page.wait_for_timeout(500)
    for view in VIEWS:
        turn_to(page, view)
        page.wait_for_timeout(700)
        assert not serious(page, "html"), view
    turn_to(page, "plan")
    steps = page.get_by_role("navigation", name="The job in its order").get_by_role("button")
    for number in range(steps.count()):
        steps.nth(number).click()
        page.wait_for_timeout(150)
        for closed in page.locator("aside details:not([open]) > summary").all()[:6]:
            if closed.is_visible():
                closed.click()
        assert not serious(page, "aside.job"), steps.nth(number).inner_text()
    assert not serious(page, "aside.notes")
    # It must be able to see the words beside the drawing, or it would find nothing wrong with any colour.
    first = page.locator("aside.notes .head b").first
    first.scroll_into_view_if_needed()
    first.evaluate("(one) => { one.style.color = '#c8c0b0'; }")
    assert [name for name, _ in serious(page, "aside.notes")] == ["color-contrast"]


LETTERS = """() => [...document.querySelectorAll("main svg text")].filter((one) => one.textContent).map((one) => {
    const box = one.getBBox();
    // Above the capitals a line of letters has room that is not inked.
    const bare = 0.27 * parseFloat(getComputedStyle(one).fontSize);
    const matrix = one.getScreenCTM();
    const at = (x, y) => new DOMPoint(x, y).matrixTransform(matrix);
    const ends = [at(box.x, box.y + bare), at(box.x + box.width, box.y + box.height)];
    const [xs, ys] = [ends.map((end) => end.x).sort((a, b) => a - b), ends.map((end) => end.y).sort((a, b) => a - b)];
    return [one.textContent, xs[0], ys[0], xs[1], ys[1]];
})"""


def covering(labels):
    """Pairs of labels whose boxes share more than a pixel each way."""
    return [
        (one[0], other[0])
        for one, other in combinations(labels, 2)
        if min(one[3], other[3]) - max(one[1], other[1]) > 1.0
        and min(one[4], other[4]) - max(one[2], other[2]) > 1.0
    ]


@pytest.mark.parametrize("example", ["rented-room", "open-plan", "attic"])
def test_on_a_narrow_screen_no_label_covers_another_and_every_loudspeaker_has_its_name(
    shared, visit, example
):
    page = visit(shared(example), viewport=NARROW)
    page.wait_for_timeout(800)
    labels = page.evaluate(LETTERS)
    assert not covering(labels)
    handles = page.locator(".handle.loudspeaker")
    names = {handles.nth(k).get_attribute("aria-label").split(",")[0] for k in range(handles.count())}
    assert names
    assert names <= {text for text, *_ in labels}
    beyond = [
        text for text, left, top, right, low in labels if left < 0 or right > NARROW["width"] or top < 0
    ]
    assert not beyond


def test_what_finds_no_room_on_a_narrow_screen_is_written_when_one_comes_closer(shared, visit):
    page = visit(shared("open-plan"), viewport=NARROW)
    page.wait_for_timeout(800)
    few = len(page.evaluate(LETTERS))
    for _ in range(4):
        page.get_by_role("button", name="closer", exact=True).click()
    page.wait_for_function(f"() => ({LETTERS})().length > {few + 10}")
    assert not covering(page.evaluate(LETTERS))


def test_nothing_is_wider_than_a_narrow_screen(shared, visit):
    page = visit(shared("rented-room"), viewport=NARROW, has_touch=True)
    for step in ("room", "places", "cable", "signal", "paper"):
        page.get_by_role("button", name=step, exact=True).click()
        page.wait_for_timeout(150)
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, step


def test_the_sheet_turns_to_blueprint_and_stays_so(shared, visit):
    page = visit(shared("rented-room"))
    page.get_by_role("button", name="blueprint").click()
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(29, 43, 56)"
    page.reload()
    page.wait_for_selector(".scene path")
    assert page.locator("html").get_attribute("data-theme") == "blueprint"


def test_nothing_moves_for_who_wants_no_motion(shared, visit):
    page = visit(shared("rented-room"), reduced_motion="reduce")
    durations = page.evaluate(
        "[...document.querySelectorAll('*')].map((one) => getComputedStyle(one).transitionDuration)"
    )
    assert set(durations) == {"0s"}


def test_script_in_a_name_stays_text(serve, visit, tmp_path):
    workbench = serve("attic")
    evil = '<img src=x onerror="window.caught=1">'
    text = workbench.text()
    line = next(line for line in text.splitlines() if line.startswith("name = "))
    (workbench.folder / "project.toml").write_text(text.replace(line, f"name = '{evil}'", 1), "utf-8")
    page = visit(workbench)
    page.get_by_role("heading", name=evil).wait_for()
    assert page.evaluate("window.caught") is None


def test_a_finding_leads_to_its_place_and_to_where_it_comes_from(shared, visit):
    page = visit(shared("open-plan"))
    note = page.locator("[data-finding]").filter(has=page.get_by_role("button", name="show it")).first
    note.get_by_role("button", name="show it").click()
    assert page.locator(".handle.selected").count() == 1
    note.locator("summary").click()
    assert note.get_by_text("source", exact=True).is_visible()
