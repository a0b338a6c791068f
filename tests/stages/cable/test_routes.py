"""What must hold of any routes: surfaces, doors, continuity, bounds, and that more room to choose never costs more."""

from dataclasses import fields, replace
from itertools import pairwise
from math import dist

import numpy as np
import pytest

from seatfield.geometry.ceiling import height
from seatfield.geometry.polygon import boundary_distance, contains
from seatfield.model import CoverKind, Stock
from seatfield.stages import survey

EXTRAS = """
[[opening]]
kind = "door"
wall = 2
start = 0.4
width = 0.9
height = 2.0
[[opening]]
kind = "window"
wall = 3
start = 1.2
width = 1.4
sill = 0.9
height = 1.2
curtain = true
[[furniture]]
name = "sideboard"
kind = "cabinet"
outline = [[1.8,0.02],[3.4,0.02],[3.4,0.45],[1.8,0.45]]
height = 0.6
[[furniture]]
name = "sofa"
kind = "sofa"
outline = [[1.6,2.6],[3.4,2.6],[3.4,3.4],[1.6,3.4]]
height = 0.8
[[cover]]
kind = "rug"
outline = [[1.2,0.7],[3.8,0.7],[3.8,2.4],[1.2,2.4]]
[[cover]]
kind = "raceway"
wall = 0
from = 0.4
to = 4.6
height = 0.05
inside = [0.020, 0.010]
existing = true
[[cover]]
kind = "skirting gap"
wall = 1
from = 0
to = 2.5
[[socket]]
wall = 1
at = 1.2
[[radiator]]
wall = 3
from = 1.2
to = 2.6
[limits]
pets = true
walkways = [ [[4.4,3.8],[4.3,2.2],[3.9,1.2]] ]
mains_cables = [ [[5.0,1.2,0.2],[5.0,3.0,0.2]] ]
[[subwoofer]]
name = "sub"
model = "ten"
at = [4.6, 0.4, 0.2]
[[subwoofer_model]]
"""
EXTRAS = EXTRAS.replace("[[subwoofer_model]]\n", '[[model]]\nname = "ten"\nkind = "subwoofer"\n')

SHAPES = {
    "rectangle": "[[0,0],[5,0],[5,4],[0,4]]",
    "L": "[[0,0],[5,0],[5,2.5],[5.6,2.5],[5.6,4],[0,4]]",
    "clockwise": "[[5,0],[0,0],[0,4],[5,4]]",
}


PLANNED = {}


def kit(seed):
    rng = np.random.default_rng(seed)
    low = [("M+030", "stand", 1.0), ("M-030", "stand", 1.0), ("M+110", "wall", 1.6), ("M-110", "wall", 1.4)]
    speakers = [("M+000", (2.6, 0.3, 0.75), "shelf")]
    for channel, mount, z in low:
        x = 0.12 if mount == "wall" else float(rng.uniform(0.5, 1.5))
        x = x if "-" in channel else 5.0 - x
        y = float(rng.uniform(2.0, 2.4)) if mount == "wall" else float(rng.uniform(0.3, 0.9))
        speakers.append((channel, (round(x, 3), round(y, 3), z), mount))
    for channel, x in (("U+030", 3.4), ("U-030", 1.5), ("U+110", 3.6), ("U-110", 1.4)):
        y = 1.4 if "030" in channel else 3.5
        speakers.append((channel, (x, round(y + float(rng.uniform(-0.3, 0.3)), 3), 2.42), "ceiling"))
    return speakers


@pytest.fixture(
    params=[("rectangle", 1), ("L", 2), ("clockwise", 3), ("rectangle", 4)], ids=lambda p: f"{p[0]}-{p[1]}"
)
def job(request, laid):
    shape, seed = request.param
    if request.param not in PLANNED:
        change = [("floor = [[0,0],[5,0],[5,4],[0,4]]", f"floor = {SHAPES[shape]}")]
        PLANNED[request.param] = laid(kit(seed), EXTRAS, change=change)
    return PLANNED[request.param]


@pytest.fixture
def again(cabled):
    """Plan the same job with parts of its project changed."""
    return lambda job, **changes: cabled(replace(job.project, **changes))


def test_every_run_is_one_unbroken_line_between_its_ends(job):
    assert len(job.plan.runs) == 10
    places = {s.id: s.at for s in (*job.project.loudspeakers, *job.project.subwoofers)}
    for run in job.plan.runs:
        assert run.path[0] == pytest.approx(job.project.amplifiers[0].at)
        assert run.path[-1] == pytest.approx(places[run.loudspeaker])
        for one, two in pairwise(run.legs):
            assert one.path[-1] == pytest.approx(two.path[0], abs=1e-9)
        length = sum(dist(a, b) for a, b in pairwise(run.path))
        assert run.routed_m == pytest.approx(length, abs=1e-6)
        assert run.routed_m == pytest.approx(sum(leg.length_m for leg in run.legs))


def test_no_run_is_shorter_than_the_straight_line(job):
    for run in job.plan.runs:
        assert run.routed_m >= dist(run.path[0], run.path[-1]) - 1e-9
        assert run.straight_m == pytest.approx(dist(run.path[0], run.path[-1]))


def between(leg):
    for a, b in pairwise(leg.path):
        for share in np.linspace(0, 1, 21):
            yield tuple(p + share * (q - p) for p, q in zip(a, b, strict=True))


def test_every_leg_stays_on_its_surface(job):
    surveyed = survey.plan(job.project)
    floor = surveyed.room.floor
    for run in job.plan.runs:
        for leg in run.legs:
            for x, y, z in between(leg):
                assert contains(floor, (x, y))
                ceiling = height(surveyed.ceiling, x, y)
                at_wall = boundary_distance(floor, (x, y)) < 1e-6
                if leg.surface in ("skirting", "floor", "threshold"):
                    assert z == 0
                elif leg.surface in ("ceiling", "ceiling line"):
                    assert z == pytest.approx(ceiling)
                if leg.surface not in ("floor", "ceiling", "stand", "lead"):
                    assert at_wall
                assert -1e-9 <= z <= ceiling + 1e-9


def test_leads_and_drops_are_short_square_and_the_only_ways_off_a_surface(job):
    for run in job.plan.runs:
        for leg in run.legs:
            a, b = leg.path[0], leg.path[-1]
            if leg.surface == "stand":
                assert a[:2] == pytest.approx(b[:2])
            if leg.surface == "lead":
                assert leg.length_m <= 1.0
                assert sum(abs(p - q) > 1e-9 for p, q in zip(a, b, strict=True)) <= 1


def test_no_run_crosses_an_opening_above_the_floor(job):
    surveyed = survey.plan(job.project)
    for run in job.plan.runs:
        for leg in run.legs:
            for x, y, z in between(leg):
                for opening in surveyed.room.openings:
                    frame = surveyed.walls[opening.wall]
                    along = (x - frame.start[0]) * frame.along[0] + (y - frame.start[1]) * frame.along[1]
                    away = (x - frame.start[0]) * frame.inward[0] + (y - frame.start[1]) * frame.inward[1]
                    inside = opening.start_m + 1e-6 < along < opening.start_m + opening.width_m - 1e-6
                    within = opening.sill_m + 1e-6 < z < opening.sill_m + opening.height_m - 1e-6
                    assert not (abs(away) < 1e-6 and inside and within)


def test_the_cost_is_the_sum_of_its_parts_and_never_under_the_bound(job):
    cost = job.plan.cost
    parts = [getattr(cost, f.name) for f in fields(cost) if f.name != "total"]
    assert cost.total == pytest.approx(sum(parts))
    assert 0 < job.plan.bound <= cost.total
    assert cost.total <= job.plan.bound * 1.05
    if job.plan.exact:
        assert cost.total == pytest.approx(job.plan.bound)


def test_every_run_rests_in_covers_only_where_they_are(job):
    raceway = next(c for c in job.project.room.covers if c.kind is CoverKind.RACEWAY)
    for use in job.plan.covers:
        assert 0 < use.fill <= 0.5 + 1e-9
        if use.cover == raceway.id:
            assert not use.buy
            assert all(0.4 - 1e-6 <= x <= 4.6 + 1e-6 for x, _, _ in use.path)


def test_taking_a_cover_away_never_costs_less_than_the_old_bound(job, again):
    for kind in (CoverKind.RUG, CoverKind.RACEWAY, CoverKind.SKIRTING_GAP):
        room = job.project.room
        left = tuple(cover for cover in room.covers if cover.kind is not kind)
        assert again(job, room=replace(room, covers=left)).cost.total >= job.plan.bound - 1e-6


def test_taking_a_run_away_never_gives_a_bound_above_the_old_cost(job, again):
    fewer = again(job, loudspeakers=job.project.loudspeakers[:-1])
    assert fewer.bound <= job.plan.cost.total + 1e-6


def test_the_same_job_gives_the_same_plan(job, again):
    assert again(job) == job.plan


def test_alternatives_are_told_by_the_projects_own_weights(job):
    named = {alternative.name: alternative for alternative in job.plan.alternatives}
    chosen = named["chosen"]
    assert next(iter(named)) == "chosen"
    assert chosen.cost == pytest.approx(job.plan.cost.total)
    assert chosen.cable_m == pytest.approx(sum(run.routed_m for run in job.plan.runs))
    assert {"least seen", "least work", "least bought"} <= set(named)
    for other in named.values():
        assert other.cost >= job.plan.bound - 1e-6
        assert {name for name, _ in other.routes} == {run.id for run in job.plan.runs}
    every = named.values()
    assert named["least seen"].seen_m <= min(one.seen_m for one in every) + 1e-6
    assert named["least work"].hours <= min(one.hours for one in every) + 1e-6


def test_what_a_set_of_routes_costs_to_buy_is_its_shopping_list(job, again):
    """The chosen one's is the list of the plan itself; the least of all bears the name. Without prices it is None."""
    assert {one.bought for one in job.plan.alternatives} == {None}
    stock = (
        Stock("spool", "1.5 mm2", 1.5, length_m=25.0, price=18.9),
        Stock("drum", "2.5 mm2", 2.5, price=1.6),
    )
    found = again(job, cable=replace(job.project.cable, stock=stock))
    chosen, *others = found.alternatives
    assert chosen.bought == pytest.approx(
        sum(need.price * need.count for need in found.needs if need.price is not None)
    )
    (least,) = [one for one in others if one.name == "least bought"]
    assert least.bought == min(one.bought for one in found.alternatives)


def test_a_straight_line_guess_would_have_bought_far_too_little(job):
    assert job.plan.straight_m < 0.75 * sum(run.routed_m for run in job.plan.runs)


def test_exact_on_request_closes_the_gap(laid, cabled):
    job = laid(kit(5)[:4], EXTRAS)
    exact = cabled(job.project, exact=True)
    assert exact.exact
    assert exact.cost.total == pytest.approx(exact.bound)
    assert exact.cost.total <= job.plan.cost.total + 1e-6
    assert exact.bound >= job.plan.bound - 1e-6


def test_a_loudspeaker_more_beside_the_amplifier_makes_no_other_run_cheaper(laid):
    # A box on the wall brings a way up the wall with it; it is its own, so that the others gain nothing by it.
    heights = [(c, at, m) for c, at, m in kit(6) if m == "ceiling"]
    fewer, more = laid(heights, EXTRAS), laid([("M+000", (2.6, 0.1, 0.9), "wall"), *heights], EXTRAS)
    assert more.plan.cost.total >= fewer.plan.bound - 1e-6
    paths = {run.id: run.path for run in more.plan.runs}
    for run in fewer.plan.runs:
        assert not {p for p in paths[run.id] if p[:2] == (2.6, 0.0) and p[2] > 0.01}


def test_two_amplifiers_apart_each_get_their_runs_and_a_bound_that_holds(plain_room, cabled):
    kit_text = """
[[amplifier]]
name = "receiver"
at = [1.5, 0.3, 0.4]
channels = 2
processed = 4
pre_outs = 2
[[amplifier]]
name = "power"
at = [3.5, 0.3, 0.4]
channels = 2
[[model]]
name = "box"
"""
    places = {"M+030": (4.2, 0.5), "M-030": (0.8, 0.5), "M+110": (4.6, 2.6), "M-110": (0.4, 2.6)}
    for channel, (x, y) in places.items():
        kit_text += (
            f'[[loudspeaker]]\nchannel = "{channel}"\nmodel = "box"\nat = [{x}, {y}, 1.0]\nmount = "stand"\n'
        )
    project = plain_room(kit_text)
    plan = cabled(project)
    starts = {run.id: run.path[0] for run in plan.runs}
    assert {starts["M+030"], starts["M-030"]} == {
        (3.5, 0.3, 0.4)
    }  # an external amplifier takes the front pair
    assert {starts["M+110"], starts["M-110"]} == {(1.5, 0.3, 0.4)}
    assert 0 < plan.bound <= plan.cost.total + 1e-9
