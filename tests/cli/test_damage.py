"""500 damaged project files through the whole job: a plan, findings, or faults with a line, and never a traceback."""

import importlib.util
import json
import pathlib
import random

import pytest

from seatfield.pipeline import encode_plan, open_folder, plan

SEED = 20_261_125
FILES = 500
ROUNDS = 5


def damage():
    path = pathlib.Path(__file__).parents[1] / "store/test_damage.py"
    spec = importlib.util.spec_from_file_location("store_damage", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.damaged


@pytest.mark.slow
@pytest.mark.parametrize("part", range(ROUNDS))
def test_every_damaged_file_gives_a_plan_or_faults_with_a_line(tmp_path, part):
    damaged, chance = damage(), random.Random(SEED + part)
    file = tmp_path / "project.toml"
    planned = 0
    for _ in range(FILES // ROUNDS):
        file.write_bytes(damaged(chance))
        opened = open_folder(tmp_path)
        if opened.project is None:
            assert opened.faults
            assert all(fault.line > 0 for fault in opened.faults)
            continue
        made = encode_plan(plan(opened.project))
        assert json.loads(json.dumps(made, allow_nan=False))["format"] == "seatfield-plan"
        planned += 1
    assert planned, "some damage leaves a file that can be planned"
