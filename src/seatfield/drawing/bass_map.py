"""The bass over the floor: merit of every place as contour lines, places to try, and the pressure of a mode."""

from dataclasses import dataclass
from math import dist

from seatfield.drawing.board import Board
from seatfield.drawing.contours import Levels, contour_map, even_levels
from seatfield.drawing.fittings import draw_seats
from seatfield.drawing.floor_plan import Field as Where
from seatfield.drawing.floor_plan import draw_walls, lay_out
from seatfield.drawing.kit import draw_subwoofers
from seatfield.drawing.lettering import wrap
from seatfield.drawing.measures import draw_corners
from seatfield.drawing.scene import Area, Circle, Element, Line, Point, Scene, Text, rectangle
from seatfield.drawing.sheet import Sheet, Title, draw_lines, title_block
from seatfield.drawing.style import style
from seatfield.model import Project
from seatfield.stages.bass.result import Bass, Field, RoomMode
from seatfield.stages.bass.shapes import mode_field
from seatfield.stages.bass.telling import mark_words
from seatfield.stages.plan import Plan

SPOT_MM, SETS = 3.0, 2
KEY_MM = 5.0
SCREEN = Sheet(277.0, 180.0)
FIRST = ("bass.better-place", "bass.no-clear-winner", "bass.out-of-reach")
THEN = ("bass.seat-gap", "bass.one-more")
SHARES = Levels((0.2, 0.4, 0.6, 0.8))
MODE_LEVELS = Levels((-0.8, -0.6, -0.4, -0.2, 0.2, 0.4, 0.6, 0.8))


@dataclass(frozen=True, slots=True)
class Told:
    """What stands beside the map: lines of letters, the key to its tints, the title block, what all of it shows."""

    lines: tuple[tuple[str, str], ...]
    key: str
    levels: Levels
    ends: tuple[str, str]
    title: Title
    about: str


def bass_map(
    project: Project,
    plan: Plan,
    sheet: Sheet | None = None,
    title: Title | None = None,
    *,
    of: str = "subwoofer",
) -> Scene:
    """Draw the unevenness of the bass over the floor, with the places to try and what there is to say.

    Parameters
    ----------
    project, plan
        The room, and the bass in it.
    sheet, title
        Field of paper to fill and what its title block says; a usual sheet, undated, if None.
    of
        ``subwoofer`` for where a subwoofer may stand, ``seat`` for where one may sit.

    Returns
    -------
    Scene
        Contour lines over a pale tint: the paler, the more even.

    Raises
    ------
    ValueError
        If the plan has no such map.
    """
    bass = plan.bass
    field = None if bass is None else bass.seat_map if of == "seat" else bass.map
    if bass is None or field is None:
        raise ValueError(
            f"There is no map of the bass for a {of}: the room is unfit, or nothing was asked of it."
        )
    key = (
        "unevenness for one listener here, in dB"
        if of == "seat"
        else "unevenness over all seats with one subwoofer here, in dB"
    )
    about = f"How even the bass is over the floor of {project.name}, for each place of a {of}."
    levels = even_levels(field)
    told = Told(
        _sentences(project, plan, bass),
        key,
        levels,
        ("even", "uneven"),
        title or _untitled(project, "Bass"),
        about,
    )
    board, where = _begun(project, plan, sheet or SCREEN)
    numbered = of == "subwoofer"
    _field(board, plan, field, levels)
    draw_subwoofers(board, project)
    draw_seats(board, project)
    if numbered:
        _spots(board, bass)
    return _finished(board, project, plan, where, told)


def mode_picture(
    project: Project, plan: Plan, number: int, sheet: Sheet | None = None, title: Title | None = None
) -> Scene:
    """Draw the pressure of one mode over the floor at ear height: where it is loud and where it is not heard.

    Parameters
    ----------
    project, plan
        The room, and the bass in it.
    number
        Of the mode, from 1 in ascending order of frequency.
    sheet, title
        As for the map.

    Raises
    ------
    ValueError
        If the room has no such mode.
    """
    bass = plan.bass
    if bass is None or not 1 <= number <= len(bass.modes):
        count = len(bass.modes) if bass is not None else 0
        raise ValueError(f"Mode {number} was asked for; the room has modes 1 to {count}.")
    mode = bass.modes[number - 1]
    field = mode_field(project, plan.survey, number - 1)
    board, where = _begun(project, plan, sheet or SCREEN)
    _tint(board, plan, _sizes(field), SHARES)
    board.draw_all(contour_map(field, MODE_LEVELS, plan.survey.room.floor, board.mm_per_m)[1])
    for line in contour_map(field, Levels((0.0,)), plan.survey.room.floor, board.mm_per_m)[1]:
        if isinstance(line, Line):
            board.draw(Line(line.points, "still"))
    draw_subwoofers(board, project)
    draw_seats(board, project)
    about = f"Pressure of the mode at {mode.freq_hz:.1f} Hz over the floor of {project.name}."
    told = Told(
        _of_mode(mode),
        "share of the pressure where it is loudest",
        SHARES,
        ("not heard", "loudest"),
        title or _untitled(project, f"{mode.freq_hz:.1f} Hz"),
        about,
    )
    return _finished(board, project, plan, where, told)


def _untitled(project: Project, sheet: str) -> Title:
    return Title(project.name, sheet, "–", "–")


def _begun(project: Project, plan: Plan, sheet: Sheet) -> tuple[Board, Where]:
    where = lay_out(project, plan, sheet)
    return Board(1000.0 / where.scale), where


def _sizes(field: Field) -> Field:
    """Return the size of a pressure, whatever its sign."""
    rows = tuple(tuple(None if v is None else abs(v) for v in row) for row in field.values)
    return Field(field.what, field.unit, field.x_m, field.y_m, rows)


def _field(board: Board, plan: Plan, field: Field, levels: Levels) -> None:
    """Draw tints, furniture in outline, walls, and the contour lines over them."""
    board.draw_all(_tint(board, plan, field, levels))


def _tint(board: Board, plan: Plan, field: Field, levels: Levels) -> list[Element]:
    """Draw tints, furniture in outline and walls; give the contour lines, which come on top."""
    room = plan.survey.room
    tints, lines = contour_map(field, levels, room.floor, board.mm_per_m)
    board.elements += tints
    for thing in room.furniture:
        board.draw(Line(thing.outline, "grid", closed=True, ref=f"furniture:{thing.name}"))
    draw_walls(board, plan)
    return lines


def _spots(board: Board, bass: Bass) -> None:
    """Draw the places to try, numbered; of sets of several only the first two, and no number on another."""
    drawn: list[Point] = []
    apart = 2 * SPOT_MM / board.mm_per_m
    for one in bass.tries:
        if one.now or (len(one.marks) > 1 and one.number > SETS):
            continue
        for mark, at in zip(one.marks, one.places, strict=True):
            spot = (at[0], at[1])
            if all(dist(spot, other) > apart for other in drawn):
                drawn.append(spot)
                board.draw(Circle(spot, SPOT_MM / board.mm_per_m, "corner", ref=f"try:{mark.id}"))
                board.draw(Text(spot, mark.id, "corner", "middle", "middle", ref=f"try:{mark.id}"))


def _sentences(project: Project, plan: Plan, bass: Bass) -> tuple[tuple[str, str], ...]:
    """Write what there is to say: sentences first, tape distances second, the rest after them."""
    lines = _found(bass, FIRST)
    if bass.tries:
        lines.append(("Places to try, to the middle of the box", "note fix"))
    for one in bass.tries:
        where = "; ".join(mark_words(mark, project, plan.survey) for mark in one.marks)
        lines.append((f"{'Now' if one.now else one.number}: {one.merit:.1f} dB, {where}", "note"))
    return (*lines, *_found(bass, THEN))


def _found(bass: Bass, codes: tuple[str, ...]) -> list[tuple[str, str]]:
    lines: list[tuple[str, str]] = []
    for finding in (one for code in codes for one in bass.findings if one.code == code):
        head = [] if lines and lines[-3][0] == finding.subject else [(finding.subject, "note fix")]
        lines += [*head, (finding.message, "note"), (finding.advice, "note advice")]
    return lines


def _of_mode(mode: RoomMode) -> tuple[tuple[str, str], ...]:
    heard = "; ".join(f"{one.id} {one.level_db:.0f} dB" for one in (*mode.seats, *mode.subwoofers)).replace(
        "-", "−"
    )
    return (
        (f"{mode.freq_hz:.1f} Hz, {mode.kind}", "note fix"),
        (mode.does, "note"),
        (
            f"It takes {mode.decay_s:.1f} s to die away by 60 dB; half or twice that, as far as tables can tell.",
            "note",
        ),
        (f"Against where it is loudest: {heard}.", "note"),
        ("Broken line: not heard there at all, and a subwoofer there cannot drive it.", "note"),
    )


def _finished(board: Board, project: Project, plan: Plan, where: Where, told: Told) -> Scene:
    """Letter the drawing, write the margin and the title block."""
    title = told.title
    draw_corners(board, plan.survey.walls)
    board.wishes = [wish for wish in board.wishes if wish.ref != "screen"]
    board.place(where.drawing, plan.survey.room.floor)
    left, bottom, right, top = where.notes
    room_mm = (right - left) * board.mm_per_m - 1.5
    wrapped = tuple(
        (line, name) for text, name in told.lines if text for line in wrap(text, style(name), room_mm)
    )
    height = (KEY_MM + 14.0) / board.mm_per_m
    draw_lines(board, wrapped, (left, bottom + height, right, top))
    _key(board, told, (left, bottom, right, bottom + height))
    board.draw(*title_block(title, where.scale, where.strip, board.mm_per_m, project.units))
    return Scene(title.sheet, where.scale, where.sheet, tuple(board.elements), told.about)


def _key(board: Board, told: Told, box: tuple[float, float, float, float]) -> None:
    """Draw the tints side by side, the levels between them, and the words for both ends."""
    left, bottom, right, _ = box
    mm = 1.0 / board.mm_per_m
    count = len(told.levels.values) + 1
    wide = (right - left) / count
    low, high = bottom + 4.5 * mm, bottom + (4.5 + KEY_MM) * mm
    for number in range(count):
        x = left + number * wide
        board.draw(Area(rectangle(x, low, x + wide, high), f"tint {number + 1}"))
        if number:
            level = f"{told.levels.values[number - 1]:g}".replace("-", "−")
            board.draw(Text((x, low - 1.2 * mm), level, "small", "middle", "top"))
    board.draw(Line(rectangle(left, low, right, high), "rule", closed=True))
    board.draw(Text((left, high + 1.6 * mm), told.key, "small"))
    board.draw(Text((left, low - 1.2 * mm), told.ends[0], "small", rise="top"))
    board.draw(Text((right, low - 1.2 * mm), told.ends[1], "small", "end", "top"))
