"""Cuts: no splice, own stock first, never dearer with more to choose from, exact against trying everything."""

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seatfield.catalogue.conductors import conductor_size, metric_size
from seatfield.electrical import loop_resistance_ohm
from seatfield.model import Stock
from seatfield.stages.cable.conductor import Load
from seatfield.stages.cable.cutting import Wanted, cut_pairs, cut_runs

EIGHT = Load(8.0, 6.4, None, told=True)
THIN = Stock("thin drum", "1.5 mm2", 1.5, price=1.0)
SPOOL = Stock("thick spool", "2.5 mm2", 2.5, length_m=30.0, price=20.0)


def wanted(*lengths):
    return tuple(Wanted(f"run {n}", length, EIGHT, metric_size(1.5)) for n, length in enumerate(lengths))


def price(cuts):
    return sum(cut.price for cut in cuts.cuts)


def test_a_cheaper_thicker_spool_is_taken_for_the_whole_job():
    found = cut_runs(wanted(9.0, 8.0, 7.0), (THIN, SPOOL))
    assert [cut.stock for cut in found.cuts] == ["thick spool"]
    assert {size.name for size in found.cut_from.values()} == {"2.5 mm2"}
    assert found.cuts[0].offcut_m == pytest.approx(6.0)


def test_own_stock_is_used_first_and_costs_nothing():
    own = replace(THIN, id="rest in the cellar", owned=10.0)
    found = cut_runs(wanted(9.0, 8.0), (own,))
    assert found.cuts[0].owned
    assert found.cuts[0].price == 0
    assert found.cuts[0].pieces[0].length_m == 9.0
    assert price(found) == pytest.approx(8.0)


def test_a_run_that_no_spool_holds_is_told_with_the_longest_and_never_joined():
    found = cut_runs(wanted(31.0, 5.0), (SPOOL,))
    assert found.unfit == (("run 0", 30.0),)
    assert [piece.run for cut in found.cuts for piece in cut.pieces] == ["run 1"]


def test_thin_cable_does_not_serve_a_run_that_needs_thick():
    # 16 m of 1.5 mm² resists 0.4256 ohm, 6.65 % of 6.4 ohm; 2.5 mm² resists 0.2554 ohm, 3.99 %.
    found = cut_runs(wanted(16.0), (THIN, SPOOL))
    assert found.cut_from["run 0"].name == "2.5 mm2"


def test_clad_aluminium_serves_only_as_far_as_its_resistance_allows():
    clad = Stock("clad drum", "2.5 mm2", 2.5, material="copper-clad aluminium", price=0.2)
    near, far = cut_runs(wanted(10.0), (clad, SPOOL)), cut_runs(wanted(14.0), (clad, SPOOL))
    assert near.cuts[0].stock == "clad drum"
    assert far.cuts[0].stock == "thick spool"


def test_where_nothing_is_adequate_the_thickest_is_cut():
    found = cut_runs(wanted(80.0), (THIN, replace(SPOOL, length_m=None, price=3.0)))
    assert found.cut_from["run 0"].name == "2.5 mm2"


def test_without_stock_each_size_is_one_order_by_the_metre():
    found = cut_runs(wanted(9.0, 8.0), ())
    (cut,) = found.cuts
    assert cut.price is None
    assert [piece.run for piece in cut.pieces] == ["run 0", "run 1"]


LENGTHS = st.lists(st.integers(10, 280), min_size=1, max_size=5)
SPOOLS = st.lists(st.tuples(st.integers(100, 300), st.integers(50, 400)), min_size=1, max_size=3)


@settings(max_examples=40, deadline=None)
@given(LENGTHS, SPOOLS)
def test_cuts_cost_what_trying_every_assignment_costs(lengths, spools):
    stock = tuple(
        Stock(f"s{n}", "4 mm2", 4.0, length_m=m / 10, price=p / 10) for n, (m, p) in enumerate(spools)
    )
    pieces = [length / 10 for length in lengths if length / 10 <= max(s.length_m for s in stock)]
    found = cut_runs(wanted(*(length / 10 for length in lengths)), stock)
    assert len(found.unfit) == len(lengths) - len(pieces)
    assert price(found) == pytest.approx(_cheapest(pieces, stock), abs=1e-6)


def _cheapest(pieces, stock):
    """Put every piece into one of as many bundles as pieces, and buy each the cheapest spool that holds it."""
    best = 0.0 if not pieces else float("inf")
    for bundles in product(range(len(pieces)), repeat=len(pieces)):
        total = 0.0
        for bundle in set(bundles):
            need = sum(p for p, b in zip(pieces, bundles, strict=True) if b == bundle)
            total += min((s.price for s in stock if s.length_m >= need - 1e-9), default=float("inf"))
        best = min(best, total)
    return best


@settings(max_examples=40, deadline=None)
@given(LENGTHS, SPOOLS, st.tuples(st.integers(100, 300), st.integers(50, 400)))
def test_a_stock_added_never_makes_the_purchase_dearer(lengths, spools, more):
    stock = tuple(
        Stock(f"s{n}", "4 mm2", 4.0, length_m=m / 10, price=p / 10) for n, (m, p) in enumerate(spools)
    )
    drum = Stock("drum", "4 mm2", 4.0, price=2.0)
    added = Stock("more", "4 mm2", 4.0, length_m=more[0] / 10, price=more[1] / 10)
    need = wanted(*(length / 10 for length in lengths))
    assert price(cut_runs(need, (*stock, drum, added))) <= price(cut_runs(need, (*stock, drum))) + 1e-9


def test_every_piece_is_cut_whole_from_one_stock():
    need = wanted(9.0, 8.0, 7.0, 12.0, 3.0)
    found = cut_runs(need, (THIN, SPOOL))
    cut = {piece.run: piece.length_m for c in found.cuts for piece in c.pieces}
    assert cut == {w.run: w.length_m for w in need}
    for c in found.cuts:
        if c.spool_m is not None:
            assert sum(piece.length_m for piece in c.pieces) + c.offcut_m == pytest.approx(c.spool_m)
    for w in need:
        loop = loop_resistance_ohm(w.length_m, found.cut_from[w.run].design_ohm_per_m)
        assert loop <= 0.05 * 6.4


def test_gauge_and_metric_stock_are_weighed_by_resistance_not_by_name():
    gauge = Stock("gauge", "14 AWG", 2.08, price=0.5)
    found = cut_runs(wanted(17.0), (gauge, THIN))
    assert found.cut_from["run 0"] == conductor_size("14 AWG", 2.08)


PAIR = (("run 0", "run 1"),)


def test_both_sides_of_a_pair_are_cut_from_one_size_where_that_costs_no_more():
    """Two of four runs fit the own spool: by price alone any two, with pairs told the two of one pair."""
    own = replace(THIN, id="own spool", length_m=17.0, price=99.0, owned=1)
    spool = replace(SPOOL, length_m=17.0)
    need, pairs = wanted(8.4, 8.3, 8.35, 8.45), (("run 0", "run 2"), ("run 1", "run 3"))
    found = cut_pairs(need, (own, spool), pairs)
    assert price(found) == pytest.approx(price(cut_runs(need, (own, spool))))
    assert all(found.cut_from[one] == found.cut_from[two] for one, two in pairs)
    assert found.uneven == ()


def test_a_pair_that_only_much_more_money_makes_even_stays_uneven_with_the_reason():
    own = replace(THIN, id="own spool", length_m=10.0, price=40.0, owned=1)
    found = cut_pairs(wanted(9.0, 9.5), (own, replace(SPOOL, length_m=10.0)), PAIR)
    assert found.cut_from["run 0"] != found.cut_from["run 1"]
    ((pair, why),) = found.uneven
    assert pair == PAIR[0]
    assert "20.00 more" in why
