"""Names of corners and walls: corners A, B, C … in the order of the file, walls after their corners."""


def corner_name(number: int) -> str:
    """Return the letter of a corner, as on the plan and the marking-out sheet.

    Parameters
    ----------
    number
        Index of the corner, from 0.

    Returns
    -------
    str
        ``A`` to ``Z``, then ``A2`` to ``Z2`` and so on.
    """
    turn, letter = divmod(number, 26)
    return chr(ord("A") + letter) + (str(turn + 1) if turn else "")


def wall_name(number: int, count: int) -> str:
    """Return the name of a wall: its two corners, in the order of the file.

    Parameters
    ----------
    number
        Index of the wall, from 0.
    count
        How many walls the room has.

    Returns
    -------
    str
        Such as ``A–B``.
    """
    return f"{corner_name(number)}–{corner_name((number + 1) % count)}"
