"""Directivity, aim, reflections, seats and picture, held against published figures and work by hand."""

from math import atan, degrees, dist, log10, pi

import pytest

from seatfield.model import Directivity, LoudspeakerModel
from seatfield.stages import layout, survey
from seatfield.stages.layout.directivity import off_axis_db, piston_db, table_db
from seatfield.stages.layout.screening import pixel_distance_m, viewing_angle_deg
from seatfield.stages.layout.seats import speed_of_sound_m_s

MODEL = (
    '[[model]]\nname = "box"\nkind = "loudspeaker"\nwoofer = 0.13\ntweeter = 0.025\ndriver_crossover = 2500\n'
)


def speaker(channel, at, more=""):
    return f'[[loudspeaker]]\nchannel = "{channel}"\nmodel = "box"\nat = {list(at)}\nmount = "stand"\n{more}'


def planned(project):
    return layout.plan(project, survey.plan(project))


@pytest.mark.parametrize(
    ("ka", "angle", "level"),
    [(2, 53.9, -3.01), (3, 32.6, -3.01), (3, 47.6, -6.02), (5, 18.9, -3.01), (5, 26.3, -6.02)],
)
def test_a_piston_is_down_by_half_at_the_angles_of_its_bessel_function(ka, angle, level):
    """2·J1(x)/x falls to half power at x = 1.6163 and to half pressure at x = 2.2151 (tables of J1)."""
    assert piston_db(ka, angle) == pytest.approx(level, abs=0.03)


def test_a_13_cm_woofer_is_6_db_down_at_30_degrees_at_3721_hz():
    model = LoudspeakerModel("w", woofer_m=0.13)
    # ka·sin 30° = 2.2151 with a = 65 mm and 343.2 m/s.
    assert off_axis_db(model, 2.2151 * 343.2 / (2 * pi * 0.065 * 0.5), 30) == pytest.approx(-6.02, abs=0.005)
    assert off_axis_db(model, 3721, 30) == pytest.approx(-6.02, abs=0.02)


def test_the_driver_that_plays_decides_and_nothing_is_claimed_past_90_degrees():
    model = LoudspeakerModel("two-way", woofer_m=0.13, tweeter_m=0.025, driver_crossover_hz=2500)
    assert off_axis_db(model, 2000, 40) == pytest.approx(piston_db(2 * pi * 2000 * 0.065 / 343.2, 40))
    assert off_axis_db(model, 4000, 40) == pytest.approx(piston_db(2 * pi * 4000 * 0.0125 / 343.2, 40))
    assert off_axis_db(model, 1000, 91) is None
    assert off_axis_db(LoudspeakerModel("unknown"), 1000, 30) is None


def test_a_measured_table_outranks_the_formula():
    table = Directivity((1000.0, 4000.0), (0.0, 30.0, 60.0), ((0.0, -1.0, -2.0), (0.0, -3.0, -8.0)))
    model = LoudspeakerModel("m", woofer_m=0.13, directivity=table)
    assert off_axis_db(model, 1000, 30) == pytest.approx(-1.0)
    assert off_axis_db(model, 2000, 30) == pytest.approx(-2.0)  # half way on the octave scale
    assert off_axis_db(model, 4000, 45) == pytest.approx(-5.5)
    assert table_db(table, 8000, 0) is None


def test_loudspeakers_aim_at_the_main_seat_in_the_plan_s_own_axes(plain_room):
    found = planned(plain_room(MODEL + speaker("M+000", (2.5, 0.5, 0.6)))).loudspeakers[0]
    assert found.aim.yaw_deg == pytest.approx(90)  # towards +y
    assert found.aim.pitch_deg == pytest.approx(degrees(atan(0.5 / 2.5)))


def test_a_given_aim_past_the_seat_is_told(plain_room):
    project = plain_room(MODEL + speaker("M+030", (4.2, 0.5, 1.1), "aim = [0.0, 0.0]\n"))
    (finding,) = (f for f in planned(project).findings if f.code == "layout.off-axis")
    # The seat lies at atan2(2.5, −1.7) = 124.2° of the plan, the loudspeaker points along +x.
    assert finding.measured == pytest.approx(124.2, abs=0.05)


def test_leaving_a_loudspeaker_straight_is_fine_near_its_axis_and_not_far_off_it(plain_room):
    project = plain_room(MODEL + speaker("M+000", (2.5, 0.5, 1.0)) + speaker("M+030", (4.9, 0.5, 1.1)))
    centre, left = planned(project).aiming
    assert centre.straight_off_axis_deg == pytest.approx(degrees(atan(0.1 / 2.5)))
    assert centre.straight_fine is True
    assert left.toe_in_deg != 0
    assert len(left.straight_db) == 4


def test_seats_hear_arrivals_against_the_main_seat_and_angles_in_their_own_frame(plain_room):
    second = '[[seat]]\nname = "left"\nat = [3.3, 3.0]\near = 1.1\n'
    project = plain_room(
        second + MODEL + speaker("M+030", (4.2, 0.1, 1.1)) + speaker("M-030", (0.8, 0.1, 1.1))
    )
    main, left = planned(project).seats
    assert [channel.arrival_ms for channel in main.channels] == pytest.approx([0, 0])
    assert main.spread_ms == pytest.approx(0)
    near = (dist((4.2, 0.1), (3.3, 3.0)) - dist((4.2, 0.1), (2.5, 3.0))) / 343.2 * 1000
    far = (dist((0.8, 0.1), (3.3, 3.0)) - dist((0.8, 0.1), (2.5, 3.0))) / 343.2 * 1000
    assert [channel.arrival_ms for channel in left.channels] == pytest.approx([near, far])
    assert left.spread_ms == pytest.approx(far - near)
    # From the left seat the screen is at atan(0.8 / 2.9) to the right, the left loudspeaker at atan(0.9 / 2.9).
    expected = degrees(atan(0.8 / 2.9)) + degrees(atan(0.9 / 2.9))
    assert left.channels[0].azimuth_deg == pytest.approx(expected)
    assert left.channels[0].azimuth_error_deg == pytest.approx(max(0.0, expected - 32, 28 - expected))
    assert left.worst == "M+030" or left.channels[1].deviation_deg >= left.channels[0].deviation_deg


def test_sound_travels_343_2_m_s_at_20_degrees_and_331_3_at_0():
    # ISO 9613-1: 343.2·√(T/293.15).
    assert speed_of_sound_m_s(20) == pytest.approx(343.2)
    assert speed_of_sound_m_s(0) == pytest.approx(331.29, abs=0.005)


def test_mirror_points_delays_and_levels_equal_hand_calculations(plain_room):
    project = plain_room(MODEL + speaker("M+030", (4.0, 0.5, 1.1)))
    found = {one.surface: one for one in planned(project).reflections}
    direct = dist((4.0, 0.5), (2.5, 3.0))
    side = found["wall B–C"]  # x = 5: image at x = 6
    assert side.at == pytest.approx((5.0, 0.5 + 2.5 * 1.0 / 3.5, 1.1))
    length = dist((6.0, 0.5), (2.5, 3.0))
    assert side.delay_ms == pytest.approx((length - direct) / 343.2 * 1000)
    floor = found["floor"]
    assert floor.at == pytest.approx((3.25, 1.75, 0.0))
    assert floor.delay_ms == pytest.approx(((direct**2 + 2.2**2) ** 0.5 - direct) / 343.2 * 1000)
    assert side.level_db <= -20 * log10(length / direct) + 1e-9
    assert found["ceiling"].at == pytest.approx((3.25, 1.75, 2.5))
    assert len(found) == 6


def test_a_reflection_says_what_is_there_and_an_open_archway_sends_nothing_back(plain_room):
    window = '[[opening]]\nkind = "window"\nwall = 1\nstart = 0.8\nwidth = 1.2\nsill = 0.9\nheight = 1.2\n'
    arch = '[[opening]]\nkind = "archway"\nwall = 3\nstart = 0.5\nwidth = 3\nsill = 0\nheight = 2.2\n'
    curtain = window + "curtain = true\n"
    loud = MODEL + speaker("M+030", (4.0, 0.5, 1.1))
    by_surface = {one.surface: one for one in planned(plain_room(window + arch + loud)).reflections}
    assert "glass" in by_surface["wall B–C"].there
    assert by_surface["wall D–A"].level_db is None
    softer = {one.surface: one for one in planned(plain_room(curtain + loud)).reflections}
    assert softer["wall B–C"].level_db < by_surface["wall B–C"].level_db - 3


def test_an_inner_corner_hides_the_mirror_point_behind_it(plain_room):
    """In an L the far wall's bounce is dropped where a wall stands in one of its two ways."""
    shape = [("[[0,0],[5,0],[5,4],[0,4]]", "[[0,0],[5,0],[5,1.5],[3.2,1.5],[3.2,4],[0,4]]")]
    found = planned(plain_room(MODEL + speaker("M+030", (3.0, 0.1, 1.1)), change=shape))
    surfaces = {one.surface for one in found.reflections}
    assert "wall B–C" not in surfaces
    assert "wall A–B" in surfaces


def test_three_and_two_picture_heights_are_seen_under_33_and_48_degrees():
    # ITU-R BS.775-4 figure 1, 16:9.
    assert viewing_angle_deg(16 / 9, 3) == pytest.approx(33, abs=0.05)
    assert viewing_angle_deg(16 / 9, 2) == pytest.approx(48, abs=0.1)


def test_pixels_show_below_3_2_and_1_6_picture_heights():
    # ITU-R BT.1845: 3.2 H for 1080 lines, 1.6 H for 2160, rounded.
    assert pixel_distance_m(1.0, 1080) == pytest.approx(3.18, abs=0.005)
    assert pixel_distance_m(1.0, 2160) == pytest.approx(1.59, abs=0.005)


def test_a_small_picture_is_told_with_the_distance_that_mends_it(plain_room):
    (finding,) = (
        f
        for f in planned(plain_room(MODEL + speaker("M+030", (4, 0.5, 1.1)))).findings
        if "viewing" in f.code
    )
    assert finding.limit == 33
    assert "2.19 m" in finding.advice  # 1.3 m / 2 / tan 16.5°
