"""Two tabs and an editor on one project: all stay in step, and nothing is lost silently."""

import re
import tomllib


def data(workbench):
    return tomllib.loads(workbench.text())


def rename(page, name, key):
    page.locator(f'[id="f-{key}"]').fill(name)
    page.keyboard.press("Tab")


def test_tabs_and_an_editor_stay_in_step(serve, visit):
    workbench = serve("rented-room")
    one, other = visit(workbench), visit(workbench)
    one.get_by_text("the project's name and units").click()
    rename(one, "Changed in a tab", "name")
    other.get_by_role("heading", name="Changed in a tab").wait_for()
    path = workbench.folder / "project.toml"
    path.write_text(workbench.text().replace("Changed in a tab", "Changed in an editor"), "utf-8")
    for page in (one, other):
        page.get_by_role("heading", name="Changed in an editor").wait_for()
    other.get_by_role("button", name="undo").click()
    one.get_by_role("heading", name="Changed in a tab").wait_for()


def test_a_file_broken_in_an_editor_is_told_with_its_line_and_can_be_taken_back(serve, visit):
    workbench = serve("rented-room")
    page = visit(workbench)
    whole = workbench.text()
    (workbench.folder / "project.toml").write_text(whole.replace("ceiling = 2.5", "ceiling = 'up'"), "utf-8")
    alert = page.get_by_role("alert", name="Faults of the file")
    alert.wait_for()
    assert re.search(r"line \d+:\s+room.ceiling found", alert.inner_text())
    alert.get_by_role("button", name="take that change back").click()
    alert.wait_for(state="detached")
    assert workbench.text() == whole


def test_what_the_door_refuses_is_told_beside_the_field_and_not_saved(serve, visit):
    workbench = serve("rented-room")
    page = visit(workbench)
    before = workbench.text()
    page.locator('[id="f-room.ceiling"]').fill("sky high")
    page.keyboard.press("Tab")
    page.get_by_role("alert").get_by_text("wanted a length").wait_for()
    assert workbench.text() == before


def test_what_is_only_shown_offers_no_change(serve, visit):
    page = visit(serve("rented-room", "--read-only"))
    page.get_by_text("only shown").wait_for()
    assert page.get_by_role("button", name="door", exact=True).is_disabled()
    assert page.get_by_role("button", name="undo").is_disabled()


def test_a_picture_lies_under_the_plan_scaled_by_one_known_length(serve, visit, tmp_path):
    """Its ends are set once by mouse and once by keys; on the screen they lie as far apart as the wall is long."""
    workbench = serve("rented-room")
    page = visit(workbench)
    page.locator(".drawing").screenshot(path=tmp_path / "scan.png")
    page.get_by_label("Picture under the plan", exact=True).set_input_files(tmp_path / "scan.png")
    picture = page.get_by_role("button", name=re.compile("Tap the two ends"))
    box = picture.bounding_box()
    picture.click(position={"x": 0.2 * box["width"], "y": 0.5 * box["height"]})
    for _ in range(8):
        page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press("Enter")
    page.get_by_role("textbox", name="known length").fill("4.60 m")
    page.get_by_role("button", name="lay it under the plan").click()
    page.locator("image.picture").wait_for(state="attached")
    laid = data(workbench)["underlay"]
    (x0, y0), (x1, y1) = laid["points"]
    assert (laid["file"], laid["length"], y0) == ("underlay.png", "4.60 m", y1)
    across = page.locator("image.picture").evaluate(
        "(image, [from, to]) => { const at = (x, y) => new DOMPoint(x, y).matrixTransform(image.getCTM());"
        " const [a, b] = [at(...from), at(...to)]; return Math.hypot(a.x - b.x, a.y - b.y) }",
        [[x0, y0], [x1, y1]],
    )
    wall = page.locator('[data-key="wall:0"] .shape').bounding_box()
    assert abs(across - wall["width"]) < 3.0


def test_it_works_with_the_network_cut(shared, visit):
    """Every request but those to the workbench itself is cut off; the other fixtures watch that none is made."""
    workbench = shared("rented-room")
    page = visit(workbench)
    page.context.route(lambda url: not url.startswith(workbench.address), lambda route: route.abort())
    page.reload()
    page.wait_for_selector(".scene path")
    page.get_by_role("button", name="seat", exact=True).count()
    for view in ("walls", "in the round", "plan"):
        page.get_by_role("group", name="View").get_by_role("button", name=view, exact=True).click()
        page.wait_for_timeout(200)
    assert page.locator(".scene path").count() > 20
