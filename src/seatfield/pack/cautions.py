"""The usual cautions, in plain words. They defer to local codes and licensed practice and claim no compliance."""

import json
from functools import lru_cache
from importlib.resources import files
from typing import Any


@lru_cache(maxsize=1)
def cautions() -> dict[str, Any]:
    """Read the cautions: ``first`` for the cover, ``parts`` with title and text, and ``close``."""
    return dict(json.loads(files("seatfield.pack").joinpath("cautions.json").read_text("utf-8")))


def cautions_sheet() -> dict[str, Any]:
    """Make the sheet of cautions."""
    return {
        "kind": "cautions",
        "name": "Cautions",
        "intro": "Tick each one when you have thought about it for this room.",
        "parts": cautions()["parts"],
        "close": cautions()["close"],
    }
