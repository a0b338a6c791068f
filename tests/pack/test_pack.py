"""The pack as a PDF: pypdf and poppler read it back."""

import datetime as dt
import io
import re
import shutil
import subprocess
from dataclasses import replace

import pytest
from pypdf import PdfReader

from seatfield import pack
from seatfield.drawing import Sheet, Title, floor_plan
from seatfield.drawing.measures import length_text
from seatfield.model import LengthUnit
from seatfield.pack.packing import UnknownSheetError
from seatfield.pack.press import PAPERS, PrintError, press, superscripted
from seatfield.pack.telling import figure, quantity
from seatfield.pack.works import LABEL_GRIDS
from seatfield.stages.plan import Plan

DAY = dt.date(2026, 3, 1)


def printed(example, *names, paper="a4"):
    project, plan = example
    return pack.render_sheets(project, plan, names or tuple(pack.SHEETS), paper=paper, day=DAY, revision="7")


def words(pdf):
    """Words of each page, as poppler reads them."""
    assert shutil.which("pdftotext"), "poppler-utils is missing: apt-get install poppler-utils"
    text = subprocess.run(["pdftotext", "-", "-"], input=pdf, check=True, capture_output=True).stdout.decode()
    return [" ".join(page.split()) for page in text.split("\f")[:-1]]


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
        assert superscripted(finding.message).replace(" ", "") in text


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
def test_the_blank_survey_needs_no_project_and_takes_three_pages(paper, unit):
    pages = words(pack.survey_sheet(paper=paper, unit=unit, day=DAY))
    assert len(pages) == 3
    assert "as many diagonals" in pages[0]


def test_a_picture_has_the_pixels_of_its_paper_size(attic):
    """PNG (ISO/IEC 15948): width and height stand in bytes 16 to 23 of the file."""
    project, plan = attic
    scene = floor_plan(project, plan, Sheet(242.0, 115.0), Title("A room", "Floor", "1", "2026-03-01"))
    made = pack.picture(scene, ppi=100.0)
    assert (int.from_bytes(made[16:20]), int.from_bytes(made[20:24])) == (1000, 500)
    assert made == pack.picture(scene, ppi=100.0)


def test_the_floor_plan_prints_at_its_scale(attic, tmp_path):
    """poppler's raster of the page: the title block is exactly as wide as the sheet's field, 277 mm less its edges."""
    (tmp_path / "plan.pdf").write_bytes(printed(attic, "floor plan"))
    done = subprocess.run(
        ["pdftoppm", "-gray", "-r", "200", tmp_path / "plan.pdf", tmp_path / "plan"],
        check=True,
        capture_output=True,
    )
    assert done.returncode == 0
    raw = next(tmp_path.glob("plan*.pgm")).read_bytes()
    width, _ = map(int, raw.split(b"\n", 3)[1].split())
    pixels = raw.split(b"\n", 3)[3]
    rows = [pixels[i : i + width] for i in range(0, len(pixels), width)]
    longest = max(max(map(len, re.findall(rb"[\x00-\x20]+", row)), default=0) for row in rows)
    assert longest * 25.4 / 200.0 == pytest.approx(276.0 + 0.35, abs=0.4)


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
