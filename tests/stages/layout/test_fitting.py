"""Boxes with their whole size, and advice that can be followed: widths, depths and heights added up by hand."""

from dataclasses import replace

import numpy as np
import pytest

from seatfield.model import Mount
from seatfield.stages import layout, survey
from seatfield.stages.layout import Verdict
from seatfield.stages.layout.candidates import best_system, candidates
from seatfield.stages.layout.outcome import advice
from seatfield.stages.layout.placing import Box, ground_of
from seatfield.stages.layout.reflections import reflection_findings

MODEL = '[[model]]\nname = "box"\nkind = "loudspeaker"\nsize = [0.4, 0.25, 0.2]\n'
CONSOLE = '[[furniture]]\nname = "console"\nheight = 0.5\noutline = [[1.5,0],[3.5,0],[3.5,0.5],[1.5,0.5]]\n'
DOOR = '[[opening]]\nkind = "door"\nwall = 0\nstart = 0.5\nwidth = 0.8\nsill = 0\nheight = 2\nopens = "outward"\n'
WALLS = '[limits]\nholes = "walls and ceiling"\n'


def speaker(channel, at="", mount=""):
    place = f"at = {list(at)}\nmount = '{mount}'\n" if at else ""
    return f'[[loudspeaker]]\nchannel = "{channel}"\nmodel = "box"\n{place}'


def planned(project):
    return layout.plan(project, survey.plan(project))


def barred(project, at, mount, box):
    ground = ground_of(project, survey.plan(project))
    bits = int(ground.violations(np.array([at]), mount, box)[0])
    return {one.name for number, one in enumerate(ground.obstacles) if bits >> number & 1}


def test_a_box_on_furniture_keeps_its_depth_from_the_wall_behind_it(plain_room):
    room, box = plain_room(CONSOLE), Box(0.4, 0.25, 0.2)
    assert "the room's walls" in barred(room, (2.5, 0.24, 0.6), Mount.SHELF, box)
    assert "the room's walls" not in barred(room, (2.5, 0.26, 0.6), Mount.SHELF, box)
    assert "the room's walls" in barred(room, (2.5, 0.24, 0.6), Mount.STAND, box)


def test_the_centre_that_is_sought_stands_off_the_wall_by_its_depth(plain_room):
    found = planned(plain_room(CONSOLE + MODEL + speaker("M+000"), "0+5+0"))
    centre = next(one for one in found.loudspeakers if one.channel == "M+000")
    assert centre.at[1] >= 0.25 - 1e-6
    # It belongs under or over the picture: as far beside it as 2° at the most.
    assert abs(centre.azimuth_deg) < 2


def test_a_box_on_the_wall_sinks_into_no_furniture_and_no_ceiling(plain_room):
    room, tall = plain_room(WALLS + CONSOLE), Box(0.2, 0.2, 0.8)
    assert "console" in barred(
        room, (1.6, 0.22, 0.85), Mount.WALL, tall
    )  # its lower end at 0.45 m, in the console
    assert "console" not in barred(room, (1.6, 0.22, 0.95), Mount.WALL, tall)
    assert "the ceiling" in barred(
        room, (1.0, 0.22, 2.2), Mount.WALL, tall
    )  # its upper end at 2.6 m, of 2.5 m
    assert "the ceiling" not in barred(room, (1.0, 0.22, 2.07), Mount.WALL, tall)


def test_a_box_keeps_ten_centimetres_from_a_door_s_clear_opening(plain_room):
    room, box = plain_room(WALLS + DOOR), Box(0.2, 0.2, 0.3)
    # The opening ends at 1.3 m: half the box and 10 cm further is 1.5 m.
    assert barred(room, (1.48, 0.22, 1.2), Mount.WALL, box)
    assert barred(room, (1.52, 0.22, 1.2), Mount.WALL, box) == set()


def test_no_stand_is_put_before_the_seats_and_one_beside_or_behind_them_is(plain_room):
    room = plain_room()  # the head at (2.5, 3.0), the screen at y = 0.1
    name = "the floor before the seats"
    assert name in barred(room, (3.0, 2.3, 1.5), Mount.STAND, Box())
    assert name in barred(room, (2.6, 1.5, 1.1), Mount.STAND, Box())  # between the seat and the screen
    assert name in barred(room, (2.9, 3.4, 1.5), Mount.STAND, Box())  # over the head, in the open
    for at in ((3.3, 3.0, 1.1), (2.5, 3.7, 1.1), (3.7, 0.6, 1.1), (2.5, 0.5, 0.4)):
        assert name not in barred(room, at, Mount.STAND, Box())


def test_the_height_that_is_advised_for_a_centre_leaves_the_picture_free(plain_room):
    project = plain_room(MODEL + speaker("M+000", (2.5, 0.4, 0.3), "stand"))
    (finding,) = (f for f in planned(project).findings if f.code == "layout.elevation-outside")
    assert "as high as the picture's lower edge allows" in finding.advice
    height = float(finding.advice.split("allows: ")[1].split(" m")[0])
    # The picture is 1.3 m wide, 16:9: 0.73 m high, its lower edge at 0.63 m, seen from 1.1 m, 2.6 of 2.9 m away.
    edge = 1.1 + (1.0 - 1.3 * 9 / 16 / 2 - 1.1) * 2.6 / 2.9
    assert edge - 0.02 < height + 0.1 <= edge + 1e-9


def test_a_channel_with_a_usable_place_is_never_told_to_be_left_out():
    assert "leave" not in advice(None, Verdict.USABLE)
    assert "leave this channel out" in advice(None, Verdict.NOT_POSSIBLE)


def test_a_low_centre_does_not_strike_out_every_surround_system(plain_room):
    found = planned(plain_room(layout="best that fits", change=[("at = [2.5, 3.0]", "at = [2.5, 2.6]")]))
    assert "M+000" in {one.channel for one in found.loudspeakers}
    assert found.system != "0+2+0"


def test_a_system_that_uses_the_listed_loudspeakers_comes_before_one_that_leaves_some(plain_room):
    room = plain_room(layout="best that fits", change=[("at = [2.5, 3.0]", "at = [2.5, 2.6]")])
    ranked = tuple(replace(one, feasible=True) for one in candidates(ground_of(room, survey.plan(room))))
    five = frozenset(("M+030", "M-030", "M+000", "M+110", "M-110"))
    assert best_system(ranked, five).name == "0+5+0"
    assert best_system(ranked, five | {"U+030", "U-030"}).name == "2+5+0"


def test_no_back_pair_is_chosen_with_less_behind_the_head_than_its_own_advice_asks(plain_room):
    room = plain_room(layout="best that fits", change=[("at = [2.5, 3.0]", "at = [2.5, 3.5]")])
    for one in planned(room).candidates:
        if any("back pair" in flip for flip in one.flips):
            assert not one.feasible


def test_a_pair_is_told_to_move_only_where_the_room_goes_on(plain_room):
    def told(left, right):
        pair = MODEL + speaker("M+030", left, "stand") + speaker("M-030", right, "stand")
        (finding,) = (f for f in planned(plain_room(pair)).findings if f.code == "layout.pair-distance")
        return finding.advice

    assert "away by" in told((3.3, 1.6, 1.1), (1.1, 0.5, 1.1))
    # 1 m nearer by its line, but the wall is 0.4 m behind it.
    assert "away by" not in told((4.6, 2.2, 1.1), (0.9, 0.4, 1.1))


@pytest.mark.parametrize(
    ("surface", "named"), [("floor", "rug"), ("ceiling", "absorbing panel"), ("wall 2", "curtain")]
)
def test_what_helps_against_a_reflection_can_be_put_on_that_surface(plain_room, surface, named):
    project = plain_room(MODEL + speaker("M+030", (3.9, 0.6, 1.1), "stand"))
    found = survey.plan(project)
    laid = layout.plan(project, found)
    strong = replace(laid.reflections[0], surface=surface, within_rule=False, level_db=-3.0, off_axis_deg=0.0)
    look = layout_look(project, found)
    (finding,) = reflection_findings(look, (strong,))
    assert named in finding.advice
    assert ("rug" in finding.advice) == (surface == "floor")
    assert ("bookcase" in finding.advice) == surface.startswith("wall")


def layout_look(project, found):
    from seatfield.catalogue.systems import system
    from seatfield.stages.layout.checking import Look

    return Look(project, found, system("0+5+0"))
