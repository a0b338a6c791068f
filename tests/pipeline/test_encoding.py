"""One encoder: frozen results into JSON values that match the published schema."""

import json
import math
import pathlib
from dataclasses import dataclass
from enum import StrEnum

import jsonschema_rs
import numpy as np
import pytest

import seatfield
from seatfield.pipeline import encode, encode_plan
from seatfield.pipeline.schemas import plan_schema

EXAMPLES = pathlib.Path(__file__).parents[2] / "examples"


class Colour(StrEnum):
    INK = "ink"


@dataclass(frozen=True)
class Mark:
    at: tuple[float, float]
    colour: Colour
    height_m: float | None = None


def test_dataclasses_become_dictionaries_by_field_name():
    assert encode(Mark((1.0, 2.0), Colour.INK)) == {"at": [1.0, 2.0], "colour": "ink", "height_m": None}


def test_arrays_become_lists_and_numbers_that_are_not_finite_null():
    assert encode(np.array([[1.0, math.inf], [math.nan, 2.0]])) == [[1.0, None], [None, 2.0]]


@pytest.mark.parametrize("name", ["rented-room", "open-plan", "attic"])
def test_the_plans_json_matches_its_published_schema(name):
    made = json.loads(json.dumps(encode_plan(seatfield.plan(seatfield.open_project(EXAMPLES / name)))))
    problems = [str(error) for error in jsonschema_rs.validator_for(plan_schema()).iter_errors(made)]
    assert problems == []
