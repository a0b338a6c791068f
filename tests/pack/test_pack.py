"""The pack as a PDF: pypdf and poppler read it back."""

import datetime as dt
import io
import re
import shutil
import subprocess
from dataclasses import replace
from types import SimpleNamespace

import pytest
from pypdf import PdfReader

from seatfield import pack
from seatfield.catalogue.terminations import IN_WALL_QUESTIONS
from seatfield.drawing import Sheet, Title, floor_plan
from seatfield.drawing.lettering import primed
from seatfield.drawing.measures import length_text
from seatfield.model import Finding, LengthUnit, Mount, Severity, Terminal
from seatfield.pack.comparing import proof_text, routes_sheet
from seatfield.pack.connecting import band_text
from seatfield.pack.job import steps_of
from seatfield.pack.listening import curves_sheet
from seatfield.pack.loudness import cell, levels_sheet
from seatfield.pack.packing import SHEETS, Order, UnknownSheetError
from seatfield.pack.press import PAPERS, PrintError, press, superscripted
from seatfield.pack.proving import age_text
from seatfield.pack.telling import figure, gathered, quantity
from seatfield.pack.works import LABEL_GRIDS, labels_sheet, shopping_sheet
from seatfield.stages.bass.result import Curve
from seatfield.stages.cable.result import ColdTest, Need
from seatfield.stages.chain.result import Loss
from seatfield.stages.layout.result import Mark
from seatfield.stages.plan import Plan
from seatfield.stages.terminals import plan as plan_terminals

DAY = dt.date(2026, 3, 1)


WHOLE = {}
"""Whole packs by plan and paper, each with its plan: printed once for all that is looked for in them."""


def printed(example, *names, paper="a4"):
    project, plan = example
    if names:
        return pack.render_sheets(project, plan, names, paper=paper, day=DAY, revision="7")
    if (id(plan), paper) not in WHOLE:
        WHOLE[id(plan), paper] = plan, pack.render(project, plan, paper=paper, day=DAY, revision="7")
    return WHOLE[id(plan), paper][1]


def words(pdf):
    """Words of each page, as poppler reads them."""
    assert shutil.which("pdftotext"), "poppler-utils is missing: apt-get install poppler-utils"
    text = subprocess.run(["pdftotext", "-", "-"], input=pdf, check=True, capture_output=True).stdout.decode()
    return [" ".join(page.split()) for page in text.split("\f")[:-1]]


def raster(pdf, folder):
    """Rows of grey pixels of the first page at 200 to the inch, as poppler paints them."""
    (folder / "page.pdf").write_bytes(pdf)
    command = ["pdftoppm", "-gray", "-r", "200", "-l", "1", folder / "page.pdf", folder / "page"]
    subprocess.run(command, check=True, capture_output=True)
    _, size, _, pixels = next(folder.glob("page*.pgm")).read_bytes().split(b"\n", 3)
    width = int(size.split()[0])
    return [pixels[i : i + width] for i in range(0, len(pixels), width)]


def word_boxes(pdf):
    """Each page's number, size and words with their boxes [pt], as poppler finds them."""
    made = subprocess.run(["pdftotext", "-bbox", "-", "-"], input=pdf, check=True, capture_output=True).stdout
    pages = re.findall(r'<page width="([\d.]+)" height="([\d.]+)">(.*?)</page>', made.decode(), re.DOTALL)
    word = r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>'
    for number, (width, height, inside) in enumerate(pages, 1):
        boxes = [(*map(float, found[:4]), found[4]) for found in re.findall(word, inside)]
        yield number, (float(width), float(height)), boxes


def test_the_same_plan_prints_the_same_bytes(example):
    assert printed(example, "cover", "floor plan", "labels") == printed(
        example, "cover", "floor plan", "labels"
    )


@pytest.mark.parametrize(("paper", "size_mm"), [("a4", (210.0, 297.0)), ("letter", (215.9, 279.4))])
def test_every_page_has_the_size_of_its_paper(attic, paper, size_mm):
    """ISO 216 for A4; ANSI/ASME Y14.1 size A for Letter."""
    for page in PdfReader(io.BytesIO(printed(attic, paper=paper))).pages:
        sides = sorted(float(side) * 25.4 / 72.0 for side in page.mediabox[2:])
        assert sides == pytest.approx(sorted(size_mm), abs=0.05)


def test_only_the_shipped_fonts_are_used_and_all_are_embedded(attic):
    for page in PdfReader(io.BytesIO(printed(attic))).pages:
        for font in page["/Resources"].get("/Font", {}).values():
            one = font.get_object()
            assert re.fullmatch(r"/[A-Z]{6}\+Lato-(Regular|Bold|Italic)(-Identity-H)?", one["/BaseFont"])
            assert "/FontFile2" in one["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object()


def test_every_sheet_says_its_revision(example):
    assert [number for number, text in enumerate(words(printed(example))) if "revision 7" not in text] == []


def test_the_date_of_the_file_is_the_one_given(attic):
    assert PdfReader(io.BytesIO(printed(attic, "cautions"))).metadata.creation_date.date() == DAY


def test_the_marking_sheet_prints_every_tape_distance(example):
    project, plan = example
    text = " ".join(words(printed(example, "marking out")))
    for mark in plan.layout.marks:
        for tape in mark.tapes:
            assert length_text(tape.distance_m, project.units) in text
        assert length_text(mark.height_m, project.units) in text
        if mark.wall is not None and mark.off_m >= 0.01:
            assert f": {length_text(mark.off_m, project.units)}" in text
        if mark.check_m is not None:
            assert f"check: from {mark.check_from}: {length_text(mark.check_m, project.units)}" in text


def test_a_place_out_from_a_wall_is_told_in_the_same_letters_and_quotes(open_plan):
    """Letter sizes as pypdf reads them; feet and inches have primes in the remark too."""
    project, plan = open_plan
    mark = Mark(
        "S", "M+030", 1.0, wall=0, along_m=1.0, from_corner="A", off_m=0.3302,
        note="It stands on a shelf. Measure 3' 3 3/8\" along wall A–B from corner A, then 1' 1\" square out.",
        check_from="corner B, along the wall", check_m=2.0,
    )  # fmt: skip
    told = replace(plan, layout=replace(plan.layout, marks=(mark,)))
    sizes = {}

    def note(text, cm, tm, _font, size):
        if text.strip():
            sizes.setdefault(abs(size * tm[0] * cm[0]), []).append(text)

    pdf = printed((replace(project, units=LengthUnit.FOOT), told), "marking out")
    PdfReader(io.BytesIO(pdf)).pages[0].extract_text(visitor_text=note)
    arm = " ".join(
        text for size, texts in sizes.items() if size == pytest.approx(18.0, abs=0.1) for text in texts
    )
    assert "out from wall" in arm
    assert "1′ 1″" in arm
    text = words(pdf)[0]
    assert "check: from corner B, along the wall: 6′ 6 3/4″" in text
    assert not re.search(r"\d['\"]", text)


def test_what_the_shopping_list_costs_is_compared_only_where_something_is_priced(open_plan):
    project, plan = open_plan
    priced = tuple(replace(one, bought=10.0 + n) for n, one in enumerate(plan.cable.alternatives))
    needs = (Need("cable", 2.0, "m", 5.0, ""), Need("label", 4.0, "pieces", None, ""))
    cable = replace(plan.cable, alternatives=priced, needs=needs)
    (row,) = [m for m in routes_sheet(project, plan, cable)["measures"] if "shopping" in m["caption"]]
    assert row["caption"].startswith("shopping list, as far as priced")
    assert row["cells"][0] == {"text": "10.00", "best": True}
    bare = replace(cable, alternatives=tuple(replace(one, bought=None) for one in priced))
    captions = [m["caption"] for m in routes_sheet(project, plan, bare)["measures"]]
    assert not any("shopping" in caption for caption in captions)


def test_the_schedule_prints_every_run_with_the_length_to_cut(example):
    project, plan = example
    text = " ".join(words(printed(example, "cable schedule")))
    for run in plan.cable.runs:
        assert run.id in text
        assert length_text(run.cut_m, project.units) in text


def test_every_piece_of_the_cut_list_can_be_ticked_once(example):
    _, plan = example
    text = " ".join(words(printed(example, "cut list")))
    for cut in plan.cable.cuts:
        for piece in cut.pieces:
            assert piece.run in text


def test_labels_print_one_tag_for_each_end_and_copy(example):
    _, plan = example
    text = " ".join(words(printed(example, "labels")))
    assert text.count("other end:") == len(plan.cable.labels)


def test_the_notches_on_a_tag_stand_in_groups_and_tell_every_run_apart(example):
    project, plan = example
    tags = labels_sheet(project, plan.cable, "a4")["tags"]
    assert [tag["notches"] for tag in tags] == [
        [len(group) for group in label.notches.split(" ")] for label in plan.cable.labels
    ]
    assert len({tuple(tag["notches"]) for tag in tags}) == len(plan.cable.runs)


def test_lengths_on_the_sheets_are_in_the_project_s_unit(example):
    """Where a file is in feet no sheet speaks of metres; a connector that is named by millimetres stays."""
    project, _ = example
    text = " ".join(words(printed(example, "labels", "terminations", "shopping list", "cable schedule")))
    metric = re.findall(r"\b[\d.]+ (?:m|cm|mm)\b(?! plug)", text)
    assert bool(metric) == (project.units is LengthUnit.METRE)


def test_the_shopping_list_reads_as_it_is_said(example):
    project, plan = example
    counts = [need["count"] for need in shopping_sheet(project, plan.cable)["needs"]]
    assert all(re.match(r"[\d.]+ [a-z]+", count) for count in counts)


def test_the_margin_of_the_cable_plan_names_every_run(example):
    project, plan = example
    text = " ".join(words(printed(example, "cable plan")))
    for run in plan.cable.runs:
        line = f"{run.id}: {run.conductor}, cut {length_text(run.cut_m, project.units)}"
        assert superscripted(line) in text


@pytest.mark.parametrize("paper", PAPERS)
def test_the_grid_of_labels_fits_its_paper(paper):
    columns, rows, wide, high, top, left = LABEL_GRIDS[paper]
    width, height = PAPERS[paper][1]
    assert left + columns * wide <= width
    assert top + rows * high <= height


def test_every_finding_is_printed_with_its_source_and_its_code(example):
    _, plan = example
    text = " ".join(words(printed(example, "findings"))).replace(" ", "")
    for finding in plan.findings:
        assert finding.code.replace(" ", "") in text
        assert finding.subject.replace(" ", "") in text
        for part in primed(superscripted(finding.message)).split(finding.subject):
            assert part.replace(" ", "") in text


def test_findings_of_one_code_are_told_once_with_all_their_subjects(example):
    """What differs in its subject alone is one sentence; a further one of the same code stands beside it."""
    finding = Finding(
        "cable.under-rug", Severity.NOTE, "M+030", "The run to M+030 lies under a rug.", advice="Look."
    )
    other = replace(
        finding, subject="M-030", message="The run to M-030 lies under a rug.", measured=1.0, unit="m"
    )
    third = replace(finding, subject="M+000", message="M+000 passes under a rug.", measured=2.0, unit="m")
    heavy = replace(finding, severity=Severity.FIX)
    one, two = gathered([other, third, replace(finding, measured=3.0, unit="m"), heavy])
    assert one["subject"] == "M-030, M+000 and M+030"
    assert one["messages"] == ["The run to M-030 and M+030 lies under a rug.", "M+000 passes under a rug."]
    assert one["measured"] == "1 to 3 m"
    assert (two["word"], two["messages"]) == ("Mend", [finding.message])
    project, plan = example
    told = replace(plan, survey=replace(plan.survey, findings=(finding, other)))
    text = " ".join(words(printed((project, told), "findings")))
    assert "The run to M+030 and M-030 lies under a rug." in text


@pytest.fixture
def refusing(open_plan):
    """Give the open plan with a load that its amplifier does not allow on M+090 and M-090."""
    project, plan = open_plan
    channels = tuple(
        replace(one, load="refused") if one.channel in ("M+090", "M-090") else one
        for one in plan.level.amplifier_channels
    )
    return project, replace(plan, level=replace(plan.level, amplifier_channels=channels))


def test_a_loudspeaker_that_must_not_be_connected_has_no_box_to_tick(refusing, open_plan):
    """The word stands in place of the box, and every other terminal keeps its own."""
    project, plan = refusing
    assert plan.level.refused == ("M+090", "M-090")
    (sheet,) = SHEETS["terminals"](Order(project, plan, "a4", Title("", "", "", ""), DAY))
    rows = [row for one in sheet["amplifiers"] for row in (*one["posts"], *one["lines"]) if row["hold"]]
    assert {row["channel"] for row in rows if "channel" in row} == {"M+090", "M-090"}
    text = " ".join(words(printed(refusing, "terminals")))
    assert text.count("do not connect: see Levels at the seats") == text.count("×") == len(rows)
    assert "×" not in " ".join(words(printed(open_plan, "terminals")))


@pytest.mark.parametrize(
    "sheet", ["cable schedule", "shopping list", "cut list", "cold test", "terminations", "terminals"]
)
def test_every_sheet_of_the_work_says_what_must_not_be_connected(refusing, open_plan, sheet):
    warning = "Do not connect M+090 and M-090: the load is below what the amplifier allows"
    assert warning in words(printed(refusing, sheet))[0]
    assert "Do not connect" not in " ".join(words(printed(open_plan, sheet)))


def test_the_cover_asks_for_leave_only_where_something_is_drilled(attic):
    _, plan = attic
    flat = tuple(replace(one, mount=Mount.STAND) for one in plan.layout.loudspeakers)
    whole = tuple(replace(one, holes=0) for one in plan.cable.alternatives)
    runs = tuple(
        replace(run, legs=tuple(replace(leg, surface="skirting") for leg in run.legs))
        for run in plan.cable.runs
    )
    bare = replace(
        plan,
        layout=replace(plan.layout, loudspeakers=flat),
        cable=replace(plan.cable, alternatives=whole, runs=runs),
    )
    hung = replace(
        bare, layout=replace(plan.layout, loudspeakers=(replace(flat[0], mount=Mount.WALL), *flat[1:]))
    )
    drilled = replace(bare, cable=replace(bare.cable, alternatives=(replace(whole[0], holes=1),)))
    assert "leave for holes" not in steps_of(bare)[0][0]
    assert "leave for holes" in steps_of(hung)[0][0]
    assert "leave for holes" in steps_of(drilled)[0][0]


def test_the_cautions_defer_and_claim_nothing(attic):
    text = " ".join(words(printed(attic, "cautions")))
    for phrase in (
        "licensed",
        "building code",
        "protective earth",
        "detector",
        "ladder",
        "tether",
        "hearing",
    ):
        assert phrase in text
    assert "claim no compliance" in text


def test_the_list_of_sheets_names_every_sheet_with_its_page(attic):
    pages = words(printed(attic))
    for name in ("Cautions", "Floor plan", "Marking out", "Cable schedule", "Cut list", "Labels", "Findings"):
        number = int(re.search(rf"{name} (\d+)", pages[0]).group(1))
        title = name if name != "Labels" else "other end:"
        assert title in pages[number - 1]


def test_a_plan_without_layout_and_cable_still_prints_what_there_is(attic):
    project, plan = attic
    pages = words(pack.render(project, Plan(plan.survey), paper="a4", day=DAY, revision="1"))
    assert "not laid out yet" in pages[0]
    assert not any("Cable schedule" in page for page in pages)


@pytest.mark.parametrize(
    "name", ['#let x = 1; *bold* _it_ $y$ <label> @ref "q" \\', "Küche 客厅 🛋️", "a" * 300]
)
def test_a_name_is_printed_as_it_is_whatever_signs_it_holds(attic, name):
    project, plan = attic
    pdf = pack.render_sheets(
        replace(project, name=name), plan, ("cover", "floor plan"), day=DAY, revision="1"
    )
    if name.isascii() and len(name) < 100:
        assert name.replace(" ", "") in words(pdf)[0].replace(" ", "")
    assert pdf.startswith(b"%PDF")


def test_an_unknown_paper_is_refused(attic):
    with pytest.raises(
        pack.UnknownPaperError, match=r"There is no paper 'a3'; the sheets are made for a4, letter\."
    ):
        printed(attic, paper="a3")


def test_an_unknown_sheet_is_refused(attic):
    with pytest.raises(
        UnknownSheetError, match=r"The pack has no sheet 'poster'; its sheets are cover, cautions"
    ):
        printed(attic, "poster")


def test_a_complaint_of_the_typesetter_stops_the_print():
    """A sheet of a kind that no template knows is a fault of ours and must not pass as a blank page."""
    with pytest.raises(PrintError, match=r"could not be set in type: .*nonsense"):
        press(
            {
                "title": {"project": "p", "document": "d", "revision": "1", "date": ""},
                "sheets": [{"kind": "nonsense"}],
            },
            paper="a4",
            day=DAY,
        )


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("unit", LengthUnit)
def test_the_blank_survey_needs_no_project_and_takes_four_pages(paper, unit):
    pages = words(pack.survey_sheet(paper=paper, unit=unit, day=DAY))
    assert len(pages) == 4
    assert "as many diagonals" in pages[0]
    assert "measured by" in pages[0]
    assert f"in {unit.value}" in pages[0]
    assert "The last wall leads back to A" in pages[1]
    assert "picture's width, height" in pages[2].replace("’", "'")
    assert "lowest ohm" in pages[3]
    assert "dB, for" in pages[3]


def test_a_picture_has_the_pixels_of_its_paper_size(attic):
    """PNG (ISO/IEC 15948): width and height stand in bytes 16 to 23 of the file."""
    project, plan = attic
    scene = floor_plan(project, plan, Sheet(242.0, 115.0), Title("A room", "Floor", "1", "2026-03-01"))
    made = pack.picture(scene, ppi=100.0)
    assert (int.from_bytes(made[16:20]), int.from_bytes(made[20:24])) == (1000, 500)
    assert made == pack.picture(scene, ppi=100.0)


def test_the_floor_plan_prints_at_its_scale(attic, tmp_path):
    """poppler's raster of the page: the title block is exactly as wide as the sheet's field, 277 mm less its edges."""
    rows = raster(printed(attic, "floor plan"), tmp_path)
    longest = max(max(map(len, re.findall(rb"[\x00-\x20]+", row)), default=0) for row in rows)
    assert longest * 25.4 / 200.0 == pytest.approx(276.0 + 0.35, abs=0.4)


def test_every_sheet_of_the_job_is_there_in_its_order(open_plan):
    pages = words(printed(open_plan))
    wanted = (
        "Levels at the seats", "Marking out", "Routes compared", "Cable schedule", "Shopping list", "Cut list",
        "Cold test", "Terminations", "Terminal map", "Format proof", "Findings",
    )  # fmt: skip
    first = [next(n for n, page in enumerate(pages) if page.startswith(name)) for name in wanted]
    assert first == sorted(first)


def test_a_sheet_is_left_out_where_its_stage_says_nothing(attic):
    """The attic's file names no service; a plan without cable has no ends to test or to finish."""
    project, plan = attic
    assert not any("Format proof" in page for page in words(printed(attic)))
    bare = words(pack.render(project, replace(plan, cable=None, level=None), day=DAY, revision="1"))
    for name in ("Cold test", "Terminations", "Routes compared", "Levels at the seats"):
        assert not any(page.startswith(name) for page in bare)


def test_the_cover_stays_on_one_page(example):
    assert words(printed(example))[1].startswith("Cautions")


def test_the_terminal_map_has_every_loudspeaker_on_its_terminal_and_every_pre_out(open_plan):
    _, plan = open_plan
    text = " ".join(words(printed(open_plan, "terminals")))
    for use in plan.cable.terminals:
        assert re.search(f"{re.escape(use.terminal)} .*{re.escape(use.run)}", text), use
        if use.pre_out:
            assert f"fed by {use.pre_out}" in text


def test_the_terminal_map_follows_the_back_panel_and_names_what_stays_free(attic):
    """Terminals stand in the order of the file, which is the order of the back panel."""
    project, plan = attic
    names = ("Front A right", "Front A left", "Middle", "Zone")
    carries = (("M-030",), ("M+030",), ("M+000",), ("M+180",))
    posts = tuple(Terminal(name, channels) for name, channels in zip(names, carries, strict=True))
    told = replace(project, amplifiers=(replace(project.amplifiers[0], terminals=posts),))
    mapped = replace(plan, terminals=plan_terminals(told, plan.layout))
    text = " ".join(words(printed((told, mapped), "terminals")))
    assert [text.index(name) for name in names] == sorted(text.index(name) for name in names)
    assert re.search(
        r"Front A right .*M-030.*Front A left .*M\+030.*Middle .*M\+000.*Zone .*stays free", text
    )


def test_what_cannot_be_driven_is_told_with_three_ways_out(attic):
    project, plan = attic
    small = replace(project, amplifiers=(replace(project.amplifiers[0], channels=5, pre_outs=0),))
    uses = plan_terminals(small, plan.layout)
    text = " ".join(words(printed((small, replace(plan, terminals=uses)), "terminals"))).replace(" ", "")
    assert uses.cannot
    for found in uses.cannot:
        assert found.why.replace(" ", "") in text
        assert all(way.replace(" ", "") in text for way in found.ways_out)


def test_the_cold_test_prints_every_band_and_what_each_wrong_reading_means(example):
    _, plan = example
    text = " ".join(words(printed(example, "cold test")))
    assert re.findall(r"\d+\.\d to \d+\.\d Ω|open(?= Reads)", text) == [
        band_text(test) for test in plan.cable.tests
    ]
    assert re.findall("|".join(re.escape(test.run) for test in plan.cable.tests), text) == [
        test.run for test in plan.cable.tests
    ]
    for reading in plan.cable.readings:
        assert reading.do.replace(" ", "") in text.replace(" ", "")
    assert "cable off the amplifier" in text
    assert "unplugged" in text


@pytest.mark.parametrize(
    ("low", "high", "text"),
    [
        (2.884, 3.504, "2.8 to 3.6 Ω"),
        (5.0, 6.0, "5.0 to 6.0 Ω"),
        (None, None, "open"),
        (0.04, 0.2, "0.0 to 0.2 Ω"),
    ],
)
def test_a_band_is_rounded_outwards_so_that_no_right_reading_fails(low, high, text):
    assert band_text(ColdTest("M+030", low, high, "")) == text


def test_the_terminations_print_the_polarity_rule_and_both_ends_of_every_run(example):
    project, plan = example
    text = " ".join(words(printed(example, "terminations")))
    assert plan.cable.polarity in text
    for run in plan.cable.runs:
        assert run.id in text
    ends = [end for end in plan.cable.terminations if end.strip_m > 0]
    strip = "1/2″" if project.units is LengthUnit.FOOT else "12 mm"
    assert text.count(strip) >= len(ends)


def test_strip_lengths_are_printed_at_full_size(attic, tmp_path):
    """poppler's raster of the page: the longest black bar below the rule is as long as the strip length says."""
    _, plan = attic
    rows = raster(printed(attic, "terminations"), tmp_path)
    strip_mm = max(end.strip_m for end in plan.cable.terminations) * 1000.0
    runs = [len(found) for row in rows for found in re.findall(rb"[\x00-\x20]+", row)]
    wanted = strip_mm / 25.4 * 200.0
    assert sum(abs(length - wanted) <= 1.5 for length in runs) > 20  # a bar of 4 mm is some 31 rows high


def test_questions_about_cable_in_walls_are_asked_and_nothing_is_claimed(attic):
    project, plan = attic
    asked = replace(plan, cable=replace(plan.cable, in_wall=IN_WALL_QUESTIONS))
    text = " ".join(words(printed((project, asked), "terminations")))
    assert "claims compliance" in text
    for question in IN_WALL_QUESTIONS:
        assert question.replace(" ", "") in text.replace(" ", "")


def test_the_routes_stand_side_by_side_with_their_cost_and_the_straight_guess(example):
    project, plan = example
    text = " ".join(words(printed(example, "routes compared")))
    for one in plan.cable.alternatives:
        assert one.name in text
        assert f"{one.cost:.0f}" in text
        assert length_text(one.cable_m, project.units) in text
    assert (
        f"guess by straight lines would have bought {length_text(plan.cable.straight_m, project.units)}"
        in text
    )


def test_the_lowest_of_each_line_is_marked_and_none_where_all_are_alike(open_plan):
    project, plan = open_plan
    sheet = routes_sheet(project, plan, plan.cable)
    for row in sheet["measures"]:
        marked = {cell["text"] for cell in row["cells"] if cell["best"]}
        assert len(marked) == (1 if len({cell["text"] for cell in row["cells"]}) > 1 else 0), row


def test_a_proven_optimum_is_called_proven_and_a_gap_is_told(attic):
    _, plan = attic
    exact = replace(plan.cable, exact=True)
    assert "proven" in proof_text(exact, "EUR")
    near = replace(plan.cable, exact=False, cost=replace(plan.cable.cost, total=110.0), bound=100.0)
    assert "less than 100 EUR; it is at most 10.0 % above" in proof_text(near, "EUR")


def test_raceway_and_covers_are_listed_where_they_go(example):
    project, plan = example
    text = " ".join(words(printed(example, "shopping list"))).replace(" ", "")
    for cover in plan.cable.covers:
        assert length_text(cover.length_m, project.units).replace(" ", "") in text
        assert ", ".join(cover.runs).replace(" ", "") in text


def test_the_proof_sheet_has_a_card_for_every_service(open_plan):
    _, plan = open_plan
    text = " ".join(words(printed(open_plan, "format proof")))
    for line in plan.chain.proof:
        assert f"{line.service} on {line.device}" in text
        assert line.expected in text
        assert line.tell_apart.replace(" ", "") in text.replace(" ", "")
    assert text.count("It says:") == len(plan.chain.proof)
    assert plan.chain.better_topology in text


def test_a_display_line_that_was_typed_is_printed_and_a_lost_format_names_its_first_cause(open_plan):
    project, plan = open_plan
    shown = replace(
        plan.chain.proof[0], display_shows="OBJ / 5.1", settings=("television: sound out = untouched",)
    )
    loss = Loss("television", "device", "It passes two channels.", ("channels",), "E-AC-3", "LPCM 2")
    lossy = replace(plan.chain.services[0], losses=(loss,))
    chain = replace(plan.chain, proof=(shown,), services=(lossy,))
    text = " ".join(words(printed((project, replace(plan, chain=chain)), "format proof")))
    assert "must say: OBJ / 5.1" in text
    assert "television: sound out = untouched" in text
    assert "First loss, at television: It passes two channels." in text


@pytest.mark.parametrize(
    ("date", "text"),
    [
        ("2026-02-20", "2026-02-20, this month"),
        ("2025-10-01", "2025-10-01, 5 months old"),
        ("2024-02-28", "2024-02-28, 24 months old: look it up again"),
        ("2026-05-01", "2026-05-01, in the future"),
        ("last spring", "last spring"),
        ("", ""),
    ],
)
def test_facts_tell_their_age_on_the_day_of_printing(date, text):
    assert age_text(date, DAY) == text


def test_the_levels_print_every_channel_at_every_seat(open_plan):
    _, plan = open_plan
    text = " ".join(words(printed(open_plan, "levels")))
    for seat in plan.level.seats:
        for one in seat.channels:
            assert one.id in text
            assert f"{one.peak_db:.0f}" in text


@pytest.mark.parametrize(
    ("peak", "text", "short"),
    [
        (105.0, "105", False),
        (104.6, "105", False),
        (99.4, "99 (−6)", True),
        (101.0, "101 (−4)", False),
        (None, "–", False),
    ],
)
def test_a_level_says_what_it_lacks_of_the_wish(peak, text, short):
    assert cell(peak, 105.0) == {"text": text, "short": short}


LONG = "Terminal-with-a-name-that-never-ends-and-has-no-space-" * 3


@pytest.mark.parametrize("paper", PAPERS)
def test_long_names_wrap_and_stay_on_the_page(open_plan, paper):
    """poppler's boxes of all words: none leaves the page's margins."""
    project, plan = open_plan
    posts = (Terminal(LONG, ("M+000",)), Terminal("Side L", ("M+090",)), Terminal("Side R", ("M-090",)))
    first, second = project.amplifiers
    amplifiers = (replace(first, terminals=posts), replace(second, name=LONG))
    seats = tuple(replace(seat, name=f"{LONG} {n}") for n, seat in enumerate(project.seats))
    told = replace(project, name=LONG, amplifiers=amplifiers, seats=seats)
    level = replace(plan.level, seats=tuple(replace(one, seat=LONG) for one in plan.level.seats))
    line = replace(plan.chain.proof[0], service=LONG, device=LONG, display_shows=LONG)
    chain = replace(plan.chain, proof=(line,))
    run = replace(plan.cable.runs[0], id=LONG)
    ends = tuple(replace(end, run=LONG) for end in plan.cable.terminations[:2])
    cable = replace(
        plan.cable, runs=(run, *plan.cable.runs[1:]), terminations=ends,
        tests=(replace(plan.cable.tests[0], run=LONG),),
    )  # fmt: skip
    long_plan = replace(plan, level=level, chain=chain, cable=cable)
    names = (
        "cover",
        "floor plan",
        "levels",
        "cable plan",
        "cable schedule",
        "cold test",
        "terminations",
        "terminals",
        "format proof",
    )
    pdf = printed((told, long_plan), *names, paper=paper)
    for page, (width, height), boxes in word_boxes(pdf):
        for left, top, right, bottom, word in boxes:
            assert left >= 20.0, (page, word)
            assert right <= width - 20.0, (page, word)
            assert top >= 15.0, (page, word)
            assert bottom <= height - 15.0, (page, word)


def test_signs_that_no_letter_has_are_printed_as_boxes_and_the_cover_says_so(attic):
    project, plan = attic
    odd = replace(project, name="Küche 客厅 🛋️")
    text = words(pack.render_sheets(odd, plan, ("cover",), day=DAY, revision="1"))[0]
    assert "Küche □□ □" in text
    assert "Write them in by hand" in text
    assert "Write them in by hand" not in words(printed(attic, "cover"))[0]


@pytest.mark.parametrize(
    ("sheet", "probe"), [("cold test", "Ω"), ("terminals", "subwoofer"), ("format proof", "objects")]
)
def test_what_is_read_at_arms_length_is_set_in_18_points(open_plan, sheet, probe):
    """Letter sizes as pypdf reads them from the page's matrices."""
    sizes = []

    def note(text, cm, tm, _font, size):
        sizes.append((abs(size * tm[0] * cm[0]), text))

    PdfReader(io.BytesIO(printed(open_plan, sheet))).pages[0].extract_text(visitor_text=note)
    large = " ".join(text for size, text in sizes if size == pytest.approx(18.0, abs=0.1))
    assert probe in large


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0867, "0.0867"), (123.456, "123"), (12345.0, "12345"), (2.5, "2.5"), (0.0, "0"), (-8.14, "-8.14")],
)
def test_figures_keep_three_places_and_no_exponent(value, text):
    assert figure(value) == text


def test_quantities_carry_their_unit_as_the_trade_writes_it():
    assert [quantity(-3.0, "°"), quantity(5.0, "dB"), quantity(None, "m"), quantity("walls", "")] == [
        "−3°",
        "5 dB",
        "",
        "walls",
    ]


def test_the_pack_has_no_blank_survey(example):
    """Its room is surveyed already; `seatfield sheet` prints blanks."""
    assert "survey" not in SHEETS
    assert not any(page.startswith("Survey") for page in words(printed(example)))


def test_the_bass_curves_are_told_as_they_are_drawn():
    """A broken line is named only where one is drawn."""
    curve = Curve("now", "left", (20.0, 40.0, 80.0), (0.0, 1.0, 0.0), (-1.0, 0.0, -1.0), (1.0, 2.0, 1.0))
    best, units = replace(curve, which="best"), LengthUnit.FOOT
    intro = {
        whiches: curves_sheet(
            SimpleNamespace(units=units), SimpleNamespace(curves=tuple(curves), findings=())
        )["intro"]
        for whiches, curves in (("now", [curve]), ("best", [best]), ("both", [curve, best]))
    }
    assert "broken line" in intro["both"]
    assert "broken line" not in intro["now"] + intro["best"]
    assert "stand now" in intro["now"]
    assert "stand now" not in intro["best"]
    assert '2" off' in intro["now"]
    assert "cm" not in intro["now"]


def test_subwoofers_without_figures_get_a_sentence_and_no_table_of_dashes(open_plan):
    project, plan = open_plan
    figures = ("reach_db", "low_db", "high_db", "shortfall_db")
    bare = tuple(
        replace(seat, bass=tuple(replace(one, **dict.fromkeys(figures)) for one in seat.bass))
        for seat in plan.level.seats
    )
    assert any(seat.bass for seat in bare)
    sheet = levels_sheet(project, replace(plan.level, seats=bare))
    assert sheet["bass"] == []
    assert "What they reach is not known" in sheet["bass_asked"]
    told = levels_sheet(project, plan.level)
    assert bool(told["bass"]) != bool(told["bass_asked"])


def test_a_long_list_of_findings_keeps_the_cover_on_one_page(open_plan):
    """Each finding is as long as the longest that the program writes; what has no room is told by its subject."""
    project, plan = open_plan
    long = tuple(
        Finding(
            f"made.up-{n}",
            Severity.STOP,
            f"thing {n}",
            "Much is to be said of this. " * 20,
            advice="Do it. " * 20,
        )
        for n in range(3)
    )
    told = replace(plan, survey=replace(plan.survey, findings=long))
    for paper in PAPERS:
        pages = words(printed((project, told), "cover", "cautions", paper=paper))
        assert pages[1].startswith("Cautions")
        assert all(f"Stop: thing {n}." in pages[0] for n in range(3))
