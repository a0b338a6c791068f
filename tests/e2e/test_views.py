"""Every view: nothing serious for axe-core, light and dark, wide and narrow; nothing on the console; own words only."""

import pytest

WIDE, NARROW = {"width": 1440, "height": 900}, {"width": 360, "height": 740}
VIEWS = ("plan", "walls", "in the round", "compare")


def serious(page):
    """What axe-core finds that is serious or critical."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    found = axe.Axe().run(page).response["violations"]
    return [
        (one["id"], one["nodes"][0]["html"][:160])
        for one in found
        if one["impact"] in {"serious", "critical"}
    ]


def turn_to(page, view):
    page.get_by_role("group", name="View").get_by_role("button", name=view, exact=True).click()


@pytest.mark.parametrize(("size", "scheme"), [(WIDE, "light"), (NARROW, "dark")])
def test_no_view_has_anything_serious(shared, visit, size, scheme):
    page = visit(shared("rented-room"), viewport=size, color_scheme=scheme)
    page.wait_for_timeout(500)
    for view in VIEWS:
        turn_to(page, view)
        page.wait_for_timeout(700)
        assert not serious(page), view
    turn_to(page, "plan")
    steps = page.get_by_role("navigation", name="The job in its order").get_by_role("button")
    for number in range(steps.count()):
        steps.nth(number).click()
        page.wait_for_timeout(150)
        for closed in page.locator("aside details:not([open]) > summary").all()[:6]:
            if closed.is_visible():
                closed.click()
        assert not serious(page), steps.nth(number).inner_text()


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
    assert note.get_by_text("source").is_visible()
