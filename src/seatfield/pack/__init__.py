"""The pack: everything that the work needs on paper, as one PDF."""

from seatfield.pack.packing import SHEETS, render, render_sheets, survey_sheet
from seatfield.pack.press import PAPERS, PrintError, UnknownPaperError, picture

__all__ = [
    "PAPERS",
    "SHEETS",
    "PrintError",
    "UnknownPaperError",
    "picture",
    "render",
    "render_sheets",
    "survey_sheet",
]
