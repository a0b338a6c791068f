"""The file's JSON Schema, held against an independent validator (jsonschema-rs, JSON Schema 2020-12)."""

import tomllib
from pathlib import Path

import jsonschema_rs
import pytest

from seatfield.store import Answers, new_project, schema

CONTRACT = tomllib.loads((Path(__file__).parent / "files" / "contract.toml").read_text())


@pytest.fixture(scope="module")
def validator():
    """Return an outside validator of the published schema."""
    return jsonschema_rs.Draft202012Validator(schema())


def test_the_schema_is_a_schema_and_takes_what_the_door_takes(validator):
    """The contract's example and a starter are valid by it."""
    assert schema()["$schema"].endswith("2020-12/schema")
    validator.validate(CONTRACT)
    validator.validate(tomllib.loads(new_project(Answers("den"))))


@pytest.mark.parametrize(
    "change",
    [
        lambda data: data.update(rom={}),
        lambda data: data["room"].update(ceilng=2),
        lambda data: data["room"].pop("ceiling"),
        lambda data: data["seat"][0].update(at=[1]),
        lambda data: data["opening"][0].update(kind="hatch"),
        lambda data: data["model"][1].update(sensitivity=86),
        lambda data: data["limits"].update(pets="yes"),
    ],
)
def test_the_schema_refuses_what_the_door_refuses(validator, change):
    """Unknown keys, missing keys, wrong shapes and unknown words."""
    data = tomllib.loads((Path(__file__).parent / "files" / "contract.toml").read_text())
    change(data)
    assert not validator.is_valid(data)


def test_every_key_is_described(validator):
    """Editors explain each key; none stands bare."""
    bare = [
        f"{name}.{key}"
        for name, record in [("top", schema()), *schema()["$defs"].items()]
        for key, value in record.get("properties", {}).items()
        if not value.get("description")
    ]
    assert bare == []


def test_nothing_is_null(validator):
    """TOML has no null, so the schema offers none."""
    assert "null" not in str(schema())
