"""Places for subwoofers: where they may stand, what they are worth, how sure that is."""

from math import dist, hypot

import numpy as np
import pytest
import shapely

from seatfield.model import OpeningKind
from seatfield.stages.bass import DRAGGING, BassParams, planning
from seatfield.stages.bass.telling import lead_words
from seatfield.stages.layout import Layout

SUB = """
[[model]]
name = "deep"
kind = "subwoofer"
enclosure = "sealed"
low_corner = 30
size = [0.4, 0.4, 0.4]
[[subwoofer]]
name = "sub"
model = "deep"
at = [{}, {}, 0.2]
"""
SOCKETS = "[[socket]]\nwall = 0\nat = 1.0\n[[socket]]\nwall = 2\nat = 2.0\n"
KEEP = """
[limits]
keep_out = [{ name = "stove", outline = [[0,0],[1.5,0],[1.5,1.5],[0,1.5]] }]
walkways = [[[4.6,0.5],[4.6,3.5]]]
"""
FEW = BassParams(parts=("places", "map", "sets"), spots=40)


@pytest.mark.parametrize("name", ["rented-room", "open-plan", "attic"])
def test_every_place_of_the_examples_is_free_and_near_a_socket(examples, name):
    """No box stands in a wall, furniture, a keep-out, a door's swing or way, a walkway, or off the cord's reach."""
    project, survey, bass = examples[name]
    size = project.subwoofer_models[0].size_m
    radius = max(size[:2]) / 2
    floor = shapely.Polygon(survey.room.floor)
    assert 50 < len(bass.spots) <= 700
    for spot in bass.spots:
        point = shapely.Point(spot.at[:2])
        assert floor.contains(point)
        assert floor.exterior.distance(point) > radius - 1e-3
        for piece in survey.room.furniture:
            if piece.base_m < size[2]:
                assert shapely.Polygon(piece.outline).distance(point) > radius - 1e-3, piece.name
        for line in project.limits.walkways:
            assert shapely.LineString(line).distance(point) > radius
        for seat in project.seats:
            assert dist(seat.at, spot.at[:2]) > 0.49
        sockets = [
            np.array(survey.walls[one.wall].start) + one.at_m * np.array(survey.walls[one.wall].along)
            for one in survey.room.sockets
        ]
        assert min(hypot(*(np.array(spot.at[:2]) - at)) for at in sockets) < 1.82
        for door in survey.room.openings:
            if door.kind is not OpeningKind.WINDOW:
                wall = survey.walls[door.wall]
                ends = [
                    np.array(wall.start) + along * np.array(wall.along)
                    for along in (door.start_m, door.start_m + door.width_m)
                ]
                way = shapely.LineString(ends).buffer(0.59, cap_style="flat")
                assert way.distance(point) > radius - 0.01


def test_keep_outs_walkways_and_cords_take_places_away(plain_room, heard, codes):
    """The stove's corner and the way along the wall are free of places; without sockets nothing else is asked."""
    anywhere = heard(plain_room(), FEW)
    kept = heard(
        plain_room(SOCKETS + KEEP),
        BassParams(
            parts=(
                "places",
                "map",
            ),
            spots=200,
        ),
    )
    assert "bass.no-sockets" in codes(anywhere)
    assert all(spot.socket_m is None for spot in anywhere.spots)
    assert all(spot.socket_m <= 1.8 for spot in kept.spots)
    assert not any(spot.at[0] < 1.6 and spot.at[1] < 1.6 for spot in kept.spots)
    assert not any(spot.at[0] > 4.2 for spot in kept.spots)


def test_out_of_reach_of_every_socket_is_a_finding_and_not_an_empty_map(plain_room, heard, codes):
    """A single socket in the stove's corner leaves no place; places are shown without regard to it."""
    found = heard(
        plain_room("[[socket]]\nwall = 0\nat = 0.1\n" + KEEP),
        BassParams(
            parts=(
                "places",
                "map",
            ),
            cord_m=0.5,
        ),
    )
    assert "bass.out-of-reach" in codes(found)
    assert len(found.spots) > 50


def directions(project, places):
    """Return azimuths to the left of straight ahead and elevations from the main seat, looking along −y [deg]."""
    head = project.main_seat.head
    gaps = np.array(places) - head
    return np.degrees(np.arctan2(gaps[:, 0], -gaps[:, 1])), np.degrees(
        np.arctan2(gaps[:, 2], np.hypot(gaps[:, 0], gaps[:, 1]))
    )


def test_where_the_standard_gives_subwoofers_a_direction_each_side_gets_one(plain_room, before):
    """ITU-R BS.2051 system F: LFE1 and LFE2 at 30 to 90° to the left and right, 15 to 30° down."""
    project = plain_room(layout="3+7+0")
    laid_out = Layout("3+7+0", "10.2", True, (), (), ())
    params = BassParams(parts=("places", "map", "sets"), subwoofers=2, spots=80)
    found = planning.plan(project, before(project)[0], laid_out, params)
    azimuth, elevation = directions(project, [spot.at for spot in found.spots])
    assert len(azimuth) > 10
    assert ((abs(azimuth) >= 30) & (abs(azimuth) <= 90)).all()
    assert ((elevation >= -30) & (elevation <= -15)).all()
    for one in found.best:
        left, right = sorted(directions(project, [place.at for place in one.subwoofers])[0])
        assert left < 0 < right


def test_where_no_place_lies_in_the_prescribed_direction_that_is_told(plain_room, codes, before):
    """A head 30 cm up: the middle of a box on the floor is nowhere 15° below it."""
    project = plain_room(layout="3+7+0", change=[("ear = 1.1", "ear = 0.3")])
    found = planning.plan(project, before(project)[0], Layout("3+7+0", "10.2", True, (), (), ()), FEW)
    assert "bass.off-direction" in codes(found)
    assert len(found.spots) > 20


def test_a_subwoofer_and_an_ear_may_change_places(plain_room, heard, monkeypatch):
    """Reciprocity (Rayleigh, Theory of Sound, §294): the same level to a twentieth of a decibel, up to 250 Hz."""
    one = plain_room(
        SUB.format(0.6, 0.9), change=(("at = [2.5, 3.0]", "at = [3.7, 2.9]"), ("ear = 1.1", "ear = 0.2"))
    )
    other = plain_room(
        SUB.format(3.7, 2.9), change=(("at = [2.5, 3.0]", "at = [0.6, 0.9]"), ("ear = 1.1", "ear = 0.2"))
    )
    monkeypatch.setattr(planning, "RESPONSE_STEPS", 40)
    wanted = BassParams(parts=(), responses=True)
    there, back = (heard(project, wanted).responses[0] for project in (one, other))
    assert there.freq_hz[0] == 15
    assert there.freq_hz[-1] == pytest.approx(300, abs=0.1)
    near = np.array(there.freq_hz) < 250
    np.testing.assert_allclose(np.array(there.level_db)[near], np.array(back.level_db)[near], atol=0.05)


def test_below_the_first_mode_a_hard_box_answers_as_its_modal_sum_says(plain_room, heard, monkeypatch):
    """4π Σ φ(source) φ(seat) / (k_m² − k²) over 60³ modes of a rigid box (Kuttruff, Room Acoustics, chapter 3),
    from 15 to 28 Hz, where no loss matters."""
    monkeypatch.setattr(planning, "RESPONSE_STEPS", 40)
    hard = "[room.finishes]\nfloor = {125 = 0.001}\nceiling = {125 = 0.001}\nwalls = {125 = 0.001}\n"
    found = heard(plain_room(SUB.format(0.6, 0.9) + hard), BassParams(parts=(), responses=True)).responses[0]
    n = np.arange(60)
    shape, wave = np.ones((1, 1, 1)), np.zeros((1, 1, 1))
    for axis, (side, a, b) in enumerate(((5, 0.6, 2.5), (4, 0.9, 3.0), (2.5, 0.2, 1.1))):
        along = np.where(n > 0, 2, 1) / side * np.cos(n * np.pi * a / side) * np.cos(n * np.pi * b / side)
        shape = shape * along.reshape([-1 if i == axis else 1 for i in range(3)])
        wave = wave + ((n * np.pi / side) ** 2).reshape([-1 if i == axis else 1 for i in range(3)])
    for freq, level in zip(found.freq_hz, found.level_db, strict=True):
        if freq < 28:
            total = 4 * np.pi * (shape / (wave - (2 * np.pi * freq / 343.2) ** 2)).sum()
            assert level == pytest.approx(20 * np.log10(abs(total)), abs=0.1)


def test_in_a_room_and_a_seat_that_mirror_there_is_no_clear_winner(plain_room, heard, codes):
    """Left and right of the middle are worth the same, so the best place leads its mirror image by nothing."""
    found = heard(plain_room(SUB.format(2.5, 0.3)), BassParams(parts=("places", "map", "sets"), spots=150))
    best, second = (one.subwoofers[0].at for one in found.best[:2])
    assert found.best[0].margin == pytest.approx(0.0, abs=0.02)
    assert best[0] == pytest.approx(5 - second[0], abs=1e-3)
    assert best[1] == pytest.approx(second[1], abs=1e-3)
    assert "bass.no-clear-winner" in codes(found)


def test_margins_leads_and_order_agree(examples):
    """Best first; each margin is the step to the next; the lead as described lies between its least and most."""
    for _, _, bass in examples.values():
        merits = [one.merit for one in bass.best]
        assert merits == sorted(merits)
        for one, following in zip(bass.best, bass.best[1:], strict=False):
            assert one.margin == pytest.approx(following.merit - one.merit)
            assert one.lead_db[0] <= one.margin + 1e-6 <= one.lead_db[1] + 2e-6
        for one in bass.best:
            gain, least, most = one.over_now_db
            assert gain == pytest.approx(bass.now.merit - one.merit, abs=1e-6)
            assert least <= gain <= most
            assert one.misplaced >= one.merit - 0.01
        if len(bass.best[0].subwoofers) == 1:
            assert bass.best[0].merit == pytest.approx(min(spot.merit for spot in bass.spots), abs=1.0)
        for a, b in zip(bass.best, bass.best[1:], strict=False):
            assert max(dist(p.at, q.at) for p in a.subwoofers for q in b.subwoofers) > 0.79


def test_a_pair_is_no_worse_than_every_pair_at_equal_gain_and_more_subwoofers_no_worse_than_fewer(
    plain_room, heard, before
):
    """Every pair of some thirty places, added and scored one by one."""
    from seatfield.acoustics import score_response
    from seatfield.stages.bass.mapping import bands_of
    from seatfield.stages.bass.shell import shell_of
    from seatfield.stages.bass.space import listeners, solve

    project = plain_room('[[seat]]\nname = "left"\nat = [1.6, 3.0]\near = 1.1\n')
    surveyed, _ = before(project)
    found = heard(project, BassParams(parts=("places", "map", "sets"), spots=30, subwoofers=2))
    space = solve(shell_of(surveyed), listeners(project, surveyed), (), 343.2)
    bands = bands_of(space, project, BassParams())
    each = space.hear([spot.at for spot in found.spots])
    pairs = [each[i] + each[j] for i in range(len(each)) for j in range(i)]
    assert found.counts[1].merit <= score_response(np.stack(pairs), bands).merit_db.min() + 1.5
    assert found.counts[1].merit < found.counts[0].merit
    best = found.best[0]
    factors = np.stack(
        [
            10 ** (one.gain_db / 20)
            * (-1 if one.inverted else 1)
            * np.exp(-2j * np.pi * space.freq_hz * one.delay_ms / 1000)
            for one in best.subwoofers
        ]
    )
    played = (space.hear([one.at for one in best.subwoofers]) * factors[:, None]).sum(axis=0, keepdims=True)
    assert score_response(played, bands).merit_db[0] == pytest.approx(best.merit, abs=1e-6)


def test_the_map_alone_follows_the_hand(examples, heard):
    """Asked for the map alone, the same places have the same merits, and nothing slow is computed."""
    project, _, whole = examples["rented-room"]
    quick = heard(project, BassParams(parts=DRAGGING))
    assert [spot.merit for spot in quick.spots] == pytest.approx(
        [spot.merit for spot in whole.spots], abs=1e-9
    )
    assert quick.map == whole.map
    assert quick.best == ()
    assert quick.moves == ()


def test_the_same_project_gives_the_same_bass(examples, heard):
    """Nothing is random."""
    project, _, whole = examples["rented-room"]
    assert heard(project) == whole


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"parts": ("everything",)}, "no part 'everything'"),
        ({"subwoofers": 5}, "Sets of 5 subwoofers"),
        ({"low_hz": 110.0}, "from 110.0 to 120.0 Hz"),
    ],
)
def test_what_cannot_be_wished_for_is_refused(wrong, told):
    """In a sentence that says what is allowed."""
    with pytest.raises(ValueError, match=told):
        BassParams(**wrong)


@pytest.mark.parametrize(
    ("margin", "span", "told"),
    [
        (0.04, (0.0, 0.04), "the best place and the next that really differs are equal."),
        (0.04, (-0.3, 0.6), "are equal, and what is not known of the room makes that lead −0.3 to 0.6 dB."),
        (0.4, (-0.3, 0.6), "leads the next that really differs by 0.4 dB, and what is not known"),
    ],
)
def test_a_lead_that_prints_as_nought_is_told_as_equal(margin, span, told):
    said = lead_words(margin, span, several=False)
    assert told in said
    assert "0.0 dB" not in said
