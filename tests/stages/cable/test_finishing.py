"""Ends, cold tests and what goes with them."""

import math
from dataclasses import replace

import pytest

from seatfield.model import LengthUnit
from seatfield.stages import cable, layout, survey, terminals
from seatfield.stages.cable.shopping import sticks_for

HIGH = ("U-030", (1.25, 1.5, 2.4), "ceiling")
WALL = ("M-110", (0.15, 2.5, 1.2), "wall")


def test_both_ends_of_every_run_are_finished(laid):
    plan = laid([WALL, HIGH]).plan
    assert [(t.run, t.end) for t in plan.terminations] == [
        ("M-110", "amplifier"),
        ("M-110", "loudspeaker"),
        ("U-030", "amplifier"),
        ("U-030", "loudspeaker"),
    ]
    assert all(0.005 < t.strip_m < 0.02 for t in plan.terminations)


def test_connectors_are_counted_by_colour_with_a_tenth_to_spare(laid):
    plan = laid([WALL, HIGH]).plan
    plugs = {need.what: need.count for need in plan.needs if "plug" in need.what}
    # Two runs with two ends make four of each colour, and one to spare.
    assert plugs == {"4 mm plug, red": 5, "4 mm plug, black": 5}


def test_ends_follow_the_kind_of_terminal_and_are_assumed_only_where_nobody_told(laid):
    kit = '[[model]]\nname = "old"\nimpedance = 8\nterminal_kind = "two-pin socket"\n'
    kit += '[[loudspeaker]]\nchannel = "M+110"\nmodel = "old"\nat = [4.85,2.5,1.2]\nmount = "wall"\n'
    plan = laid([WALL], kit, amplifier='[2.5, 0.3, 0.4]\nterminal_kind = "spring clip"').plan
    ends = {(t.run, t.end): t for t in plan.terminations}
    assert {t.terminal for t in plan.terminations if t.end == "amplifier"} == {"spring clip"}
    assert ends["M+110", "loudspeaker"].terminal == "two-pin socket"
    assert [key for key, t in ends.items() if t.assumed] == [("M-110", "loudspeaker")]
    counts = {need.what: (need.count, need.unit) for need in plan.needs if "plug" in need.what}
    # One two-pin plug serves both conductors; the spring clips take 1.5 mm² bare.
    assert counts["two-pin loudspeaker plug"] == (2, "pieces")
    assert counts["4 mm plug, red"] == (2, "pieces")
    doubts = {need.what for need in plan.needs if "count the terminals" in need.why}
    assert doubts == {"4 mm plug, red", "4 mm plug, black"}


def test_a_terminal_s_own_kind_goes_before_its_amplifier_s(laid):
    listed = "".join(
        f'[[amplifier.terminal]]\nname = "{name}"\ncarries = ["{label}"]\n{kind}'
        for name, label, kind in (("A", "M-110", 'kind = "screw terminal"\n'), ("B", "U-030", ""))
    )
    plan = laid([WALL, HIGH], listed, amplifier='[2.5, 0.3, 0.4]\nterminal_kind = "push-in block"').plan
    assert [t.terminal for t in plan.terminations if t.end == "amplifier"] == [
        "screw terminal",
        "push-in block",
    ]


def test_a_loudspeaker_on_two_channels_has_two_runs_with_labels_of_their_own(laid):
    front = [("M+030", (1.2, 0.3, 1.0), "stand"), ("M-030", (3.8, 0.3, 1.0), "stand")]
    plan = laid(front, amplifier='[2.5, 0.3, 0.4]\nbi_amp = ["M+030", "M-030"]').plan
    assert [(run.id, run.loudspeaker) for run in plan.runs] == [
        ("M+030", "M+030"),
        ("M+030 hi", "M+030"),
        ("M-030", "M-030"),
        ("M-030 hi", "M-030"),
    ]
    assert len({label.text for label in plan.labels}) == 4
    assert len({label.notches for label in plan.labels}) == 4
    lengths = {run.id: run.routed_m for run in plan.runs}
    assert lengths["M+030 hi"] == pytest.approx(lengths["M+030"])


def test_one_rule_of_polarity_serves_the_whole_job(laid):
    assert "marked conductor is plus" in laid([WALL]).plan.polarity


def test_wrong_readings_are_explained(laid):
    shown = [reading.shows for reading in laid([WALL]).plan.readings]
    assert any("open" in text for text in shown)
    assert any("under 1 ohm" in text for text in shown)


def test_a_capacitor_fed_model_reads_open_though_sound(laid):
    fed = '[[model]]\nname = "fed"\nimpedance = 8\nseries_capacitor = true\n'
    fed += '[[loudspeaker]]\nchannel = "M+110"\nmodel = "fed"\nat = [4.85,2.5,1.2]\nmount = "wall"\n'
    bands = {test.run: test for test in laid([WALL], fed).plan.tests}
    assert bands["M+110"].low_ohm is None
    assert "open though sound" in bands["M+110"].basis
    assert bands["M-110"].low_ohm is not None


def test_an_unknown_direct_current_resistance_gives_a_wider_band(laid):
    unknown = '[[model]]\nname = "plain"\nimpedance = 8\n'
    unknown += '[[loudspeaker]]\nchannel = "M+110"\nmodel = "plain"\nat = [4.85,2.5,1.2]\nmount = "wall"\n'
    bands = {test.run: test for test in laid([WALL], unknown).plan.tests}
    loop = 2 * 8.755 * 13.3e-3
    assert (bands["M+110"].low_ohm, bands["M+110"].high_ohm) == pytest.approx(
        (loop + 4.8, loop + 6.8), abs=1e-3
    )
    assert "0.6 to 0.85" in bands["M+110"].basis


def test_a_warm_room_raises_the_loop_by_copper_s_coefficient(laid):
    # IEC 60028: 0.00393 per kelvin; 30 °C is 3.93 % more than 20 °C.
    run = laid([WALL], change=[("ceiling = 2.5", "ceiling = 2.5\ntemperature = 30")]).run("M-110")
    assert run.loop_in_place_ohm / run.loop_ohm == pytest.approx(1.0393)


def test_raceway_is_bought_in_whole_sticks(laid):
    dear = (
        "[costs]\nceiling_line_per_m = 40\nvertical_per_m = 30\nskirting_per_m = 40\nopen_floor_per_m = 60\n"
    )
    plan = laid([WALL, HIGH], dear).plan
    bought = sum(cover.length_m for cover in plan.covers if cover.buy)
    sticks = sum(need.count for need in plan.needs if need.unit.startswith("stick"))
    assert bought > 0
    assert 2 * sticks >= bought
    assert plan.cost.raceway > 0


@pytest.mark.parametrize(
    ("lengths_m", "sticks"),
    [
        ([1.3, 0.66], 1),  # together within one stick of 2 m
        ([1.2, 1.2], 2),
        ([3.0, 1.0], 2),  # a whole stick and two halves
        ([4.003], 2),  # a few millimetres are no third stick
        ([0.9, 0.9, 0.9, 1.1], 2),
        ([], 0),
    ],
)
def test_lengths_that_fit_one_stick_together_buy_one_stick(lengths_m, sticks):
    assert sticks_for(lengths_m) == sticks


def test_raceway_too_short_to_buy_is_left_out_of_list_legs_and_covers(laid, monkeypatch):
    """With a least length above every stretch nothing is bought, and no leg claims to lie in raceway."""
    dear = (
        "[costs]\nceiling_line_per_m = 40\nvertical_per_m = 30\nskirting_per_m = 40\nopen_floor_per_m = 60\n"
    )
    with_raceway = laid([WALL, HIGH], dear).plan
    longest = max(cover.length_m for cover in with_raceway.covers if cover.buy)
    monkeypatch.setattr("seatfield.stages.cable.covers.SHORTEST_M", longest + 0.01)
    plan = laid([WALL, HIGH], dear).plan
    assert [cover for cover in plan.covers if cover.buy] == []
    assert not any("raceway" in need.what for need in plan.needs)
    assert not any("raceway" in leg.cover for run in plan.runs for leg in run.legs)
    assert any("raceway" in leg.cover for run in with_raceway.runs for leg in run.legs)


def test_ends_of_raceway_that_meet_need_no_cap(laid):
    dear = (
        "[costs]\nceiling_line_per_m = 40\nvertical_per_m = 30\nskirting_per_m = 40\nopen_floor_per_m = 60\n"
    )
    plan = laid([WALL, HIGH], dear).plan
    bought = [cover for cover in plan.covers if cover.buy]
    ends = [tuple(round(x, 4) for x in cover.path[place]) for cover in bought for place in (0, -1)]
    caps = sum(need.count for need in plan.needs if need.what.startswith("end cap"))
    assert caps == sum(ends.count(end) == 1 for end in ends) < len(ends)


def test_cable_by_the_foot_is_bought_in_whole_feet_at_the_price_of_a_foot(laid):
    """0.35 a foot is 1.148 a metre: what is paid is 0.35 times the feet on the list."""
    stock = '[[cable.stock]]\nconductor = "16 AWG"\nprice = 0.35\n'
    job = laid([WALL], stock)
    priced = replace(job.project.cable.stock[0], price=0.35 / 0.3048)
    told = replace(job.project, units=LengthUnit.FOOT, cable=replace(job.project.cable, stock=(priced,)))
    surveyed = survey.plan(told)
    laid_out = layout.plan(told, surveyed)
    plan = cable.plan(told, surveyed, laid_out, terminals.plan(told, laid_out))
    (need,) = [need for need in plan.needs if need.unit == "ft"]
    assert need.count == math.ceil(sum(run.cut_m for run in plan.runs) / 0.3048)
    assert need.price == pytest.approx(0.35)
    assert plan.bought == pytest.approx(0.35 * need.count, abs=0.005)


def test_one_size_for_the_job_is_told_with_its_price(laid):
    stock = "".join(
        f'[[cable.stock]]\nconductor = "{size} mm2"\nprice = {price}\n'
        for size, price in ((0.75, 0.4), (1.5, 0.8), (2.5, 1.4))
    )
    plan = laid([WALL, ("M-030", (2.0, 0.4, 1.0), "stand")], stock).plan
    conductors = {run.id: run.conductor for run in plan.runs}
    assert conductors == {"M-110": "1.5 mm2", "M-030": "0.75 mm2"}
    # The short run is 3.5 m cut: 0.7 + 0.5 + 0.4 + 1.0 routed, a tenth of slack and two loops; 0.8 − 0.4 more a metre.
    assert plan.one_size.startswith("1.5 mm2 serves every run, for ")
    assert plan.bought == pytest.approx(9.0 * 0.8 + 4.0 * 0.4, abs=0.45)


def test_an_offcut_worth_keeping_is_named_as_a_spare(laid):
    plan = laid([WALL], '[[cable.stock]]\nconductor = "1.5 mm2"\nlength = 25\nprice = 20\n').plan
    (cut,) = plan.cuts
    assert cut.offcut_m == pytest.approx(25 - 8.755, abs=0.01)
    assert "16.2 m" in cut.spare
    assert plan.waste_m == 0
