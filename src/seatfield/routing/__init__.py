"""Routes that share what they pay for, and cuts from what is on the shelf: engines that know no rooms.

The types load with the package; the engines, and what they need of scipy, when one of them is first named.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from seatfield.routing.network import (
    BadEdgeError,
    BadTerminalError,
    Design,
    Edge,
    Effort,
    RoutingError,
    Watch,
    Work,
)

if TYPE_CHECKING:
    from seatfield.routing.nearest import Shortest, shortest
    from seatfield.routing.search import design
    from seatfield.routing.shelf import Piece, Stock
    from seatfield.routing.spools import Cutting, CuttingError, Purchase, Unfit, cut

_HOMES = {
    "Cutting": "spools",
    "CuttingError": "spools",
    "Piece": "shelf",
    "Purchase": "spools",
    "Shortest": "nearest",
    "Stock": "shelf",
    "Unfit": "spools",
    "cut": "spools",
    "design": "search",
    "shortest": "nearest",
}

__all__ = [
    "BadEdgeError",
    "BadTerminalError",
    "Cutting",
    "CuttingError",
    "Design",
    "Edge",
    "Effort",
    "Piece",
    "Purchase",
    "RoutingError",
    "Shortest",
    "Stock",
    "Unfit",
    "Watch",
    "Work",
    "cut",
    "design",
    "shortest",
]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(import_module(f"seatfield.routing.{_HOMES[name]}"), name)
    raise AttributeError(f"module 'seatfield.routing' has no attribute {name!r}")
