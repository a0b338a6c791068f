"""A room worked by hand with a tape: 5 by 4 m, ceiling 2.5 m, amplifier at (2.5, 0.3), 0.4 m up, in the open."""

import pytest

DOOR = """
[[opening]]
kind = "door"
wall = 1
start = 1.0
width = 0.8
height = 2.0
"""
FROM_AMPLIFIER = 0.40 + 0.30  # down to the floor, and square to the wall behind


def test_a_stand_is_reached_along_the_skirting_and_up_its_pole(laid):
    # Skirting from 2.5 to 1.0; square out to the stand 0.4 m off the wall; 1.0 m up.
    run = laid([("M+030", (4.0, 0.4, 1.0), "stand"), ("M-030", (1.0, 0.4, 1.0), "stand")]).run("M-030")
    assert run.routed_m == pytest.approx(FROM_AMPLIFIER + 1.50 + 0.40 + 1.00, abs=0.005)
    assert [leg.surface for leg in run.legs] == ["stand", "floor", "skirting", "floor", "stand"]


def test_a_wall_box_is_reached_from_below_when_the_skirting_is_nearer_than_the_ceiling(laid):
    # Skirting 2.5 to the corner and 2.5 along the left wall; up to 1.2 m; 0.15 m out to the box.
    run = laid([("M-110", (0.15, 2.5, 1.2), "wall")]).run("M-110")
    assert run.routed_m == pytest.approx(FROM_AMPLIFIER + 2.50 + 2.50 + 1.20 + 0.15, abs=0.005)
    assert run.path[0] == (2.5, 0.3, 0.4)
    assert run.path[-1] == (0.15, 2.5, 1.2)


def test_a_door_is_passed_over_its_head(laid):
    # Skirting 2.5 to the corner and 1.0 to the frame; 2.0 up, 0.8 over, and on along the wall at the box's own height:
    # 0.2 down again, 0.7 along, 0.15 out.
    run = laid([("M+110", (4.85, 2.5, 1.8), "wall")], DOOR).run("M+110")
    assert run.routed_m == pytest.approx(
        FROM_AMPLIFIER + 2.50 + 1.00 + 2.00 + 0.80 + 0.20 + 0.70 + 0.15, abs=0.005
    )
    surfaces = [leg.surface for leg in run.legs]
    assert surfaces == ["stand", "floor", "skirting", "door frame", "door head", "door frame", "wall", "lead"]


def test_a_ceiling_box_goes_square_to_the_nearest_wall_and_down_a_corner(laid):
    # 0.1 up to the ceiling, 1.25 to the left wall, 1.5 along it to the corner, 2.5 down, 2.5 of skirting.
    run = laid([("U-030", (1.25, 1.5, 2.4), "ceiling")]).run("U-030")
    assert run.routed_m == pytest.approx(FROM_AMPLIFIER + 2.50 + 2.50 + 1.50 + 1.25 + 0.10, abs=0.005)
    assert [leg.surface for leg in run.legs][2:] == ["skirting", "corner", "ceiling line", "ceiling", "lead"]


def test_the_length_to_cut_adds_slack_and_two_service_loops(laid):
    run = laid([("M-110", (0.15, 2.5, 1.2), "wall")], "[cable]\nslack = 0.2\nends = 0.3\n").run("M-110")
    assert run.cut_m == pytest.approx(7.05 * 1.2 + 2 * 0.3, abs=0.005)


def test_conductor_and_loss_of_a_hand_worked_run(laid):
    # 7.05 × 1.1 + 1.0 = 8.755 m; IEC 60228 allows 0.75 mm² 26.0 and 1.5 mm² 13.3 ohm/km. 5 % of 6.4 ohm is 0.32 ohm:
    # 0.4553 ohm is too much, 0.2329 ohm will do and loses 20 lg(1 + 0.2329/6.4) = 0.3104 dB.
    run = laid([("M-110", (0.15, 2.5, 1.2), "wall")]).run("M-110")
    assert run.conductor == "1.5 mm2"
    assert run.loop_ohm == pytest.approx(2 * 8.755 * 13.3e-3, rel=1e-4)
    assert run.loss_db == pytest.approx(0.3104, abs=1e-4)
    assert run.ripple_db == pytest.approx(0.3104 - 0.0504, abs=2e-4)
    assert [c.name for c in run.weighed] == ["0.75 mm2", "1.5 mm2", "2.5 mm2", "4 mm2", "6 mm2"]
    assert run.half_decibel == "1.5 mm2"
    assert run.elsewhere == "16 AWG"


def test_cold_reading_is_loop_plus_the_models_own_resistance(laid):
    job = laid([("M-110", (0.15, 2.5, 1.2), "wall")])
    (test,) = job.plan.tests
    assert (test.low_ohm, test.high_ohm) == pytest.approx((0.2329 + 5.04, 0.2329 + 6.16), abs=1e-3)


def test_a_corner_that_juts_in_is_followed_round(laid):
    # L-shaped floor: along y = 0 to (5, 0), up to (5, 2.4), in to (3, 2.4), up to the box on that wall at y = 3.4.
    shape = [("floor = [[0,0],[5,0],[5,4],[0,4]]", "floor = [[0,0],[5,0],[5,2.4],[3,2.4],[3,4],[0,4]]")]
    run = laid([("M+110", (4.0, 2.3, 1.0), "wall")], change=shape).run("M+110")
    assert run.routed_m == pytest.approx(FROM_AMPLIFIER + 2.50 + 2.40 + 1.00 + 1.00 + 0.10, abs=0.005)


def test_a_sloped_ceiling_line_is_as_long_as_the_slope(laid):
    # The ceiling rises from 1.5 m at x = 0 to 4 m at x = 5: 0.1 up to it, 0.1 to the wall, three metres of plan at a
    # slope of one in two (3 √1.25), 1.5 down the low corner, 4.0 and 2.5 of skirting.
    slope = [("ceiling = 2.5", "ceiling = [[[0,0,1.5],[5,0,4.0],[0,4,1.5]]]")]
    run = laid([("U-110", (3.0, 3.9, 2.9), "ceiling")], change=slope).run("U-110")
    assert run.routed_m == pytest.approx(
        FROM_AMPLIFIER + 2.5 + 4.0 + 1.5 + 3 * 1.25**0.5 + 0.1 + 0.1, abs=0.005
    )


def test_without_an_amplifiers_place_nothing_is_routed_and_it_is_said(plain_room, cabled):
    project = plain_room(
        '[[model]]\nname = "box"\n[[loudspeaker]]\nchannel = "M+000"\nmodel = "box"\nat = [2.5, 0.2, 1]\n'
    )
    planned = cabled(project)
    assert planned.runs == ()
    assert [finding.code for finding in planned.findings] == ["cable.no-amplifier"]
