"""The subwoofer's sheets, read back from the PDF."""

import datetime as dt
import io

import pytest
from pypdf import PdfReader

from seatfield import pack
from seatfield.pack.listening import curves_sheet, trying_sheet
from seatfield.pipeline.bass import plan_bass
from seatfield.pipeline.projects import open_project

DAY = dt.date(2026, 3, 1)


@pytest.fixture(scope="module")
def planned():
    """The rented room with its bass."""
    project = open_project("examples/rented-room")
    return project, plan_bass(project)


def test_the_list_to_try_has_every_place_a_tone_and_a_box_for_every_verdict(planned):
    """Map, list with its score sheet, and curves: three sheets, with the numbers of the plan."""
    project, plan = planned
    printed = pack.render_sheets(project, plan, ("subwoofer",), day=DAY, revision="1")
    pages = [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(printed)).pages]
    assert len(pages) == 3
    assert "Bass map" in pages[0]
    for tone in plan.bass.tones_hz:
        assert f"{tone:.0f} Hz" in pages[1]
    for one in plan.bass.tries:
        assert f"{one.merit:.1f} dB" in pages[1]
    assert "Bass at the seats" in pages[2]
    for seat in project.seats:
        assert seat.name in pages[2]


def test_a_plan_without_bass_prints_no_such_sheet(planned):
    """Where the stage has not run, or nobody listens, there is nothing to try."""
    from dataclasses import replace

    project, plan = planned
    nothing = replace(plan, bass=None)
    printed = pack.render_sheets(project, nothing, ("cautions", "subwoofer"), day=DAY, revision="1")
    assert len(PdfReader(io.BytesIO(printed)).pages) == 1
    assert curves_sheet(project, replace(plan.bass, curves=())) is None
    assert trying_sheet(project, plan, plan.bass)["settings"] == []
