"""The signal chain's exact search, against plain enumeration of small chains.

Ten devices and twenty services are the promise (50 ms on two cores); enumeration cannot do those, so its time is that
of twenty random chains of at most five devices and one service each, with the rules of the tests.
"""

import importlib.util
import random
import sys
import time
from dataclasses import replace
from pathlib import Path

from seatfield.model import Service
from seatfield.stages.chain import plan

TESTS = Path(__file__).parents[1] / "tests/stages/chain"
REPEATS = 5


def run():
    """Best of a few repeats of both."""
    rules, build = _load("test_brute_force"), _load("conftest")
    pick = random.Random(20261125)
    large = _large(rules, build, pick)
    small = [rules.random_chain(pick, build) for _ in range(20)]
    projects = [rules.as_project(build, chain) for chain in small]
    enumerated = _best(lambda: [rules.brute_force(chain) for chain in small])
    return [
        (
            "chain: 10 devices, 20 services",
            _best(lambda: plan(large)),
            "enumeration, 20 small chains",
            enumerated,
        ),
        (
            "chain: 20 small chains",
            _best(lambda: [plan(project) for project in projects]),
            "enumeration, 20 small chains",
            enumerated,
        ),
    ]


def _large(rules, build, pick):
    devices, links, amplifier, _ = rules.random_chain(pick, build, 10)
    while len(devices) < 10:
        devices, links, amplifier, _ = rules.random_chain(pick, build, 10)
    wires = [entry for entry in links if pick.random() < 0.4] + [(devices[-1][0], "receiver", "hdmi", None)]
    project = rules.as_project(build, (devices, wires, amplifier, ("AC-3",)))
    offers = [tuple(pick.sample((*rules.CODED, "LPCM 8"), 3)) for _ in range(20)]
    services = tuple(Service(f"s{k}", (devices[k % 10][0],), offer) for k, offer in enumerate(offers))
    return replace(project, services=services)


def _best(work):
    times = []
    for _ in range(REPEATS):
        began = time.perf_counter()
        work()
        times.append(time.perf_counter() - began)
    return min(times)


def _load(name):
    spec = importlib.util.spec_from_file_location(name, TESTS / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


if __name__ == "__main__":
    print(*run(), sep="\n")
