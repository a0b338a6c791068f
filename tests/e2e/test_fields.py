"""Typing into the fields of a step: no click is lost, and a group of numbers is saved whole or not at all."""

import tomllib

import pytest


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


def test_advice_leads_to_the_field_and_adds_what_is_missing(serve, step):
    """No word of the file's own notation stands in the margin; what it names is one click away."""
    workbench = serve("rented-room")
    file = workbench.folder / "project.toml"
    text = file.read_text("utf-8")
    start = text.index("[[loudspeaker]]", text.index('channel = "M-030"'))
    text = text[:start] + text[text.index("[[loudspeaker]]", start + 5) :]
    place = text.index("at = ", text.index("[[amplifier]]"))
    file.write_text(text[:place] + text[text.index("\n", place) + 1 :], "utf-8")
    page = step(workbench, "room")
    notes = page.get_by_role("region", name="Findings")
    amplifier = notes.locator("li", has_text="No amplifier has a place")
    amplifier.get_by_role("button", name="at", exact=True).click()
    page.wait_for_function("() => document.activeElement.id === 'f-amplifier[0].at-0'")
    folded = notes.locator("details > summary", has_text="worth knowing")
    if folded.count():
        folded.click()
    assert "[[" not in notes.inner_text()
    assert "`" not in notes.inner_text()
    notes.get_by_role("button", name="loudspeaker for M+000").click()
    page.wait_for_function("() => /^f-loudspeaker.*at-0$/.test(document.activeElement.id)")
    assert data(workbench)["loudspeaker"][-1]["channel"] == "M+000"
    assert len(data(workbench)["loudspeaker"]) == len(tomllib.loads(text)["loudspeaker"]) + 1


def test_a_step_that_is_tapped_on_a_phone_comes_into_view(serve, visit):
    workbench = serve("rented-room")
    page = visit(workbench, viewport={"width": 360, "height": 740}, has_touch=True)
    rail = page.get_by_role("navigation", name="The job in its order")
    rail.get_by_role("button", name="cable", exact=True).tap()
    heading = page.get_by_role("heading", name="cable", exact=True)
    page.wait_for_function("() => document.getElementById('panel-name').getBoundingClientRect().top < 200")
    assert -1 < heading.bounding_box()["y"] < 200  # browsers place to parts of a pixel


def test_another_wall_that_gives_way_is_told(serve, step):
    """In a rectangle a longer wall takes the one across from it along: both stand in the sentence."""
    workbench = serve("rented-room")
    page = step(workbench, "room")
    state = page.request.get(f"{workbench.address}api/state").json()
    walls = [one["name"] for one in state["things"] if one["kind"] == "wall"]
    page.get_by_label(walls[0], exact=True).fill("4.75")
    page.get_by_label(walls[0], exact=True).press("Tab")
    said = page.locator("section.panel .said")
    said.wait_for()
    told = said.inner_text().replace("\u2060", "").replace("\u00a0", " ")
    assert told.count("4.75 m") == 2
    assert walls[0] in told
    assert walls[2] in told
