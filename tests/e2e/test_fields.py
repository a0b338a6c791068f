"""Typing into the fields of a step: no click is lost, and a group of numbers is saved whole or not at all."""

import tomllib

import pytest


@pytest.fixture
def step(visit):
    """Return a function that opens a step of a workbench."""

    def opened(workbench, name):
        page = visit(workbench)
        rail = page.get_by_role("navigation", name="The job in its order")
        rail.get_by_role("button", name=name, exact=True).click()
        return page

    return opened


def data(workbench):
    return tomllib.loads(workbench.text())


def middle(locator):
    box = locator.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def sent(page):
    """The bodies of what the page asks to be saved, as it asks."""
    asked = []
    page.on("request", lambda one: asked.append(one.post_data_json) if one.url.endswith("/edits") else None)
    return asked


def revision(page, least):
    page.wait_for_function(
        "(least) => Number(/revision (\\d+), saved/.exec(document.body.innerText)?.[1]) >= least", arg=least
    )


@pytest.mark.parametrize("held_ms", [30, 900])
def test_a_click_that_ends_the_typing_is_heard(serve, step, held_ms):
    """Nothing moves between press and release, though the help of the field left and the saved state both come."""
    workbench = serve("rented-room")
    page = step(workbench, "room")
    page.locator("section.panel li button.line", has_text="window").click()
    sill, curtain = page.get_by_label("sill", exact=True), page.get_by_label("curtain", exact=True)
    sill.fill("0.85")
    page.locator('[id="f-opening[1].sill-about"]').wait_for()
    curtain.scroll_into_view_if_needed()
    before = middle(curtain)
    page.mouse.move(*before)
    page.mouse.down()
    page.wait_for_timeout(held_ms)
    assert middle(curtain) == before
    page.mouse.up()
    revision(page, 3)
    window = data(workbench)["opening"][1]
    assert (window["sill"], window["curtain"]) == (0.85, False)
    assert middle(sill)[1] < middle(curtain)[1] < before[1]


def test_a_group_of_numbers_is_sent_when_all_of_it_are_there(serve, step):
    workbench = serve("rented-room")
    page = step(workbench, "places")
    page.get_by_role("button", name="a loudspeaker's model").click()
    revision(page, 2)
    asked = sent(page)
    new = page.locator("section.panel > details", has=page.get_by_text("model 4", exact=True))
    new.locator("summary").first.click()
    size = new.get_by_role("group", name="size")
    size.get_by_label("size width").fill("18 cm")
    size.get_by_label("size depth").fill("0.22")
    new.get_by_label("name", exact=True).focus()
    page.get_by_text(
        "Not saved yet: height is missing. Give all 3, or empty all 3 to leave it out."
    ).wait_for()
    assert asked == []
    rail = page.get_by_role("navigation", name="The job in its order")
    rail.get_by_role("button", name="seats", exact=True).click()
    rail.get_by_role("button", name="places", exact=True).click()
    new.locator("summary").first.click()
    assert size.get_by_label("size width").input_value() == "18 cm"
    size.get_by_label("size height").fill("0.28")
    size.get_by_label("size height").press("Tab")
    revision(page, 3)
    assert data(workbench)["model"][-1]["size"] == ["18 cm", 0.22, 0.28]
    assert page.get_by_text("Not saved yet").count() == 0
    assert len(asked) == 1


def test_a_place_that_is_emptied_leaves_the_file(serve, step):
    """Two of three emptied change nothing; all three hand the loudspeaker back to be placed."""
    workbench = serve("rented-room")
    page = step(workbench, "places")
    asked = sent(page)
    page.locator("section.panel li button.line", has_text="M+030").click()
    at = page.get_by_role("group", name="at", exact=True)
    for axis in "xy":
        at.get_by_label(f"at {axis}").fill("")
    at.get_by_label("at y").press("Tab")
    assert asked == []
    assert data(workbench)["loudspeaker"][0]["at"] == [3.66, 0.66, 1.0]
    at.get_by_label("at z").fill("")
    at.get_by_label("at z").press("Tab")
    revision(page, 2)
    assert "at" not in data(workbench)["loudspeaker"][0]
    assert at.get_by_label("at x").input_value() == ""
    page.get_by_role("button", name="undo").click()
    revision(page, 3)
    page.get_by_role("button", name="let it be placed").click()
    revision(page, 4)
    assert "at" not in data(workbench)["loudspeaker"][0]
