"""Shortest ways: a toy and a general library."""

import numpy as np
import pytest
from scipy.sparse.csgraph import floyd_warshall

from seatfield.routing import BadTerminalError, shortest


def test_each_terminal_takes_its_shortest_way_and_the_tables_tell_the_cost():
    """Both go by node 2 for 3 and 2; together they pay the table's entries for two on the last edge."""
    edges = [(1, 2, [0, 1]), (2, 0, [0, 2, 3]), (1, 0, [0, 4, 8]), (2, 0, [0, 2.5])]
    result = shortest(edges, [1, 2], 0)
    assert result.lengths == (3.0, 2.0)
    assert result.routes == ((1, 2, 0), (2, 0))
    assert result.legs == ((0, 1), (1,))
    assert result.loads == (1, 2, 0, 0)
    assert result.cost == 4.0


def test_plain_lengths_will_do_and_capacity_only_shows_in_the_cost():
    """Two cables on an edge whose table ends at one: the ways are told, the cost is infinite."""
    result = shortest([(1, 0, (0.0, 2.5))], [1, 1], 0)
    assert result.lengths == (2.5, 2.5)
    assert result.cost == np.inf
    with pytest.raises(BadTerminalError, match="has no way to the sink"):
        shortest([(1, 2, (0.0, 2.5))], [1], 0)


@pytest.mark.parametrize("seed", range(8))
def test_lengths_are_those_of_floyd_and_warshall(small, seed):
    """scipy's all-pairs method on the same lengths gives the same distances, and routes add up to them."""
    edges, terminals, sink = small(seed, nodes=12, edges=26, cables=5)
    edges = [(u, v, [0, t[1] + 0.25 if len(t) > 1 else 1.0]) for u, v, t in edges]
    matrix = np.full((12, 12), np.inf)
    for u, v, (_, length) in edges:
        matrix[u, v] = matrix[v, u] = min(matrix[u, v], length)
    distance = floyd_warshall(matrix)
    result = shortest(edges, terminals, sink)
    assert result.lengths == pytest.approx([distance[t, sink] for t in terminals])
    for length, leg in zip(result.lengths, result.legs, strict=True):
        assert length == pytest.approx(sum(edges[e][2][1] for e in leg))
