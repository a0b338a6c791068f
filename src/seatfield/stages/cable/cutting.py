"""Cuts: every run from one spool or one length by the metre, never joined, at the user's prices."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from seatfield import routing
from seatfield.catalogue.conductors import ConductorSize, conductor_size
from seatfield.electrical import loop_resistance_ohm
from seatfield.model import LengthUnit, Stock
from seatfield.stages.cable.conductor import SHARE_LIMIT, Load
from seatfield.stages.cable.result import Cut, Piece
from seatfield.stages.survey import tell_roughly
from seatfield.units import FOOT_M

GUESSED_PER_M = 1.0
"""Price of a metre of cable where none is told, in the project's currency: a guess, for comparing only."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """A length that a run needs in one, the load at its end, and the thinnest size that would do."""

    run: str
    length_m: float
    load: Load | None
    size: ConductorSize | None


@dataclass(frozen=True, slots=True)
class Cuts:
    """The cuts, what each run is cut from, and what could not be had.

    Parameters
    ----------
    unfit
        Runs that no spool holds, each with the longest on offer [m].
    uneven
        Pairs that are cut from two sizes, each with the reason.
    """

    cuts: tuple[Cut, ...]
    cut_from: dict[str, ConductorSize]
    unfit: tuple[tuple[str, float], ...]
    proved: bool
    uneven: tuple[tuple[tuple[str, str], str], ...] = ()


PAIR_EXTRA = 0.10
"""One size for a pair may make all cable together this much dearer: common practice, no source."""


def cut_pairs(
    wanted: tuple[Wanted, ...],
    stock: tuple[Stock, ...],
    pairs: tuple[tuple[str, str], ...],
    units: LengthUnit = LengthUnit.METRE,
) -> Cuts:
    """Cut every loudspeaker run, both sides of each pair from one size where that costs little more.

    Parameters
    ----------
    wanted, stock
        As for `cut_runs`; the thinnest size of both sides of a pair is the same.
    pairs
        Runs to the left and the right of one another.
    units
        For the words.

    Returns
    -------
    Cuts
        Those of `cut_runs` where no pair differs. A pair that stays uneven is told with the reason.
    """
    best = cut_runs(wanted, stock, units)
    if not _odd(best, pairs):
        return best
    limit = (1 + PAIR_EXTRA) * _paid(best) + 1e-9
    whole = cut_runs(wanted, stock, units, pairs)
    if len(whole.unfit) <= len(best.unfit) and _paid(whole) <= limit:
        return replace(whole, uneven=tuple((pair, _why_uneven(None)) for pair in _odd(whole, pairs)))
    odd_anyway = _odd(whole, pairs)
    extra = _paid(whole) - _paid(best)
    kept = tuple(pair for pair in pairs if pair not in _odd(best, pairs))
    for pair in _odd(best, pairs):
        found = cut_runs(wanted, stock, units, (*kept, pair))
        fits = len(found.unfit) <= len(best.unfit) and _paid(found) <= limit
        if fits and len(_odd(found, pairs)) < len(_odd(best, pairs)):
            best, kept = found, (*kept, pair)
    reasons = ((pair, _why_uneven(None if pair in odd_anyway else extra)) for pair in _odd(best, pairs))
    return replace(best, uneven=tuple(reasons))


def _why_uneven(extra: float | None) -> str:
    if extra is None:
        return "no size in the stock is thick and long enough for both"
    return f"one size for both sides of every pair would cost {extra:.2f} more"


def _odd(cuts: Cuts, pairs: tuple[tuple[str, str], ...]) -> tuple[tuple[str, str], ...]:
    """Return the pairs whose sides are cut from two sizes."""
    cut = (pair for pair in pairs if all(run in cuts.cut_from for run in pair))
    return tuple(pair for pair in cut if not _even(cuts, pair))


def _even(cuts: Cuts, pair: tuple[str, str]) -> bool:
    one, two = (cuts.cut_from.get(run) for run in pair)
    return one is not None and one == two


def _paid(cuts: Cuts) -> float:
    """Return what the cuts cost, cable of no told price at a guess."""
    guess = (
        sum(p.length_m for p in c.pieces) * GUESSED_PER_M if c.price is None else c.price for c in cuts.cuts
    )
    return sum(guess)


def _sizes(stock: tuple[Stock, ...]) -> list[ConductorSize]:
    return [conductor_size(s.conductor, s.area_mm2, s.material) for s in stock]


def cut_runs(
    wanted: tuple[Wanted, ...],
    stock: tuple[Stock, ...],
    units: LengthUnit = LengthUnit.METRE,
    alike: tuple[tuple[str, str], ...] = (),
) -> Cuts:
    """Cut every loudspeaker run for the least money, own stock first.

    Parameters
    ----------
    wanted
        Lengths with every allowance in them [m].
    stock
        The user's stock; where there is none, each size is taken by the metre at a price that nobody told.
    units
        For the words.
    alike
        Pairs of runs that are cut from one size, where a size can serve both.

    Returns
    -------
    Cuts
        A run is cut from a stock whose resistance is adequate for it, be it thicker than needed; where none is, from
        the one of least resistance.
    """
    if not wanted:
        return Cuts((), {}, (), proved=True)
    if not stock:
        return _by_the_metre(wanted, units)
    sizes = _sizes(stock)
    offers = [offer for number, item in enumerate(stock) for offer in _offers(number, item, units)]
    pieces = []
    for want in wanted:
        adequate = _adequate(want, sizes)
        pieces.append(
            routing.Piece(want.length_m, stocks=tuple(i for i, (n, _) in enumerate(offers) if n in adequate))
        )
    places = {want.run: place for place, want in enumerate(wanted)}
    result = routing.cut(
        pieces,
        [replace(offer, kind=sizes[number].name) for number, offer in offers],
        alike=[(places[one], places[two]) for one, two in alike if one in places and two in places],
    )
    cuts, cut_from = [], {}
    for purchase in result.purchases:
        number = offers[purchase.stock][0]
        cuts.append(_told(stock[number], purchase, wanted, units))
        cut_from.update({wanted[i].run: sizes[number] for i in purchase.pieces})
    return Cuts(
        tuple(cuts), cut_from, tuple((wanted[u.piece].run, u.longest_m) for u in result.unfit), result.proved
    )


def _adequate(wanted: Wanted, sizes: list[ConductorSize]) -> set[int]:
    if wanted.load is None:
        return set(range(len(sizes)))
    limit = SHARE_LIMIT * wanted.load.lowest_ohm
    loops = [loop_resistance_ohm(wanted.length_m, size.design_ohm_per_m) for size in sizes]
    fit = {n for n, loop in enumerate(loops) if loop <= limit * (1 + 1e-12)}
    least = min(loops)
    return fit or {n for n, loop in enumerate(loops) if loop <= least * (1 + 1e-9)}


FOOT_STEP_M = 0.305
"""A foot off a drum, in whole millimetres."""


def _offers(number: int, item: Stock, units: LengthUnit) -> list[tuple[int, routing.Stock]]:
    """Return a stock as the cutter takes it: metres in hand are one spool that cannot be bought again."""
    if item.length_m is not None:
        price = item.price if item.price is not None else GUESSED_PER_M * item.length_m
        return [(number, routing.Stock(price, item.length_m, owned=int(item.owned)))]
    per_m = item.price if item.price is not None else GUESSED_PER_M
    by_foot = routing.Stock(per_m * FOOT_M / FOOT_STEP_M, step_m=FOOT_STEP_M)
    drum = (number, by_foot if units is LengthUnit.FOOT else routing.Stock(per_m, step_m=0.5))
    if item.owned > 0:
        return [(number, routing.Stock(0.0, item.owned, owned=1, sold=False)), drum]
    return [drum]


SPARE_M = 3.0
"""An off-cut of this length or more is kept as a spare, to replace a short run: common practice, no source."""


def spare_words(offcut_m: float, conductor: str, shortest_m: float, units: LengthUnit) -> str:
    """Return what an off-cut is good for.

    Parameters
    ----------
    offcut_m
        Its length [m].
    conductor
        Its size.
    shortest_m
        The shortest run of the job [m].
    units
        For the words.

    Returns
    -------
    str
        Empty where it is too short to keep.
    """
    if offcut_m < SPARE_M:
        return ""
    replaces = ", long enough for the shortest run again" if offcut_m >= shortest_m else ""
    return f"spare, {conductor}, {tell_roughly(offcut_m, units)}: coil it wide and label it{replaces}"


def _told(item: Stock, purchase: routing.Purchase, wanted: tuple[Wanted, ...], units: LengthUnit) -> Cut:
    known = item.price is not None or purchase.owned
    return Cut(
        item.id,
        item.conductor,
        purchase.length_m if item.length_m is not None or purchase.owned else None,
        purchase.owned,
        purchase.price if known else None,
        _in_order(wanted[i] for i in purchase.pieces),
        purchase.offcut,
        spare_words(purchase.offcut, item.conductor, min(w.length_m for w in wanted), units),
    )


def _in_order(wanted: Iterable[Wanted]) -> tuple[Piece, ...]:
    return tuple(Piece(w.run, w.length_m) for w in sorted(wanted, key=lambda w: (-w.length_m, w.run)))


def _by_the_metre(wanted: tuple[Wanted, ...], units: LengthUnit) -> Cuts:
    by = "by the foot" if units is LengthUnit.FOOT else "by the metre"
    cuts = []
    names = list(dict.fromkeys(w.size.name for w in wanted if w.size))
    for name in names:
        pieces = _in_order(w for w in wanted if w.size and w.size.name == name)
        cuts.append(Cut(f"{name} {by}", name, None, owned=False, price=None, pieces=pieces, offcut_m=0.0))
    return Cuts(tuple(cuts), {w.run: w.size for w in wanted if w.size}, (), proved=True)


def one_size(
    wanted: tuple[Wanted, ...], stock: tuple[Stock, ...], cuts: Cuts, units: LengthUnit = LengthUnit.METRE
) -> str:
    """Return what one conductor for the whole job would be and cost, in words.

    Parameters
    ----------
    wanted
        Lengths of the loudspeaker runs.
    stock
        The user's stock.
    cuts
        As chosen, by price alone.
    units
        For the words.

    Returns
    -------
    str
        Empty where all runs have one size already, or none is thick enough for all.
    """
    if len({size.name for size in cuts.cut_from.values()}) < 2:
        return ""
    if not stock:
        thickest = min((w.size for w in wanted if w.size), key=lambda size: size.design_ohm_per_m)
        more = sum(w.length_m for w in wanted if w.size and w.size != thickest)
        return f"{thickest.name} serves every run; {tell_roughly(more, units)} of it would be thicker than needed."
    paid = total_price(cuts.cuts)
    best: tuple[float, str] | None = None
    for conductor, material in dict.fromkeys((s.conductor, s.material) for s in stock):
        mine = tuple(s for s in stock if (s.conductor, s.material) == (conductor, material))
        size = conductor_size(conductor, mine[0].area_mm2, material)
        if all(_within(w, size) for w in wanted):
            alone = cut_runs(wanted, mine, units)
            price = total_price(alone.cuts)
            if price is not None and not alone.unfit and (best is None or price < best[0]):
                best = price, conductor
    if best is None or paid is None:
        return ""
    return (
        f"{best[1]} serves every run, for {best[0] - paid:.2f} more: one size to handle and to keep as spare."
    )


def _within(wanted: Wanted, size: ConductorSize) -> bool:
    loop = loop_resistance_ohm(wanted.length_m, size.design_ohm_per_m)
    return wanted.load is None or loop <= SHARE_LIMIT * wanted.load.lowest_ohm * (1 + 1e-12)


def total_price(cuts: tuple[Cut, ...]) -> float | None:
    """Return what all cuts cost; None where a price is not told."""
    prices = [cut.price for cut in cuts]
    return sum(p for p in prices if p is not None) if None not in prices else None
