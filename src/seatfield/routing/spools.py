"""Cutting lengths from spools and from the metre, without splices, for the least money: exact.

Whole millimetres and hundredths inside: a piece is rounded up to the millimetre, a spool down, a price to the
hundredth.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil, floor, isfinite

import numpy as np
from numpy.typing import NDArray

from seatfield.routing.patterns import by_patterns
from seatfield.routing.sets import MOST_BY_SETS, by_sets
from seatfield.routing.shelf import Chosen, Piece, Shelf, Stock

LONGEST_M = 10_000.0  # sixteen such pieces stay below it
DEAREST = 100_000.0  # and the sum of prices below 2**63


class CuttingError(ValueError):
    """A piece or a stock with a length, a price or a count that cannot be."""


@dataclass(frozen=True, slots=True)
class Purchase:
    """One spool, or one length off a drum, and what is cut from it.

    Attributes
    ----------
    stock : int
        Index of the stock.
    pieces : tuple of int
        Indices of the pieces.
    offcut : float
        What is left [m].
    length_m : float
        Length of the spool, or the length taken off the drum [m].
    price : float
        What it costs; 0 if it is on the shelf already.
    owned : bool
        Whether it is on the shelf already.
    """

    stock: int
    pieces: tuple[int, ...]
    offcut: float
    length_m: float
    price: float
    owned: bool


@dataclass(frozen=True, slots=True)
class Unfit:
    """A piece that the stocks cannot give in one, and the longest that those which may serve it offer [m]."""

    piece: int
    longest_m: float


@dataclass(frozen=True, slots=True)
class Cutting:
    """What to buy and how to cut it.

    Attributes
    ----------
    cost : float
        Sum of the prices.
    purchases : tuple of Purchase
        Own spools first, then by stock.
    unfit : tuple of Unfit
        Pieces that fit nothing; they are in no purchase.
    proved : bool
        No cutting costs less. False only if the solver for more than sixteen pieces spent its effort.
    """

    cost: float
    purchases: tuple[Purchase, ...]
    unfit: tuple[Unfit, ...] = ()
    proved: bool = True


def cut(
    pieces: Sequence[Piece],
    stocks: Sequence[Stock],
    *,
    alike: Sequence[tuple[int, int]] = (),
    nodes: int = 100_000,
) -> Cutting:
    """Cheapest way to cut pieces from stocks, never joining two lengths.

    Parameters
    ----------
    pieces : sequence of Piece
    stocks : sequence of Stock
    alike : sequence of (int, int)
        Pairs of pieces that are cut from stocks of one kind. A pair that no kind can serve is left as it comes,
        and so are all where the stocks do not suffice for that.
    nodes : int
        Search nodes that the solver may open where there are more than sixteen pieces.

    Returns
    -------
    Cutting
        `cost`, `purchases` (each with `stock`, `pieces`, `offcut`), the pieces that fit nothing, and whether it is
        proved.

    Raises
    ------
    CuttingError
        If a length, price, count or index cannot be.

    Notes
    -----
    Up to sixteen pieces by a recursion over their sets; above that by a mixed-integer program over ways to fill a
    spool, with all pairs from the same kind. Of two equally cheap cuttings of up to sixteen pieces, the one that takes
    more from own spools is preferred, then the one with fewer purchases. No kerf: put every allowance into the pieces.
    A thicker stock may serve a thinner piece. Where what cannot be bought does not suffice for all, the longest pieces
    go without.
    """
    shelf = _shelf(pieces, stocks)
    able: NDArray[np.bool_] = np.zeros(len(pieces), bool) | shelf.serves.any(axis=0)
    while True:
        wanted = np.flatnonzero(able)
        pairs = [pair for pair in alike if able[list(pair)].all()]
        found = _cut(shelf, wanted, pairs, nodes) or _cut(shelf, wanted, [], nodes)
        if found is not None:
            break
        able[wanted[np.argmax(shelf.need_mm[wanted])]] = False
    chosen, proved = found
    unfit = tuple(Unfit(int(i), _longest_m(shelf, pieces[int(i)])) for i in np.flatnonzero(~able))
    purchases = tuple(_purchase(shelf, *c) for c in sorted(chosen, key=lambda c: (not c[1], c[0], c[2])))
    cents = sum(round(p.price * 100) for p in purchases)
    return Cutting(cents / 100, purchases, unfit, proved)


def _cut(
    shelf: Shelf, wanted: NDArray[np.intp], alike: list[tuple[int, int]], nodes: int
) -> tuple[list[Chosen], bool] | None:
    """Return what to take, and whether that is proved; None where the stocks do not suffice."""
    if not len(wanted):
        return [], True
    kinds = np.unique([stock.kind for stock in shelf.stocks], return_inverse=True)[1]
    of_kind = [np.flatnonzero(kinds == kind) for kind in range(kinds.max(initial=-1) + 1)]
    serves = np.array([shelf.serves[own].any(axis=0) for own in of_kind])
    pairs = [pair for pair in alike if serves[:, list(pair)].all(axis=1).any()]
    if len(wanted) <= MOST_BY_SETS:
        chosen = by_sets(shelf, wanted, pairs, of_kind)
        return None if chosen is None else (chosen, True)
    if not pairs:
        return by_patterns(shelf, wanted, nodes)
    paired = np.isin(np.arange(len(shelf.need_mm)), np.array(pairs))
    tried = []
    for own in of_kind:
        strange = ~np.isin(np.arange(len(shelf.stocks)), own)
        only = shelf.serves & ~(strange[:, None] & paired)
        tried.append(by_patterns(replace(shelf, serves=only), wanted, nodes))
    found = [t for t in tried if t is not None]
    if not found:
        return by_patterns(shelf, wanted, nodes)
    return min(found, key=lambda f: sum(_purchase(shelf, *c).price for c in f[0]))[0], False


def _shelf(pieces: Sequence[Piece], stocks: Sequence[Stock]) -> Shelf:
    for i, piece in enumerate(pieces):
        if not 0 < piece.length_m <= LONGEST_M:
            raise CuttingError(
                f"Piece {i} is {piece.length_m} m long; a piece is longer than 0 and at most {LONGEST_M} m."
            )
        if piece.stocks is not None and any(not 0 <= s < len(stocks) for s in piece.stocks):
            raise CuttingError(
                f"Piece {i} names stocks {piece.stocks}; there are stocks 0 to {len(stocks) - 1}."
            )
    for s, stock in enumerate(stocks):
        if not 0 <= stock.price <= DEAREST:
            raise CuttingError(f"Stock {s} costs {stock.price}; a price is 0 or more and at most {DEAREST}.")
        if stock.length_m is not None and not (isfinite(stock.length_m) and stock.length_m > 0):
            raise CuttingError(
                f"Stock {s} is {stock.length_m} m long; leave the length out where it is sold by the metre."
            )
        if stock.owned < 0 or (stock.owned and stock.length_m is None):
            raise CuttingError(
                f"Stock {s} has {stock.owned} on the shelf; a count is 0 or more, and what is there has a length."
            )
        if not stock.step_m > 0:
            raise CuttingError(f"Stock {s} is sold in steps of {stock.step_m} m; a step is longer than 0.")
    need = np.array([ceil(p.length_m * 1000 - 1e-6) for p in pieces], dtype=np.int64)
    # A drum gives any length: longer than all pieces together.
    length = np.array(
        [floor(s.length_m * 1000 + 1e-6) if s.length_m is not None else int(need.sum()) for s in stocks],
        dtype=np.int64,
    )
    serves = np.array(
        [
            [
                (s.sold or s.owned > 0)
                and s.area >= p.area
                and (p.stocks is None or index in p.stocks)
                and need[i] <= length[index]
                for i, p in enumerate(pieces)
            ]
            for index, s in enumerate(stocks)
        ],
        dtype=bool,
    ).reshape(len(stocks), len(pieces))
    step = np.array([max(1, round(s.step_m * 1000)) for s in stocks], dtype=np.int64)
    cents = np.array([round(s.price * 100) for s in stocks], dtype=np.int64)
    return Shelf(need, length, step, cents, tuple(stocks), serves)


def _longest_m(shelf: Shelf, piece: Piece) -> float:
    lengths = [
        shelf.length_mm[index] / 1000
        for index, s in enumerate(shelf.stocks)
        if (s.sold or s.owned) and s.length_m is not None and s.area >= piece.area
        and (piece.stocks is None or index in piece.stocks)
    ]  # fmt: skip
    return float(max(lengths, default=0.0))


def _purchase(shelf: Shelf, stock: int, owned: bool, pieces: tuple[int, ...]) -> Purchase:  # noqa: FBT001
    used = int(shelf.need_mm[list(pieces)].sum())
    if shelf.stocks[stock].length_m is None:
        length = -(-used // int(shelf.step_mm[stock])) * int(shelf.step_mm[stock])
    else:
        length = int(shelf.length_mm[stock])
    cents = 0 if owned else int(shelf.price(stock, np.array(used)))
    return Purchase(stock, pieces, (length - used) / 1000, length / 1000, cents / 100, owned)
