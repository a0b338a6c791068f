"""The sheet around a drawing: its scale, margin notes, scale bar and title block, all in millimetres on paper."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from seatfield.drawing.board import Board
from seatfield.drawing.lettering import CAPITAL, LINE, width_mm, wrap
from seatfield.drawing.measures import length_text
from seatfield.drawing.parts import note_height_mm
from seatfield.drawing.scene import Area, Element, Line, Note, Point, Text, rectangle
from seatfield.drawing.style import style
from seatfield.model import Finding, LengthUnit, Severity

# ISO 5455 recommends 1:10, 1:20, 1:50, 1:100 and 1:200 (from memory); those between are common practice for rooms.
METRIC_SCALES = (10, 20, 25, 30, 40, 50, 75, 100, 200)
# One inch, one half, one quarter … to the foot: common practice on sheets in feet.
FOOT_SCALES = (12, 16, 24, 32, 48, 64, 96, 192)
FOOT_WORDS = {
    12: "1″ = 1′",
    16: "¾″ = 1′",
    24: "½″ = 1′",
    32: "⅜″ = 1′",
    48: "¼″ = 1′",
    64: "3/16″ = 1′",
    96: "⅛″ = 1′",
    192: "1/16″ = 1′",
}
BETWEEN_MM = 4.5  # notes
REST_MM = 7.0  # for the line that says how many findings stand elsewhere
LEADER_MM = 1.2  # a leader leaves its note this far below the note's top
FARTHEST = 10**9  # a room that does not fit then is none
STRIP_MM = 15.0
GAP_MM = 4.0


@dataclass(frozen=True, slots=True)
class Sheet:
    """Field of paper that a drawing may fill [mm], and the width of the column of notes at its right."""

    width_mm: float
    height_mm: float
    notes_mm: float = 72.0


@dataclass(frozen=True, slots=True)
class Title:
    """What the title block says."""

    project: str
    sheet: str
    revision: str
    date: str


def fitting_scale(width_m: float, height_m: float, room_mm: Point, unit: LengthUnit) -> int:
    """Largest usual scale at which a drawing fits; past the last of them, ten times the series again and again."""
    least = max(width_m * 1000 / room_mm[0], height_m * 1000 / room_mm[1])
    return next((scale for scale in usual_scales(unit) if least <= scale), max(usual_scales(unit)))


def usual_scales(unit: LengthUnit) -> Iterator[int]:
    """Every usual scale, the largest drawing first."""
    times = 1
    while times <= FARTHEST:
        for n in FOOT_SCALES if unit is LengthUnit.FOOT else METRIC_SCALES:
            yield n * times
        times *= 10


def scale_text(scale: float, unit: LengthUnit) -> str:
    """Write the scale as the title block writes it."""
    words = FOOT_WORDS.get(round(scale), "") if unit is LengthUnit.FOOT else ""
    return f"1:{scale:g}" + (f" ({words})" if words else "")


def title_block(
    title: Title, scale: float, box: tuple[float, float, float, float], mm_per_m: float, unit: LengthUnit
) -> list[Element]:
    """Scale bar at the left, names in the middle, scale, revision and date at the right; `box` in metres."""
    left, bottom, right, top = box
    mm = 1.0 / mm_per_m
    drawn: list[Element] = [Line(rectangle(*box), "frame", closed=True)]
    drawn += _scale_bar((left + 4 * mm, bottom + 4.2 * mm), mm_per_m, unit)
    cells = (("scale", scale_text(scale, unit)), ("revision", title.revision), ("date", title.date))
    x = right
    for caption, value in reversed(cells):
        x -= max(width_mm(value, style("label")) + 6.0, 18.0) * mm
        drawn.append(Line(((x, bottom), (x, top)), "rule"))
        drawn.append(Text((x + 2.5 * mm, top - 2 * mm), caption, "small", rise="top"))
        drawn.append(Text((x + 2.5 * mm, bottom + 4 * mm), value, "label"))
    names_x = left + 78 * mm
    drawn.append(Line(((names_x, bottom), (names_x, top)), "rule"))
    drawn.append(
        Text(
            (names_x + 3 * mm, top - 2.2 * mm),
            _clipped(title.project, (x - names_x) * mm_per_m - 6),
            "name",
            rise="top",
        )
    )
    drawn.append(Text((names_x + 3 * mm, bottom + 3.6 * mm), title.sheet, "title"))
    return drawn


def _clipped(text: str, room_mm: float) -> str:
    while len(text) > 1 and width_mm(text, style("name")) > room_mm:
        text = text[:-2].rstrip() + "…"
    return text


def _scale_bar(at: Point, mm_per_m: float, unit: LengthUnit) -> list[Element]:
    """Alternating black and white unit steps, with the warning that prints shrink."""
    step_m = 0.3048 if unit is LengthUnit.FOOT else 0.5
    while step_m * mm_per_m > 18.0:
        step_m /= 2
    while step_m * mm_per_m < 7.0:
        step_m *= 2
    count = min(4, int(66.0 / (step_m * mm_per_m)))
    mm = 1.0 / mm_per_m
    x, y = at
    drawn: list[Element] = []
    for k in range(count):
        box = rectangle(x + k * step_m, y, x + (k + 1) * step_m, y + 1.5 * mm)
        drawn.append(Area(box, "fill") if k % 2 == 0 else Line(box, "rule", closed=True))
    drawn.append(Line(rectangle(x, y, x + count * step_m, y + 1.5 * mm), "rule", closed=True))
    marks = [(k * step_m, length_text(k * step_m, unit) if k else "0") for k in (0, count // 2, count)]
    drawn += [Text((x + along, y + 3.0 * mm), words, "small", "middle") for along, words in marks]
    drawn.append(
        Text(
            (x, y - 3.0 * mm), "Print at 100 %. Hold a tape to this bar before you trust the scale.", "small"
        )
    )
    return drawn


def finding_lines(finding: Finding, room_mm: float) -> tuple[tuple[str, str], ...]:
    """Write a finding as a margin note: whose it is, what is wrong, what to do."""
    head = {Severity.STOP: "note stop", Severity.FIX: "note fix", Severity.NOTE: "note fix"}[finding.severity]
    word = {Severity.STOP: "Stop", Severity.FIX: "Mend", Severity.NOTE: "Note"}[finding.severity]
    lines = [(line, head) for line in wrap(f"{word}: {finding.subject}", style(head), room_mm)]
    lines += [(line, "note") for line in wrap(finding.message, style("note"), room_mm)]
    lines += [(line, "note advice") for line in wrap(finding.advice, style("note advice"), room_mm)]
    return tuple(lines)


def draw_notes(
    board: Board, findings: tuple[Finding, ...], box: tuple[float, float, float, float], whole: int
) -> int:
    """Write findings down the margin, the worst first, each tied to its place; give how many found room.

    `box` is the column [m]; `whole` is how many findings there are on paper elsewhere. Of equals, those whose places
    lie higher stand higher, and each note stands as near the height of its place as its neighbours let it.
    """
    left, bottom, right, top = box
    mm = 1.0 / board.mm_per_m
    notes: dict[Finding, Note] = {}
    free = top - bottom - REST_MM * mm
    for finding in findings:
        lines = finding_lines(finding, (right - left) * board.mm_per_m - 1.5)
        target = (finding.at[0], finding.at[1]) if finding.at else None
        note = Note(
            (left, top), lines, target, "note leader", ref=f"finding:{finding.code}@{finding.subject}"
        )
        free -= (note_height_mm(note) + BETWEEN_MM) * mm
        if free < 0.0:
            break
        notes[finding] = note
    ordered = [notes[finding] for finding in by_height(tuple(notes))]
    sizes = tuple((note_height_mm(note) + BETWEEN_MM) * mm for note in ordered)
    wished = tuple(note.target[1] + LEADER_MM * mm if note.target else None for note in ordered)
    y = top
    for note, size, at in zip(
        ordered, sizes, stacked(wished, sizes, (bottom + REST_MM * mm, top)), strict=True
    ):
        board.draw(replace(note, at=(left, at)))
        y = at - size
    if whole > len(ordered):
        rest = f"… and {whole - len(ordered)} more on the sheet of findings."
        board.draw(Text((left, y - 2.0 * mm), rest if ordered else rest.removeprefix("… and "), "note"))
    return len(ordered)


def by_height(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Order findings of the same severity by the height of their places on the sheet, those without a place last."""
    severities = list(dict.fromkeys(f.severity for f in findings))
    return tuple(
        sorted(
            findings,
            key=lambda f: (severities.index(f.severity), -f.at[1] if f.at else math.inf),
        )
    )


def stacked(
    wished: tuple[float | None, ...], sizes: tuple[float, ...], column: tuple[float, float]
) -> tuple[float, ...]:
    """Stack boxes down a column so that their tops come as near to what they wish as the order allows.

    Parameters
    ----------
    wished
        Top that each would rather have, in the order from above; None for one that does not mind.
    sizes
        Height of each.
    column
        Bottom and top; the boxes fit.

    Returns
    -------
    tuple of float
        Their tops.

    Notes
    -----
    With the heights above it added, each box's top wishes a value, and the order asks these to descend: isotonic
    regression by pooling adjacent violators gives the least squares, and held to the column it stays the best.

    References
    ----------
    Ayer et al., An empirical distribution function for sampling with incomplete information, Annals of Mathematical
    Statistics 26 (1955).
    """
    bottom, top = column
    pools: list[tuple[float, int]] = []  # mean of what is wished, without the heights above, and how many
    above = 0.0
    for wish, size in zip(wished, sizes, strict=True):
        last = pools[-1][0] if pools else top
        mean, count = last if wish is None else wish + above, 1
        while pools and pools[-1][0] < mean:
            other, number = pools.pop()
            mean, count = (mean * count + other * number) / (count + number), count + number
        pools.append((mean, count))
        above += size
    lowest = bottom + above
    levels = [min(max(mean, lowest), top) for mean, count in pools for _ in range(count)]
    offsets = [sum(sizes[:i]) for i in range(len(sizes))]
    return tuple(level - offset for level, offset in zip(levels, offsets, strict=True))


def draw_lines(
    board: Board, lines: tuple[tuple[str, str], ...], box: tuple[float, float, float, float]
) -> None:
    """Write lines of letters down the margin, as many as fit."""
    left, bottom, right, top = box
    wide_mm = (right - left) * board.mm_per_m
    wrapped = [(part, name) for text, name in lines for part in wrap(text, style(name), wide_mm)]
    y = top
    for number, (text, name) in enumerate(wrapped):
        step = (
            style(name).text_mm
            * (LINE + (0.45 if name == "note fix" else 0.0) if number else CAPITAL)
            / board.mm_per_m
        )
        if y - step < bottom:
            board.draw(Text((left, y - step), "…", name))
            return
        y -= step
        board.draw(Text((left, y), text, name))
