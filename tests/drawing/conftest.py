"""The examples, planned once for all tests of drawings."""

from functools import lru_cache
from pathlib import Path

import pytest

EXAMPLES = Path(__file__).parents[2] / "examples"


@lru_cache(maxsize=3)
def planned_example(name):
    from seatfield.pipeline import open_project, plan

    project = open_project(EXAMPLES / name)
    return project, plan(project)


@pytest.fixture(params=["rented-room", "open-plan", "attic"])
def example(request):
    return planned_example(request.param)


@pytest.fixture
def attic():
    return planned_example("attic")


@pytest.fixture
def open_plan():
    return planned_example("open-plan")
