"""Binary frames of the live socket: a length, a head in JSON, and the coordinates of what is drawn.

``uint32 n | n bytes of JSON | float32 …``, little-endian. Points travel as numbers, so that a drawing needs no
parsing; the head says how many of them belong to each piece.
"""

import json
import struct
from array import array
from typing import Any

from seatfield.pipeline import encode


def frame(head: dict[str, Any], points: "array[float] | None" = None) -> bytes:
    """Return a frame of a head and numbers."""
    told = json.dumps(head, default=encode, separators=(",", ":")).encode("ascii")
    told += b" " * (-len(told) % 4)  # numbers start on their own size
    return struct.pack("<I", len(told)) + told + (points.tobytes() if points else b"")


def flat_pieces(scene: dict[str, Any]) -> tuple[dict[str, Any], "array[float]"]:
    """Take the coordinates out of a scene of `pieces_of`.

    Returns
    -------
    dict and array
        The scene with `counts` in place of the coordinates of each line and area, and all coordinates in order.
    """
    points: array[float] = array("f")
    pieces = []
    for piece in scene["pieces"]:
        rings = _rings(piece)
        if not rings:
            pieces.append(piece)
            continue
        for ring in rings:
            points.extend(value for point in ring for value in point)
        rest = {key: value for key, value in piece.items() if key not in {"points", "outline", "holes"}}
        pieces.append(rest | {"counts": [len(ring) for ring in rings]})
    return scene | {"pieces": pieces}, points


def _rings(piece: dict[str, Any]) -> list[Any]:
    """Return the runs of points that a line or an area is made of; none for other pieces."""
    if piece["kind"] == "line":
        return [piece["points"]]
    return [piece["outline"], *piece["holes"]] if piece["kind"] == "area" else []
