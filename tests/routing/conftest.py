"""Small networks for the router's tests."""

import numpy as np
import pytest


def network(seed, nodes=9, edges=16, cables=4):
    """A connected network with tables of the habits that rooms have, whole prices, the sink at node 0."""
    rng = np.random.default_rng(seed)
    pairs = [(int(rng.integers(0, i)), i) for i in range(1, nodes)]
    pairs += [tuple(int(x) for x in rng.integers(0, nodes, 2)) for _ in range(edges - len(pairs))]
    made = []
    for place, (u, v) in enumerate(pairs):
        length = int(rng.integers(1, 9))
        each, fixed, full, free = (int(rng.integers(lo, hi)) for lo, hi in ((0, 3), (0, 8), (1, 4), (0, 3)))
        free *= int(rng.random() < 0.3)
        table = [0]
        for n in range(1, cables + 1):
            beyond = max(0, n - free)
            table.append(
                length * min(each * n + fixed * -(-beyond // full), (each + 3) * beyond + each * min(n, free))
            )
        top = cables + 1 if place < nodes - 1 or rng.random() < 0.7 else int(rng.integers(1, cables + 1))
        made.append((u, v, np.maximum.accumulate(table)[:top].tolist()))
    return made, [int(t) for t in rng.integers(1, nodes, cables)], 0


@pytest.fixture
def small():
    """Maker of small networks: seed, nodes, edges, cables."""
    return network
