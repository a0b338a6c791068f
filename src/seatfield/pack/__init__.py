"""The pack: everything that the work needs on paper, as one PDF.

Take names from here, not from the modules inside: two threads that load the pack by different doors at once lock each
other out.
"""

from seatfield.pack.cautions import cautions as usual_cautions
from seatfield.pack.job import steps_of
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
    "steps_of",
    "survey_sheet",
    "usual_cautions",
]
