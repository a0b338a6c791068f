"""Cutting lengths from spools and from the metre, without splices, for the least money: exact.

Whole millimetres and hundredths inside: a piece is rounded up to the millimetre, a spool down, a price to the
hundredth.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, isfinite
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

MOST_BY_SETS = 16
PURCHASES = 1 << 5  # more than there can be, for the third place in the order of preference
MILLIMETRES = 1 << 28  # likewise for the second
LONGEST_M = 10_000.0  # sixteen such pieces stay below it
DEAREST = 100_000.0  # and the sum of prices below 2**63

Wholes: TypeAlias = NDArray[np.int64]
Chosen: TypeAlias = tuple[int, bool, tuple[int, ...]]  # stock, whether it is an own spool, pieces


class CuttingError(ValueError):
    """A piece or a stock with a length, a price or a count that cannot be."""


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
    """

    price: float
    length_m: float | None = None
    area: float = 0.0
    owned: int = 0
    sold: bool = True
    step_m: float = 1.0


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
    """A piece that no single stock can give, and the longest that the stocks which may serve it offer [m]."""

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


def cut(pieces: Sequence[Piece], stocks: Sequence[Stock], *, nodes: int = 100_000) -> Cutting:
    """Cheapest way to cut pieces from stocks, never joining two lengths.

    Parameters
    ----------
    pieces : sequence of Piece
    stocks : sequence of Stock
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
    spool. Of two equally cheap cuttings of up to sixteen pieces, the one that takes more from own spools is preferred,
    then the one with fewer purchases. No kerf: put every allowance into the pieces. A thicker stock may serve a
    thinner piece.
    """
    shelf = _shelf(pieces, stocks)
    able = shelf.serves.any(axis=0) if len(stocks) else np.zeros(len(pieces), bool)
    wanted = np.flatnonzero(able)
    unfit = tuple(Unfit(int(i), _longest_m(shelf, pieces[int(i)])) for i in np.flatnonzero(~able))
    if len(wanted) <= MOST_BY_SETS:
        chosen, proved = _by_sets(shelf, wanted), True
    else:
        from seatfield.routing.patterns import by_patterns

        chosen, proved = by_patterns(shelf, wanted, nodes)
    purchases = tuple(_purchase(shelf, *c) for c in sorted(chosen, key=lambda c: (not c[1], c[0], c[2])))
    cents = sum(round(p.price * 100) for p in purchases)
    return Cutting(cents / 100, purchases, unfit, proved)


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


def _by_sets(shelf: Shelf, wanted: NDArray[np.intp]) -> list[Chosen]:
    """Recursion over sets of pieces: what is bought, after every set that the own spools can hold."""
    count = len(wanted)
    everything = (1 << count) - 1
    used = _sums(shelf.need_mm[wanted])
    price, stock = _single(shelf, wanted, used)
    best, taken = _partition(price, count)
    families = []
    held = np.zeros(1 << count, dtype=bool)
    held[0] = True
    for s, item in enumerate(shelf.stocks):
        fits = _fits(shelf, s, wanted, used)
        for _ in range(min(item.owned, count)):
            families.append((s, fits, held))
            held = _unions(held, fits, count)
    masks = np.flatnonzero(held)
    rest = everything & ~masks
    mine = int(masks[np.argmin(best[rest])])
    out: list[Chosen] = []
    left = everything & ~mine
    while left:
        group = int(taken[left])
        out.append((int(stock[group]), False, _members(group, wanted)))
        left &= ~group
    for s, fits, before in reversed(families):
        candidates = np.flatnonzero(before)
        missing = mine & ~candidates
        choice = int(np.flatnonzero(fits[missing])[0])
        group = int(missing[choice])
        if group:
            out.append((s, True, _members(group, wanted)))
        mine &= int(candidates[choice])
    return out


def _members(group: int, wanted: NDArray[np.intp]) -> tuple[int, ...]:
    return tuple(int(w) for i, w in enumerate(wanted) if group >> i & 1)


def _sums(values: Wholes) -> Wholes:
    """Sum of the values of every set, by the set's number."""
    out = np.zeros(1, dtype=np.int64)
    for value in values:
        out = np.concatenate([out, out + value])
    return out


def _fits(shelf: Shelf, stock: int, wanted: NDArray[np.intp], used: Wholes) -> NDArray[np.bool_]:
    """Tell which sets one spool of a stock, or one length off its drum, can give."""
    barred = int(sum(1 << i for i, w in enumerate(wanted) if not shelf.serves[stock, w]))
    out: NDArray[np.bool_] = ((np.arange(len(used)) & barred) == 0) & (used <= shelf.length_mm[stock])
    return out


def _single(shelf: Shelf, wanted: NDArray[np.intp], used: Wholes) -> tuple[Wholes, NDArray[np.intp]]:
    """Rank of the best single purchase for each set (price, bought length, count), and its stock."""
    never = np.iinfo(np.int64).max // 4
    best = np.full(len(used), never, dtype=np.int64)
    stock = np.full(len(used), -1, dtype=np.intp)
    for s, item in enumerate(shelf.stocks):
        if not item.sold:
            continue
        rank = shelf.price(s, used) * (PURCHASES * MILLIMETRES) + used * PURCHASES + 1
        rank = np.where(_fits(shelf, s, wanted, used), rank, never)
        stock = np.where(rank < best, s, stock)
        best = np.minimum(best, rank)
    best[0] = 0
    return best, stock


def _partition(price: Wholes, count: int) -> tuple[Wholes, Wholes]:
    """Cheapest partition of every set into purchases, and the purchase that holds its last piece."""
    never = np.iinfo(np.int64).max // 4
    best = np.zeros(1, dtype=np.int64)
    taken = np.zeros(1, dtype=np.int64)
    for last in range(count):
        size = 1 << last
        cost, group = _disjoint(price[size : 2 * size], best, last)
        best = np.concatenate([best, np.minimum(cost, never)])
        taken = np.concatenate([taken, group | size])
    return best, taken


def _disjoint(a: Wholes, b: Wholes, bits: int) -> tuple[Wholes, Wholes]:
    """For every set the least a[part] + b[rest], and the part: by halves, or all pairs when small."""
    if bits <= 9:
        part, rest, starts = _pairs(bits)
        total = a[part] + b[rest]
        least = np.minimum.reduceat(total, starts)
        size = np.diff(np.r_[starts, len(part)])
        hit = np.flatnonzero(total == np.repeat(least, size))
        owner = np.searchsorted(starts, hit, side="right") - 1
        first = np.r_[True, owner[1:] != owner[:-1]]
        return least, part[hit[first]]
    half = 1 << (bits - 1)
    low, low_part = _disjoint(a[:half], b[:half], bits - 1)
    one, one_part = _disjoint(a[half:], b[:half], bits - 1)
    two, two_part = _disjoint(a[:half], b[half:], bits - 1)
    return (
        np.concatenate([low, np.minimum(one, two)]),
        np.concatenate([low_part, np.where(one <= two, one_part | half, two_part)]),
    )


_PAIRS: dict[int, tuple[Wholes, Wholes, Wholes]] = {}


def _pairs(bits: int) -> tuple[Wholes, Wholes, Wholes]:
    """All pairs of disjoint sets, in the order of their union; where each union starts."""
    if bits not in _PAIRS:
        a, b = np.meshgrid(np.arange(1 << bits), np.arange(1 << bits), indexing="ij")
        part, rest = (x[(a & b) == 0].astype(np.int64) for x in (a, b))
        order = np.argsort(part | rest, kind="stable")
        whole = (part | rest)[order]
        starts = np.flatnonzero(np.r_[True, whole[1:] != whole[:-1]])
        _PAIRS[bits] = part[order], rest[order], starts.astype(np.int64)
    return _PAIRS[bits]


def _unions(a: NDArray[np.bool_], b: NDArray[np.bool_], count: int) -> NDArray[np.bool_]:
    """Find the sets that are the union of one of a and one of b: count subsets, multiply, count back."""
    x, y = a.astype(np.int64), b.astype(np.int64)
    for bit in range(count):
        for z in (x, y):
            halves = z.reshape(-1, 2, 1 << bit)
            halves[:, 1] += halves[:, 0]
    x *= y
    for bit in range(count):
        halves = x.reshape(-1, 2, 1 << bit)
        halves[:, 1] -= halves[:, 0]
    out: NDArray[np.bool_] = x > 0
    return out
