"""Whatever the OpenAPI description allows, and what it does not, the server answers; nothing makes it fail.

The requests are made by schemathesis, a fuzzer that reads the description.
"""

import random
import warnings
from contextlib import suppress

import pytest
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis.errors import Unsatisfiable

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import schemathesis
    from schemathesis.generation import GenerationMode

HOST = "127.0.0.1:8437"
EXAMPLES = 15
SLOW = {"/api/pack.pdf": 2, "/api/compare": 2, "/api/practice": 1}
SLOW |= {"/api/sweeps/{number}.wav": 4, "/api/sweeps/all.wav": 1}
"""Each request of these computes for seconds; a few suffice."""


@pytest.mark.usefixtures("without_bass")
@pytest.mark.parametrize("mode", list(GenerationMode))
def test_nothing_that_is_sent_makes_the_server_fail(client, mode):
    headers = {"host": HOST}
    schema = schemathesis.openapi.from_asgi("/api/openapi.json", client.app, headers=headers)
    failed, asked = [], 0

    for found in schema.get_all_operations():
        operation = found.ok()
        count = SLOW.get(operation.path, EXAMPLES)

        @seed(1)
        @settings(
            max_examples=count,
            deadline=None,
            database=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(case=operation.as_strategy(generation_mode=mode))
        def ask(case):
            nonlocal asked
            asked += 1
            answer = case.call(headers=headers)
            assert answer.status_code != 421
            if answer.status_code >= 500:
                failed.append((case.method, case.path, case.query, case.body, answer.text[:300]))

        with suppress(Unsatisfiable):  # an operation that takes nothing has nothing to be wrong about
            ask()
    assert not failed
    assert asked > 80


def test_commands_at_random_never_leave_a_file_with_faults(client):
    """A monkey at the plan: each command is taken or refused, and what is saved always opens."""
    draw = random.Random(7)
    keys = [thing["key"] for thing in client.get("/api/state").json()["things"]] + [
        "room.floor",
        "",
        "x[",
        "seat",
    ]
    sorts = ["door", "seat", "loudspeaker", "rug", "lamp", "socket"]
    taken = 0
    for _ in range(150):
        key, spot = draw.choice(keys), [draw.uniform(-1, 6), draw.uniform(-1, 5)]
        command = draw.choice(
            [
                {"do": "move", "key": key, "to": spot},
                {"do": "slide wall", "wall": draw.randrange(-1, 7), "to": spot},
                {"do": "wall length", "wall": draw.randrange(6), "length": f"{draw.uniform(0, 7):.2f} m"},
                {"do": "split wall", "wall": draw.randrange(6), "at": spot},
                {"do": "turn", "key": key},
                {"do": "add", "what": draw.choice(sorts), "at": spot},
                {"do": "add channels"},
                {"do": "remove", "key": key},
            ]
        )
        answer = client.post("/api/edits", json={"commands": [command]})
        assert answer.status_code in {200, 422}, (command, answer.text)
        taken += answer.status_code == 200
        state = client.get("/api/state").json()
        assert not state["faults"], command
    assert taken > 40
    assert client.get("/api/drawing/floor").status_code in {200, 422}
    while client.get("/api/state").json()["can_undo"]:
        assert client.post("/api/undo").status_code == 200
