"""Planning: stages in order, each seeing only what it declares, results kept by content."""

import dataclasses
import pathlib

import pytest

import seatfield
from seatfield.pipeline import Memo, UnknownStageError, plan, plan_stage
from seatfield.pipeline.steps import NAMES, STEPS, narrow

EXAMPLES = pathlib.Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def project():
    return seatfield.open_project(EXAMPLES / "attic")


def test_a_plan_up_to_a_stage_leaves_the_later_ones_out(project):
    made = plan(project, "layout")
    assert made.layout is not None
    assert made.cable is None


def test_an_unknown_stage_names_the_known_ones(project):
    with pytest.raises(UnknownStageError, match="the stages are survey, layout"):
        plan(project, "colour")


def test_one_stage_computes_only_what_it_builds_on(project):
    seen = []
    plan_stage(project, "cable", watch=seen.append)
    assert seen == ["survey", "layout", "terminals", "cable"]


def test_a_step_does_without_what_only_sharpens_it(project):
    seen = []
    made = plan(project, leave_out=frozenset({"bass", "cable"}), watch=seen.append)
    assert seen == ["survey", "layout", "terminals", "level", "chain"]
    assert made.level is not None


def test_steps_build_only_on_earlier_ones_and_read_only_fields_that_exist(project):
    fields = {field.name for field in dataclasses.fields(project)}
    for number, step in enumerate(STEPS):
        assert {*step.after, *step.sharpened_by} <= set(NAMES[:number])
        assert set(step.reads) <= fields


def test_what_a_stage_does_not_declare_is_blank_to_it(project):
    narrowed = narrow(project, ("limits",))
    assert narrowed.limits == project.limits
    assert narrowed.loudspeakers == ()
    assert narrowed.amplifiers == ()


def test_the_same_project_gives_the_same_plan(project):
    assert plan(project) == plan(project)


def test_only_stages_that_read_a_change_are_computed_again(project):
    memo, seen = Memo(), []
    before = plan(project, memo=memo)
    louder = dataclasses.replace(project, currency="EUR", loudness=type(project.loudness).QUIET)
    after = plan(louder, memo=memo, watch=seen.append)
    assert after.survey is before.survey
    assert after.level is not before.level


def test_the_memo_forgets_what_was_used_least_recently():
    memo, computed = Memo(capacity=2), []

    def remember(key):
        return memo.get(key, lambda: computed.append(key))

    for key in ("a", "b", "a", "c", "a", "b"):
        remember(key)
    assert computed == ["a", "b", "c", "b"]
