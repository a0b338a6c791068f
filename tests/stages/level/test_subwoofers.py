"""The loudest bass, held against the standard's gain, Linkwitz and Riley, Small, and the pressure of a closed room."""

from math import log10, pi

import pytest
from tests.stages.level.conftest import AMPLIFIER, CENTRE, findings, kit, loud

from seatfield.model import AmplifierSettings, LoudspeakerModel, SubwooferModel
from seatfield.model.project import Loudness
from seatfield.stages.level.subwoofers import crossover_hz, demand, most_db
from seatfield.stages.level.wishes import WISHES

REFERENCE = WISHES[Loudness.REFERENCE]
SMALL = LoudspeakerModel("small", low_corner_hz=80.0)
SUB = """
[[model]]
name = "deep"
kind = "subwoofer"
enclosure = "sealed"
low_corner = 30
max_level = { 20 = 98, 30 = 108, 40 = 112 }
[[subwoofer]]
name = "sub"
model = "deep"
at = [0.5, 0.4, 0.2]
"""
CUPBOARD = [
    ("floor = [[0,0],[5,0],[5,4],[0,4]]", "floor = [[0,0],[2.4,0],[2.4,2.2],[0,2.2]]"),
    (
        "ceiling = 2.5",
        'ceiling = 2.2\n[room.finishes]\nfloor = "tiles"\nceiling = "concrete"\nwalls = "concrete"',
    ),
    ("at = [2.5, 3.0]", "at = [1.2, 1.8]"),
    ("centre = [2.5, 0.1, 1.0]", "centre = [1.2, 0.1, 1.0]"),
]


def test_the_demand_is_the_low_frequency_channel_and_every_small_channel():
    # 105 + 10 dB (ITU-R BS.775, SMPTE RP 200); five channels at 105 + 10·lg 5, as independent sounds.
    asked = demand(REFERENCE, (SMALL,) * 5, AmplifierSettings(), 20.0)
    assert asked.lfe_db == 115.0
    assert asked.redirected_db == pytest.approx(105 + 6.99, abs=0.05)
    assert asked.whole_db == pytest.approx(10 * log10(10**11.5 + 10 ** (asked.redirected_db / 10)))
    assert demand(REFERENCE, (), AmplifierSettings(), 20.0).whole_db == pytest.approx(115.0)


def test_redirected_bass_goes_through_the_low_pass():
    # Linkwitz-Riley of the fourth order, 80 Hz: −0.527 dB at 40 Hz and −24.61 dB at 160 Hz, by hand.
    for freq, loss in ((40.0, -0.527), (160.0, -24.61)):
        asked = demand(REFERENCE, (SMALL,), AmplifierSettings(), freq)
        assert asked.redirected_db - 105 == pytest.approx(loss, abs=0.005)
    # Butterworth of the third order, −3.01 dB at its corner.
    odd = demand(REFERENCE, (SMALL,), AmplifierSettings(low_pass_order=3), 80.0)
    assert odd.redirected_db - 105 == pytest.approx(-3.01, abs=0.005)


@pytest.mark.parametrize(("corner", "freq"), [(None, 80.0), (45.0, 80.0), (95.0, 100.0), (200.0, 120.0)])
def test_the_crossover_is_the_one_nearest_to_80_hz_that_the_loudspeaker_reaches(corner, freq):
    assert crossover_hz(AmplifierSettings(), LoudspeakerModel("a", low_corner_hz=corner)) == freq


def test_below_the_told_levels_a_cone_loses_12_decibels_an_octave_and_a_vented_box_24():
    # Volume displacement: 0.05 m² by 10 mm give 94.57 dB at 20 Hz and 106.61 dB at 40 Hz at 1 m, by hand.
    sealed = SubwooferModel("s", enclosure="sealed", max_level=((40.0, 106.61),))
    assert most_db(sealed, 20.0) == pytest.approx(94.57, abs=0.005)
    # Small 1973: below its corner a vented box rolls off by the fourth order.
    vented = SubwooferModel("v", enclosure="vented", low_corner_hz=40.0, max_level=((40.0, 106.61),))
    assert most_db(vented, 20.0) == pytest.approx(106.61 - 24.08, abs=0.005)
    deep = SubwooferModel("d", enclosure="vented", low_corner_hz=20.0, max_level=((40.0, 106.61),))
    assert most_db(deep, 20.0) == pytest.approx(94.57, abs=0.005)


def test_between_the_told_levels_a_straight_line_and_above_as_there():
    model = SubwooferModel("s", max_level=((20.0, 90.0), (40.0, 102.0)))
    assert most_db(model, 20.0 * 2**0.5) == pytest.approx(96.0)
    assert most_db(model, 63.0) == 102.0
    assert most_db(SubwooferModel("s"), 30.0) is None


@pytest.mark.parametrize("modes", [True, False])
def test_in_a_small_closed_room_at_20_hz_the_level_is_that_of_its_even_pressure(plain_room, planned, modes):
    # Below its first mode (71 Hz) a closed room of V m³ holds 4π/(V·k²) of the pressure at 1 m in free space
    # (mass on a spring of air); with the direct sound and the tail of the modes within 2 dB of it.
    speakers = CENTRE.replace("[2.5, 0.0, 1.1]", "[1.2, 0.1, 1.1]")
    found = planned(plain_room(kit(speakers=speakers) + SUB, change=CUPBOARD), modes=modes)
    volume, k = 2.4 * 2.2 * 2.2, 2 * pi * 20 / 343.2
    low = found.seats[0].bass[0]
    assert low.room_db == pytest.approx(20 * log10(4 * pi / (volume * k**2)), abs=2.0)
    # the maker's 98 dB were measured over a floor, 6.02 dB over free space
    assert low.reach_db == pytest.approx(98 - 6.02 + low.room_db, abs=0.005)


def test_each_seat_has_its_own_shortfall_at_20_30_and_40_hz(plain_room, planned):
    seat = '[[seat]]\nname = "corner"\nat = [4.5, 3.5]\near = 1.1\n'
    found = planned(plain_room(kit() + seat + SUB, change=[loud("reference")]), modes=True)
    for one in found.seats:
        assert [low.freq_hz for low in one.bass] == [20.0, 30.0, 40.0]
        for low in one.bass:
            assert low.low_db <= low.reach_db <= low.high_db
            assert low.shortfall_db == pytest.approx(max(low.demand_db - low.reach_db, 0.0))
    assert found.seats[0].bass[2].reach_db != pytest.approx(found.seats[1].bass[2].reach_db, abs=0.5)


def test_what_the_subwoofer_lacks_is_one_finding_whose_trace_adds_up(plain_room, planned):
    found = planned(plain_room(kit() + SUB, change=[loud("reference")]))
    (finding,) = findings(found, "level.bass-short")
    given = {one.name: one.value for one in finding.trace.inputs}
    reach = given["maker's level at 1 m"] - given["floor"] + given["room and distance"]
    assert reach == pytest.approx(finding.measured)
    assert "only estimated" in finding.message  # no modes were computed


def test_a_strong_subwoofer_and_a_quiet_wish_leave_nothing_to_say(plain_room, planned):
    strong = SUB.replace("20 = 98, 30 = 108, 40 = 112", "20 = 118, 30 = 120, 40 = 122")
    found = planned(plain_room(kit() + strong, change=[loud("quiet")]))
    assert [low.shortfall_db for low in found.seats[0].bass] == [0.0, 0.0, 0.0]
    assert not findings(found, "level.bass-short")


def test_of_two_different_subwoofers_the_weaker_sets_the_level(plain_room, planned):
    weak = SUB.replace('"deep"', '"weak"').replace('"sub"', '"second"').replace("20 = 98", "20 = 78")
    both = planned(plain_room(kit() + SUB + weak)).seats[0].bass[0]
    alone = planned(plain_room(kit() + SUB)).seats[0].bass[0]
    # both at one place add 6.02 dB in step, and may go 20 dB less far
    assert both.reach_db - alone.reach_db == pytest.approx(6.02 - 20, abs=0.005)


def test_a_subwoofer_without_figures_is_named_and_its_levels_stay_open(plain_room, planned):
    dumb = SUB.replace("max_level = { 20 = 98, 30 = 108, 40 = 112 }\n", "")
    found = planned(plain_room(kit() + dumb))
    assert findings(found, "level.subwoofer-unknown")[0].subject == "deep"
    assert found.seats[0].bass[0].shortfall_db is None
    assert found.seats[0].bass[0].demand_db > 105


def test_without_subwoofers_there_is_no_bass_to_tell(plain_room, planned):
    assert planned(plain_room(kit(amplifier=AMPLIFIER))).seats[0].bass == ()
