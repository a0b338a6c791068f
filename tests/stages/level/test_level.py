"""Levels, held against worked examples and against IEC and ITU figures."""

import pytest

from seatfield.model import LoudspeakerModel, SensitivityFor
from seatfield.stages import layout, level, survey
from seatfield.stages.level.driving import direct_level_db, voltage_sensitivity_db, watts_for
from seatfield.stages.level.hearing import weekly_hours

AMPLIFIER = '[[amplifier]]\nname = "amp"\nchannels = 5\nwatts = 100\ninto = 8\nlowest_load = 6\n'
MODEL = '[[model]]\nname = "box"\nkind = "loudspeaker"\nsensitivity = 88\nimpedance = {ohm}\n{more}'
CENTRE = '[[loudspeaker]]\nchannel = "M+000"\nmodel = "box"\nat = [2.5, 0.0, 1.1]\n'


def planned(project):
    found = survey.plan(project)
    return level.plan(project, found, layout.plan(project, found))


def kit(ohm=8, more="", speakers=CENTRE):
    return AMPLIFIER + MODEL.format(ohm=ohm, more=more) + speakers


def test_worked_examples_of_the_direct_level_and_of_watts():
    # 88 dB for 2.83 V, 100 W into 8 ohm, 3 m in the open: 98.46 dB (20·lg and 10·lg by hand).
    assert direct_level_db(88, (100 * 8) ** 0.5, 3) == pytest.approx(98.46, abs=0.005)
    # 85 dB for 2.83 V, 4 ohm, 50 W into 4 ohm, 2.5 m: 91.02 dB; the volts count, not the watts.
    assert direct_level_db(85, (50 * 4) ** 0.5, 2.5) == pytest.approx(91.02, abs=0.05)
    # 105 dB at 3 m from 87 dB for one watt at 1 m: 568 W.
    assert watts_for(105, 87, 3, 8) == pytest.approx(568, abs=0.5)


def test_one_watt_into_four_ohm_is_three_decibels_less_than_2_83_volts():
    watt = LoudspeakerModel("a", sensitivity_db=87, sensitivity_for=SensitivityFor.WATT, impedance_ohm=4)
    volts = LoudspeakerModel("b", sensitivity_db=90.01, sensitivity_for=SensitivityFor.VOLTS, impedance_ohm=4)
    assert voltage_sensitivity_db(watt) == pytest.approx(voltage_sensitivity_db(volts), abs=0.005)


def test_peak_level_watts_and_limit_stand_for_each_seat_and_channel(plain_room):
    found = planned(plain_room(kit()))
    (seat,) = found.seats
    (channel,) = seat.channels
    assert channel.distance_m == pytest.approx(3.0)
    assert channel.peak_db == pytest.approx(98.46, abs=0.005)
    assert channel.limited_by == "wish"  # 95 dB is wished for and reached
    assert channel.watts_needed_w == pytest.approx(10 ** ((95 - 88 + 9.5424) / 10), rel=1e-4)


@pytest.mark.parametrize(
    ("more", "loudness", "limit", "peak"),
    [("", "reference", "amplifier", 98.46), ("max_level = 100\n", "usual", "loudspeaker", 100 - 9.54)],
)
def test_the_first_limit_is_named(plain_room, more, loudness, limit, peak):
    change = [('layout = "0+5+0"', f'layout = "0+5+0"\nloudness = "{loudness}"')]
    channel = planned(plain_room(kit(more=more), change=change)).seats[0].channels[0]
    assert channel.limited_by == limit
    assert channel.peak_db == pytest.approx(peak, abs=0.005)


def test_two_eight_ohm_loudspeakers_in_parallel_load_with_four_and_are_refused(plain_room):
    second = CENTRE.replace("2.5, 0.0", "3.5, 0.0") + 'id = "second"\n'
    found = planned(plain_room(kit(speakers=CENTRE + second)))
    (finding,) = (f for f in found.findings if f.code == "level.load-too-low")
    assert finding.measured == pytest.approx(4.0)  # 8 ‖ 8
    assert finding.limit == 6
    assert {channel.limited_by for channel in found.seats[0].channels} == {"load"}


def test_a_lowest_impedance_under_80_percent_counts_against_the_rating(plain_room):
    # IEC 60268-5: 6.4 ohm at the lowest is an honest 8 ohm; 3.6 ohm makes it 4.5 ohm.
    assert not _loads(planned(plain_room(kit(more="lowest_impedance = 6.4\n"))))
    (finding,) = _loads(planned(plain_room(kit(more="lowest_impedance = 3.6\n"))))
    assert finding.measured == pytest.approx(4.5)


def _loads(found):
    return [f for f in found.findings if f.code == "level.load-too-low"]


def test_missing_figures_leave_levels_open_and_say_so(plain_room):
    bare = '[[model]]\nname = "box"\nkind = "loudspeaker"\n' + CENTRE
    found = planned(plain_room(bare))
    assert found.seats[0].channels[0].peak_db is None
    codes = [f.code for f in found.findings]
    assert {"level.sensitivity-unknown", "level.power-unknown", "level.impedance-unknown"} <= set(codes)


@pytest.mark.parametrize(
    ("db", "hours"), [(80, 40.0), (83, 20.0), (86, 10.0), (89, 5.04), (92, 2.52), (95, 1.26)]
)
def test_weekly_hours_follow_itu_t_h_870_by_equal_energy(db, hours):
    assert weekly_hours(db) == pytest.approx(hours, rel=0.01)


def test_two_hours_at_85_db_are_16_percent_of_the_week_and_children_have_less(plain_room):
    change = [('layout = "0+5+0"', 'layout = "0+5+0"\nloudness = "reference"')]
    (finding,) = (f for f in planned(plain_room(kit(), change=change)).findings if f.code == "level.hearing")
    assert "16 % of the week" in finding.message  # 15.8 %
    assert weekly_hours(75, children=True) == pytest.approx(40)
