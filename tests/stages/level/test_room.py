"""The room's share in steady sound, held against Sabine, Eyring, and Hopkins and Stryker by hand."""

from dataclasses import replace
from math import log10

import pytest
from tests.stages.level.conftest import absorbing, channel, findings, kit, loud

from seatfield.acoustics import level_below_power, sabine_time
from seatfield.model import Finish
from seatfield.stages import survey
from seatfield.stages.level.result import RoomSound
from seatfield.stages.level.room import ceiling_m2, room_sound, row_of, steady_db

EVEN = RoomSound((1.0,) * 7, 50.0, 85.0, (20.0,) * 7, (0.4,) * 7, (20.0,) * 7, (0.6,) * 7, (0.0,) * 7, ())
SIDE = '[[seat]]\nname = "side"\nat = [4.0, 3.4]\near = 1.1\n'


@pytest.mark.parametrize(
    ("share", "sabine", "eyring"),
    [(0.1, 0.947, 0.899), (0.2, 0.474, 0.424), (0.3, 0.316, 0.266), (0.5, 0.189, 0.137)],
)
def test_a_box_of_5_by_4_by_2_5_m_decays_after_eyring_and_faster_than_after_sabine(
    plain_room, share, sabine, eyring
):
    # V = 50 m³, S = 85 m²; Sabine 0.161·V/A and Eyring 0.161·V/(−S·ln(1 − a)), by hand; the air takes 0.2 % more.
    found = room_sound(survey.plan(plain_room(change=[absorbing(share)])))
    assert found.surface_m2 == pytest.approx(85)
    assert found.reverberation_s[0] == pytest.approx(eyring, abs=0.003)
    assert float(sabine_time(50, found.absorption_m2[0])) == pytest.approx(sabine, abs=0.003)
    assert found.room_constant_m2[0] == pytest.approx(85 * share / (1 - share), rel=0.005)


def test_hopkins_and_stryker_at_3_m_and_20_m2():
    # Q = 1, 4/R with R = 20 m²: direct −20.53 dB, together −6.80 dB against the power, by hand.
    power = 10 * log10(1 / (4 * 3.14159265))
    direct, together = steady_db(EVEN, 3.0)
    assert direct + power == pytest.approx(-20.53, abs=0.005)
    assert together + power == pytest.approx(-6.80, abs=0.005)
    assert together + power == pytest.approx(float(level_below_power(3.0, 20.0)))


def test_at_the_critical_distance_the_room_adds_three_decibels(plain_room):
    # √(A/16π) = 0.631 m for 20 m², and so 3.01 dB by definition.
    direct, together = steady_db(EVEN, 0.6308)
    assert together - direct == pytest.approx(3.01, abs=0.005)
    # The handy 0.057·√(Q·V/T), which gives 0.637 m for 50 m³ and 0.4 s (√(A/16π) gives 0.633 m).
    found = room_sound(survey.plan(plain_room(change=[absorbing(0.2)])))
    decay = 0.161 * 50 / found.absorption_m2[3]
    handy = 0.057 * (10 ** (found.directivity_db[3] / 10) * 50 / decay) ** 0.5
    assert found.critical_distance_m[3] == pytest.approx(handy, rel=0.011)


def test_what_the_room_adds_is_in_the_usual_level_and_not_in_the_peak(plain_room, planned):
    hard, soft = (planned(plain_room(kit() + SIDE, change=[absorbing(a)])) for a in (0.1, 0.5))
    assert channel(hard).peak_db == channel(soft).peak_db
    assert channel(hard).room_db > channel(soft).room_db + 3
    # set by a meter at the main seat both read the wish there; further off the live room loses less
    assert channel(hard).usual_db == channel(soft).usual_db == 75.0
    lost = [75 - channel(one, seat=1).usual_db for one in (hard, soft)]
    assert lost[0] < lost[1] < 20 * log10(channel(hard, seat=1).distance_m / 3.0) + 0.01


def test_where_peaks_lack_the_usual_level_is_as_much_lower(plain_room, planned):
    one = channel(planned(plain_room(kit(), change=[loud("reference")])))
    assert one.usual_db == pytest.approx(85 - (105 - 98.46), abs=0.005)


def test_finishes_that_are_not_given_are_told_once_with_their_doubt(plain_room, planned):
    (finding,) = findings(planned(plain_room(kit())), "level.finish-unknown")
    assert "the floor, the ceiling, wall" in finding.message
    assert "10 % absorption" in finding.message
    assert "no source" in finding.source
    known = planned(plain_room(kit(), change=[absorbing(0.1)]))
    assert not findings(known, "level.finish-unknown")
    # nothing given counts as one tenth everywhere, which is what was given here
    assert channel(known).room_db == pytest.approx(channel(planned(plain_room(kit()))).room_db, abs=1e-9)


def test_a_hard_room_of_table_finishes_counts_as_furnished_and_own_figures_as_given(plain_room):
    named = (
        "ceiling = 2.5\n",
        'ceiling = 2.5\n[room.finishes]\nfloor = "tiles"\nceiling = "concrete"\nwalls = "concrete"\n',
    )
    table = room_sound(survey.plan(plain_room(change=[named])))
    assert table.furnished_hz[0] == 125.0
    assert table.absorption_m2[0] == pytest.approx(8.5)
    own = room_sound(survey.plan(plain_room(change=[absorbing(0.02)])))
    assert own.furnished_hz == ()
    assert own.absorption_m2[0] == pytest.approx(1.7, abs=0.03)


def test_openings_upholstery_and_rugs_count_by_their_area(plain_room):
    bare = room_sound(survey.plan(plain_room(change=[absorbing(0.1)])))
    things = (
        '[[opening]]\nkind = "archway"\nwall = 1\nstart = 0.5\nwidth = 2\nheight = 2\n'
        '[[furniture]]\nname = "sofa"\nkind = "sofa"\noutline = [[1,2.6],[3,2.6],[3,3.6],[1,3.6]]\nheight = 0.8\n'
        '[[cover]]\nkind = "rug"\noutline = [[1,0.5],[3,0.5],[3,2],[1,2]]\n'
    )
    found = room_sound(survey.plan(plain_room(things, change=[absorbing(0.1)])))
    # at 1 kHz: 4 m² of opening from 0.1 to 1; 2 m² of upholstery of 0.89 (Vorländer); 3 m² of rug from 0.1 to 0.2
    more = found.absorption_m2[3] - bare.absorption_m2[3]
    assert more == pytest.approx(4 * 0.9 + 2 * 0.89 + 3 * 0.1, abs=1e-6)


def test_a_finish_is_read_between_its_bands_and_held_beyond():
    row = row_of(Finish("own", (250.0, 1000.0), (0.2, 0.4)))
    assert row == pytest.approx((0.2, 0.2, 0.3, 0.4, 0.4, 0.4, 0.4))


def test_a_ceiling_counts_along_its_slopes():
    # Two planes that rise 1 in 1 to a ridge over a floor of 4 by 2 m: √2 times the floor.
    floor = ((0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (0.0, 2.0))
    assert ceiling_m2(floor, ((0.0, 1.0, 1.0), (0.0, -1.0, 3.0))) == pytest.approx(8 * 2**0.5)
    assert ceiling_m2(floor, ((0.0, 0.0, 2.5), (0.0, 0.0, 2.5))) == pytest.approx(8.0)


def test_beaming_loses_direct_sound_and_leaves_the_room_as_it_is():
    on, off = (steady_db(replace(EVEN), 2.0, levels) for levels in ((), (-6.0, -6.0, -6.0, -6.0)))
    late = [10 ** (together / 10) - 10 ** (direct / 10) for direct, together in (on, off)]
    assert off[0] - on[0] == pytest.approx(-2.43, abs=0.01)
    assert late[0] == pytest.approx(late[1])
