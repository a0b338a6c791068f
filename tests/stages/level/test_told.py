"""What is said of levels: grouped, traced, and nothing below one decibel."""

from math import log10

import pytest
from tests.stages.level.conftest import AMPLIFIER, CENTRE, findings, kit, loud

from seatfield.stages.level.hearing import weekly_hours

FRONT = CENTRE.replace("M+000", "M+030") + CENTRE.replace("M+000", "M-030") + CENTRE
SUB = """
[[model]]
name = "deep"
kind = "subwoofer"
max_level = { 20 = 88, 30 = 100, 40 = 107 }
[[subwoofer]]
name = "sub"
model = "deep"
at = [0.5, 0.5, 0.2]
"""


def test_channels_that_lack_for_one_reason_share_one_sentence(plain_room, planned):
    found = planned(plain_room(kit(speakers=FRONT), change=[loud("reference")]))
    (finding,) = findings(found, "level.short")
    assert finding.subject == "amp"
    assert "M+030, M-030 and M+000 reach 98 dB" in finding.message
    assert "7 dB less than the wish of 105 dB" in finding.message
    assert "100 W come out" in finding.message


def test_the_amplifier_and_a_weak_loudspeaker_get_a_sentence_each(plain_room, planned):
    weak = (
        '[[model]]\nname = "weak"\nkind = "loudspeaker"\nsensitivity = 88\nimpedance = 8\nmax_level = 100\n'
    )
    speakers = FRONT + CENTRE.replace("M+000", "M+110").replace('"box"', '"weak"')
    found = planned(plain_room(kit(speakers=speakers) + weak, change=[loud("reference")]))
    assert [one.subject for one in findings(found, "level.short")] == ["amp", "weak"]
    assert "more watts would not help" in findings(found, "level.short")[1].message


@pytest.mark.parametrize(("watts", "lack", "told"), [(35.0, 1.10, 1), (36.5, 0.92, 0), (45.5, -0.04, 0)])
def test_a_lack_below_one_decibel_is_no_finding(plain_room, planned, watts, lack, told):
    # Lack by hand: 95 − (88 + 10·lg(watts) − 20·lg 3).
    found = planned(plain_room(kit(amplifier=AMPLIFIER.replace("watts = 100", f"watts = {watts}"))))
    assert found.wish_peak_db - found.seats[0].channels[0].peak_db == pytest.approx(lack, abs=0.005)
    assert len(findings(found, "level.short")) == told


def test_every_number_measured_has_its_formula_and_inputs(plain_room, planned):
    weak = '[[model]]\nname = "weak"\nkind = "loudspeaker"\nsensitivity = 80\nmax_level = 95\n'
    speakers = FRONT + CENTRE.replace("M+000", "M+110").replace('"box"', '"weak"')
    loose = AMPLIFIER.replace("lowest_load = 6\n", "")
    for amplifier in (AMPLIFIER, loose):
        text = kit(speakers=speakers, amplifier=amplifier) + weak + SUB
        found = planned(plain_room(text, change=[loud("reference")]))
        for one in found.findings:
            assert one.measured is None or (one.trace is not None and one.trace.inputs), one.code
            assert one.measured is None or one.source, one.code
    assert {"level.lowest-load-unknown", "level.bass-short", "level.finish-unknown"} <= {
        one.code for one in found.findings
    }


def test_the_trace_of_a_short_peak_gives_the_peak_again(plain_room, planned):
    (finding,) = findings(planned(plain_room(kit(), change=[loud("reference")])), "level.short")
    given = {one.name: one.value for one in finding.trace.inputs}
    again = given["S"] + 20 * log10(given["V"] / 8**0.5) - 20 * log10(given["r"])
    assert again == pytest.approx(finding.measured)


def test_a_rating_with_few_channels_driven_is_told_as_an_upper_bound(plain_room, planned):
    more = AMPLIFIER.replace("into = 8", "all_channels_watts = 60\ninto = 8")
    bare, full = (planned(plain_room(kit(speakers=FRONT, amplifier=text))) for text in (AMPLIFIER, more))
    assert findings(bare, "level.power-few-driven")
    assert not findings(full, "level.power-few-driven")


@pytest.mark.parametrize(
    ("db", "hours"), [(80, 40.0), (83, 20.0), (86, 10.0), (89, 5.04), (92, 2.52), (95, 1.26)]
)
def test_weekly_hours_follow_itu_t_h_870_by_equal_energy(db, hours):
    assert weekly_hours(db) == pytest.approx(hours, rel=0.01)


def test_two_hours_at_85_db_are_16_percent_of_the_week_and_children_have_less(plain_room, planned):
    # ITU-T H.870: 80 dB(A) for adults, 75 dB(A) for children, 40 hours; 15.8 % by equal energy.
    found = planned(plain_room(kit(), change=[loud("reference")]))
    (finding,) = findings(found, "level.hearing")
    assert "16 % of the week" in finding.message
    assert "personal devices" in finding.source
    assert found.wishes[2].film_share == pytest.approx(0.158, abs=0.0005)
    assert weekly_hours(75, children=True) == pytest.approx(40)


def test_a_seat_that_hears_more_than_the_main_one_is_named_with_its_hours(plain_room, planned):
    near = '[[seat]]\nname = "near"\nat = [2.5, 0.8]\near = 1.1\n'
    found = planned(plain_room(kit() + near, change=[loud("reference")]))
    (finding,) = findings(found, "level.hearing")
    assert "“near” hears" in finding.message
    assert found.seats[1].hours_a_week < found.seats[0].hours_a_week
    # 85 dB at the main seat: 40 / 10^0.5 h by H.870, less what the peaks lack there.
    lacks = 105 - found.seats[0].channels[0].peak_db
    assert found.seats[0].hours_a_week == pytest.approx(40 / 10 ** ((5 - lacks) / 10))
