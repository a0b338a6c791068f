"""Parts of the layout that may be left out, and that leaving them out changes nothing else."""

from dataclasses import replace
from pathlib import Path

import pytest

import seatfield
from seatfield.stages import layout, survey
from seatfield.stages.layout.params import PARTS, LayoutParams

EXAMPLES = Path(__file__).parents[3] / "examples"


def test_a_part_that_the_stage_does_not_have_is_refused_by_name():
    with pytest.raises(ValueError, match="has no part 'colours'; its parts are systems, marks"):
        LayoutParams(parts=("colours",))


@pytest.mark.parametrize(("part", "field"), [("marks", "marks"), ("systems", "candidates")])
def test_leaving_a_part_out_leaves_out_that_and_nothing_else(part, field):
    project = seatfield.open_project(EXAMPLES / "open-plan")
    surveyed = survey.plan(project)
    whole = layout.plan(project, surveyed)
    made = layout.plan(project, surveyed, LayoutParams(parts=tuple(one for one in PARTS if one != part)))
    assert getattr(whole, field)
    assert not getattr(made, field)
    assert replace(made, **{field: getattr(whole, field)}) == whole
