"""Placing, held against an exhaustive search of the test's own, shapely, and the room moved and turned."""

from dataclasses import replace
from math import cos, dist, inf, radians, sin

import numpy as np
import pytest
from shapely import Point, Polygon

from seatfield.catalogue.systems import system
from seatfield.model import Holes, Mount
from seatfield.stages import layout, survey
from seatfield.stages.layout import Verdict
from seatfield.stages.layout.checking import by_the_picture
from seatfield.stages.layout.placing import WEIGHTS, Spot, ground_of, merit, place
from seatfield.stages.layout.placing.hearing import Directions
from seatfield.stages.layout.placing.merit import pair_costs
from seatfield.stages.layout.placing.places import groups
from seatfield.stages.layout.placing.polishing import spots_cost
from seatfield.stages.layout.windows import mirrored_label
from seatfield.stages.survey import swept, top_m

FRESH = range(9001, 9011)
"""Seeds of rooms that nothing was tuned on."""

CROWDED = 63
"""A room where the loudspeakers overhead would like the places of those below."""

MOST = 1000.0
"""A group that costs more than this has no place."""


def planned(project):
    return layout.plan(project, survey.plan(project))


def own_grid(ground, box, step=0.05):
    """Lay a 5 cm grid along walls, in the seat's frame on stands, on furniture and under the ceiling."""
    floor = np.array(ground.floor)
    ceiling = float(ground.ceiling(ground.head[None, :2])[0])
    heights = np.arange(0.3, ceiling, step)
    for start, end in zip(floor, np.roll(floor, -1, axis=0), strict=True):
        length = float(np.hypot(*(end - start)))
        along = (end - start) / length
        inward = np.array([-along[1], along[0]])  # the test's rooms are listed counter-clockwise
        feet = start + np.arange(0, length, step)[:, None] * along + box.off_wall_m * inward
        yield Mount.WALL, np.column_stack((np.repeat(feet, len(heights), 0), np.tile(heights, len(feet))))
    steps = np.arange(-200, 201) * step
    fore, left = (grid.ravel()[:, None] for grid in np.meshgrid(steps, steps))
    plan = ground.head[:2] + fore * ground.ahead + left * ground.left
    low, high = floor.min(axis=0), floor.max(axis=0)
    plan = plan[((plan > low) & (plan < high)).all(axis=1)]
    for height in (*np.arange(0.15, 1.501, step), float(ground.head[2])):
        points = np.column_stack((plan, np.full(len(plan), height)))
        yield Mount.STAND, points
        yield Mount.UPWARD, points
    yield Mount.CEILING, np.column_stack((plan, np.full(len(plan), ceiling - 0.1)))
    for piece in ground.survey.room.furniture:
        yield Mount.SHELF, np.column_stack((plan, np.full(len(plan), top_m(piece) + box.height_m / 2)))


def could_be_inside(ground, channel, points):
    """Tell which points are no further than 5° from the azimuths of a window."""
    ways = points[:, :2] - ground.head[:2]
    azimuths = np.degrees(np.arctan2(ways @ ground.left, ways @ ground.ahead))
    return np.any(
        [
            np.abs((azimuths - (low + high) / 2 + 180) % 360 - 180) <= (high - low) / 2 + 5
            for low, high in channel.azimuth_window
        ],
        axis=0,
    )


def weighed(ground, job, taken, most):
    """Return the places of the test's grid that cost no more than something: costs, mounts and directions."""
    costs, mounts, rows = [np.zeros(0)], [np.zeros(0)], [np.zeros((0, 3))]
    for mount, every in own_grid(ground, job.box):
        if mount in job.mounts:
            points = every[could_be_inside(ground, job.channel, every)] if most < WEIGHTS.outside else every
            cost, seen = spots_cost(ground, job, points, mount, taken)
            cheap = cost <= most
            costs.append(cost[cheap])
            mounts.append(np.full(int(cheap.sum()), list(Mount).index(mount)))
            rows.append(np.column_stack((seen.azimuth_deg, seen.elevation_deg, seen.distance_m))[cheap])
    return np.concatenate(costs), np.concatenate(mounts), np.concatenate(rows)


def exhaustive(ground, jobs, taken, most):
    """Return the least cost of a group over the whole grid, infinite where none costs less than something."""
    sides = [weighed(ground, job, taken, most) for job in jobs]
    least = [cost.min(initial=inf) for cost, _, _ in sides]
    if len(sides) == 1:
        return float(least[0])
    hopeful = [cost + other <= most for (cost, _, _), other in zip(sides, least[::-1], strict=True)]
    (left, left_mounts, left_heard), (right, right_mounts, right_heard) = (
        tuple(part[some] for part in side) for side, some in zip(sides, hopeful, strict=True)
    )
    best, two = inf, Directions(*right_heard.T[:, None])
    for first in range(0, len(left), 200):
        some = slice(first, first + 200)
        one = Directions(*left_heard[some].T[:, :, None])
        same = (left_mounts[some, None] == right_mounts[None]).astype(float)
        whole = left[some, None] + right[None] + pair_costs(one, two, same)
        best = min(best, float(whole.min(initial=inf)))
    return best


@pytest.mark.slow
@pytest.mark.parametrize("seed", FRESH)
def test_no_place_of_an_exhaustive_5_cm_grid_has_more_merit(random_room, seed):
    """Lying outside a window costs 100: whatever window the grid reaches is reached."""
    project = random_room(seed)
    found = survey.plan(project)
    assert found.sound
    ground = ground_of(project, found)
    places = place(ground, system("4+7+0"))
    for labels in groups(places.jobs):
        jobs = tuple(places.jobs[label] for label in labels)
        taken = tuple(spot for label, spot in places.spots.items() if label not in labels)
        mine = next((group.cost for group in places.found if group.labels == labels), inf)
        assert exhaustive(ground, jobs, taken, min(mine, MOST)) >= mine - 1e-6, labels


def test_no_grid_without_the_loudspeakers_placed_before_beats_the_gap_that_is_told(random_room):
    """Each group alone in the room: what it costs there is no less than what it cost less its gap."""
    project = random_room(CROWDED)
    ground = ground_of(project, survey.plan(project))
    places = place(ground, system("4+7+0"))
    assert places.gap > 0
    assert places.gap == sum(group.gap for group in places.found)
    for group in places.found:
        if group.gap > 0:
            jobs = tuple(places.jobs[label] for label in group.labels)
            assert exhaustive(ground, jobs, (), group.cost) >= group.cost - group.gap - 1e-6


def test_the_merit_of_the_whole_is_the_sum_of_what_the_search_weighed(random_room):
    project = random_room(30)
    ground = ground_of(project, survey.plan(project))
    places = place(ground, system("4+5+0"))
    assert places.merit.total == pytest.approx(-sum(group.cost for group in places.found), abs=1e-6)
    assert places.merit.forbidden == ()
    assert places.polish_gain >= 0


def test_a_forbidden_place_has_no_merit_and_says_why(random_room):
    project = random_room(31)
    ground = ground_of(project, survey.plan(project))
    sofa = next(piece for piece in project.room.furniture if piece.name == "sofa")
    inside = (*np.mean(sofa.outline, axis=0).tolist(), 1.1)
    found = merit(ground, system("0+5+0"), {"M+030": Spot(inside, Mount.STAND)})
    assert found.total == -inf
    assert ("M+030", "sofa") in found.forbidden


@pytest.mark.parametrize("seed", [32, 35])
def test_nothing_is_placed_in_furniture_doors_keep_outs_windows_or_past_the_limits(random_room, seed):
    project = random_room(seed)
    found = survey.plan(project)
    laid = layout.plan(project, found)
    room = Polygon(found.room.floor)
    barred = [Polygon(area) for _, area in swept(found)] + [
        Polygon(a.outline) for a in project.limits.keep_out
    ]
    for one in laid.loudspeakers:
        if one.at is None:
            continue
        spot = Point(one.at[:2])
        assert one.placed
        assert room.covers(spot)
        assert one.at[2] <= survey.height_at(found, one.at)
        assert min(dist(one.at, seat.head) for seat in project.seats) >= 0.5 - 1e-6
        if one.mount is Mount.STAND:
            assert not any(Polygon(p.outline).contains(spot) for p in project.room.furniture)
            assert not any(area.contains(spot) for area in barred)
        if project.limits.holes is not Holes.WALLS_AND_CEILING:
            assert one.mount is not Mount.CEILING
        if project.limits.holes is Holes.NONE:
            assert one.mount is not Mount.WALL


def mover(turn_deg, shift, *, flip):
    """Make a map that mirrors left and right, turns and moves the plan."""
    c, s = cos(radians(turn_deg)), sin(radians(turn_deg))

    def move(point):
        x, y = (-point[0] if flip else point[0]), point[1]
        return (c * x - s * y + shift[0], s * x + c * y + shift[1], *point[2:])

    return move


def moved(project, move):
    """Move everything of the test's rooms that has a place."""

    def outline(points):
        return tuple(move(point) for point in points)

    room = project.room
    room = replace(
        room,
        floor=outline(room.floor),
        furniture=tuple(replace(piece, outline=outline(piece.outline)) for piece in room.furniture),
    )
    keep_out = tuple(replace(area, outline=outline(area.outline)) for area in project.limits.keep_out)
    return replace(
        project,
        room=room,
        limits=replace(project.limits, keep_out=keep_out),
        seats=tuple(replace(seat, at=move(seat.at)) for seat in project.seats),
        screen=replace(project.screen, centre=move(project.screen.centre)),
    )


@pytest.mark.parametrize(
    ("seed", "turn_deg", "shift", "flip"),
    [(33, 37.0, (3.1, -7.7), False), (33, 0.0, (0.0, 0.0), True), (34, 211.3, (10.0, 20.0), True)],
)
def test_moving_turning_and_mirroring_the_room_moves_turns_and_mirrors_the_results(
    random_room, seed, turn_deg, shift, flip
):
    project, move = random_room(seed, "2+5+0"), mover(turn_deg, shift, flip=flip)
    here, there = planned(project), planned(moved(project, move))
    by_channel = {one.channel: one for one in there.loudspeakers}
    for one in here.loudspeakers:
        twin = by_channel[mirrored_label(one.channel) if flip else one.channel]
        assert twin.at == pytest.approx(move(one.at), abs=1e-6)
        assert twin.azimuth_deg == pytest.approx(-one.azimuth_deg if flip else one.azimuth_deg, abs=1e-6)
        assert (twin.mount, twin.verdict) == (one.mount, one.verdict)
    assert there.sought.merit == pytest.approx(here.sought.merit, abs=1e-6)
    assert [one.system for one in there.candidates] == [one.system for one in here.candidates]
    assert sorted(one.level_db for one in there.reflections) == pytest.approx(
        sorted(one.level_db for one in here.reflections)
    )


def test_placing_twice_gives_the_same(random_room):
    assert planned(random_room(36, "0+2+0")) == planned(random_room(36, "0+2+0"))


MODEL = '[[model]]\nname = "box"\nkind = "loudspeaker"\n'


def unplaced(*channels):
    return "".join(f'[[loudspeaker]]\nchannel = "{channel}"\nmodel = "box"\n' for channel in channels)


def test_given_positions_stay_and_only_the_rest_is_placed(plain_room):
    given = (
        MODEL
        + unplaced("M-030")
        + '[[loudspeaker]]\nchannel = "M+030"\nmodel = "box"\nat = [4.1, 0.4, 1.1]\n'
    )
    found = {one.channel: one for one in planned(plain_room(given, "0+2+0")).loudspeakers}
    assert found["M+030"].at == (4.1, 0.4, 1.1)
    assert not found["M+030"].placed
    assert found["M-030"].placed
    assert found["M-030"].at == pytest.approx((0.9, 0.4, 1.1), abs=0.06)  # near its mirror image


def test_every_loudspeaker_of_a_plain_room_gets_a_good_or_usable_place(plain_room):
    found = planned(plain_room(layout="0+5+0", change=[("at = [2.5, 3.0]", "at = [2.5, 2.6]")]))
    centre = next(one for one in found.loudspeakers if one.channel == "M+000")
    assert by_the_picture(centre)  # 14° down: without holes it cannot hang over the picture
    rest = {one.verdict for one in found.loudspeakers if one is not centre}
    assert rest <= {Verdict.GOOD, Verdict.USABLE}
    assert all(one.placed for one in found.loudspeakers)
    assert found.sought.step_m == 0.05


def test_what_is_impossible_says_so_with_the_cheapest_change(plain_room):
    """A keep-out over the whole right half bars both right loudspeakers: giving it up is the change."""
    limits = '[limits]\nkeep_out = [{ name = "play corner", outline = [[-1,-1],[2.4,-1],[2.4,5],[-1,5]] }]\n'
    found = planned(plain_room(limits, "0+2+0"))
    (finding,) = (f for f in found.findings if f.code.startswith("layout.no-place"))
    assert finding.subject == "M-030"
    assert "Give up the keep-out “play corner”" in finding.advice


def test_really_different_places_tell_their_cost(plain_room):
    limits = '[limits]\nholes = "walls"\n'
    found = planned(plain_room(limits, "0+2+0"))
    assert found.alternatives
    for other in found.alternatives:
        chosen = {one.channel: one for one in found.loudspeakers}
        apart = [dist(place.at, chosen[place.channel].at) for place in other.places]
        assert max(apart) > 0.5 or any(p.mount is not chosen[p.channel].mount for p in other.places)
        assert other.merit_loss >= 0
    on_wall = next(o for o in found.alternatives if {p.mount for p in o.places} == {Mount.WALL})
    assert on_wall.holes == 4


def test_a_sofa_against_the_back_wall_turns_to_the_back_pair_when_moved_forward(plain_room):
    back = [("at = [2.5, 3.0]", "at = [2.5, 3.5]")]
    found = planned(plain_room(layout="best that fits", change=back))
    seven = next(one for one in found.candidates if one.system == "0+7+0")
    assert any("back pair" in reason for reason in seven.reasons)
    assert any("forward" in flip and "behind the head" in flip for flip in seven.flips)
    best = found.candidates[0]
    assert best.feasible
    assert found.system in {one.system for one in found.candidates if one.feasible}


def test_an_amplifier_with_five_channels_rules_out_larger_systems(plain_room):
    amplifier = '[[amplifier]]\nname = "amp"\nat = [1, 0.3, 0.5]\nchannels = 5\nprocessed = 5\n'
    found = {one.system: one for one in planned(plain_room(amplifier, "best that fits")).candidates}
    assert found["0+5+0"].feasible
    assert not found["0+7+0"].feasible
    assert any("renders 5" in reason for reason in found["0+7+0"].reasons)


def test_height_without_holes_compares_every_way_by_what_the_ear_gets(plain_room):
    found = planned(plain_room(layout="2+5+0"))
    options = {one.method: one for one in found.heights}
    assert set(options) == {
        "on the ceiling",
        "high in front",
        "high at the side",
        "high behind",
        "upward-firing",
    }
    assert not options["on the ceiling"].possible
    assert any("holes in the ceiling" in reason for reason in options["on the ceiling"].reasons)
    up = options["upward-firing"]
    assert up.possible
    assert up.bounce[2] == pytest.approx(2.5)
    # The image of a loudspeaker at height h lies at 5 − h: its elevation by hand.
    place_, head = up.places[0], (2.5, 3.0, 1.1)
    rise = 2 * 2.5 - place_.at[2] - head[2]
    assert place_.elevation_deg == pytest.approx(np.degrees(np.arctan2(rise, dist(place_.at[:2], head[:2]))))


def test_a_soft_ceiling_spoils_every_bounce(plain_room):
    soft = [("ceiling = 2.5", 'ceiling = 2.5\nfinishes = { ceiling = "mineral wool panel" }')]
    options = {one.method: one for one in planned(plain_room(layout="2+5+0", change=soft)).heights}
    assert not options["upward-firing"].possible
    assert "swallows" in options["upward-firing"].reasons[0]
