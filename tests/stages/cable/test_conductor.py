"""The conductor: smallest adequate by the rule, with what the others would do beside it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatfield.catalogue.conductors import GAUGES, METRIC
from seatfield.model import LoudspeakerModel
from seatfield.stages.cable.conductor import choose, load_of


def test_a_told_lowest_impedance_counts_before_the_standards_share():
    assert load_of(LoudspeakerModel("box", impedance_ohm=8, lowest_impedance_ohm=5.0)).lowest_ohm == 5.0


def test_a_nominal_impedance_alone_is_taken_at_eight_tenths():
    # IEC 60268-5: the least impedance is at least 80 % of the rated.
    assert load_of(LoudspeakerModel("box", impedance_ohm=4)).lowest_ohm == pytest.approx(3.2)


@pytest.mark.parametrize("model", [None, LoudspeakerModel("box")])
def test_an_unknown_impedance_is_assumed_low_and_said_so(model):
    load = load_of(model)
    assert (load.nominal_ohm, load.lowest_ohm, load.told) == pytest.approx((4.0, 3.2, False))


# The trade's 5 % table into 8 ohm, one way: 18 AWG 32 ft, 16 AWG 48 ft, 14 AWG 80 ft, 12 AWG 120 ft (common practice);
# just inside and beyond each, for stranded conductors and an 8 ohm lowest impedance.
@pytest.mark.parametrize(
    ("feet", "name"),
    [(30, "18 AWG"), (33, "16 AWG"), (48, "16 AWG"), (52, "14 AWG"), (76, "14 AWG"), (82, "12 AWG")],
)
def test_gauges_follow_the_trades_length_table(feet, name):
    load = load_of(LoudspeakerModel("box", impedance_ohm=10))
    assert choose(load, feet * 0.3048, GAUGES, GAUGES).size.name == name


# Metric table of the same rule, class 5: into 4/6/8 ohm 1.5 mm² reaches 7.5/11.3/15.0 m and 2.5 mm² 12.5/18.8/25.1 m.
@pytest.mark.parametrize(("ohm", "reach"), [(4, 7.52), (6, 11.28), (8, 15.04)])
def test_one_and_a_half_square_reaches_as_far_as_worked_out(ohm, reach):
    load = load_of(LoudspeakerModel("box", impedance_ohm=ohm, lowest_impedance_ohm=ohm))
    assert choose(load, reach - 0.01, METRIC, METRIC).size.name == "1.5 mm2"
    assert choose(load, reach + 0.01, METRIC, METRIC).size.name == "2.5 mm2"


def test_where_no_size_is_enough_the_thickest_is_taken_and_it_is_said():
    choice = choose(load_of(None), 200.0, METRIC, METRIC)
    assert choice.size.name == "6 mm2"
    assert not choice.adequate
    assert "thinner than the rule" in choice.enough


@given(st.floats(0.5, 60), st.floats(3, 16))
def test_the_choice_is_the_smallest_adequate(length_m, ohm):
    load = load_of(LoudspeakerModel("box", impedance_ohm=ohm))
    choice = choose(load, length_m, METRIC, METRIC)
    thinner = [c for c in choice.weighed if c.loop_ohm > choice.chosen.loop_ohm]
    assert all(c.share > 0.05 for c in thinner)
    assert choice.adequate == (choice.chosen.share <= 0.05)
    assert choice.chosen.loss_db < 0.43 or not choice.adequate


def test_the_laxer_rule_is_shown_beside():
    # 0.5 dB is a share of 0.0593: 8.7 m of 0.75 mm² into 6.4 ohm has 0.0707, of 1.5 mm² 0.0362.
    choice = choose(load_of(LoudspeakerModel("box", impedance_ohm=8)), 7.0, METRIC, METRIC)
    assert choice.size.name == "1.5 mm2"
    assert choice.half_decibel == "0.75 mm2"


def test_more_copper_is_said_to_gain_little():
    choice = choose(load_of(LoudspeakerModel("box", impedance_ohm=8)), 9.0, METRIC, METRIC)
    assert choice.enough == "No audible gain beyond 1.5 mm2: 2.5 mm2 would save 0.13 dB."
