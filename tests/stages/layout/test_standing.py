"""What stands on the floor: heights and ways added up by hand."""

from math import dist, hypot

import pytest

from seatfield.model import Mount
from seatfield.stages import layout, survey

TOWER = '[[model]]\nname = "box"\nkind = "loudspeaker"\nsize = [0.2, 0.3, 0.95]\n'
SMALL = '[[model]]\nname = "box"\nkind = "loudspeaker"\nsize = [0.1, 0.1, 0.14]\n'
UPWARD = '[[model]]\nname = "box"\nkind = "upward"\n'
SEVEN = '[[amplifier]]\nname = "amp"\nat = [1, 0.3, 0.5]\nchannels = 7\nprocessed = 7\n'
HOLES = '[limits]\nholes = "walls and ceiling"\n'
BARE = [("at = [2.5, 3.0]", "at = [2.5, 2.4]")]


def speakers(*channels, more=""):
    return "".join(f'[[loudspeaker]]\nchannel = "{one}"\nmodel = "box"\n{more}' for one in channels)


def planned(project):
    return layout.plan(project, survey.plan(project))


def told(found, code):
    return {f.subject: f for f in found.findings if f.code == f"layout.{code}"}


def test_a_tall_box_stands_on_the_floor_and_is_not_lifted(plain_room):
    found = planned(plain_room(HOLES + TOWER + speakers("M+030", "M-030"), "0+2+0"))
    for one in found.loudspeakers:
        assert one.mount is Mount.STAND
        assert one.at[2] == pytest.approx(0.95 / 2)
    notes = told(found, "stands-on-floor")
    assert set(notes) == {"M+030", "M-030"}
    assert "its middle comes to 0.48 m" in notes["M+030"].message
    assert "Raise" not in notes["M+030"].advice
    assert not told(found, "no-place-inside")


def test_a_box_given_above_its_own_top_floats_and_one_given_at_its_woofer_does_not(plain_room):
    def floats(height):
        given = speakers("M+030", more=f'at = [3.6, 1.1, {height}]\nmount = "stand"\n')
        return told(planned(plain_room(TOWER + given, "0+2+0")), "box-floats")

    assert "the middle of the box is at 0.48 m" in floats(1.1)["M+030"].advice
    assert not floats(0.8)


def test_a_tall_stand_in_the_room_is_no_sensible_place_and_says_what_would_be(plain_room):
    found = planned(plain_room(SEVEN + SMALL + speakers("U+030", "U-030"), "2+5+0", BARE))
    left = next(one for one in found.loudspeakers if one.channel == "U+030")
    finding = told(found, "tall-stand")["U+030"]
    assert left.at[2] > 1.3
    near = dist(left.at, (2.5, 2.4, 1.1))
    assert f"{near:.2f} m from the nearest head" in finding.message
    assert "Allow holes" in finding.advice
    own = next(one for one in found.candidates if one.system == "2+5+0")
    assert not own.feasible
    assert any("only a tall stand" in reason for reason in own.reasons)


def test_with_holes_allowed_no_height_stands_in_the_room(plain_room):
    found = planned(plain_room(HOLES + SEVEN + SMALL + speakers("U+030", "U-030"), "2+5+0", BARE))
    assert not told(found, "tall-stand")
    assert next(one for one in found.candidates if one.system == "2+5+0").feasible


def test_the_distance_of_a_box_is_not_that_of_its_bounce(plain_room):
    given = UPWARD + speakers("U+030", more='at = [4.0, 0.5, 0.9]\nmount = "upward"\n')
    found = planned(plain_room(given, "2+5+0"))
    (one,) = (one for one in found.loudspeakers if one.channel == "U+030" and not one.placed)
    # Head at (2.5, 3.0, 1.1) under a ceiling at 2.5 m: its image is at 5 − 0.9 = 4.1 m up, 3.0 m over the head.
    flat = hypot(4.0 - 2.5, 0.5 - 3.0)
    assert one.distance_m == pytest.approx(hypot(flat, 0.2))
    finding = told(found, "bounce-path")["U+030"]
    assert finding.measured == pytest.approx(hypot(flat, 3.0))
    assert (
        f"the box is {hypot(flat, 0.2):.2f} m from the main seat, and its sound travels {hypot(flat, 3.0):.2f} m"
        in (finding.message)
    )
