"""Corners and walls as people name them: by the file's numbers, or by the letters on plan and sheets.

Corner A is the first in the file, B the next; wall A–B runs from A to B and is wall 0. Past Z the letters go on as A2.
"""

import re
from typing import Annotated, Any

from pydantic import PlainValidator

from seatfield.store.records.kinds import MOST_CORNERS, wanted

_CORNER = re.compile(r"\s*([A-Za-z])(\d*)\s*")
_DASHES = re.compile(r"\s*[-–—−‐‑]\s*|\s+to\s+")

WALL_WANTED = 'the number of a wall, from 0, or its corners\' letters such as "A-B"'
CORNER_WANTED = 'the number of a corner, from 0, or its letter such as "A"'


def corner_letter(number: int) -> str:
    """Return the letter of a corner, as on the plan: ``A`` to ``Z``, then ``A2`` and so on."""
    turn, letter = divmod(number, 26)
    return chr(ord("A") + letter) + (str(turn + 1) if turn else "")


def corner_number(value: Any) -> int | None:
    """Return a corner's number from what was written.

    Parameters
    ----------
    value : object
        A number, or a letter such as ``"C"``.

    Returns
    -------
    int or None
        Counted from 0; None where it is neither.
    """
    if isinstance(value, str):
        match = _CORNER.fullmatch(value)
        turn = int(match[2] or 1) if match and len(match[2]) < 4 else 0
        return None if match is None or turn < 1 else ord(match[1].upper()) - ord("A") + 26 * (turn - 1)
    return value if isinstance(value, int) and not isinstance(value, bool) else None


def wall_number(value: Any, count: int = 0) -> int | None:
    """Return a wall's number from what was written.

    Parameters
    ----------
    value : object
        A number, or the letters of its two corners in either order, such as ``"A-B"``.
    count : int
        How many corners the room has; 0 where that is not known.

    Returns
    -------
    int or None
        Counted from 0; None where it is neither, or the corners are no neighbours.
    """
    if not isinstance(value, str):
        return corner_number(value)
    ends = [corner_number(part) for part in _DASHES.split(value.strip())]
    if len(ends) == 1 and re.fullmatch(r"[A-Za-z]{2}", value.strip()):
        ends = [corner_number(letter) for letter in value.strip()]
    if len(ends) != 2 or ends[0] is None or ends[1] is None:
        return None
    low, high = sorted((ends[0], ends[1]))
    if high - low == 1:
        return low
    # The last wall leads back to corner A.
    return high if low == 0 and high > 1 and count in (0, high + 1) else None


def _read_wall(value: Any) -> int:
    number = wall_number(value)
    if number is None or not 0 <= number < MOST_CORNERS:
        raise wanted(WALL_WANTED)
    return number


def _read_corner(value: Any) -> int:
    number = corner_number(value)
    if number is None or not 0 <= number < MOST_CORNERS:
        raise wanted(CORNER_WANTED)
    return number


WallNumber = Annotated[int, PlainValidator(_read_wall, json_schema_input_type=int | str)]
CornerNumber = Annotated[int, PlainValidator(_read_corner, json_schema_input_type=int | str)]
