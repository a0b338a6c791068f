"""Values to type: right in free field, in the amplifier's steps, with its own crossover orders."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import signal

from seatfield.model import AmplifierSettings
from seatfield.stages import alignment
from seatfield.stages.alignment import planning
from seatfield.stages.alignment.typing import distances_m, made_delays_s, trims_db
from seatfield.stages.takes import Aside

MAINS = {"M+030": (0.0080, -30.0, None), "M-030": (0.0075, -31.0, None), "M+000": (0.0070, -27.5, None)}


def aligned(bench, project, spots, **wishes):
    made = bench.planned(project)
    return alignment.plan(
        project, made.layout, made.terminals, bench.takes(*spots), alignment.Wishes(**wishes)
    )


def by_run(found):
    return {one.run: one for one in found.channels}


def test_what_is_farther_gets_the_larger_distance_and_less_delay(bench):
    project = bench.project()
    typed = by_run(aligned(bench, project, [bench.spot(project, MAINS)]))
    assert {run: one.distance_m for run, one in typed.items()} == pytest.approx(
        {"M+030": 2.74, "M-030": 2.57, "M+000": 2.40}, abs=0.006
    )
    assert typed["M+030"].delay_ms == 0.0
    # the delay an amplifier makes of a distance: what it lacks to the largest, over its own speed of sound
    assert typed["M+000"].delay_ms == pytest.approx(1e3 * (2.74 - 2.40) / 343, abs=0.05)


def test_once_typed_all_mains_arrive_together_within_the_step(bench):
    project = bench.project(step=0.1)
    found = aligned(bench, project, [bench.spot(project, MAINS)])
    assert found.seats[0].arrival_spread_ms < 1e3 * 0.1 / 343
    assert all(round(one.distance_m / 0.1, 6).is_integer() for one in found.channels)


def test_trims_level_the_mains_in_whole_steps(bench):
    project = bench.project()
    found = aligned(bench, project, [bench.spot(project, MAINS)])
    trims = {one.run: one.trim_db for one in found.channels}
    assert trims["M-030"] - trims["M+030"] == pytest.approx(1.0)
    assert trims["M+000"] - trims["M+030"] == pytest.approx(-2.5)
    assert found.seats[0].level_spread_db <= 0.5


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_subwoofer_s_known_delay_and_polarity_are_found_in_free_field(bench, sign):
    """Both sides through a matched fourth-order pair (Linkwitz 1976): in phase at every frequency once aligned."""
    project = bench.project(high=4, low=4, corner=20)
    late_s = 0.0043
    arrival_s = 0.008
    spot = bench.spot(
        project,
        dict.fromkeys(MAINS, (arrival_s, -30.0, None)),
        sub=bench.path(arrival_s + late_s, -20.0, bench.lfe(), sign),
    )
    found = aligned(bench, project, [spot])
    sub = by_run(found)["sub"]
    assert sub.inverted is (sign < 0)
    mains_delay_ms = by_run(found)["M+000"].delay_ms
    assert mains_delay_ms - sub.delay_ms == pytest.approx(1e3 * late_s, abs=0.08)
    assert sub.distance_m == pytest.approx(343 * (arrival_s + late_s), abs=0.03)
    assert found.seats[0].join_after_db < 0.1
    assert found.seats[0].join_before_db > 2.0 * found.seats[0].join_after_db


def test_crossover_orders_that_are_no_pair_are_reckoned_with(bench):
    """Second-order high-pass, fourth-order low-pass, a box that falls with the second order itself.

    Box and high-pass, both Butterworth at 80 Hz, make one Linkwitz-Riley of fourth order (Linkwitz 1976), which is in
    phase with the low-pass: no delay is wanted between them.
    """
    project = bench.project(high=2, low=4, corner=60)
    box = signal.butter(2, 80, "high", fs=bench.rate_hz, output="sos")
    arrival_s = 0.008
    mains = {run: (arrival_s, -30.0, bench.path(arrival_s, -30.0, box)) for run in MAINS}
    found = aligned(
        bench, project, [bench.spot(project, mains, sub=bench.path(arrival_s, -20.0, bench.lfe()))]
    )
    typed = by_run(found)
    assert typed["M+000"].crossover_hz == 80.0
    assert typed["sub"].delay_ms == pytest.approx(typed["M+000"].delay_ms, abs=0.15)
    assert not typed["sub"].inverted


def test_the_subwoofer_is_levelled_with_the_mains(bench):
    project = bench.project(high=4, low=4, corner=20)
    mains = dict.fromkeys(MAINS, (0.008, -30.0, None))
    spot = bench.spot(project, mains, sub=bench.path(0.008, -30.0 + 10.0 + 6.0, bench.lfe()))
    found = aligned(bench, project, [spot], slope_db_per_octave=0.0)
    trims = {one.run: one.trim_db for one in found.channels}
    assert trims["sub"] - trims["M+000"] == pytest.approx(-6.0, abs=0.5)
    level_db = np.array(found.predicted[0].level_db)
    freq_hz = np.array(found.predicted[0].freq_hz)
    assert np.ptp(level_db[(freq_hz > 40) & (freq_hz < 250)]) < 1.0


def test_without_a_subwoofer_everything_stays_on_full_range(bench):
    project = bench.project()
    found = aligned(bench, project, [bench.spot(project, MAINS)])
    assert {one.crossover_hz for one in found.channels} == {None}
    assert found.polarity_gain_db is None


def test_a_peak_is_cut_and_never_boosted_over_the_cap(bench):
    project = bench.project(bands=4, corner=20, high=4, low=4)
    peak = peaking(150.0, 4.0, 9.0, bench.rate_hz)
    mains = {run: (0.008, -30.0, bench.path(0.008, -30.0, peak)) for run in MAINS}
    found = aligned(
        bench,
        project,
        [bench.spot(project, mains, sub=bench.path(0.008, -20.0, bench.lfe()))],
        slope_db_per_octave=0.0,
    )
    centre = by_run(found)["M+000"]
    deepest = min(centre.filters, key=lambda one: one.gain_db)
    assert deepest.freq_hz == pytest.approx(150, rel=0.05)
    predicted = next(one for one in found.predicted if one.run == "M+000")
    freq_hz, level_db = np.array(predicted.freq_hz), np.array(predicted.level_db)
    assert np.ptp(level_db[(freq_hz > 110) & (freq_hz < 250)]) < 3.0  # the peak of 9 dB is all but gone
    assert all(one.gain_db <= 3.0 for channel in found.channels for one in channel.filters)
    assert found.seats[0].uneven_after_db < found.seats[0].uneven_before_db - 1.0


def test_a_filter_that_undoes_the_subwoofer_s_peak_leaves_the_join_as_good_as_without_the_peak(bench):
    """A minimum-phase peak and the cut that undoes it cancel in phase too, so the delay is that of the plain path."""
    project = bench.project(bands=3, corner=20, high=4, low=4)
    mains = dict.fromkeys(MAINS, (0.008, -30.0, None))
    peak = np.vstack([bench.lfe(), peaking(70.0, 3.0, 7.0, bench.rate_hz)])
    spot = bench.spot(project, mains, sub=bench.path(0.0123, -20.0, peak))
    found = aligned(bench, project, [spot], slope_db_per_octave=0.0)
    sub = by_run(found)["sub"]
    assert sub.filters
    assert by_run(found)["M+000"].delay_ms - sub.delay_ms == pytest.approx(4.3, abs=0.3)
    assert found.seats[0].join_after_db < 0.1


def peaking(freq_hz, q, gain_db, rate_hz):
    """The cookbook's peaking filter (W3C note on audio equaliser biquads), written out here by itself."""
    a, w = 10 ** (gain_db / 40), 2 * np.pi * freq_hz / rate_hz
    alpha = np.sin(w) / (2 * q)
    b = np.array([1 + alpha * a, -2 * np.cos(w), 1 - alpha * a])
    c = np.array([1 + alpha / a, -2 * np.cos(w), 1 - alpha / a])
    return np.concatenate([b / c[0], c / c[0]])[None, :]


def test_an_amplifier_without_bands_gets_no_filters(bench):
    project = bench.project(bands=0)
    found = aligned(bench, project, [bench.spot(project, MAINS, sub=bench.path(0.01, -20.0, bench.lfe()))])
    assert all(one.filters == () for one in found.channels)


def test_fair_to_all_halves_what_the_main_seat_alone_leaves_to_the_other(bench):
    project = bench.project()
    one = bench.spot(project, MAINS)
    other = bench.spot(
        project,
        {"M+030": (0.0070, -29.0, None), "M-030": (0.0085, -32.0, None), "M+000": (0.0072, -28.0, None)},
        seat="",
        position=(3.1, 3.0, 1.1),
    )
    main, fair = (aligned(bench, project, [one, other], all_seats=both) for both in (False, True))
    assert (main.aligned_to, fair.aligned_to) == ("main seat", "all seats")
    assert main.seats[0].arrival_spread_ms < 0.05
    assert max(seat.arrival_spread_ms for seat in fair.seats) < max(
        seat.arrival_spread_ms for seat in main.seats
    )


def test_a_refused_arrival_is_taken_from_the_plan_and_told(bench):
    project = bench.project()
    spot = bench.spot(project, MAINS)
    deaf = replace(spot.heard[0], arrival=replace(spot.heard[0].arrival, time_s=None))
    found = aligned(bench, project, [replace(spot, heard=(deaf, *spot.heard[1:]))])
    assert [finding.code for finding in found.findings] == ["alignment.from-plan"]
    assert by_run(found)[deaf.run].remarks


def test_without_a_bare_take_there_is_nothing_to_align(bench):
    project = bench.project()
    made = bench.planned(project)
    with pytest.raises(alignment.NothingToAlignError, match="No take shows two or more loudspeakers"):
        alignment.plan(project, made.layout, made.terminals, bench.takes())


def test_distances_beyond_the_menu_come_nearer_alike_and_what_does_not_fit_is_named():
    menu = AmplifierSettings(distance_step_m=0.1, distance_max_m=9.0)
    typed, short = distances_m({"a": 0.008, "b": 0.030}, menu)
    assert typed["b"] == pytest.approx(9.0)
    assert short == []
    made = made_delays_s(typed, menu)
    assert made["a"] - made["b"] == pytest.approx(0.022, abs=0.1 / 343)
    typed, short = distances_m({"a": 0.002, "b": 0.040}, menu)
    assert typed == pytest.approx({"a": 0.0, "b": 9.0})
    assert short == ["b"]


def test_trims_shift_alike_before_any_of_them_ends_at_the_limit():
    menu = AmplifierSettings(trim_step_db=0.5, trim_range_db=(-12.0, 12.0))
    kept, short = trims_db({"a": 0.0, "b": 1.3, "c": 20.0}, menu)
    assert short == []
    assert kept["c"] == 12.0
    assert kept["c"] - kept["a"] == pytest.approx(20.0, abs=0.5)
    kept, short = trims_db({"a": 0.0, "b": 30.0}, menu)
    assert short in (["a"], ["b"])


def test_a_distance_far_off_the_plan_is_never_typed_and_the_plan_s_stands_in(bench):
    project = bench.project()
    told = bench.planned(project).known
    off = {run: (one[0] + (0.0100 if run == "M-030" else 0.0), *one[1:]) for run, one in MAINS.items()}
    found = aligned(bench, project, [bench.spot(project, off)])
    values = by_run(found)
    by_tape = np.linalg.norm(np.subtract(told.places["M-030"], project.main_seat.head))
    assert values["M-030"].distance_m == pytest.approx(by_tape, abs=0.02)  # not 3.4 m more
    assert "alignment.from-plan" in [finding.code for finding in found.findings]


def test_a_distance_that_one_position_belies_is_typed_at_no_other(bench):
    project = bench.project()
    away = {"M+030": (0.0080, -30.0, None), "M-030": (0.0175, -31.0, None), "M+000": (0.0070, -27.5, None)}
    spots = [bench.spot(project, MAINS), bench.spot(project, away, seat="", position=(2.6, 3.1, 1.2))]
    found = aligned(bench, project, spots)
    assert [one.subject for one in found.findings if one.code == "alignment.from-plan"] == ["M-030"]


@pytest.mark.parametrize("late_m", [0.0, 0.9])
def test_what_fires_at_the_ceiling_counts_by_its_bounce_whichever_was_heard_first(bench, monkeypatch, late_m):
    project = bench.project()
    known = bench.planned(project).known
    straight_m = np.linalg.norm(np.subtract(known.places["M-030"], project.main_seat.head))
    heard = MAINS | {"M-030": ((straight_m + late_m) / known.speed_of_sound_m_s, -31.0, None)}
    monkeypatch.setattr(planning, "known_of", lambda *_: replace(known, detour_m={"M-030": 0.9}))
    one = by_run(aligned(bench, project, [bench.spot(project, heard)]))["M-030"]
    assert one.distance_m == pytest.approx(straight_m + 0.9, abs=0.02)
    assert "by the ceiling" in one.remarks[0]


@pytest.mark.parametrize(("late_s", "words"), [(0.006, "a tape measure reads less"), (-0.003, "reads more")])
def test_what_is_said_of_a_subwoofer_s_distance_holds_against_the_tape(bench, late_s, words):
    project = bench.project(high=4, low=4, corner=20)
    tape_s = np.linalg.norm(np.subtract((0.4, 0.6, 0.2), project.main_seat.head)) / 343
    spot = bench.spot(
        project,
        dict.fromkeys(MAINS, (tape_s, -30.0, None)),
        sub=bench.path(tape_s + late_s, -20.0, bench.lfe()),
    )
    sub = by_run(aligned(bench, project, [spot]))["sub"]
    assert (sub.distance_m > 343 * tape_s) == (late_s > 0)
    assert words in sub.remarks[-1]


def test_values_that_are_typed_already_ask_for_nothing(bench):
    project = bench.project()
    made = bench.planned(project)
    takes = bench.takes(bench.spot(project, MAINS))
    first = alignment.plan(project, made.layout, made.terminals, takes)
    assert alignment.LEAVE not in [finding.code for finding in first.findings]
    again = alignment.plan(project, made.layout, made.terminals, takes, noted=first.settings)
    (leave,) = [finding for finding in again.findings if finding.code == alignment.LEAVE]
    assert leave.advice == "Leave the values as they are."
    worse = [
        replace(one, trim_db=one.trim_db + (3.0 if one.run == "M+000" else 0.0)) for one in first.settings
    ]
    other = alignment.plan(project, made.layout, made.terminals, takes, noted=worse)
    assert alignment.LEAVE not in [finding.code for finding in other.findings]


def test_a_position_that_loses_is_told_with_by_how_much(bench):
    project = bench.project()
    sub = bench.path(0.010, -20.0, bench.lfe())
    spots = [
        bench.spot(project, MAINS, sub),
        bench.spot(
            project,
            MAINS,
            bench.path(0.010 + 0.5 / 80, -20.0, bench.lfe()),
            seat="",
            position=(1.5, 3.0, 1.1),
        ),
        bench.spot(project, MAINS, sub, seat="", position=(3.5, 3.0, 1.1)),
    ]
    found = aligned(bench, project, spots)
    lost = {
        one.position
        for one in found.seats
        if max(one.join_after_db - one.join_before_db, one.uneven_after_db - one.uneven_before_db) > 0.3
    }
    assert {finding.at for finding in found.findings if finding.code == "alignment.loses"} == lost
    assert lost


def test_a_main_seat_that_moved_since_is_refused_and_other_positions_do_not_stand_in(bench):
    project = bench.project()
    made = bench.planned(project)
    spot = replace(bench.spot(project, MAINS), seat="", left=Aside("middle", 0.6, ("take 1",)))
    other = bench.spot(project, MAINS, seat="", position=(1.5, 3.0, 1.1))
    with pytest.raises(alignment.NothingToAlignError, match="has moved since it was taken"):
        alignment.plan(project, made.layout, made.terminals, bench.takes(spot, other))


def test_a_position_without_a_moved_run_does_not_take_that_run_from_the_main_seat(bench):
    project = bench.project()
    whole = bench.spot(project, MAINS)
    rest = {run: one for run, one in MAINS.items() if run != "M+000"}
    old = bench.spot(project, rest, seat="", position=(1.5, 3.0, 1.1))
    old = replace(old, aside=(Aside("M+000", 0.6, ("take 2",)),))
    assert set(by_run(aligned(bench, project, [whole, old]))) == set(MAINS)
