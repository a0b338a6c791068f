"""Notes that are struck out: only what is mended, never what a stage has not computed anew yet."""

import pathlib
import shutil

EXAMPLES = pathlib.Path(__file__).parents[2] / "examples"

WATCH = """() => {
  window.wrong = [];
  window.struck = new Set();
  const words = (found) => [...document.querySelectorAll(found)].map((one) => one.innerText.replace(/\\s+/g, " "));
  new MutationObserver(() => {
    const live = words("[data-finding] p:nth-of-type(2)");
    for (const text of words(".notes s")) {
      window.struck.add(text);
      if (live.some((one) => one && text.endsWith(one))) window.wrong.push(text);
    }
  }).observe(document.querySelector(".notes"), { childList: true, subtree: true, characterData: true });
}"""


def test_only_what_is_mended_is_struck_out(shared, visit, tmp_path):
    """The bass is computed anew after a change; what it finds again was not mended meanwhile."""
    folder = tmp_path / "room"
    shutil.copytree(EXAMPLES / "rented-room", folder)
    workbench = shared(folder)
    page = visit(workbench)
    page.set_default_timeout(120_000)
    whole = "() => fetch('/api/state').then((told) => told.json()).then((state) => state.whole)"
    page.wait_for_function(whole)
    gap = page.locator('.fix[data-finding^="bass.seat-gap"]')
    gap.wait_for()
    page.evaluate(WATCH)
    page.get_by_role("button", name="places", exact=True).click()
    page.locator("section.panel li button.line", has_text="M+110").click()
    page.get_by_role("group", name="at", exact=True).get_by_label("at z").fill("1.85")
    page.keyboard.press("Tab")
    page.wait_for_function("() => /revision 2, saved/.test(document.body.innerText)")
    page.wait_for_function(whole)
    gap.wait_for()
    page.wait_for_timeout(500)
    assert page.evaluate("() => window.wrong") == []
    assert not any("gap" in text for text in page.evaluate("() => [...window.struck]"))
    page.get_by_role("button", name="bass", exact=True).click()
    page.get_by_role("button", name="places", exact=True).click()
    page.locator("section.panel li button.line", has_text="sub").click()
    page.get_by_role("button", name="remove sub").click()
    page.locator(".notes s").first.wait_for()
    assert gap.count() == 0
    assert page.evaluate("() => window.wrong") == []
