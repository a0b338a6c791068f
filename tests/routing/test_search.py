"""The parts of the search, each against the exact model or against its own definition."""

from itertools import product

import numpy as np
import pytest

from seatfield.routing.arrays import field
from seatfield.routing.ascent import ascended
from seatfield.routing.bundles import Distances, best_tree
from seatfield.routing.exact import pieces, solve_exact
from seatfield.routing.layout import Layout, by_flow, first_layout, insertion
from seatfield.routing.network import checked
from seatfield.routing.reduction import reduce
from seatfield.routing.solve import parting_cannot_pay, used_by

SEEDS = [s for s in range(40) if s % 3 == 0]


def graph_of(network):
    """A reduced network as arrays."""
    reduced = reduce(checked(*network))
    return field(reduced.network, reduced.nodes)


def simple_ways(graph, node):
    """All ways from a node to the sink that visit no node twice."""
    stack = [[node]]
    while stack:
        way = stack.pop()
        if way[-1] == graph.sink:
            yield way
            continue
        after = graph.head[graph.starts[way[-1]] : graph.starts[way[-1] + 1]].tolist()
        stack += [[*way, node] for node in after if node not in way]


def cheapest(graph):
    """Cost of the cheapest layout by trying every combination of simple ways."""
    ways = [list(simple_ways(graph, int(home))) for home in graph.home]
    return min(Layout(graph, combination).cost for combination in product(*ways))


@pytest.mark.parametrize("seed", range(12))
def test_the_exact_model_agrees_with_trying_everything(small, seed):
    """Every combination of simple ways of three cables in a network of six nodes."""
    graph = graph_of(small(seed, nodes=6, edges=11, cables=3))
    if len(graph.table):
        solved = solve_exact(graph)
        assert solved.finished
        assert solved.bound == pytest.approx(cheapest(graph), abs=1e-6)
        assert Layout(graph, solved.routes).cost == pytest.approx(solved.bound, abs=1e-6)


def test_pieces_of_a_table_are_its_straight_stretches():
    """A raceway with two free places: the second stretch starts below zero, which is why a piece has a least."""
    assert pieces(np.array([0.0, 0.0, 0.0, 5.0, 10.0, np.inf])) == [(1, 2, 0.0, 0.0), (3, 4, -10.0, 5.0)]
    assert pieces(np.array([0.0, 4.0, 4.0, 9.0])) == [(1, 2, 4.0, 0.0), (3, 3, 9.0, 0.0)]


@pytest.mark.parametrize("seed", SEEDS)
def test_claims_of_a_group_never_exceed_what_an_edge_costs(small, seed):
    """After growth, bars and retreats, for every number n the n largest shares are within the table."""
    graph = graph_of(small(seed, nodes=12, edges=26, cables=6))
    if not len(graph.table):
        return
    rng = np.random.default_rng(seed)
    ascent = ascended(graph, graph.table, rng, 10)
    best = solve_exact(graph).bound
    for _ in range(10):
        ascent.retreat(rng)
        ascent.bar(best + 1e-6)
    largest = np.cumsum(-np.sort(-ascent.share, axis=1), axis=1)
    assert (largest <= graph.table[graph.edge, 1:] + 1e-9).all()
    assert min(ascent.bound, best) <= best


@pytest.mark.parametrize("seed", SEEDS)
def test_the_bound_is_below_the_optimum_and_bars_leave_an_optimal_layout(small, seed):
    """The exact model, kept from every direction that is barred, still finds the optimum."""
    graph = graph_of(small(seed, nodes=12, edges=26, cables=6))
    if not len(graph.table):
        return
    rng = np.random.default_rng(seed)
    best = solve_exact(graph).bound
    ascent = ascended(graph, graph.table, rng, 10)
    assert ascent.bound <= best + 1e-9
    for _ in range(10):
        ascent.retreat(rng)
        ascent.bar(best * 1.02 + 1e-6)
    solved = solve_exact(graph, barred=ascent.barred, limit=best * 1.02 + 1e-6)
    assert solved.bound == pytest.approx(best, abs=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_search_for_trees_is_exact_where_tables_are_concave(small, seed):
    """Root-shaped tables: the cheapest tree costs what the exact model says, and it is found with a loose bound."""
    edges, terminals, sink = small(seed, nodes=10, edges=20, cables=5)
    edges = [(u, v, [round((i % 5 + 1) * n**0.6, 6) for n in range(6)]) for i, (u, v, _) in enumerate(edges)]
    graph = graph_of((edges, terminals, sink))
    if not len(graph.table):
        return
    assert parting_cannot_pay(graph.table)
    rng = np.random.default_rng(seed)
    claims = ascended(graph, graph.table, rng, 5).settled(np.inf)
    layout = insertion(graph, range(graph.cables))
    found = best_tree(graph, Distances(graph, claims), claims, layout.cost - claims.bound, 10**6)
    best = solve_exact(graph).bound
    assert found.complete
    assert found.cost == pytest.approx(best, abs=1e-5)
    assert Layout(graph, found.routes).cost == pytest.approx(best, abs=1e-5)


def test_no_tree_is_found_below_the_cheapest_and_labels_can_run_out():
    """Less slack than the optimum needs finds nothing; fewer labels than needed are said to be too few."""
    # Three cables on a wheel: each two neighbours share a spoke's end, and no sharing of claims pays for a whole tree.
    rim = [(i, i % 6 + 1, [0, 2, 2, 2]) for i in range(1, 7)]
    graph = graph_of((rim + [(i, 0, [0, 3, 3, 3]) for i in (2, 4, 6)], [1, 3, 5], 0))
    rng = np.random.default_rng(0)
    claims = ascended(graph, graph.table, rng, 1).settled(np.inf)
    gap = solve_exact(graph).bound - claims.bound
    assert gap > 0
    assert best_tree(graph, Distances(graph, claims), claims, gap * 0.5, 10**6).routes == []
    assert not best_tree(graph, Distances(graph, claims), claims, gap, 3).complete


def test_tables_with_jumps_or_ends_may_make_parting_pay():
    """Free places and a raceway that is full are not concave; nor is an edge with a capacity."""
    assert parting_cannot_pay(np.array([[0.0, 5.0, 5.0, 5.0], [0.0, 2.0, 4.0, 6.0]]))
    assert not parting_cannot_pay(np.array([[0.0, 0.0, 3.0]]))
    assert not parting_cannot_pay(np.array([[0.0, 5.0, 5.0, 10.0]]))
    assert not parting_cannot_pay(np.array([[0.0, 5.0, np.inf]]))


@pytest.mark.parametrize("seed", SEEDS)
def test_improving_a_layout_keeps_it_whole_and_never_costs_more(small, seed):
    """Loads count the routes, routes end where they should, and the cost falls or stays."""
    graph = graph_of(small(seed, nodes=12, edges=26, cables=6))
    rng = np.random.default_rng(seed)
    for manner in range(4):
        layout = first_layout(graph, rng, manner)
        if layout is None:
            continue
        before = layout.cost
        layout.improve(rng, 10)
        assert layout.cost <= before + 1e-9
        assert [r[0] for r in layout.routes] == graph.home.tolist()
        assert {r[-1] for r in layout.routes} == {graph.sink}
        assert (Layout(graph, layout.routes).loads == layout.loads).all()


def test_maximum_flow_tells_how_many_cables_find_a_way():
    """Two of three; and with one more place, all three with a layout."""
    edges = [(1, 0, [0, 1]), (1, 2, [0, 1, 1, 1]), (2, 0, [0, 1]), (2, 3, [0, 1, 1, 1]), (1, 3, [0, 1, 1, 1])]
    placed, layout = by_flow(graph_of((edges, [1, 2, 3], 0)))
    assert (placed, layout) == (2, None)
    wider = [*edges, (3, 0, [0, 1])]
    placed, layout = by_flow(graph_of((wider, [1, 2, 3], 0)))
    assert placed == 3
    assert np.isfinite(layout.cost)


def test_an_overfull_layout_is_relieved(small):
    """Three cables on an edge for two: one is laid elsewhere."""
    edges = [
        (1, 0, [0, 1, 2]),
        (1, 2, [0, 3, 6, 9]),
        (2, 0, [0, 3, 6, 9]),
        (1, 3, [0, 9, 9, 9]),
        (3, 2, [0, 9, 9, 9]),
    ]
    edges.append((3, 0, [0, 9, 9, 9]))
    graph = graph_of((edges, [1, 1, 3], 0))
    one, three, sink = int(graph.home[0]), int(graph.home[2]), graph.sink
    layout = Layout(graph, [[one, sink], [one, sink], [three, one, sink]])
    assert not np.isfinite(layout.cost)
    assert layout.relieve()
    assert np.isfinite(layout.cost)


def test_layouts_are_combined_out_of_the_cheapest_that_stay_within_the_limit(small):
    """The first always counts; a further one only if all directions together are few enough."""
    graph = graph_of(small(5, nodes=14, edges=30, cables=7))
    rng = np.random.default_rng(0)
    first, second = (first_layout(graph, rng, manner) for manner in (0, 3))
    alone, both = used_by((first,), 0), used_by((first, second), 1000)
    assert np.count_nonzero(alone) == sum(len(route) - 1 for route in first.routes)
    assert (used_by((first, second), np.count_nonzero(both) - 1) == alone).all()
    assert (both >= alone).all()
    assert np.count_nonzero(both) > np.count_nonzero(alone)


def test_cables_are_gathered_to_a_way_that_pays_only_for_all_of_them():
    """Two cables that leave together, or all three from where they met, would not change to the raceway at 11.6."""
    edges = [(1, 2, [0, 2, 3.5, 5]), (2, 0, [0, 4, 8, 12]), (1, 0, [0, 11.6, 11.6, 11.6])]
    edges += [(1, 3, [0, 9, 18, 27]), (3, 0, [0, 9, 18, 27]), (2, 3, [0, 9, 18, 27])]
    graph = graph_of((edges, [1, 1, 2], 0))
    one, two = int(graph.home[0]), int(graph.home[2])
    layout = Layout(graph, [[one, two, graph.sink], [one, two, graph.sink], [two, graph.sink]])
    layout.improve(np.random.default_rng(0), 10)
    assert layout.cost == pytest.approx(3.5 + 12)
    layout.improve(np.random.default_rng(0), 10, gather=True)
    assert layout.cost == pytest.approx(2 + 11.6)


@pytest.mark.parametrize("seed", SEEDS)
def test_gathering_keeps_a_layout_whole_and_tells_what_it_saved(small, seed):
    """Whatever cables are gathered, the cost falls by what is told, or nothing changes."""
    graph = graph_of(small(seed, nodes=12, edges=26, cables=6))
    rng = np.random.default_rng(seed)
    layout = first_layout(graph, rng, 1)
    if layout is None:
        return
    for size in (2, 3, 5):
        before = layout.cost
        saved = layout.gather(rng.permutation(graph.cables)[:size].tolist())
        assert layout.cost == pytest.approx(before - saved)
        assert saved >= 0
        assert {route[-1] for route in layout.routes} == {graph.sink}
        assert (Layout(graph, layout.routes).loads == layout.loads).all()
