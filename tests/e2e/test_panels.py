"""What a person at the job reads and ticks in the steps: cautions, cuts, labels, proofs, a device's own report."""

import json
import pathlib
import re
import tomllib

AUTHORITIES = pathlib.Path(__file__).parents[2] / "authorities"


def ticked(workbench):
    """What the log of ticks holds."""
    file = workbench.folder / "log" / "ticks.jsonl"
    return [json.loads(line)["data"]["what"] for line in file.read_text("utf-8").splitlines()]


def test_the_cautions_are_read_and_ticked_one_by_one(serve, step):
    workbench = serve("rented-room")
    page = step(workbench, "work")
    page.get_by_text("the cautions, one by one").click()
    page.get_by_label(re.compile(r"Mains\. Work on mains wiring is for people who are licensed")).check()
    page.get_by_label(re.compile(r"Drilling\. Walls, floors and ceilings may hide mains cables")).check()
    page.wait_for_timeout(300)
    assert ticked(workbench) == ["thought of Mains", "thought of Drilling"]


def test_each_piece_is_cut_from_its_spool_and_labelled(shared, step):
    """The pieces and labels of the plan, to the centimetre, and every piece can be ticked."""
    workbench = shared("rented-room")
    page = step(workbench, "cable")
    page.set_default_timeout(90_000)
    page.get_by_text("cut in this order").wait_for()
    told = " ".join(page.locator("section.panel").inner_text().split())
    cable = page.request.get(f"{workbench.address}api/plan").json()["cable"]
    pieces = [piece for cut in cable["cuts"] for piece in cut["pieces"]]
    assert len(pieces) > 4
    for piece in pieces:
        assert f"{piece['length_m']:.2f} m for {piece['run']}" in told
        page.get_by_role("checkbox", name=f"m for {piece['run']}").wait_for()
    for cover in cable["covers"]:
        assert f"{cover['length_m']:.2f} m of {cover['what']}" in told
    sums = [sum(run[key] for run in cable["runs"]) for key in ("routed_m", "cut_m")]
    assert (
        f"{sums[0]:.2f} m along their routes take {sums[1]:.2f} m of cable: a length to cut holds slack"
        in told
    )
    chosen = next(one for one in cable["alternatives"] if one["name"] == "chosen")
    assert chosen["cost"] == min(one["cost"] for one in cable["alternatives"])
    for one in cable["alternatives"]:
        more = one["cost"] - chosen["cost"]
        weighed = f"{more:.2f} EUR more" if more >= 0.005 else "the least of these"
        assert f"{one['name']}: {one['cost']:.2f} EUR by your weights, {weighed}" in told
    page.get_by_text("what stands on the labels").click()
    told = " ".join(page.locator("section.panel").inner_text().split())
    for label in cable["labels"]:
        if label["end"].startswith("at "):
            assert f"{label['end']}: {label['text']} to {label['far']} notches {label['notches']}" in told


def test_a_device_s_own_report_is_written_as_what_it_decodes_and_proved_by_the_display(serve, step, tmp_path):
    """A receiver of the open EDID collection (authorities/edid); what is no report is told in words."""
    displays = json.loads((AUTHORITIES / "edid" / "displays.json").read_text("utf-8"))
    entry = next(one for one in displays if one["well_formed"] and len(one["printed"]["formats"]) > 2)
    (tmp_path / "edid.bin").write_bytes(bytes.fromhex(entry["hex"]))
    (tmp_path / "diary.txt").write_text("no report at all", "utf-8")
    workbench = serve("rented-room")
    page = step(workbench, "signal")
    page.get_by_role("heading", name="prove it").wait_for()
    page.get_by_text("read what a display or receiver reports of itself").click()
    file = page.get_by_label("The report of a display or receiver")
    file.set_input_files(tmp_path / "diary.txt")
    page.get_by_text("It tells no audio format.").wait_for()
    file.set_input_files(tmp_path / "edid.bin")
    page.get_by_text(re.compile("^It takes .*LPCM")).wait_for()
    page.get_by_label("it is").select_option("receiver")
    page.get_by_role("button", name="write this as what receiver decodes").click()
    page.get_by_text("written for receiver").wait_for()
    decodes = tomllib.loads(workbench.text())["amplifier"][0]["decodes"]
    assert any(text.startswith("LPCM") for text in decodes)
    page.get_by_role("button", name="undo").click()
    page.wait_for_timeout(500)
    assert "decodes" not in tomllib.loads(workbench.text())["amplifier"][0]
    line = page.get_by_role("checkbox", name=re.compile("film service on player"))
    line.check()
    page.wait_for_timeout(300)
    assert ticked(workbench) == ["proved film service on player"]


def test_a_subwoofer_s_places_to_try_are_told_for_the_tape(shared, step):
    """Along a wall and out from it, as `seatfield bass` says; with several, how the first of them is set."""
    workbench = shared("open-plan")
    page = step(workbench, "bass")
    page.set_default_timeout(90_000)
    page.get_by_role("heading", name="places to try, by ear").wait_for()
    bass = page.request.get(f"{workbench.address}api/plan").json()["bass"]
    told = " ".join(page.locator("section.panel").inner_text().split())
    marks = [mark for one in bass["tries"] if not one["now"] for mark in one["marks"] if mark["off_m"]]
    assert marks
    assert told.count("square out from it") == len(marks)
    for mark in marks:
        assert f"from corner {mark['from_corner']} along wall" in told
    for one in bass["best"][0]["subwoofers"]:
        assert f"{one['delay_ms']:.1f} ms of delay" in told
    page.get_by_text("the lowest modes of the room").click()
    page.get_by_text(f"{bass['modes'][0]['freq_hz']:.1f} Hz", exact=True).wait_for()
