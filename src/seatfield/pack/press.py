"""Printing: templates and plain data into one PDF, the same bytes for the same data.

Only the shipped fonts are used, and a warning of the typesetter is an error: an unknown font would otherwise pass
unseen.
"""

import datetime as dt
import json
from importlib.resources import as_file, files
from typing import Any

from seatfield.drawing import Scene, colours, svg, tokens
from seatfield.drawing.lettering import MISSING, font_folder, primed, printable

FOOT_LETTERS = 32
EDGE_MM = 6.0  # paper around a picture
PAPERS = {"a4": ("a4", (210.0, 297.0)), "letter": ("us-letter", (215.9, 279.4))}


class PrintError(RuntimeError):
    """The typesetter complained, which is a fault of the templates and never of the project."""

    def __init__(self, complaints: list[str]) -> None:
        super().__init__(
            f"The sheets could not be set in type: {'; '.join(complaints)}. Please report this as a fault."
        )


class UnknownPaperError(ValueError):
    """A paper size was asked for that the sheets are not made for."""

    def __init__(self, paper: str) -> None:
        super().__init__(f"There is no paper {paper!r}; the sheets are made for {', '.join(PAPERS)}.")


def paper_mm(paper: str) -> tuple[float, float]:
    """Width and height of an upright sheet [mm].

    Raises
    ------
    UnknownPaperError
        If the sheets are not made for that paper.
    """
    if paper not in PAPERS:
        raise UnknownPaperError(paper)
    return PAPERS[paper][1]


def superscripted(text: str) -> str:
    """Print squares as a printer would: the project's files write ``mm2``."""
    return text.replace("mm2", "mm²")


def _primed(value: Any) -> Any:
    """Print feet and inches of every text as a printer would, but leave pictures as they are."""
    if isinstance(value, dict):
        return {key: one if key == "svg" else _primed(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_primed(one) for one in value]
    return primed(value) if isinstance(value, str) else value


def press(document: dict[str, Any], *, paper: str, day: dt.date) -> bytes:
    """Set a document in type.

    Parameters
    ----------
    document
        ``title`` (project, document, revision, date as printed) and ``sheets``, each with its ``kind``.
    paper
        ``a4`` or ``letter``.
    day
        Date of the document; it goes into the file instead of the clock's.

    Returns
    -------
    bytes
        A PDF.

    Raises
    ------
    UnknownPaperError
        If the sheets are not made for that paper.
    PrintError
        If the typesetter fails or warns.
    """
    paper_mm(paper)
    data = document | {
        "title": document["title"] | {"short": _short(document["title"]["project"])},
        "paper": PAPERS[paper][0],
        "tokens": {"letters": tokens()["letters"]},
        "colours": colours("print"),
        "date": [day.year, day.month, day.day],
    }
    stamp = dt.datetime(day.year, day.month, day.day, tzinfo=dt.UTC)
    return _set("pack.typ", data, format="pdf", timestamp=stamp)


def _short(name: str) -> str:
    """Shorten a name to what the foot of a sheet has room for."""
    return name if len(name) <= FOOT_LETTERS else name[: FOOT_LETTERS - 1].rstrip() + "…"


def picture(scene: Scene, *, theme: str = "paper", ppi: float = 144.0) -> bytes:
    """Print one drawing as a picture with an edge of paper, its letters as they are on paper.

    Parameters
    ----------
    scene
        What to draw.
    theme
        ``paper``, ``print`` or ``blueprint``.
    ppi
        Pixels per inch of the paper size.

    Returns
    -------
    bytes
        A PNG; the same bytes for the same arguments.
    """
    data = {
        "svg": svg(scene, theme=theme),
        "about": scene.about,
        "size": list(scene.size_mm),
        "edge": EDGE_MM,
        "paper": colours(theme)["paper"],
    }
    return _set("picture.typ", data, format="png", ppi=ppi)


def _set(template: str, data: dict[str, Any], **wanted: Any) -> bytes:
    """Set a template with its data in type; a warning is an error."""
    import typst

    written = superscripted(json.dumps(_primed(data), ensure_ascii=False))
    shown = printable(written)
    replaced = shown.count(MISSING) > written.count(MISSING)
    with as_file(files("seatfield.pack").joinpath("templates")) as templates, as_file(font_folder()) as fonts:
        compiler = typst.Compiler(
            str(templates / template),
            root=str(templates),
            font_paths=[str(fonts)],
            ignore_system_fonts=True,
            sys_inputs={"data": shown, "replaced": "yes" if replaced else ""},
        )
        try:
            made, warnings = compiler.compile_with_warnings(**wanted)
        except typst.TypstError as error:
            raise PrintError([error.diagnostic or error.message]) from error
    if warnings:
        raise PrintError([warning.message for warning in warnings])
    assert isinstance(made, bytes)
    return made
