"""The sheet around a drawing: its scale, margin notes, scale bar and title block, all in millimetres on paper."""

from dataclasses import dataclass

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
NOTE_MM = 22.0  # about the height of a note with the gap after it
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
    scales = FOOT_SCALES if unit is LengthUnit.FOOT else METRIC_SCALES
    times = 1
    while times < FARTHEST:
        for n in scales:
            if width_m * 1000 <= room_mm[0] * n * times and height_m * 1000 <= room_mm[1] * n * times:
                return n * times
        times *= 10
    return scales[-1] * times


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
    while text and width_mm(text, style("name")) > room_mm:
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

    `box` is the column [m]; `whole` is how many findings there are on paper elsewhere.
    """
    left, bottom, right, top = box
    mm = 1.0 / board.mm_per_m
    y, told = top, 0
    for finding in untangled(findings, (left, top), NOTE_MM * mm):
        target = (finding.at[0], finding.at[1]) if finding.at else None
        lines = finding_lines(finding, (right - left) * board.mm_per_m - 1.5)
        note = Note((left, y), lines, target, ref=f"finding:{finding.code}@{finding.subject}")
        height = note_height_mm(note) * mm
        if y - height < bottom + 5 * mm:
            break
        board.draw(note)
        y -= height + 4.5 * mm
        told += 1
    if whole > told:
        board.draw(Text((left, y - 2.0 * mm), f"… and {whole - told} more on the sheet of findings.", "note"))
    return told


def untangled(findings: tuple[Finding, ...], start: Point, step: float) -> tuple[Finding, ...]:
    """Order findings of the same severity so that their leaders cross as little as swapping neighbours can do.

    `start` is where the first leader begins, `step` about how far below it the next one does.
    """
    order = list(findings)
    for _ in order:
        for k in range(len(order) - 1):
            one, other = order[k], order[k + 1]
            if one.severity is not other.severity or one.at is None or other.at is None:
                continue
            upper, lower = (start[0], start[1] - k * step), (start[0], start[1] - (k + 1) * step)
            if _cross(upper, one.at, lower, other.at) and not _cross(upper, other.at, lower, one.at):
                order[k], order[k + 1] = other, one
    return tuple(order)


def _cross(a: Point, b: tuple[float, ...], c: Point, d: tuple[float, ...]) -> bool:
    """Whether the segments a–b and c–d cross."""

    def side(p: tuple[float, ...], q: tuple[float, ...], r: tuple[float, ...]) -> bool:
        return (q[0] - p[0]) * (r[1] - p[1]) > (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) != side(a, b, d) and side(c, d, a) != side(c, d, b)


def draw_lines(
    board: Board, lines: tuple[tuple[str, str], ...], box: tuple[float, float, float, float]
) -> None:
    """Write lines of letters down the margin, as many as fit."""
    left, bottom, _, top = box
    y = top
    for number, (text, name) in enumerate(lines):
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
