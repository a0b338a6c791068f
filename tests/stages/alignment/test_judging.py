"""Another calibration's values: most are normal and left alone, and a subwoofer farther than its tape is normal."""

from dataclasses import replace

import pytest

from seatfield.model import LengthUnit
from seatfield.stages import alignment
from seatfield.stages.alignment import Typed, judge

MAINS = {"M+030": (0.0080, -30.0, None), "M-030": (0.0080, -30.0, None), "M+000": (0.0074, -30.0, None)}


@pytest.fixture
def verdicts(bench):
    """Judge typed values with the takes, or with the plan alone."""

    def judged(*typed, taken=True, units=LengthUnit.METRE, **chosen):
        project = replace(bench.project(**chosen), units=units)
        made = bench.planned(project)
        spot = bench.spot(project, MAINS, sub=bench.path(0.012, -20.0, bench.lfe()))
        found = alignment.plan(project, made.layout, made.terminals, bench.takes(spot)) if taken else None
        return {(one.run, one.what): one for one in judge(project, made.layout, found, typed)}

    return judged


def test_a_common_shift_of_all_distances_is_normal_because_only_differences_delay(verdicts):
    found = verdicts(Typed("M+030", 3.24), Typed("M-030", 3.24), Typed("M+000", 3.04))
    assert {one.verdict for one in found.values()} == {"normal"}
    assert all("Leave it" in one.message for one in found.values())


@pytest.mark.parametrize(("distance_m", "verdict"), [(2.80, "suspicious"), (3.60, "wrong"), (1.80, "wrong")])
def test_a_distance_off_the_others_is_told_with_what_to_do(verdicts, distance_m, verdict):
    found = verdicts(Typed("M+030", 2.74), Typed("M-030", 2.74), Typed("M+000", distance_m))
    assert found["M+000", "distance"].verdict == verdict
    assert found["M+030", "distance"].verdict == "normal"


def test_a_subwoofer_that_reads_twice_its_tape_distance_is_normal_without_any_take(verdicts):
    found = verdicts(Typed("sub", 6.6), taken=False)["sub", "distance"]  # a tape reads 3.3 m
    assert found.verdict == "normal"
    assert "filters" in found.message
    assert "Leave it" in found.message


@pytest.mark.parametrize(
    ("distance_m", "verdict"), [(1.5, "suspicious"), (9.5, "suspicious"), (14.0, "wrong")]
)
def test_a_subwoofer_nearer_than_its_tape_or_absurdly_far_is_not(verdicts, distance_m, verdict):
    assert verdicts(Typed("sub", distance_m), taken=False)["sub", "distance"].verdict == verdict


def test_a_trim_at_the_end_of_the_menu_is_suspicious(verdicts):
    found = verdicts(Typed("M+000", trim_db=12.0))["M+000", "trim"]
    assert found.verdict == "suspicious"
    assert "level knob" in found.message


@pytest.mark.parametrize(("trim_db", "verdict"), [(0.5, "normal"), (2.5, "suspicious"), (-5.0, "wrong")])
def test_trims_count_against_the_other_channels(verdicts, trim_db, verdict):
    found = verdicts(
        Typed("M+030", trim_db=0.0), Typed("M-030", trim_db=0.0), Typed("M+000", trim_db=trim_db)
    )
    assert found["M+000", "trim"].verdict == verdict


@pytest.mark.parametrize(
    ("crossover_hz", "corner", "verdict"),
    [
        (80.0, 50, "normal"),
        (40.0, 60, "wrong"),
        (80.0, 70, "suspicious"),
        (200.0, 60, "suspicious"),
        (0.0, 60, "wrong"),
        (0.0, 38, "normal"),
    ],
)
def test_crossovers_count_against_the_loudspeaker_s_own_corner(verdicts, crossover_hz, corner, verdict):
    found = verdicts(Typed("M+000", crossover_hz=crossover_hz), taken=False, corner=corner)
    assert found["M+000", "crossover"].verdict == verdict


def test_one_value_alone_is_not_taken_for_what_all_share(verdicts):
    """A lone distance counts against the tape; a lone trim says nothing, for no other is there to differ from."""
    assert verdicts(Typed("M+030", 5.0))["M+030", "distance"].verdict == "wrong"
    assert verdicts(Typed("M+030", 5.0), taken=False)["M+030", "distance"].verdict == "wrong"
    found = verdicts(Typed("M+030", trim_db=-9.0))["M+030", "trim"]
    assert found.verdict == "normal"
    assert "Alone it says nothing" in found.message


def test_lengths_are_told_in_the_project_s_own_unit(verdicts):
    told = verdicts(Typed("M+030", 5.0), units=LengthUnit.FOOT)["M+030", "distance"].message
    assert "It reads 7' 5" in told
    assert " m " not in told
