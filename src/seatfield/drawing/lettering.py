"""Widths of the shipped letters, so that labels can be placed before anything is drawn.

The font's own tables are read: OpenType ``cmap`` format 4 (characters to glyphs) and ``hmtx`` (advance widths).
Kerning is left out; in running text it makes lines about one per cent shorter.

References
----------
ISO/IEC 14496-22, Open Font Format: cmap, head, hhea, hmtx.
"""

import re
import unicodedata
from functools import lru_cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from struct import unpack_from

from seatfield.drawing.style import Style

CAPITAL = 0.717  # height of capitals over letter size in the shipped font (OS/2 sCapHeight 1433 of 2000)
DESCENT = 0.213  # depth below the base line over letter size (hhea descent 426 of 2000)
MARKUP = frozenset('"<>&\\')  # a wide form of one of these must not become the sign itself inside a document
JOINING = frozenset({"Mn", "Me", "Cf", "Cc", "Sk"})  # marks, joiners, variation selectors, skin tones
LINE = 1.25  # distance of base lines over letter size: common practice, no source


def font_folder() -> Traversable:
    """Return the folder of the shipped fonts and their licence."""
    return files("seatfield.drawing").joinpath("fonts")


@lru_cache(maxsize=4)
def advances(face: str) -> dict[int, float]:
    """Advance width of each character of a face (``Regular``, ``Bold``, ``Italic``) over the letter size."""
    data = font_folder().joinpath(f"Lato-{face}.ttf").read_bytes()
    tables = {
        data[at : at + 4]: unpack_from(">I", data, at + 8)[0]
        for at in range(12, 12 + 16 * unpack_from(">H", data, 4)[0], 16)
    }
    em = unpack_from(">H", data, tables[b"head"] + 18)[0]
    count = unpack_from(">H", data, tables[b"hhea"] + 34)[0]
    widths = [unpack_from(">H", data, tables[b"hmtx"] + 4 * glyph)[0] / em for glyph in range(count)]
    return {
        code: widths[min(glyph, count - 1)] for code, glyph in _glyphs(data, tables[b"cmap"]).items() if glyph
    }


def _glyphs(data: bytes, cmap: int) -> dict[int, int]:
    """Glyph of each character, from the first format 4 subtable."""
    offsets = [
        unpack_from(">I", data, cmap + 8 + 8 * i)[0] for i in range(unpack_from(">H", data, cmap + 2)[0])
    ]
    at = next(cmap + offset for offset in offsets if unpack_from(">H", data, cmap + offset)[0] == 4)
    doubled = unpack_from(">H", data, at + 6)[0]
    found = {}
    for segment in range(0, doubled, 2):
        last, first, delta, span = (
            unpack_from(">H", data, at + 14 + segment)[0],
            unpack_from(">H", data, at + 16 + doubled + segment)[0],
            unpack_from(">H", data, at + 16 + 2 * doubled + segment)[0],
            unpack_from(">H", data, at + 16 + 3 * doubled + segment)[0],
        )
        for code in range(first, min(last, 0xFFFE) + 1):
            if not span:
                found[code] = (code + delta) & 0xFFFF
                continue
            place = at + 16 + 3 * doubled + segment + span + 2 * (code - first)
            glyph = unpack_from(">H", data, place)[0]
            found[code] = (glyph + delta) & 0xFFFF if glyph else 0
    return found


def face_of(style: Style) -> str:
    """Which shipped face a style is set in."""
    if style.weight == "bold":
        return "Bold"
    return "Italic" if style.slant == "italic" else "Regular"


def width_mm(text: str, style: Style) -> float:
    """Width of one line of letters on paper [mm]; a character that the font lacks counts as a wide one."""
    table = advances(face_of(style))
    return sum(table.get(ord(letter), 0.8) for letter in text) * style.text_mm


FEET = re.compile(r"(?<=\d)'(?!\w)")
INCHES = re.compile(r'(?<![\w".+\-/])((?:\d+ )?(?:\d+/)?\d+(?:\.\d+)?)"')


def primed(text: str) -> str:
    """Write feet and inches, which are typed with straight quotes, with primes; quoted words keep their quotes."""
    return INCHES.sub(r"\1″", FEET.sub("′", text))


MISSING = "□"


def printable(text: str) -> str:
    """Write text with the signs that the shipped letters have.

    Parameters
    ----------
    text
        As it was typed, markup and all.

    Returns
    -------
    str
        Compatible forms in place of wide and joined ones, □ in place of what remains, nothing in place of marks that
        only join or vary their neighbours. Text that the letters cover comes back as it is.

    References
    ----------
    Unicode Standard Annex 15: normalisation form KC.
    """
    known = advances("Regular")
    return text if all(ord(sign) in known for sign in text) else "".join(map(_printable, text))


@lru_cache(maxsize=4096)
def _printable(sign: str) -> str:
    known = advances("Regular")
    if ord(sign) in known or sign.isspace():
        return sign
    plain = unicodedata.normalize("NFKC", sign)
    if all(ord(part) in known for part in plain) and not MARKUP & set(plain):
        return plain
    return "" if unicodedata.category(sign) in JOINING else MISSING


def wrap(text: str, style: Style, room_mm: float) -> tuple[str, ...]:
    """Break text into lines no wider than `room_mm`, between words; a longer word breaks where the line ends."""
    lines: list[str] = []
    for word in (part for whole in text.split() for part in _pieces(whole, style, room_mm)):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_mm(longer, style) <= room_mm:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines)


def _pieces(word: str, style: Style, room_mm: float) -> list[str]:
    """Cut a word into as few pieces as fit the room, at least one letter each."""
    pieces: list[str] = []
    for letter in word:
        if pieces and width_mm(pieces[-1] + letter, style) <= room_mm:
            pieces[-1] += letter
        else:
            pieces.append(letter)
    return pieces
