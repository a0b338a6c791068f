"""Seats: gaps, moves verified by doing them, plain findings; crossovers; doors; whole projects."""

import json
from dataclasses import replace

import numpy as np
import pytest

from seatfield.pipeline import encode_stage
from seatfield.stages.bass import BassParams, planning
from seatfield.stages.bass.crossing import box_response

SUB = """
[[model]]
name = "deep"
kind = "subwoofer"
[[subwoofer]]
name = "sub"
model = "deep"
at = [0.3, 0.3, 0.2]
"""
SEATS = BassParams(parts=("seats",))


def least_near(bass, seat, freq_hz):
    """Return the least level of the subwoofers now within a sixth of an octave of a frequency at a seat."""
    curve = next(one for one in bass.curves if one.which == "now" and one.seat == seat)
    near = np.abs(np.log2(np.array(curve.freq_hz) / freq_hz)) <= 1 / 6 + 1e-9
    return np.array(curve.level_db)[near].min()


def moved(project, move):
    """Return the project with the seats, and the furniture that they are on, moved as advised."""
    main, centre = np.array(project.main_seat.at), np.array(project.screen.centre[:2])
    ahead = (centre - main) / np.linalg.norm(centre - main)
    left = np.array([-ahead[1], ahead[0]])
    step = move.by_m * {"forward": ahead, "back": -ahead, "left": left, "right": -left}[move.direction]
    seats = tuple(
        replace(seat, at=tuple(np.array(seat.at) + step)) if seat.name in move.seats else seat
        for seat in project.seats
    )
    furniture = tuple(
        replace(piece, outline=tuple(tuple(np.array(at) + step) for at in piece.outline))
        if piece.name == move.what
        else piece
        for piece in project.room.furniture
    )
    return replace(project, seats=seats, room=replace(project.room, furniture=furniture))


@pytest.mark.parametrize("name", ["rented-room", "attic"])
def test_a_move_that_is_advised_fills_the_gap_when_it_is_done(examples, name, heard):
    """Everything computed anew with the sofa where it was told to go: filled as told, within 1.5 dB."""
    project, _, bass = examples[name]
    move = next(one for one in bass.moves if one.fill_db is not None)
    assert move.gap_db > 8
    after = heard(moved(project, move), SEATS)
    gain = least_near(after, move.seat, move.gap_hz) - least_near(bass, move.seat, move.gap_hz)
    assert gain == pytest.approx(move.fill_db[0], abs=1.5)
    assert move.merit_after <= move.merit_before + 0.3


def test_a_seat_in_the_middle_of_a_box_does_not_hear_its_first_mode(plain_room, heard):
    """cos(π/2) = 0: at half the length and half the width the first two modes are down in the null, the gap is told."""
    found = heard(plain_room(SUB, change=(("at = [2.5, 3.0]", "at = [2.5, 2.0]"),)), SEATS)
    assert [mode.seats[0].level_db < -50 for mode in found.modes[:4]] == [True, True, True, False]
    assert sum(finding.code == "bass.seat-at-half" for finding in found.findings) == 2


def test_equal_sides_and_a_seat_at_the_wall_are_told(plain_room, heard, codes):
    """A cube of 2.5 m height under 5 m sides, and a head 30 cm from the wall."""
    change = (
        ("[[0,0],[5,0],[5,4],[0,4]]", "[[0,0],[5,0],[5,5],[0,5]]"),
        ("at = [2.5, 3.0]", "at = [1.7, 4.7]"),
    )
    found = heard(plain_room(change=change), BassParams(parts=()))
    equal = [finding for finding in found.findings if finding.code == "bass.equal-dimensions"]
    assert sorted(round(finding.limit) for finding in equal) == [1, 2, 2]
    assert "bass.seat-at-wall" in codes(found)


def test_how_loud_a_subwoofer_gets_lies_within_its_band(examples):
    """Whether that is enough is the level stage's matter."""
    _, _, bass = examples["open-plan"]
    assert bass.reach
    assert all(one.low_db <= one.level_db <= one.high_db for one in bass.reach)


def test_crossovers_lie_at_or_above_the_low_corner_and_no_sum_beats_two_equal_sounds_in_phase(
    examples, codes
):
    """Two equal sounds in phase are 3.01 dB over their powers added."""
    for project, _, bass in examples.values():
        offered = project.amplifiers[0].settings.crossovers_hz
        assert bass.crossovers[0].group == "front"
        for group in bass.crossovers:
            assert group.crossover_hz in offered
            assert group.sum_db < 3.02
            assert group.merit == pytest.approx(dict(group.rivals)[group.crossover_hz])
            if group.low_corner_hz is not None:
                assert group.crossover_hz >= min(0.9 * group.low_corner_hz, max(offered)) - 1e-9 or (
                    "bass.crossover-low" in codes(bass)
                    or group.crossover_hz == max(h for h, _ in group.rivals)
                )


def test_boxes_roll_off_as_small_says():
    """B4 vented −8.43 dB at 0.8 of its corner, −3.01 dB at it; sealed −3.01 dB at its corner (R. H. Small, 1972–73)."""
    freq = np.array([32.0, 40.0])
    np.testing.assert_allclose(
        20 * np.log10(np.abs(box_response(freq, "vented", 40.0))), [-8.43, -3.01], atol=0.01
    )
    assert 20 * np.log10(abs(box_response(freq, "sealed", 40.0, 1.0)[1])) == pytest.approx(-3.01, abs=0.01)


def test_the_curves_lie_within_their_bands(examples):
    """Least, described, most, at every frequency of every seat, and both now and best are there."""
    for project, _, bass in examples.values():
        assert {curve.which for curve in bass.curves} == {"now", "best"}
        assert len(bass.curves) == 2 * len(project.seats)
        for curve in bass.curves:
            low, level, high = (np.array(part) for part in (curve.low_db, curve.level_db, curve.high_db))
            assert (low <= level).all()
            assert (level <= high).all()


def test_without_subwoofer_sockets_or_loudspeakers_places_are_still_found(plain_room, heard):
    """A bare room with one seat gives a map, five places and no complaint of what is not there."""
    found = heard(plain_room())
    assert found.now is None
    assert len(found.best) == 5
    assert found.best[0].over_now_db is None
    assert not any(one.now for one in found.tries)
    assert found.moves == ()
    assert found.reach == ()


def test_an_odd_floor_under_slopes_is_solved(plain_room, heard):
    """A crooked plan under a slope: places only where the box stands upright, everything finite."""
    change = (
        ("[[0,0],[5,0],[5,4],[0,4]]", "[[0,0],[5,0.6],[5.4,4],[2.0,4.4],[-0.3,3.1]]"),
        ("ceiling = 2.5", "ceiling = [[[0,0,0.3],[5,0,0.3],[0,4,3.4]]]"),
    )
    found = heard(plain_room(change=change), BassParams(spots=80))
    assert found.modes_hz[-1] > 200
    assert all(0.3 + spot.at[1] * 3.1 / 4 > 0.37 for spot in found.spots)
    assert all(np.isfinite(spot.merit) for spot in found.spots)


def test_ears_outside_the_room_are_a_finding(plain_room, heard, codes):
    """The only seat stands in the garden."""
    found = heard(plain_room(change=(("at = [2.5, 3.0]", "at = [2.5, 9.0]"),)))
    assert "bass.no-ears" in codes(found)
    assert found.modes_hz
    assert found.spots == ()


def test_the_promised_names_stand_in_the_json(examples, heard, monkeypatch):
    """As the file format's readers were told."""
    monkeypatch.setattr(planning, "RESPONSE_STEPS", 12)
    project, _, bass = examples["rented-room"]
    with_responses = replace(bass, responses=heard(project, BassParams(parts=(), responses=True)).responses)
    told = json.loads(json.dumps(encode_stage("bass", with_responses)))["bass"]
    assert {"speed_of_sound_m_s", "modes_hz", "modes", "spots", "best", "responses"} <= set(told)
    assert "decay_s" in told["modes"][0]
    assert {"at", "merit"} <= set(told["spots"][0])
    assert {"subwoofers", "merit", "margin"} <= set(told["best"][0])
    assert {"at", "delay_ms", "gain_db", "inverted"} == set(told["best"][0]["subwoofers"][0])
    assert {"source", "seat", "freq_hz", "level_db", "low_db", "high_db"} == set(told["responses"][0])
    sources = {one["source"] for one in told["responses"]}
    assert sources == {"M+030", "M-030", "M+000", "M+110", "M-110", "U+030", "U-030", "sub"}
