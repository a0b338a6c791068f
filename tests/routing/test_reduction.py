"""Reductions lose no optimum, and the way back is exact."""

import pytest

from seatfield.routing.arrays import field
from seatfield.routing.exact import solve_exact
from seatfield.routing.network import Network, checked
from seatfield.routing.reduction import expand, reduce


def test_a_chain_becomes_one_edge_whose_table_is_the_sum():
    """Of two cables one goes the short way for 2, which is full then, and one the long chain for 8."""
    edges = [
        (1, 2, [0, 1, 2]),
        (2, 3, [0, 3, 5]),
        (3, 0, [0, 4, 4]),
        (1, 0, [0, 9, 18]),
        (1, 4, [0, 1, 2]),
        (4, 0, [0, 1]),
    ]
    reduced = reduce(checked(edges, [1, 1], 0))
    assert reduced.nodes == 1
    assert reduced.fixed == 8.0 + 2.0


def test_edges_side_by_side_become_one_with_the_cheapest_split():
    """A triangle with a doubled side keeps three edges; of three cables the first of the pair takes two."""
    edges = [
        (1, 0, [0, 0, 0, 7]),
        (1, 0, [0, 1, 6, 9]),
        (1, 2, [0, 1, 2, 3]),
        (2, 0, [0, 1, 2, 3]),
        (3, 1, [0, 1, 1, 1]),
    ]
    edges += [(3, 2, [0, 1, 1, 1]), (3, 0, [0, 5, 6, 7])]
    reduced = reduce(checked(edges, [3, 2, 1], 0))
    tables = dict(zip(reduced.network.ends, reduced.network.tables, strict=True))
    assert (0.0, 0.0, 0.0, 1.0) in tables.values()
    assert len(reduced.network.ends) == 6


def test_parts_without_terminals_and_full_edges_fall_away():
    """A dead end, a loop, a component apart and an edge of no capacity leave no trace."""
    edges = [
        (1, 0, [0, 2]),
        (1, 1, [0, 1]),
        (0, 5, [0, 1]),
        (7, 8, [0, 1]),
        (8, 9, [0, 1]),
        (9, 7, [0, 1]),
        (1, 3, [0]),
    ]
    reduced = reduce(checked(edges, [1], 0))
    assert (reduced.nodes, reduced.network.ends, reduced.fixed) == (1, (), 2.0)
    legs, loads = expand(reduced, [[]])
    assert legs == [[0]]
    assert loads == [1, 0, 0, 0, 0, 0, 0]


def test_a_terminal_at_a_dead_end_that_cannot_carry_all_stays_where_it_is():
    """Its cables have no other way, so the network remains for the search to find that it is too narrow."""
    reduced = reduce(checked([(1, 0, [0, 2])], [1, 1], 0))
    assert reduced.nodes == 2


@pytest.mark.parametrize("seed", range(20))
def test_the_exact_model_finds_the_same_optimum_before_and_after(small, seed):
    """HiGHS on the network as given, loops and doubled edges apart, and on the reduced one."""
    edges, terminals, sink = small(seed, nodes=9, edges=13, cables=4)
    simple = {}
    for u, v, table in edges:
        if u != v:
            simple.setdefault(frozenset((u, v)), (u, v, table))
    given = checked(simple.values(), terminals, sink)
    names = {n: i for i, n in enumerate(sorted({n for pair in given.ends for n in pair}))}
    renamed = Network(
        tuple((names[u], names[v]) for u, v in given.ends),
        given.tables,
        tuple(names[t] for t in given.terminals),
        names[given.sink],
    )
    reduced = reduce(given)
    small_bound = solve_exact(field(reduced.network, reduced.nodes)).bound if reduced.network.ends else 0.0
    assert small_bound + reduced.fixed == pytest.approx(
        solve_exact(field(renamed, len(names))).bound, abs=1e-5
    )
