"""Cutting of up to sixteen pieces: a recursion over their sets.

A set is a number whose bits are the pieces. The rank of a purchase is its price, then the length bought, then one for
itself, as one whole number, so that ranks add up and the least is the preferred.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from seatfield.routing.shelf import Chosen, Shelf, Wholes

MOST_BY_SETS = 16
PURCHASES = 1 << 5  # more than there can be, for the third place in the order of preference
MILLIMETRES = 1 << 28  # likewise for the second
NEVER = (1 << 63) // 4  # a rank that no purchase reaches
AT_ONCE = 10  # pieces up to which all pairs of disjoint sets are tried at once


def by_sets(
    shelf: Shelf,
    wanted: NDArray[np.intp],
    pairs: list[tuple[int, int]],
    of_kind: list[NDArray[np.intp]],
) -> list[Chosen] | None:
    """Cheapest cutting, or None where the stocks do not suffice; with pairs, each from one kind of stock."""
    if not pairs:
        supply = _supply(shelf, wanted, np.arange(len(shelf.stocks)))
        return supply.tell((1 << len(wanted)) - 1)
    supplies = [_supply(shelf, wanted, own) for own in of_kind]
    together = _together(wanted, pairs)
    sets = np.zeros(1, dtype=np.int64)
    for unit in together:
        sets = np.concatenate([sets, sets | unit])
    costs = [supplies[0].ranks[sets]]
    for supply in supplies[1:]:
        costs.append(np.minimum(_disjoint(supply.ranks[sets], costs[-1], len(together)), NEVER))
    if costs[-1][-1] >= NEVER:
        return None
    out: list[Chosen] = []
    left = len(sets) - 1
    for supply, before in zip(reversed(supplies[1:]), reversed(costs[:-1]), strict=True):
        mine = _part(supply.ranks[sets], before, left)
        out += supply.tell(int(sets[mine])) or []
        left &= ~mine
    return out + (supplies[0].tell(int(sets[left])) or [])


def _together(wanted: NDArray[np.intp], pairs: list[tuple[int, int]]) -> list[int]:
    """List the sets of pieces that are cut from one kind, single ones too."""
    place = {int(piece): 1 << i for i, piece in enumerate(wanted)}
    units = list(place.values())
    for one, two in pairs:
        both = [unit for unit in units if unit & (place[one] | place[two])]
        units = [unit for unit in units if unit not in both] + [sum(both)]
    return units


_KNOWN: dict[tuple[object, ...], _Supply] = {}
MOST_KNOWN = 4


def _supply(shelf: Shelf, wanted: NDArray[np.intp], own: NDArray[np.intp]) -> _Supply:
    """Return what some stocks can give; of the last few the same again, as where only the pairs differ."""
    stocks = tuple(shelf.stocks[s] for s in own.tolist())
    key = (wanted.tobytes(), shelf.need_mm.tobytes(), shelf.serves[own].tobytes(), own.tobytes(), stocks)
    if key not in _KNOWN:
        if len(_KNOWN) >= MOST_KNOWN:
            _KNOWN.clear()
        _KNOWN[key] = _Supply(shelf, wanted, own)
    return _KNOWN[key]


class _Supply:
    """What some stocks can give: bought for every set, and what their own spools can hold."""

    def __init__(self, shelf: Shelf, wanted: NDArray[np.intp], own: NDArray[np.intp]) -> None:
        self.wanted, count = wanted, len(wanted)
        used = _sums(shelf.need_mm[wanted])
        self.price, self.stock = _single(shelf, wanted, used, own)
        sold = [shelf.stocks[s] for s in own.tolist() if shelf.stocks[s].sold]
        if len(sold) == 1 and sold[0].length_m is None:
            # Off one drum, two lengths together are never dearer than apart.
            self.best = self.price
        else:
            self.best = _partition(self.price, count)
        self.families: list[tuple[int, NDArray[np.bool_], NDArray[np.bool_]]] = []
        self.held = np.zeros(1 << count, dtype=bool)
        self.held[0] = True
        for s in own.tolist():
            spools = min(shelf.stocks[s].owned, count)
            fits = _fits(shelf, s, wanted, used) if spools else self.held
            for _ in range(spools):
                self.families.append((s, fits, self.held))
                self.held = _unions(self.held, fits, count)

    @cached_property
    def ranks(self) -> Wholes:
        """Rank of the cheapest way to supply each set."""
        if not self.families:
            return self.best
        own = np.where(self.held, 0, NEVER)
        return np.minimum(_disjoint(own, self.best, len(self.wanted)), NEVER)

    def tell(self, wanted: int) -> list[Chosen] | None:
        """Return what supplies a set most cheaply; None where nothing does."""
        masks = np.flatnonzero(self.held)
        masks = masks[(masks & ~wanted) == 0]
        rest = wanted & ~masks
        mine = int(masks[np.argmin(self.best[rest])])
        left = wanted & ~mine
        if self.best[left] >= NEVER:
            return None
        out: list[Chosen] = []
        while left:
            last = 1 << left.bit_length() - 1
            group = last | _part(self.price[last:], self.best, left & ~last)
            out.append((int(self.stock[group]), False, _members(group, self.wanted)))
            left &= ~group
        for s, fits, before in reversed(self.families):
            candidates = np.flatnonzero(before)
            candidates = candidates[(candidates & ~mine) == 0]
            missing = mine & ~candidates
            choice = int(np.flatnonzero(fits[missing])[0])
            group = int(missing[choice])
            if group:
                out.append((s, True, _members(group, self.wanted)))
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


def _single(
    shelf: Shelf, wanted: NDArray[np.intp], used: Wholes, own: NDArray[np.intp]
) -> tuple[Wholes, NDArray[np.intp]]:
    """Rank of the best single purchase for each set (price, bought length, count), and its stock."""
    best = np.full(len(used), NEVER, dtype=np.int64)
    stock = np.full(len(used), -1, dtype=np.intp)
    for s in own.tolist():
        if not shelf.stocks[s].sold:
            continue
        rank = shelf.price(s, used) * (PURCHASES * MILLIMETRES) + used * PURCHASES + 1
        rank = np.where(_fits(shelf, s, wanted, used), rank, NEVER)
        stock = np.where(rank < best, s, stock)
        best = np.minimum(best, rank)
    best[0] = 0
    return best, stock


def _partition(price: Wholes, count: int) -> Wholes:
    """Cheapest partition of every set into purchases."""
    best = np.zeros(1, dtype=np.int64)
    for last in range(count):
        size = 1 << last
        cost = _disjoint(price[size : 2 * size], best, last)
        best = np.concatenate([best, np.minimum(cost, NEVER)])
    return best


def _disjoint(a: Wholes, b: Wholes, bits: int) -> Wholes:
    """Return for every set the least a[part] + b[rest]: by halves, or all pairs when small."""
    if bits <= AT_ONCE:
        part, rest, starts = _pairs(bits)
        return np.minimum.reduceat(a[part] + b[rest], starts)
    half = 1 << (bits - 1)
    low = _disjoint(a[:half], b[:half], bits - 1)
    one = _disjoint(a[half:], b[:half], bits - 1)
    two = _disjoint(a[:half], b[half:], bits - 1)
    return np.concatenate([low, np.minimum(one, two)])


def _part(a: Wholes, b: Wholes, whole: int) -> int:
    """Return the part of a set for which a[part] + b[rest] is least."""
    parts = np.arange(whole + 1)
    parts = parts[(parts & ~whole) == 0]
    return int(parts[np.argmin(a[parts] + b[whole & ~parts])])


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
