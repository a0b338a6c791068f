"""Fit surround sound into a room that people live in: from the tape measure to the hand-over pack.

The public names load when they are first used, so that importing the package costs nothing.
"""

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

_HOMES = {
    "ProjectFaultsError": "seatfield.pipeline",
    "open_project": "seatfield.pipeline",
    "plan": "seatfield.pipeline",
}

__all__ = ["ProjectFaultsError", "__version__", "open_project", "plan"]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'seatfield' has no attribute {name!r}")


def __dir__() -> list[str]:
    return __all__
