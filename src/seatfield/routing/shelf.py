"""What is to be cut and what it is cut from, in whole millimetres and hundredths of money."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Wholes: TypeAlias = NDArray[np.int64]
Chosen: TypeAlias = tuple[int, bool, tuple[int, ...]]  # stock, whether it is an own spool, pieces


@dataclass(frozen=True, slots=True)
class Piece:
    """A length that is wanted in one.

    Parameters
    ----------
    length_m : float
        Length with every allowance in it [m].
    area : float
        Least conductor (or any other rank) that will do, in the unit of the stocks' own; 0 if any will.
    stocks : tuple of int, optional
        Indices of the stocks that may serve; all if not given.
    """

    length_m: float
    area: float = 0.0
    stocks: tuple[int, ...] | None = None


@dataclass(frozen=True, slots=True)
class Stock:
    """Cable that is on the shelf or on sale: spools of one length, or by the metre where no length is given.

    Parameters
    ----------
    price : float
        Of a spool, or of a metre where it is sold by the metre.
    length_m : float, optional
        Length of a spool [m]; without it the cable is cut from a drum in whole steps, as long as wanted.
    area : float
        Conductor (or any other rank), compared with what a piece needs.
    owned : int
        Spools on the shelf already: free, and used first.
    sold : bool
        Whether more can be bought.
    step_m : float
        By the metre: the length that is sold at a time [m].
    kind : str
        What stocks have in common from which pieces that shall be alike are cut.
    """

    price: float
    length_m: float | None = None
    area: float = 0.0
    owned: int = 0
    sold: bool = True
    step_m: float = 1.0
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Shelf:
    """Pieces and stocks in whole numbers; `serves[s, i]` says whether stock s can give piece i at all."""

    need_mm: Wholes
    length_mm: Wholes
    step_mm: Wholes
    cents: Wholes
    stocks: tuple[Stock, ...]
    serves: NDArray[np.bool_]

    def price(self, stock: int, used_mm: Wholes) -> Wholes:
        """Hundredths for what must hold a length."""
        if self.stocks[stock].length_m is not None:
            return np.full(np.shape(used_mm), self.cents[stock], dtype=np.int64)
        steps = -(-used_mm // self.step_mm[stock])
        cents: Wholes = np.round(steps * (self.stocks[stock].price * self.stocks[stock].step_m * 100)).astype(
            np.int64
        )
        return cents
