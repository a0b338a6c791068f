"""Given positions, held against ITU-R BS.2051-3's windows as printed in the test, and against the tape's tolerance."""

from dataclasses import replace
from math import cos, radians, sin

import pytest

from seatfield.model import LengthUnit
from seatfield.stages import layout, survey
from seatfield.stages.layout import Verdict

MODEL = '[[model]]\nname = "box"\nkind = "loudspeaker"\n'
EXACT = ("[[seat]]", "tolerance = 0.0001\n[[seat]]")


def speaker(channel, at, mount="stand"):
    return f'[[loudspeaker]]\nchannel = "{channel}"\nmodel = "box"\nat = {list(at)}\nmount = "{mount}"\n'


def around(azimuth, elevation=0.0, flat=2.0, seat=(2.5, 2.0, 1.1)):
    """Place a point by angles: the seat faces −y, so left is +x."""
    x = seat[0] + flat * sin(radians(azimuth))
    y = seat[1] - flat * cos(radians(azimuth))
    return x, y, seat[2] + flat * sin(radians(elevation)) / cos(radians(elevation))


def planned(project):
    return layout.plan(project, survey.plan(project))


def one(plain_room, channel, direction, system="0+5+0", change=()):
    centred = [("at = [2.5, 3.0]", "at = [2.5, 2.0]"), *change]
    found = planned(plain_room(MODEL + speaker(channel, around(*direction)), system, centred))
    return found.loudspeakers[0], found


# Windows of ITU-R BS.2051-3, typed here from its tables and not taken from the catalogue.
@pytest.mark.parametrize(
    ("system", "channel", "direction", "verdict"),
    [
        ("0+5+0", "M+030", (30, 0), Verdict.GOOD),
        ("0+5+0", "M+030", (31.9, 0), Verdict.GOOD),  # a point, ±2° by common practice
        ("0+5+0", "M+030", (33, 0), Verdict.USABLE),
        ("0+5+0", "M-110", (-101, 14), Verdict.GOOD),
        ("0+5+0", "M-110", (-101, 17), Verdict.USABLE),
        ("4+5+0", "M-110", (-101, 14), Verdict.POOR),  # no elevation is allowed there: 12° beyond ±2°
        ("4+7+0", "M+030", (44, 0), Verdict.GOOD),
        ("4+7+0", "M+090", (80, 0), Verdict.USABLE),
        ("4+7+0", "M+090", (60, 0), Verdict.POOR),
        ("4+7+0", "M+090", (30, 0), Verdict.NOT_POSSIBLE),
    ],
)
def test_verdicts_follow_the_standard_s_windows(plain_room, system, channel, direction, verdict):
    found, _ = one(plain_room, channel, direction, system)
    assert found.verdict is verdict
    assert (found.azimuth_deg, found.elevation_deg) == pytest.approx(direction, abs=1e-6)


def test_shorthand_and_name_mean_the_same_system(plain_room):
    by_name, by_shorthand = (one(plain_room, "M+090", (80, 0), name)[1] for name in ("4+7+0", "7.1.4"))
    assert by_name.system == by_shorthand.system == "4+7+0"
    assert by_name.loudspeakers == by_shorthand.loudspeakers


def test_deviation_is_the_great_circle_and_not_the_sum_of_two_errors(plain_room):
    found, _ = one(plain_room, "M+110", (130, 25))
    assert 0 < found.deviation_deg < 10 + 10
    # To the corner at (120°, 15°): acos(sin 25°·sin 15° + cos 25°·cos 15°·cos 10°) = 13.71°, by hand.
    assert found.deviation_deg == pytest.approx(13.71, abs=0.005)


def test_a_finding_says_how_far_to_move_in_tape_measures(plain_room):
    _, found = one(plain_room, "M+030", (45, 0))
    (finding,) = (f for f in found.findings if f.code == "layout.azimuth-outside")
    # By hand: 2 m · (cos 32° − cos 45°) = 0.28 m ahead, 2 m · (sin 45° − sin 32°) = 0.35 m to the right.
    assert "0.28 m towards the screen and 0.35 m to the right" in finding.advice
    assert finding.measured == pytest.approx(45)
    assert finding.limit == pytest.approx(32)
    assert finding.trace is not None
    assert finding.key == "loudspeaker[0].at"


def test_a_loudspeaker_too_high_is_told_how_far_to_lower(plain_room):
    _, found = one(plain_room, "M+110", (110, 20), change=[("ceiling = 2.5", "ceiling = 2.6")])
    (finding,) = (f for f in found.findings if f.code == "layout.elevation-outside")
    assert "Lower it by 0.19 m, to 1.64 m above the floor" in finding.advice  # 2 m · (tan 20° − tan 15°)


def test_a_verdict_that_the_tape_leaves_open_says_so(plain_room):
    found, whole = one(plain_room, "M+030", (31.5, 0))
    assert found.verdicts == (Verdict.GOOD, Verdict.USABLE)
    assert "layout.verdict-unsure" in [f.code for f in whole.findings]
    exact, whole = one(plain_room, "M+030", (31.5, 0), change=[EXACT])
    assert exact.verdicts == (Verdict.GOOD,)
    assert "layout.verdict-unsure" not in [f.code for f in whole.findings]


def test_silent_channels_and_loudspeakers_outside_the_system_are_told(plain_room):
    _, found = one(plain_room, "U+045", (45, 40))
    codes = [(f.code, f.subject) for f in found.findings]
    assert ("layout.outside-system", "U+045") in codes
    assert {s for c, s in codes if c == "layout.channel-without-loudspeaker"} == {
        "M+030", "M-030", "M+000", "M+110", "M-110", "LFE1",
    }  # fmt: skip


def test_left_and_right_exchanged_are_told_once_with_the_mend(plain_room):
    pair = MODEL + speaker("M+030", around(-30)) + speaker("M-030", around(30))
    found = planned(plain_room(pair, change=[("at = [2.5, 3.0]", "at = [2.5, 2.0]")]))
    (finding,) = (f for f in found.findings if f.code == "layout.sides-swapped")
    assert finding.advice == "Exchange the positions of M+030 and M-030."


def test_pairs_that_differ_in_angle_or_distance_are_told(plain_room):
    pair = MODEL + speaker("M+030", around(30)) + speaker("M-030", around(-24, flat=1.5))
    found = planned(plain_room(pair, change=[("at = [2.5, 3.0]", "at = [2.5, 2.0]")]))
    measured = {f.code: f.measured for f in found.findings}
    assert measured["layout.pair-angle"] == pytest.approx(6)
    assert measured["layout.pair-distance"] == pytest.approx(0.5)


def test_nobody_sits_half_a_metre_from_a_loudspeaker(plain_room):
    _, found = one(plain_room, "M+110", (110, 0, 0.5))
    (finding,) = (f for f in found.findings if f.code == "layout.seat-too-near")
    assert finding.measured == pytest.approx(0.5)
    assert finding.limit == 0.6


def test_a_free_low_frequency_channel_is_good_anywhere_and_a_prescribed_one_is_not(plain_room):
    model = '[[model]]\nname = "deep"\nkind = "subwoofer"\n'
    sub = model + '[[subwoofer]]\nname = "sub"\nmodel = "deep"\nat = [0.4, 3.6, 0.2]\n'
    assert planned(plain_room(sub)).subwoofers[0].verdict is Verdict.GOOD
    assert planned(plain_room(sub, "3+7+0")).subwoofers[0].verdict is Verdict.NOT_POSSIBLE


def test_a_loudspeaker_in_a_keep_out_is_told(plain_room):
    keep = '[limits]\nkeep_out = [{ name = "stove", outline = [[3,0],[5,0],[5,1],[3,1]] }]\n'
    project = plain_room(keep + MODEL + speaker("M+030", (3.5, 0.5, 1.1)))
    assert "layout.in-keep-out" in [f.code for f in planned(project).findings]


def test_results_do_not_depend_on_the_sense_in_which_corners_are_listed(plain_room):
    project = plain_room(MODEL + speaker("M+030", around(30)))
    turned = replace(project, room=replace(project.room, floor=project.room.floor[::-1]))
    assert planned(project).loudspeakers == planned(turned).loudspeakers


def test_exchanged_sides_are_told_alone(plain_room):
    pair = MODEL + speaker("M+030", around(-50)) + speaker("M-030", around(50))
    found = planned(plain_room(pair, change=[("at = [2.5, 3.0]", "at = [2.5, 2.0]")]))
    about = {f.code for f in found.findings if f.subject in ("M+030", "M-030")}
    assert "layout.sides-swapped" in about
    assert about <= {"layout.sides-swapped", "layout.early-reflection"}


@pytest.mark.parametrize(("units", "least"), [(LengthUnit.METRE, "0.01 m"), (LengthUnit.FOOT, '1/2"')])
def test_no_mend_is_smaller_than_a_tape_can_set(plain_room, units, least):
    # 2 m away, 2.1° are 0.4 cm under the window's edge at 2°: 2 m · (tan 2.1° − tan 2°), by hand.
    pair = MODEL + speaker("M+030", around(30, -2.1))
    project = plain_room(pair, change=[("at = [2.5, 3.0]", "at = [2.5, 2.0]")])
    (finding,) = (
        f for f in planned(replace(project, units=units)).findings if f.code == "layout.elevation-outside"
    )
    assert "Raise" not in finding.advice
    assert f"less than {least} off" in finding.advice
    assert "less than 1° too low: usable" in finding.message


def test_elevation_counts_its_own_excess_and_keeps_quiet_where_only_turning_helps(plain_room):
    def told(elevation):
        _, found = one(plain_room, "M+030", (45, elevation))
        return {f.code: f.message for f in found.findings}

    # 13° aside of ±2° at 30° and 5° under −2°: the great circle is near √(13² + 5²) = 14°.
    assert "14° outside: poor" in told(-7)["layout.azimuth-outside"]
    assert "5° too low: usable" in told(-7)["layout.elevation-outside"]
    assert "layout.elevation-outside" not in told(-2.1)
