"""The blank survey: what to measure on the first visit, to be filled in by pencil."""

from typing import Any

from seatfield.model import LengthUnit
from seatfield.stages.survey.naming import corner_name, wall_name

WALLS = 9
LINE = "_" * 24


def survey_sheets(unit: LengthUnit, paper_mm: tuple[float, float]) -> dict[str, Any]:
    """Make the blank survey for a paper size; `unit` only says what the squares stand for."""
    step_mm = 5.0
    squares = (int((paper_mm[0] - 20.0) / step_mm), int((paper_mm[1] - 76.0) / step_mm))
    worth = "25 cm (scale 1:50)" if unit is LengthUnit.METRE else "one foot (nearly 1:60)"
    return {
        "kind": "survey",
        "name": "Survey",
        "intro": (
            f"Room {LINE}  measured by {LINE}  on {LINE[:14]}  in {unit.value}\n\n"
            "Draw the room from above, the screen's wall at the bottom. Letter the corners A, B, C … as you "
            "walk around. Then measure every wall, and as many diagonals as the room has corners: all but three of "
            "them fix its angles, and the rest check the others, each no more than what it spans. `seatfield check` "
            "says which readings nothing checks, and which diagonal would."
        ),
        "squares": list(squares),
        "squares_note": f"One square is {worth}. Mark door swings, windows, sockets, radiators, and walkways.",
        "splits": [3, 6],
        "tables": _tables(unit),
    }


def _tables(unit: LengthUnit) -> list[dict[str, Any]]:
    length = unit.value
    walls = [wall_name(i, WALLS + 1) for i in range(3)] + [f"{corner_name(i)}–" for i in range(3, WALLS)]
    return [
        _table(
            "Walls, corner to corner",
            "The last wall leads back to A: the fourth is D–A in a room of four. Skirting to skirting, low down. Built "
            "of masonry, stud or panel: knock, and look at the sockets' edges.",
            (f"wall ({length})", "first reading", "second reading", "built of", "finish"),
            (1.0, 1.4, 1.4, 1.4, 2.4),
            WALLS,
            walls,
        ),
        _table(
            f"Diagonals and heights ({length})",
            f"Diagonals such as {corner_name(0)}–{corner_name(2)}. Ceiling height at every corner if it slopes.",
            ("between", "reading", "from the other end", "corner", "ceiling height"),
            (1.2, 1.6, 1.6, 1.0, 1.8),
            7,
            [],
        ),
        _table(
            f"Doors, windows, archways ({length})",
            "From the wall's first corner to the near edge; hinge at the near or far edge; opens in or out.",
            ("wall", "kind", "from corner", "width", "sill", "height", "hinge, opens"),
            (0.8, 1.4, 1.4, 1.0, 1.0, 1.0, 1.6),
            5,
            [],
        ),
        _table(
            f"Furniture and rugs ({length})",
            "Of each the corner nearest to A, by its distances from two walls, then its size; of what stands askew a "
            "second corner on the next line. Note legs and gaps that a cable could use.",
            ("what", "from wall, distance", "from wall, distance", "width", "depth", "height"),
            (1.6, 1.8, 1.8, 1.0, 1.0, 1.0),
            8,
            [],
        ),
        _table(
            f"Seats and screen ({length})",
            "Middle of the head when someone sits there; ear height as a range for a recliner or a child.",
            (
                "which",
                "from wall, distance",
                "from wall, distance",
                "ear or centre height",
                "picture's width, height",
            ),
            (1.4, 1.7, 1.7, 1.6, 1.7),
            6,
            ["main seat", "", "", "", "", "screen"],
        ),
        _table(
            "Sockets, radiators, things that must stay",
            "For sockets the circuit if the fuse box tells; note any wall that may hide cables or pipes.",
            ("what", "wall", "from corner", "to", "remark"),
            (1.6, 0.8, 1.2, 1.2, 2.6),
            5,
            [],
        ),
        _table(
            "Amplifiers, from the plate at the back and the manual",
            "Channels that it drives at once, and channels that it can render; the power with the load it holds for.",
            ("which", "drives", "renders", "W into ohm", "lowest ohm", "outputs: sub, line"),
            (1.6, 0.9, 0.9, 1.3, 1.2, 1.8),
            3,
            [],
        ),
        _table(
            f"Loudspeakers and subwoofers ({length})",
            "Figures as the maker prints them; sensitivity with what it holds for, 2.83 V or 1 W.",
            ("which", "width, depth, height", "ohm", "dB, for", "W", "weight", "stands, hangs"),
            (1.6, 2.0, 0.7, 1.2, 0.7, 0.9, 1.3),
            12,
            [],
        ),
    ]


def _table(
    title: str, note: str, columns: tuple[str, ...], widths: tuple[float, ...], count: int, letters: list[str]
) -> dict[str, Any]:
    return {
        "title": title,
        "note": note,
        "columns": list(columns),
        "widths": list(widths),
        "count": count,
        "letters": letters,
    }
