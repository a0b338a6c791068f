"""Widths of letters agree with a typesetter that reads the same font by its own code."""

import ast
import json
from pathlib import Path

import pytest
import typst

from seatfield.drawing.lettering import advances, font_folder, primed, printable, width_mm, wrap
from seatfield.drawing.style import style

SOURCE = Path(__file__).parents[2] / "src" / "seatfield"
NEEDED = "0123456789°×−Ω½¼¾²³→≤≥′″éü±·–⅛"
WORDS = ["5.40 m", "M+030", "Move the sofa 25 cm forward", "11′ 6½″", "ceiling, 2.32 m"]


def typst_width_mm(text, one):
    weight = "bold" if one.weight == "bold" else "regular"
    letters = f'"{weight}", style: "{one.slant}", {json.dumps(text, ensure_ascii=False)}'
    source = (
        f'#context [#metadata(measure(text(font: "Lato", size: {one.text_pt}pt, kerning: false, ligatures: false, '
        f"weight: {letters})).width.mm())<w>]"
    )
    found = typst.query(
        source.encode(),
        "<w>",
        field="value",
        one=True,
        font_paths=[str(font_folder())],
        ignore_system_fonts=True,
    )
    return float(json.loads(found))


@pytest.mark.parametrize("name", ["label", "name", "note advice"])
@pytest.mark.parametrize("text", WORDS)
def test_widths_are_those_that_typst_measures(name, text):
    assert width_mm(text, style(name)) == pytest.approx(typst_width_mm(text, style(name)), rel=1e-3)


@pytest.mark.parametrize("face", ["Regular", "Bold", "Italic"])
def test_the_shipped_faces_have_every_sign_that_the_sheets_use(face):
    assert [sign for sign in NEEDED if ord(sign) not in advances(face)] == []


@pytest.mark.parametrize("face", ["Regular", "Bold"])
def test_figures_are_tabular_in_the_faces_that_set_tables_and_dimensions(face):
    assert len({advances(face)[ord(figure)] for figure in "0123456789"}) == 1


def test_the_licence_of_the_fonts_is_shipped_beside_them():
    assert "SIL OPEN FONT LICENSE Version 1.1" in font_folder().joinpath("OFL.txt").read_text("utf-8")


def test_wrapped_lines_fit_and_lose_no_word():
    text = "It stands four degrees behind its window; the window reaches to 120 degrees."
    lines = wrap(text, style("note"), 40.0)
    assert " ".join(lines) == text
    assert all(width_mm(line, style("note")) <= 40.0 for line in lines)


def test_a_word_wider_than_the_room_breaks_where_its_line_ends():
    lines = wrap("an unbreakablelongword here", style("note"), 12.0)
    assert "".join(lines) == "anunbreakablelongwordhere"
    assert all(width_mm(line, style("note")) <= 12.0 for line in lines)
    assert len(lines) > 3


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Küche Łódź Жар αβ", "Küche Łódź Жар αβ"),
        ("客厅", "□□"),
        ("sofa 🛋️", "sofa □"),
        ("Ｌｅｆｔ", "Left"),
        ("＂＜＆", "□□□"),
    ],
)
def test_signs_that_the_letters_lack_become_compatible_ones_or_a_box(text, shown):
    """Wide forms by Unicode's normalisation form KC; a wide quotation mark must not end a string."""
    assert printable(text) == shown


def test_the_shipped_letters_cover_all_that_the_program_itself_says():
    sources = [path for part in ("stages", "pack", "catalogue") for path in (SOURCE / part).rglob("*.py")]
    assert len(sources) > 100
    for path in sources:
        tree = ast.parse(path.read_text("utf-8"))
        documented = {node.value for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        for node in ast.walk(tree):
            if node not in documented and isinstance(node, ast.Constant) and isinstance(node.value, str):
                text = " ".join(node.value.split())
                assert printable(text) == text, f"{path.name}:{node.lineno}"


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ("3' 3 3/8\" along, then 1' 1\" out", "3′ 3 3/8″ along, then 1′ 1″ out"),
        ('read to ±1"', "read to ±1″"),
        ('write channel = "U-030" or "M+000"', 'write channel = "U-030" or "M+000"'),
        ('length = "12"', 'length = "12"'),
        ("M+030's run", "M+030's run"),
    ],
)
def test_feet_and_inches_get_primes_and_quoted_words_keep_their_quotes(typed, printed):
    assert primed(typed) == printed
