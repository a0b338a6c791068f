"""Peaks, watts and limits, held against worked examples by hand and against IEC 60268-5."""

import pytest
from tests.stages.level.conftest import AMPLIFIER, CENTRE, channel, findings, kit, loud

from seatfield.model import Amplifier, LoudspeakerModel, SensitivityFor, Severity
from seatfield.stages.level.driving import (
    amplifier_volts,
    direct_level_db,
    voltage_sensitivity_db,
    watts_for,
)

SECOND = CENTRE.replace("2.5, 0.0", "3.5, 0.0") + 'id = "second"\n'
TABLE = (
    "directivity = { freq_hz = [1000, 2000, 4000, 8000], angle_deg = [0, 90], "
    "level_db = [[0, -6], [0, -6], [0, -6], [0, -6]] }\n"
)


def test_worked_examples_of_the_direct_level_and_of_watts():
    # 88 dB for 2.83 V, 100 W into 8 ohm, 3 m in the open: 98.46 dB (20·lg and 10·lg by hand).
    assert direct_level_db(88, (100 * 8) ** 0.5, 3) == pytest.approx(98.46, abs=0.005)
    # 85 dB for 2.83 V, 4 ohm, 50 W into 4 ohm, 2.5 m: 91.02 dB; the volts count, not the watts.
    assert direct_level_db(85, (50 * 4) ** 0.5, 2.5) == pytest.approx(91.02, abs=0.05)
    # 105 dB at 3 m from 87 dB for one watt at 1 m: 568 W, and half (284, told as 285) where it is a sine's crest.
    assert watts_for(105, 87, 3, 8) == pytest.approx(568, abs=0.5)
    assert watts_for(105 - 3.0103, 87, 3, 8) == pytest.approx(285, rel=0.005)


def test_one_watt_into_four_ohm_is_three_decibels_less_than_2_83_volts():
    watt = LoudspeakerModel("a", sensitivity_db=87, sensitivity_for=SensitivityFor.WATT, impedance_ohm=4)
    volts = LoudspeakerModel("b", sensitivity_db=90.01, sensitivity_for=SensitivityFor.VOLTS, impedance_ohm=4)
    assert voltage_sensitivity_db(watt) == pytest.approx(voltage_sensitivity_db(volts), abs=0.005)


@pytest.mark.parametrize(("ohm", "watts"), [(8, 100.0), (6, 133.3), (4, 200.0)])
def test_without_a_rating_for_all_channels_the_amplifier_is_a_source_of_voltage(ohm, watts):
    # 100 W into 8 ohm are 28.28 V, so 133.3 W into 6 ohm and 200 W into 4 ohm at most (Ohm's law, by hand).
    volts = amplifier_volts(Amplifier("a", watts_w=100, into_ohm=8), ohm)
    assert volts**2 / ohm == pytest.approx(watts, abs=0.05)


@pytest.mark.parametrize(("ohm", "watts"), [(4, 55.0), (8, 55.0), (16, 45.0)])
def test_with_all_channels_driven_a_lower_load_draws_no_more_watts(ohm, watts):
    # The supply's 55 W a channel into anything low; 90 W into 8 ohm are 26.8 V, so 45 W at most into 16 ohm.
    volts = amplifier_volts(Amplifier("a", watts_w=90, all_channels_w=55, into_ohm=8), ohm)
    assert volts**2 / ohm == pytest.approx(watts, abs=0.05)


def test_peak_level_watts_and_limit_stand_for_each_seat_and_channel(plain_room, planned):
    (seat,) = planned(plain_room(kit())).seats
    (one,) = seat.channels
    assert one.distance_m == pytest.approx(3.0)
    assert one.peak_db == pytest.approx(98.46, abs=0.005)
    assert one.limited_by == "wish"  # 95 dB is wished for and reached
    assert one.watts_needed_w == pytest.approx(10 ** ((95 - 88 + 9.5424) / 10), rel=1e-4)


@pytest.mark.parametrize(
    ("more", "wish", "limit", "peak"),
    [
        ("", "reference", "amplifier", 98.46),
        ("max_level = 100\n", "usual", "loudspeaker", 100 - 9.54),
        ("power = 10\n", "usual", "loudspeaker", 88 + 10 - 9.54),  # 10 W into 8 ohm are 10 dB over 2.83 V
    ],
)
def test_the_first_limit_is_named(plain_room, planned, more, wish, limit, peak):
    one = channel(planned(plain_room(kit(more=more), change=[loud(wish)])))
    assert one.limited_by == limit
    assert one.peak_db == pytest.approx(peak, abs=0.005)


def test_two_eight_ohm_loudspeakers_in_parallel_load_with_four_and_are_refused(plain_room, planned):
    found = planned(plain_room(kit(speakers=CENTRE + SECOND)))
    (finding,) = findings(found, "level.load-too-low")
    assert finding.severity is Severity.STOP  # what may destroy an amplifier is never merely to be mended
    assert found.refused == tuple(one.id for one in found.seats[0].channels)
    assert finding.measured == pytest.approx(4.0)  # 8 ‖ 8
    assert finding.limit == 6
    assert {(one.limited_by, one.peak_db, one.usual_db) for one in found.seats[0].channels} == {
        ("load", None, None)
    }
    (together,) = found.amplifier_channels
    assert (together.load, together.overloaded, together.gives_w) == ("refused", True, None)


def test_eight_and_six_ohm_in_parallel_are_3_43_ohm(plain_room, planned):
    # 8 ‖ 6 = 48/14 ohm by hand; allowed where the amplifier bears 3 ohm, and then it is merely warm.
    other = '[[model]]\nname = "six"\nkind = "loudspeaker"\nimpedance = 6\nsensitivity = 88\n'
    amplifier = AMPLIFIER.replace("lowest_load = 6", "lowest_load = 3")
    text = kit(speakers=CENTRE + SECOND.replace('"box"', '"six"'), amplifier=amplifier) + other
    found = planned(plain_room(text))
    (together,) = found.amplifier_channels
    assert together.load_ohm == pytest.approx(48 / 14)
    assert together.load == "warm"
    assert not findings(found, "level.load-too-low")
    (finding,) = findings(found, "level.load-warm")
    assert finding.measured == pytest.approx(48 / 14)


def test_one_loudspeaker_below_the_rating_counts_up_to_the_current_that_is_allowed(plain_room, planned):
    # 28.28 V into 6 ohm are 4.71 A; into 4 ohm as much current is 18.86 V, 3.52 dB less.
    one = channel(planned(plain_room(kit(ohm=4))))
    assert one.limited_by == "load"
    assert one.amplifier_db - one.peak_db == pytest.approx(3.52, abs=0.005)


def test_a_lowest_impedance_under_80_percent_counts_against_the_rating(plain_room, planned):
    # IEC 60268-5: 6.4 ohm at the lowest is an honest 8 ohm; 3.6 ohm makes it 4.5 ohm.
    assert not findings(planned(plain_room(kit(more="lowest_impedance = 6.4\n"))), "level.load-too-low")
    (finding,) = findings(planned(plain_room(kit(more="lowest_impedance = 3.6\n"))), "level.load-too-low")
    assert finding.measured == pytest.approx(4.5)


def test_an_external_amplifier_drives_each_loudspeaker_by_a_channel_of_its_own(plain_room, planned):
    main = (
        '[[amplifier]]\nname = "receiver"\nchannels = 1\nprocessed = 5\npre_outs = 5\nwatts = 50\n'
        "into = 8\nlowest_load = 6\n"
    )
    power = '[[amplifier]]\nname = "power"\nchannels = 2\nwatts = 200\ninto = 8\nlowest_load = 4\n'
    pair = CENTRE.replace("M+000", "M+030") + CENTRE.replace("M+000", "M-030")
    found = planned(plain_room(kit(speakers=CENTRE + pair, amplifier=main + power)))
    drives = {one.channel: (one.amplifier, one.gives_w) for one in found.amplifier_channels}
    assert drives["M+030"] == drives["M-030"] == ("power", pytest.approx(200))
    assert drives["M+000"] == ("receiver", pytest.approx(50))


def test_a_loudspeaker_for_which_no_amplifier_channel_is_left_gets_no_level(plain_room, planned):
    pair = CENTRE.replace("M+000", "M+030") + CENTRE.replace("M+000", "M-030")
    few = AMPLIFIER.replace("channels = 5", "channels = 2\nprocessed = 5")
    found = planned(plain_room(kit(speakers=CENTRE + pair, amplifier=few)))
    assert (channel(found).peak_db, channel(found).limited_by) == (None, "amplifier")
    assert channel(found, "M+030").peak_db is not None


def test_what_the_cable_loses_is_taken_off_the_peak_and_added_to_the_watts(plain_room, planned):
    amplifier = AMPLIFIER.replace('"amp"\n', '"amp"\nat = [0.3, 3.8, 0.4]\n')
    project = plain_room(kit(more="lowest_impedance = 6.4\n", amplifier=amplifier))
    bare, wired = channel(planned(project)), channel(planned(project, cabled=True))
    assert bare.cable_loss_db is None
    assert wired.cable_loss_db > 0.05
    assert wired.peak_db == pytest.approx(bare.peak_db - wired.cable_loss_db)
    assert wired.watts_needed_w / bare.watts_needed_w == pytest.approx(10 ** (wired.cable_loss_db / 10))


def test_off_the_axis_the_octaves_from_1_khz_up_are_lost_in_part(plain_room, planned):
    # Straight along +x the seat lies 90° off: −6 dB in four of seven octaves of equal power, by hand −2.43 dB.
    turned = CENTRE + "aim = [0, 0]\n"
    aimed, beside = (channel(planned(plain_room(kit(more=TABLE, speakers=s)))) for s in (CENTRE, turned))
    assert aimed.off_axis_db == pytest.approx(0.0, abs=1e-9)
    assert beside.off_axis_db == pytest.approx(-2.43, abs=0.01)
    assert beside.peak_db == pytest.approx(98.46 - 2.43, abs=0.02)


def test_doubling_the_distance_takes_6_02_decibels(plain_room, planned):
    near, far = (
        channel(planned(plain_room(kit(speakers=CENTRE.replace("2.5, 0.0", f"2.5, {y}")))))
        for y in (1.5, 0.0)
    )
    assert near.peak_db - far.peak_db == pytest.approx(6.0206, abs=1e-3)


def test_a_mirrored_room_has_the_same_levels(plain_room, planned):
    """What holds at the left seat for a loudspeaker holds in the mirror at the right seat."""
    seats = '[[seat]]\nname = "side"\nat = [{}, 3.0]\near = 1.1\n'
    levels = []
    for side, away in ((1.0, 0.8), (4.0, 4.2)):
        text = kit(speakers=CENTRE.replace("2.5, 0.0", f"{side}, 0.3")) + seats.format(away)
        found = planned(plain_room(text))
        levels.append([(one.peak_db, one.usual_db) for seat in found.seats for one in seat.channels])
    assert [level for pair in levels[0] for level in pair] == pytest.approx(
        [level for pair in levels[1] for level in pair]
    )


def test_missing_figures_leave_levels_open_and_say_so(plain_room, planned):
    bare = '[[model]]\nname = "box"\nkind = "loudspeaker"\n' + CENTRE
    found = planned(plain_room(bare))
    assert channel(found).peak_db is None
    assert channel(found).usual_db is None
    codes = [one.code for one in found.findings]
    assert {"level.sensitivity-unknown", "level.power-unknown", "level.impedance-unknown"} <= set(codes)


def test_three_wishes_take_a_hundred_times_the_power_from_the_quietest_to_the_loudest(plain_room, planned):
    quiet, usual, reference = planned(plain_room(kit())).wishes
    watts = [wish.channels[0].watts_w for wish in (quiet, usual, reference)]
    assert watts[2] / watts[0] == pytest.approx(100)
    assert [wish.channels[0].limited_by for wish in (quiet, usual, reference)] == [
        "wish",
        "wish",
        "amplifier",
    ]
    assert reference.channels[0].lacks_db == pytest.approx(105 - 98.46, abs=0.005)
