"""Cutting: exhaustive search, a published case, and what must hold for any shelf."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seatfield.routing import CuttingError, Piece, Stock, cut
from seatfield.routing.patterns import by_patterns
from seatfield.routing.spools import _purchase, _shelf


def partitions(items):
    """All ways to put items into unnamed groups."""
    if not items:
        yield []
        return
    first, rest = items[0], items[1:]
    for smaller in partitions(rest):
        yield [[first], *smaller]
        for i, group in enumerate(smaller):
            yield [*smaller[:i], [first, *group], *smaller[i + 1 :]]


def cheapest(pieces, stocks, alike=()):
    """Hundredths of the cheapest cutting, by every partition with every choice of stock for each group."""
    best = None
    for groups in partitions(list(range(len(pieces)))):
        for choice in product(
            [(s, own) for s in range(len(stocks)) for own in (True, False)], repeat=len(groups)
        ):
            kinds = {i: stocks[s].kind for group, (s, _) in zip(groups, choice, strict=True) for i in group}
            if any(kinds[one] != kinds[two] for one, two in alike):
                continue
            cents = price(groups, choice, pieces, stocks)
            if cents is not None and (best is None or cents < best):
                best = cents
    return best


def price(groups, choice, pieces, stocks):
    """Hundredths of one choice, or none if it cannot be."""
    total = 0
    for s, stock in enumerate(stocks):
        if sum(c == (s, True) for c in choice) > stock.owned:
            return None
    for group, (s, own) in zip(groups, choice, strict=True):
        stock = stocks[s]
        used = round(sum(pieces[i].length_m for i in group) * 1000)
        if any(
            stock.area < pieces[i].area or s not in (pieces[i].stocks or range(len(stocks))) for i in group
        ):
            return None
        if not own and not stock.sold:
            return None
        if stock.length_m is None:
            total += round(-(-used // round(stock.step_m * 1000)) * (stock.price * stock.step_m * 100))
        elif used > stock.length_m * 1000:
            return None
        elif not own:
            total += round(stock.price * 100)
    return total


def shelf(seed, count):
    """Pieces and stocks of many kinds; the last stock gives everything, so that there is always a way."""
    rng = np.random.default_rng(seed)
    pieces = [
        Piece(
            int(rng.integers(500, 9000)) / 1000,
            float(rng.choice([0.75, 1.5, 2.5])),
            (0, 1, 2, 3) if rng.random() < 0.2 else None,
        )
        for _ in range(count)
    ]
    stocks = [
        Stock(int(rng.integers(4, 20)), 10.0, 1.5),
        Stock(int(rng.integers(10, 40)), 15.0, 2.5, owned=int(rng.integers(0, 2))),
        Stock(0.0, int(rng.integers(3, 14)), 1.5, owned=int(rng.integers(0, 3)), sold=False),
        Stock(int(rng.integers(100, 400)) / 100, None, 2.5, step_m=float(rng.choice([0.5, 1.0]))),
    ]
    return pieces, stocks


def assert_sound(result, pieces, stocks):
    """Every piece that fits is cut once from what may give it, and the prices sum to the cost."""
    done = [i for p in result.purchases for i in p.pieces]
    assert sorted(done + [u.piece for u in result.unfit]) == list(range(len(pieces)))
    for p in result.purchases:
        used = sum(pieces[i].length_m for i in p.pieces)
        assert p.offcut == pytest.approx(p.length_m - used, abs=2e-3 * len(p.pieces))
        assert p.offcut >= 0
        assert all(stocks[p.stock].area >= pieces[i].area for i in p.pieces)
        assert all(p.stock in (pieces[i].stocks or range(len(stocks))) for i in p.pieces)
        assert p.owned or stocks[p.stock].sold
        assert p.price == 0 or not p.owned
    for s, stock in enumerate(stocks):
        assert sum(p.owned for p in result.purchases if p.stock == s) <= stock.owned
    assert result.cost == pytest.approx(sum(p.price for p in result.purchases))


def test_two_pieces_share_a_spool_and_the_third_comes_by_the_metre():
    """7 + 3 m fill a spool of 10 m for 6; 1.2 m off the drum cost two whole metres at 1.5."""
    result = cut([Piece(7.0), Piece(1.2), Piece(3.0)], [Stock(6.0, 10.0), Stock(1.5)])
    assert result.cost == 9.0
    assert [(p.stock, p.pieces, p.offcut) for p in result.purchases] == [(0, (0, 2), 0.0), (1, (1,), 0.8)]


def test_the_own_spool_goes_first():
    """What is on the shelf is free, and of two equal purchases the own spool is emptied first."""
    result = cut([Piece(12.0), Piece(3.0)], [Stock(9.0, 20.0), Stock(0.0, 5.0, owned=1, sold=False)])
    assert [(p.stock, p.owned, p.pieces) for p in result.purchases] == [(1, True, (1,)), (0, False, (0,))]
    assert result.cost == 9.0


def test_a_piece_that_fits_nothing_is_told_with_the_longest_there_is():
    """No splice: 31 m do not come from two spools of 25 m."""
    result = cut([Piece(31.0), Piece(4.0)], [Stock(9.0, 25.0), Stock(99.0, 40.0, sold=False)])
    assert [(u.piece, u.longest_m) for u in result.unfit] == [(0, 25.0)]
    assert result.cost == 9.0
    assert cut([Piece(1.0)], []).unfit[0].longest_m == 0.0
    assert cut([], [Stock(1.0)]).purchases == ()


def test_a_thicker_stock_serves_a_thinner_piece_and_never_the_other_way():
    """One spool of 2.5 for both is cheaper than one of each."""
    result = cut([Piece(4.0, 1.5), Piece(5.0, 2.5)], [Stock(8.0, 10.0, 1.5), Stock(11.0, 10.0, 2.5)])
    assert [(p.stock, p.pieces) for p in result.purchases] == [(1, (0, 1))]


@pytest.mark.parametrize("seed", range(30))
def test_cuts_cost_what_exhaustive_search_finds(seed):
    """All partitions of up to five pieces, with every stock for each group."""
    pieces, stocks = shelf(seed, 2 + seed % 4)
    result = cut(pieces, stocks)
    assert_sound(result, pieces, stocks)
    assert round(result.cost * 100) == cheapest(pieces, stocks)


@pytest.mark.parametrize("seed", range(20))
def test_pairs_of_one_kind_cost_what_exhaustive_search_finds(seed):
    """All partitions of four and five pieces, of which two pairs, or one, come from stocks of one kind."""
    pieces, stocks = shelf(300 + seed, 4 + seed % 2)
    stocks = [replace(stock, kind=f"{stock.area}") for stock in stocks]
    alike = [(0, 3), (2, 1)][: 1 + seed % 3 % 2]
    result = cut(pieces, stocks, alike=alike)
    assert_sound(result, pieces, stocks)
    assert round(result.cost * 100) == cheapest(pieces, stocks, alike)
    kinds = {i: stocks[p.stock].kind for p in result.purchases for i in p.pieces}
    assert all(kinds[one] == kinds[two] for one, two in alike)


def test_of_more_than_sixteen_pieces_all_pairs_come_from_the_cheapest_kind():
    """By the metre the thin kind costs less, but one piece of a pair needs the thick one."""
    thin, thick = Stock(1.0, area=1.5, kind="thin"), Stock(2.0, area=2.5, kind="thick")
    result = cut([Piece(4.0, 2.5), *[Piece(4.0, 1.5)] * 16], [thin, thick], alike=[(0, 1), (2, 3)])
    assert result.cost == 4 * 2 * 4.0 + 13 * 4.0
    assert not result.proved


def test_a_pair_that_no_kind_can_serve_is_left_as_it_comes():
    """One is too long for the thin spool, the other may not come from the thick one."""
    stocks = [Stock(5.0, 8.0, kind="thin"), Stock(9.0, 20.0, kind="thick")]
    result = cut([Piece(15.0), Piece(3.0, stocks=(0,))], stocks, alike=[(0, 1)])
    assert (result.cost, result.unfit) == (14.0, ())


@pytest.mark.parametrize("others", [0, 16])
def test_where_what_cannot_be_bought_does_not_suffice_the_longest_piece_goes_without(others):
    """Two pieces each fit the own spool, and not both; short ones beside them come by the metre."""
    own, drum = Stock(0.0, 6.0, owned=1, sold=False), Stock(1.0)
    pieces = [Piece(5.0, stocks=(0,)), Piece(4.0, stocks=(0,)), *[Piece(1.0, stocks=(1,))] * others]
    result = cut(pieces, [own, drum])
    assert [(u.piece, u.longest_m) for u in result.unfit] == [(0, 6.0)]
    assert result.cost == others
    assert_sound(result, pieces, [own, drum])


@pytest.mark.parametrize("seed", range(8))
def test_both_methods_agree(seed):
    """The program over patterns, made for more pieces, costs the same as the recursion over sets."""
    pieces, stocks = shelf(100 + seed, 9)
    table = _shelf(pieces, stocks)
    chosen, proved = by_patterns(table, np.arange(9), 100_000)
    assert proved
    assert sum(_purchase(table, *c).price for c in chosen) == pytest.approx(cut(pieces, stocks).cost)


def test_spools_are_filled_one_by_one_when_there_are_too_many_ways_to_fill_them(monkeypatch):
    """The slower form of the program costs the same."""
    import seatfield.routing.patterns as module

    pieces, stocks = shelf(200, 7)
    monkeypatch.setattr(module, "MOST_PATTERNS", 2)
    table = _shelf(pieces, stocks)
    chosen, proved = by_patterns(table, np.arange(7), 100_000)
    assert proved
    assert sum(_purchase(table, *c).price for c in chosen) == pytest.approx(cut(pieces, stocks).cost)


def test_the_paper_mill_needs_73_rolls():
    """The well-known example of the trim problem (from memory); its widths sum to 72.7 rolls."""
    widths = {
        1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20,
        2000: 10, 2050: 12, 2100: 14, 2140: 16, 2150: 18, 2200: 20,
    }  # fmt: skip
    pieces = [Piece(w / 1000) for w, n in widths.items() for _ in range(n)]
    assert -(-sum(w * n for w, n in widths.items()) // 5600) == 73
    result = cut(pieces, [Stock(1.0, 5.6)])
    assert result.cost == 73.0
    assert result.proved
    assert_sound(result, pieces, [Stock(1.0, 5.6)])


@settings(max_examples=40, deadline=None)
@given(
    seed=st.integers(0, 10_000), price=st.integers(0, 60), length=st.integers(2, 30), owned=st.integers(0, 2)
)
def test_a_stock_added_never_makes_the_purchase_dearer(seed, price, length, owned):
    """Whoever has more to choose from pays no more."""
    pieces, stocks = shelf(seed, 3 + seed % 6)
    pieces = [Piece(p.length_m, p.area) for p in pieces]
    before = cut(pieces, stocks)
    more = [*stocks, Stock(float(price), float(length), 2.5, owned=owned)]
    after = cut(pieces, more)
    assert_sound(after, pieces, more)
    assert after.cost <= before.cost


@pytest.mark.parametrize(
    ("piece", "stock", "match"),
    [
        (Piece(0.0), Stock(1.0), "Piece 0 is 0.0 m long; a piece is longer than 0"),
        (Piece(1.0, stocks=(1,)), Stock(1.0), r"Piece 0 names stocks \(1,\); there are stocks 0 to 0"),
        (Piece(1.0), Stock(-1.0), "Stock 0 costs -1.0; a price is 0 or more"),
        (Piece(1.0), Stock(1.0, 0.0), "Stock 0 is 0.0 m long; leave the length out"),
        (Piece(1.0), Stock(1.0, owned=1), "Stock 0 has 1 on the shelf"),
        (Piece(1.0), Stock(1.0, step_m=0.0), "a step is longer than 0"),
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence(piece, stock, match):
    """Each refusal says what was given and what is allowed."""
    with pytest.raises(CuttingError, match=match):
        cut([piece], [stock])


def test_sixteen_pieces_take_no_time_worth_speaking_of():
    """The recursion over all sets of sixteen is a matter of array operations: sound and proved."""
    pieces, stocks = shelf(7, 16)
    result = cut(pieces, stocks)
    assert result.proved
    assert_sound(result, pieces, stocks)
