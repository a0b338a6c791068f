"""One number for one thing: what is said of a sound system agrees with the places that are printed."""

import re

import pytest

from seatfield.stages import layout, survey
from seatfield.stages.layout import Verdict
from seatfield.stages.layout.candidates import side_free_name

MODEL = '[[model]]\nname = "box"\nkind = "loudspeaker"\n'
SEVEN = '[[amplifier]]\nname = "amp"\nat = [1, 0.3, 0.5]\nchannels = 7\nprocessed = 11\n'


def planned(project):
    return layout.plan(project, survey.plan(project))


def listed(*channels):
    return "".join(f'[[loudspeaker]]\nchannel = "{channel}"\nmodel = "box"\n' for channel in channels)


def worst_by_name(found):
    worst = {}
    for one in found.loudspeakers:
        off = 180.0 if one.deviation_deg is None else one.deviation_deg
        name = side_free_name(one.channel)
        worst[name] = max(worst.get(name, 0.0), off)
    return worst


@pytest.mark.parametrize("seed", [3, 11])
def test_reasons_against_a_system_are_the_deviations_of_its_places(random_room, seed):
    found = planned(random_room(seed, "4+7+0"))
    worst = worst_by_name(found)
    own = next(one for one in found.candidates if one.system == "4+7+0")
    told = {}
    for reason in own.reasons:
        if said := re.match(r"The (.+) comes no nearer than (\d+)° outside", reason):
            told[said[1]] = int(said[2])
        if said := re.match(r"The (.+) has no place", reason):
            told[said[1]] = 180
    assert told == {name: round(off) for name, off in worst.items() if off > 0.5}


def test_a_pair_that_is_placed_is_not_said_to_have_no_place(plain_room):
    found = planned(plain_room(SEVEN, "4+5+0"))
    own = next(one for one in found.candidates if one.system == "4+5+0")
    assert not own.feasible
    (finding,) = (f for f in found.findings if f.code == "layout.system-does-not-fit")
    assert "It has 9 loudspeakers and the amplifiers drive 7." in finding.message
    assert all(one.verdict is not Verdict.NOT_POSSIBLE for one in found.loudspeakers)
    assert "has no place" not in finding.message
    assert "Amplifiers for 9 loudspeakers instead of 7" in finding.advice
    # Who asks where the points come from is told which way is better.
    assert finding.trace.formula.startswith("more points suit better")


def test_left_and_right_are_told_one_change_that_serves_both(plain_room):
    heights = MODEL + listed("U+030", "U-030")
    found = planned(plain_room(heights, "2+5+0", [("at = [2.5, 3.0]", "at = [2.1, 2.6]")]))
    codes = ("layout.no-place", "layout.no-place-inside", "layout.tall-stand")
    advice = {f.subject: f.advice for f in found.findings if f.code in codes}
    own = next(one for one in found.candidates if one.system == "2+5+0")
    assert advice["U+030"] == advice["U-030"]
    assert sum("front height pair" in flip for flip in own.flips) <= 1


def test_what_is_owned_under_another_label_counts_and_the_table_ranks_as_the_finding(plain_room):
    five = listed("M+030", "M-030", "M+000", "M+110", "M-110", "U+045", "U-045")
    found = planned(
        plain_room(SEVEN + MODEL + five, "best that fits", [("at = [2.5, 3.0]", "at = [2.5, 2.4]")])
    )
    assert found.system == "2+5+0"
    assert found.candidates[0].system == "2+5+0"
    called = {f.subject: f.advice for f in found.findings if f.code == "layout.called-otherwise"}
    assert called["U+045"].startswith("Call it U+030")
    assert called["U-045"].startswith("Call it U-030")
    assert not {f.code for f in found.findings} & {"layout.outside-system", "layout.no-position"}
    left = next(one for one in found.loudspeakers if one.id == "U+045")
    assert left.channel == "U+030"
    assert left.placed
