"""Findings of the cable stage: each where it should be, and none where not."""

import re

import pytest

SUBWOOFER = """
[[model]]
name = "ten"
kind = "subwoofer"
[[subwoofer]]
name = "sub"
model = "ten"
at = [4.5, 0.4, 0.2]
"""
DETOURED = ("M-110", (0.15, 2.5, 1.2), "wall")


def test_a_plain_run_gives_no_finding(laid):
    assert laid([DETOURED]).codes == set()


def test_a_long_way_round_is_told_with_its_ratio(laid):
    # Straight across 3.69 m; along three walls 0.7 + 2.5 + 4.0 + 2.5 + 1.2 + 0.1 = 11.0 m.
    job = laid([("M+180", (2.5, 3.9, 1.2), "wall")])
    (finding,) = (f for f in job.plan.findings if f.code == "cable.long-way-round")
    assert finding.measured == pytest.approx(11.0 / 3.688, rel=2e-3)
    assert finding.limit == 2.5


def test_an_unknown_impedance_is_a_note_and_assumed_low(laid):
    unknown = '[[model]]\nname = "mystery"\n'
    unknown += '[[loudspeaker]]\nchannel = "M+110"\nmodel = "mystery"\nat = [4.85,2.5,1.2]\n'
    job = laid([DETOURED], unknown)
    (finding,) = (f for f in job.plan.findings if f.code == "cable.impedance-unknown")
    assert finding.subject == "M+110"
    assert job.run("M+110").loss_db > job.run("M-110").loss_db


def test_a_spool_too_short_is_told_with_what_to_buy(laid):
    stock = '[[cable.stock]]\nconductor = "2.5 mm2"\nlength = 5\nprice = 9\n'
    job = laid([DETOURED], stock)
    (finding,) = (f for f in job.plan.findings if f.code == "cable.no-spool")
    assert finding.measured == pytest.approx(8.755, abs=0.01)
    assert finding.limit == pytest.approx(5.0)
    assert "8.8 m" in finding.advice
    assert not job.plan.cuts


def test_a_thin_stock_is_told_as_too_thin(laid):
    job = laid([DETOURED], '[[cable.stock]]\nconductor = "0.75 mm2"\nprice = 1\n')
    (finding,) = (f for f in job.plan.findings if f.code == "cable.conductor-thin")
    assert finding.measured == pytest.approx(2 * 8.755 * 26e-3 / 6.4, rel=1e-3)
    assert finding.limit == 0.05
    assert finding.trace is not None


def test_copper_clad_aluminium_is_cautioned(laid):
    stock = '[[cable.stock]]\nconductor = "4 mm2"\nmaterial = "copper-clad aluminium"\nprice = 1\n'
    assert "cable.clad-aluminium" in laid([DETOURED], stock).codes


def test_cable_within_reach_of_pets_is_measured(laid):
    job = laid([DETOURED], "[limits]\npets = true\n")
    (finding,) = (f for f in job.plan.findings if f.code == "cable.within-reach")
    # 5.0 m of skirting and 0.3 m of floor lie below 0.6 m; of the wall's 1.2 m none is wholly below.
    assert finding.measured == pytest.approx(5.3, abs=0.01)


def test_sockets_beside_a_run_are_told(laid):
    assert "cable.sockets-near" in laid([DETOURED], "[[socket]]\nwall = 0\nat = 1.5\n").codes
    assert "cable.sockets-near" not in laid([DETOURED], "[[socket]]\nwall = 1\nat = 2.0\n").codes


def test_metres_beside_mains_are_counted(laid):
    # Mains 0.2 m above the skirting of wall 0, from x = 0.5 to 2.0: beside it for 1.5 m, and 0.22 m past either end.
    job = laid(
        [DETOURED],
        "[limits]\nmains_cables = [ [[0.5,0,0.2],[2.0,0,0.2]] ]\n[costs]\nbeside_mains_per_m = 0.1\n",
    )
    found = [f for f in job.plan.findings if f.code == "cable.beside-mains"]
    assert found
    assert found[0].measured == pytest.approx(1.5 + 2 * 0.22, abs=0.15)


def test_mains_that_cross_square_are_no_matter(laid):
    job = laid([DETOURED], "[limits]\nmains_cables = [ [[1.0,0,0],[1.0,0,2.0]] ]\n")
    assert "cable.beside-mains" not in job.codes


def test_a_rug_over_a_run_asks_for_flat_cable(laid):
    rug = '[[cover]]\nkind = "rug"\noutline = [[0.3,0.2],[4.7,0.2],[4.7,3.9],[0.3,3.9]]\n'
    job = laid([("M-030", (1.0, 3.0, 1.0), "stand")], rug)
    assert "cable.under-rug" in job.codes
    assert job.run("M-030").flat


def test_a_rug_across_a_walkway_is_to_be_mended(laid):
    rug = '[[cover]]\nkind = "rug"\noutline = [[0.3,0.2],[4.7,0.2],[4.7,3.9],[0.3,3.9]]\n'
    path = "[limits]\nwalkways = [ [[0.1,1.6],[4.9,1.6]] ]\n[costs]\nwalkway = 0.1\n"
    codes = laid([("M-030", (1.0, 3.0, 1.0), "stand")], rug + path).codes
    assert "cable.walkway-under-rug" in codes


def test_a_loudspeaker_outside_the_room_gets_no_run_and_a_finding(laid):
    job = laid([DETOURED, ("M+110", (6.0, 2.5, 1.2), "wall")])
    assert [run.id for run in job.plan.runs] == ["M-110"]
    assert "cable.no-way" in job.codes


def test_a_radio_subwoofer_needs_no_run(laid):
    assert [run.id for run in laid([DETOURED], SUBWOOFER).plan.runs] == ["M-110", "sub"]
    assert [run.id for run in laid([DETOURED], SUBWOOFER + "cabled = false\n").plan.runs] == ["M-110"]


def test_a_line_cable_has_no_conductor_to_choose(laid):
    run = laid([DETOURED], SUBWOOFER).run("sub")
    assert (run.kind, run.loop_ohm, run.weighed) == ("line", None, ())


CABINET = '[[furniture]]\nname = "cabinet"\nkind = "cabinet"\noutline = [[2,0],[3,0],[3,0.5],[2,0.5]]\nheight = 0.3\n'
HOLLOW = """
[[cover]]
kind = "attic"
outline = [[0,0],[5,0],[5,4],[0,4]]
[[cover]]
kind = "cavity"
wall = 0
from = 0
to = 5
"""
EASY_HOLES = """
[costs]
hole = 0.1
labour_per_hour = 0
ceiling_line_per_m = 40
vertical_per_m = 30
skirting_per_m = 20
"""
OVERHEAD = [("U-030", (1.25, 1.5, 2.4), "ceiling"), ("U+030", (3.75, 1.5, 2.4), "ceiling")]


def test_walls_and_attic_stay_shut_where_no_holes_are_allowed(laid):
    shut = laid(OVERHEAD, CABINET + HOLLOW + EASY_HOLES)
    assert not {leg.surface for run in shut.plan.runs for leg in run.legs} & {"attic", "cavity"}
    assert shut.plan.in_wall == ()
    assert "no holes" not in {alternative.name for alternative in shut.plan.alternatives}


def test_allowed_holes_are_used_where_they_pay_and_asked_about(laid):
    drilled = laid(OVERHEAD, CABINET + HOLLOW + EASY_HOLES + '[limits]\nholes = "walls and ceiling"\n')
    assert {"attic", "cavity"} <= {leg.surface for run in drilled.plan.runs for leg in run.legs}
    assert drilled.plan.cost.holes > 0
    assert any("detector" in question for question in drilled.plan.in_wall)
    whole = next(a for a in drilled.plan.alternatives if a.name == "no holes")
    assert whole.holes == 0
    assert whole.cost > drilled.plan.cost.total


def test_an_attic_alone_needs_a_hollow_wall_to_come_down(laid):
    attic = HOLLOW[: HOLLOW.index('[[cover]]\nkind = "cavity"')]
    drilled = laid(OVERHEAD, CABINET + attic + EASY_HOLES + '[limits]\nholes = "walls and ceiling"\n')
    assert "cavity" not in {leg.surface for leg in drilled.run("U-030").legs if leg.path[0][2] < 2.0}


RADIATOR = "[[radiator]]\nwall = 3\nfrom = {}\nto = {}\n"


def test_a_run_goes_round_by_the_other_side_rather_than_below_a_radiator(laid):
    """The way along wall D–A is shorter by the skirting, but a radiator stands there."""
    free = laid([DETOURED]).run("M-110")
    job = laid([DETOURED], RADIATOR.format(2.0, 3.5))
    assert "behind radiator" not in {leg.surface for leg in job.run("M-110").legs}
    assert "cable.past-radiator" not in job.codes
    assert job.run("M-110").routed_m >= free.routed_m


def test_where_nothing_else_is_left_the_way_below_a_radiator_is_taken_and_told(laid):
    """Radiators on both ways round, and a ceiling that costs more still: it is taken, and is to be mended."""
    dear = "[costs]\nceiling_line_per_m = 400\nvertical_per_m = 400\nopen_floor_per_m = 900\n"
    both = RADIATOR.format(2.0, 2.5) + RADIATOR.replace("wall = 3", "wall = 1").format(1.0, 2.5)
    job = laid([DETOURED], both + dear)
    passed = [leg for leg in job.run("M-110").legs if leg.surface == "behind radiator"]
    (finding,) = (f for f in job.plan.findings if f.code == "cable.past-radiator")
    assert finding.measured == pytest.approx(sum(leg.length_m for leg in passed)) == pytest.approx(0.5)
    assert finding.severity == "fix"


WINDOW = '[[opening]]\nkind = "window"\nwall = 3\nstart = 1.0\nwidth = 1.0\nsill = 0.85\nheight = 1.2\ncurtain = {}\n'


def test_a_window_frame_starts_at_the_sill_and_ends_at_the_head(laid):
    """Below the sill there is bare wall, and a curtain hides only what hangs behind it."""
    steer = "[costs]\nvertical_per_m = 1\nceiling_line_per_m = 1\nskirting_per_m = 20\n"
    for curtain in ("false", "true"):
        for run in laid(
            [DETOURED, ("U-110", (1.0, 3.0, 2.4), "ceiling")], WINDOW.format(curtain) + steer
        ).plan.runs:
            for leg in run.legs:
                heights = [point[2] for point in leg.path]
                if leg.surface == "window frame":
                    assert min(heights) >= 0.85 - 1e-6
                    assert max(heights) <= 2.05 + 1e-6
                if leg.cover == "behind curtain":
                    assert min(heights) >= 0.85 - 1e-6


def test_a_share_just_over_the_rule_is_a_note_and_half_a_decibel_is_to_be_mended(laid):
    """A share of 0.0593 of the impedance loses 0.5 dB: 20 lg(1 + 0.0593) = 0.500 (closed form)."""
    near, far = ("M-110", (0.15, 0.9, 1.2), "wall"), ("M-110", (0.15, 2.5, 1.2), "wall")
    stock = '[[cable.stock]]\nconductor = "0.75 mm2"\nprice = 1\n'
    for speaker, share, severity in ((near, 0.0564, "note"), (far, 0.0711, "fix")):
        job = laid([speaker], stock)
        (finding,) = (f for f in job.plan.findings if f.code == "cable.conductor-thin")
        assert finding.measured == pytest.approx(share, abs=0.002)
        assert finding.severity == severity
        assert (finding.measured >= 0.0593) == (severity == "fix")


def test_in_a_project_in_feet_no_sentence_of_the_cable_stage_tells_metres(laid):
    """Findings, needs, labels and cuts are all in the unit that the person works in."""
    feet = [("[room]", 'units = "ft"\n[room]')]
    lines = ("[[0,0],[5,0],[5,4],[0,4]]", "ceiling = 2.5", "at = [2.5, 3.0]", "ear = 1.1")
    feet += [(old, re.sub(r"\d+\.?\d*", lambda n: f"{float(n[0]) / 0.3048:.4f}", old)) for old in lines]
    feet.append(("centre = [2.5, 0.1, 1.0]", "centre = [8.2021, 0.3281, 3.2808]"))
    far = [
        ("M-110", (0.49, 8.2, 3.94), "wall"),
        ("M+180", (8.2, 12.8, 3.94), "wall"),
        ("M-030", (3.3, 9.8, 3.3), "stand"),
    ]
    more = '[[cable.stock]]\nconductor = "14 AWG"\nlength = "30 ft"\nowned = 1\n[limits]\npets = true\n'
    more += SUBWOOFER.replace("[4.5, 0.4, 0.2]", "[14.8, 1.3, 0.66]") + "[[socket]]\nwall = 0\nat = 4\n"
    job = laid(far, more, change=feet, amplifier="[8.2, 1, 1.3]")
    needs = [f"{need.count:g} {need.unit} {need.what} {need.why}" for need in job.plan.needs]
    said = [f"{f.message} {f.advice} {f.source}" for f in job.plan.findings] + needs
    said += (
        [label.end for label in job.plan.labels] + [cut.spare for cut in job.plan.cuts] + [job.plan.one_size]
    )
    assert any("spool of 30 ft" in text or "spool of at least" in text for text in said)
    assert [text for text in said if re.search(r"\d (?:m|cm)\b(?!m)|metre", text)] == []


def test_a_spool_that_is_used_up_is_flagged(laid):
    """8.755 m of a spool of 8.8 m leaves 4.5 cm: one bad cut ends it; a spool of 20 m leaves enough."""
    stock = '[[cable.stock]]\nid = "old drum"\nconductor = "2.5 mm2"\nlength = {}\nowned = 1\n'
    job = laid([DETOURED], stock.format(8.8))
    (finding,) = (f for f in job.plan.findings if f.code == "cable.spool-tight")
    assert finding.measured == pytest.approx(8.8 - 8.755, abs=0.01)
    assert "old drum" in finding.message
    assert "cable.spool-tight" not in laid([DETOURED], stock.format(20)).codes


def test_walls_are_told_by_the_letters_of_the_sheets(laid):
    (finding,) = (
        f
        for f in laid([DETOURED], "[[socket]]\nwall = 0\nat = 1.5\n").plan.findings
        if f.code == "cable.sockets-near"
    )
    assert finding.subject == "wall A–B"
