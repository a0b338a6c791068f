"""The router as a whole: toys, the exact model, published optima, and what must hold for any network."""

import json
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import seatfield.routing
from seatfield.routing import BadEdgeError, BadTerminalError, Effort, design
from seatfield.routing.arrays import field
from seatfield.routing.exact import solve_exact
from seatfield.routing.network import checked
from seatfield.routing.reduction import reduce

STEINER = json.loads((Path(__file__).parents[2] / "authorities/steiner/graphs.json").read_text())


def optimum(edges, terminals, sink):
    """Cost of the cheapest layout by the exact model in HiGHS, summed from the tables."""
    reduced = reduce(checked(edges, terminals, sink))
    if not reduced.network.ends:
        return reduced.fixed
    graph = field(reduced.network, reduced.nodes)
    return solve_exact(graph).bound + reduced.fixed


def assert_consistent(result, edges, terminals, sink):
    """Routes are continuous, loads count them, the tables give the cost, the bound does not exceed it."""
    loads = [0] * len(edges)
    for terminal, route, leg in zip(terminals, result.routes, result.legs, strict=True):
        assert route[0] == terminal
        assert route[-1] == sink
        assert len(set(route)) == len(route)
        for step, index in zip(pairwise(route), leg, strict=True):
            assert set(edges[index][:2]) == set(step)
            loads[index] += 1
    assert tuple(loads) == result.loads
    assert result.cost == pytest.approx(sum(e[2][n] for e, n in zip(edges, loads, strict=True)), rel=1e-12)
    assert result.bound <= result.cost
    assert result.proved == (result.bound == result.cost)


def test_two_cables_share_a_raceway_that_neither_would_pay_alone():
    """Alone each would go straight for 5; together the raceway of 6 and two short ends of 1 cost 8."""
    edges = [(1, 0, [0, 5, 10]), (2, 0, [0, 5, 10]), (1, 3, [0, 1, 2]), (2, 3, [0, 1, 2]), (3, 0, [0, 6, 6])]
    result = design(edges, [1, 2], 0)
    assert (result.cost, result.bound, result.proved) == (8.0, 8.0, True)
    assert result.routes == ((1, 3, 0), (2, 3, 0))
    assert result.loads == (0, 0, 1, 1, 2)


def test_a_third_cable_goes_beside_a_raceway_that_is_full():
    """Two lie free of charge, the third takes the way round for 4."""
    edges = [(1, 0, [0, 0, 0]), (1, 2, [0, 2, 4, 6]), (2, 0, [0, 2, 4, 6])]
    result = design(edges, [1, 1, 1], 0)
    assert result.cost == 4.0
    assert result.proved
    assert sorted(map(len, result.routes)) == [2, 2, 3]


def test_edges_side_by_side_are_used_together_where_that_is_cheaper():
    """One place free in each of two raceways between the same nodes: two cables cost nothing, a third 7."""
    edges = [(1, 0, [0, 0, 7, 14]), (0, 1, [0, 0, 9, 18])]
    result = design(edges, [1, 1, 1], 0)
    assert (result.cost, result.loads, result.proved) == (7.0, (2, 1), True)


def test_a_network_that_cannot_carry_all_cables_is_an_answer_and_not_an_error():
    """Three cables, two places: one finds none."""
    result = design([(1, 0, [0, 1]), (1, 2, [0, 1]), (2, 0, [0, 1])], [1, 1, 1], 0)
    assert (result.feasible, result.short, result.routes, result.cost) == (False, 1, (), np.inf)


def test_capacity_is_kept_when_a_greedy_order_would_block_the_last_cable():
    """The cheapest way of the first cable would take the only way of the second."""
    edges = [(1, 3, [0, 1]), (3, 0, [0, 1]), (1, 0, [0, 9]), (2, 3, [0, 1])]
    result = design(edges, [1, 2], 0)
    assert (result.feasible, result.cost, result.proved) == (True, 11.0, True)


def test_a_terminal_at_the_sink_needs_no_cable():
    """Its route is the one node."""
    result = design([(1, 0, [0, 3, 4])], [0, 1], 0)
    assert result.routes == ((0,), (1, 0))
    assert result.cost == 3.0
    assert design([(1, 0, [0, 3])], [], 0).proved
    assert design([], [7, 7], 7).routes == ((7,), (7,))


@pytest.mark.parametrize(
    ("edges", "error", "match"),
    [
        ([(1, 0, [1, 2])], BadEdgeError, "Edge 0 costs 1.0 with no cable; a table starts at 0"),
        ([(1, 0, [0, 3, 2])], BadEdgeError, "Edge 0 costs 2.0 with 2 cables and 3.0 with 1"),
        ([(1, 0, [0, -1])], BadEdgeError, "costs are finite and not negative"),
        ([(1, 0, [0, float("nan")])], BadEdgeError, "costs are finite and not negative"),
        ([(1, 0, [])], BadEdgeError, "an empty table"),
        ([("a", 0, [0, 1])], BadEdgeError, "Edge 0 ends at 'a'; nodes are integers"),
        ([(2, 0, [0, 1])], BadTerminalError, "Terminal 0 at node 1 has no way to the sink at node 0"),
        ([(1, 0, [0])], BadTerminalError, "Terminal 0 at node 1 has no way to the sink at node 0"),
    ],
)
def test_what_is_no_network_is_refused_with_a_sentence(edges, error, match):
    """Each refusal says what was given and what is allowed, and is a ValueError."""
    with pytest.raises(error, match=match) as caught:
        design(edges, [1], 0)
    assert isinstance(caught.value, ValueError)


def test_terminals_and_sink_are_integers():
    """A name or a fraction is refused with what it was given for; an integer of numpy is one."""
    with pytest.raises(BadTerminalError, match="Terminal 0 is 'a'; nodes are integers"):
        design([(1, 0, [0, 1])], ["a"], 0)
    with pytest.raises(BadTerminalError, match=r"The sink is 0\.5; nodes are integers"):
        design([(1, 0, [0, 1])], [1], 0.5)
    assert design([(np.int64(1), 0, np.array([0, 1]))], np.array([1]), 0).routes == ((1, 0),)


@pytest.mark.parametrize("name", sorted(STEINER))
def test_published_steiner_trees_are_found(name):
    """Beasley 1989, problem set B: with tables flat after one cable the optimum is the published one."""
    graph = STEINER[name]
    cables = len(graph["join"]) - 1
    edges = [(u, v, [0] + [c] * cables) for u, v, c in graph["edges"]]
    result = design(edges, graph["join"][1:], graph["join"][0])
    assert result.cost == graph["optimum"]
    assert result.bound <= graph["optimum"]
    assert_consistent(result, edges, graph["join"][1:], graph["join"][0])


@pytest.mark.parametrize("seed", range(40))
def test_small_networks_cost_what_the_exact_model_says(small, seed):
    """HiGHS on the mixed-integer model agrees with the cost, and the bound is never above it."""
    edges, terminals, sink = small(seed, nodes=8 + seed % 5, edges=15 + seed % 7, cables=3 + seed % 4)
    result = design(edges, terminals, sink)
    best = optimum(edges, terminals, sink)
    assert_consistent(result, edges, terminals, sink)
    assert result.cost == pytest.approx(best, abs=1e-6)
    assert result.bound <= best + 1e-6


def test_the_exact_model_on_request_proves_what_the_search_leaves_open(small):
    """With no effort for the search the bound is short of the cost; the exact model closes it."""
    lazy = Effort(starts=4, labels=0, growths=1, retreats=1, flows=0)
    left = [s for s in range(12) if not design(*small(s, cables=5), effort=lazy).proved]
    assert left
    for seed in left:
        result = design(*small(seed, cables=5), effort=lazy, exact=True)
        assert result.proved
        assert result.method == "exact"


def test_the_same_seed_gives_the_same_answer(small):
    """Two runs are equal in every field."""
    edges, terminals, sink = small(5, nodes=14, edges=30, cables=7)
    assert design(edges, terminals, sink, seed=3) == design(edges, terminals, sink, seed=3)


def test_the_watcher_hears_cost_and_bound_and_may_end_the_search(small):
    """What is ended returns its best with a bound that holds."""
    edges, terminals, sink = small(5, nodes=14, edges=30, cables=7)
    heard = []
    result = design(edges, terminals, sink, watch=lambda cost, bound: heard.append((cost, bound)) or True)
    assert len(heard) == 1
    assert heard[0][1] <= heard[0][0]
    assert_consistent(result, edges, terminals, sink)


seeds = st.integers(0, 10_000)
QUICK = Effort(starts=4, retreats=8, flows=0)


@settings(max_examples=25, deadline=None)
@given(seed=seeds, drop=st.integers(0, 1000))
def test_forbidding_an_edge_never_goes_under_the_old_bound(seed, drop):
    """A layout without the edge is a layout with it."""
    from seatfield.routing import RoutingError

    edges, terminals, sink = _network(seed)
    before = design(edges, terminals, sink, effort=QUICK)
    less = [e for i, e in enumerate(edges) if i != drop % len(edges)]
    try:
        after = design(less, terminals, sink, effort=QUICK)
    except RoutingError:
        return
    assert after.cost >= before.bound - 1e-9


@settings(max_examples=25, deadline=None)
@given(seed=seeds, at=st.integers(0, 1000))
def test_a_further_run_never_goes_under_the_old_bound(seed, at):
    """A layout of all cables holds a layout of fewer."""
    edges, terminals, sink = _network(seed)
    before = design(edges, terminals[:-1], sink, effort=QUICK)
    after = design(edges, terminals, sink, effort=QUICK)
    if after.feasible:
        assert after.cost >= before.bound - 1e-9


@settings(max_examples=25, deadline=None)
@given(seed=seeds)
def test_any_answer_is_consistent_in_itself(seed):
    """Continuity, loads, cost and bound, on networks of all kinds."""
    edges, terminals, sink = _network(seed)
    result = design(edges, terminals, sink, effort=QUICK)
    if result.feasible:
        assert_consistent(result, edges, terminals, sink)


def _network(seed):
    from importlib.util import module_from_spec, spec_from_file_location

    spec = spec_from_file_location("routing_conftest", Path(__file__).with_name("conftest.py"))
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.network(seed, 6 + seed % 7, 10 + seed % 13, 2 + seed % 6)


def test_more_cables_than_the_search_for_trees_takes_are_laid_all_the_same():
    """Forty-two cables along a line of three edges, with a raceway for fifty."""
    edges = [
        (1, 0, [0] + [10] * 50),
        (2, 1, [0] + [5] * 50),
        (2, 0, [0] + [12] * 50),
        (3, 2, [0, 1, 2]),
        (3, 0, [0, 4, 8]),
    ]
    result = design(edges, [2] * 30 + [1] * 11 + [3], 0)
    assert result.cost == 16.0
    assert_consistent(result, edges, [2] * 30 + [1] * 11 + [3], 0)


def test_the_package_is_cheap_to_import_until_an_engine_is_named():
    """The types load without numpy; naming `design` brings what it needs, so that the first call need not."""
    code = (
        "import sys, seatfield.routing as r; r.Effort(); assert 'numpy' not in sys.modules;"
        "r.design; assert 'scipy.sparse.csgraph' in sys.modules"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
    with pytest.raises(AttributeError, match="has no attribute 'shortcut'"):
        seatfield.routing.shortcut  # noqa: B018
