"""What else there is: really different places and their cost, the fairest for all seats, the ways to get height."""

from collections.abc import Iterator
from math import acos, degrees, dist

import numpy as np

from seatfield.catalogue.systems import Channel
from seatfield.decibel import distance_loss_db
from seatfield.geometry.batch import Floats, Mask, edge_distances
from seatfield.geometry.direction import outside_window_deg
from seatfield.model import Mount, Point3
from seatfield.stages.layout.placing.bounces import absorbs, bounce_directions
from seatfield.stages.layout.placing.carriers import BOUNCE_HEIGHT_M
from seatfield.stages.layout.placing.carrying import cable_metres
from seatfield.stages.layout.placing.ground import Ground
from seatfield.stages.layout.placing.hearing import heard_from
from seatfield.stages.layout.placing.merit import Spot
from seatfield.stages.layout.placing.places import Places, groups, outside_cost
from seatfield.stages.layout.placing.pools import Job, pool_of
from seatfield.stages.layout.placing.search import Found
from seatfield.stages.layout.placing.spots import Spots
from seatfield.stages.layout.result import Alternative, Fairest, HeightOption, Stead, Verdict
from seatfield.stages.layout.windows import deviation_deg, verdict_of, widened
from seatfield.stages.survey import tell

HOLES = {Mount.WALL: 2, Mount.CEILING: 2}
"""Screws per loudspeaker: common practice, no source."""

HIGH_M = 0.4
"""High on a wall: within this of the ceiling [m]."""

FAIRER_BY_DEG = 3.0
METHODS = ("on the ceiling", "high in front", "high at the side", "high behind", "upward-firing")


def stead(ground: Ground, channel: Channel, spot: Spot) -> Stead:
    """Return a place with what the main seat hears of it.

    Parameters
    ----------
    ground
        The room.
    channel
        The channel that plays there.
    spot
        The place.

    Returns
    -------
    Stead
        Direction, distance [m], deviation [deg].
    """
    heard = heard_from(ground, np.array([spot.at]), spot.mount)
    azimuth, elevation, distance = (
        float(values[0]) for values in (heard.azimuth_deg, heard.elevation_deg, heard.distance_m)
    )
    off = deviation_deg(channel, azimuth, elevation)
    return Stead(channel.label, spot.at, spot.mount, azimuth, elevation, distance, off)


def cable_of(ground: Ground, spot: Spot) -> float:
    """Return roughly how much cable a place takes [m]."""
    point = np.array([spot.at])
    return float(cable_metres(ground, point, *edge_distances(ground.floor, point[:, :2]))[0])


def alternatives_of(places: Places) -> Iterator[Alternative]:
    """Yield the really different places of every group that was sought, the cheapest first.

    Parameters
    ----------
    places
        What was found.

    Yields
    ------
    Alternative
        With its cost against the chosen place; those much further outside their window are left out.
    """
    for group in places.found:
        for spots, cost in group.others:
            if outside_cost(group.cost) or not outside_cost(cost):
                made = _alternative(places, group, spots, cost)
                if all(verdict_of(one.deviation_deg) is not Verdict.NOT_POSSIBLE for one in made.places):
                    yield made


def _alternative(places: Places, group: Found, spots: tuple[Spot, ...], cost: float) -> Alternative:
    ground, channels = places.ground, [places.jobs[label].channel for label in group.labels]
    now = [stead(ground, channel, spot) for channel, spot in zip(channels, group.spots, strict=True)]
    then = [stead(ground, channel, spot) for channel, spot in zip(channels, spots, strict=True)]
    louder = [distance_loss_db(a.distance_m, max(b.distance_m, 0.1)) for a, b in zip(now, then, strict=True)]
    metres = [cable_of(ground, b) - cable_of(ground, a) for a, b in zip(group.spots, spots, strict=True)]
    holes = [HOLES.get(b.mount, 0) - HOLES.get(a.mount, 0) for a, b in zip(group.spots, spots, strict=True)]
    return Alternative(
        group.labels,
        tuple(then),
        cost - group.cost,
        max(one.deviation_deg for one in then) - max(one.deviation_deg for one in now),
        sum(louder) / len(louder),
        sum(metres),
        sum(holes),
    )


def fairest_of(places: Places) -> Iterator[Fairest]:
    """Yield, for groups that were sought, the place that serves the worst seat best.

    Parameters
    ----------
    places
        What was found.

    Yields
    ------
    Fairest
        Only where it helps the worst-served seat by three degrees or more.
    """
    if len(places.ground.project.seats) < 2:
        return
    for group in places.found:
        made = [_fair(places, label, spot) for label, spot in zip(group.labels, group.spots, strict=True)]
        if all(made):
            yield from _told_fair(places, group, [one for one in made if one is not None])


def _fair(places: Places, label: str, spot: Spot) -> tuple[Spot, float, float, str] | None:
    """Return the fairest place of a channel, the worst deviation now and there, and the worst seat."""
    job, ground = places.jobs[label], places.ground
    if job.fixed is not None:
        return None
    taken = tuple(other for name, other in places.spots.items() if name != label)
    pool = pool_of(ground, places.book, job, taken).cheapest(2500)[0]
    main = _seat_deviations(ground, job, pool.points, ground.project.main_seat.head)
    pool = pool.at(np.flatnonzero(main <= main.min() + 10.0))
    heads = [seat.head for seat in ground.project.seats]
    every = np.array([_seat_deviations(ground, job, pool.points, head) for head in heads])
    now = [float(_seat_deviations(ground, job, np.array([spot.at]), head)[0]) for head in heads]
    worst = every.max(axis=0)
    best = int(np.lexsort((pool.bound.round(6), worst.round(3)))[0])
    x, y, z = (float(value) for value in pool.points[best])
    seat = ground.project.seats[int(np.argmax(now))].name
    return Spot((x, y, z), tuple(Mount)[int(pool.mounts[best])]), max(now), float(worst[best]), seat


def _seat_deviations(ground: Ground, job: Job, points: Floats, head: Point3) -> Floats:
    screen = np.array(ground.project.screen.centre[:2]) - np.array(head[:2])
    ahead = screen / max(float(np.hypot(*screen)), 1e-9)
    gaps = points - np.array(head)
    fore, left = gaps[:, :2] @ ahead, gaps[:, :2] @ np.array([-ahead[1], ahead[0]])
    azimuth = np.degrees(np.arctan2(left, fore))
    elevation = np.degrees(np.arctan2(gaps[:, 2], np.hypot(fore, left)))
    channel = job.channel
    azimuths, elevations = widened(channel.azimuth_window or ()), widened(channel.elevation_window or ())
    return outside_window_deg(azimuth, elevation, azimuths, elevations)


def _told_fair(places: Places, group: Found, made: list[tuple[Spot, float, float, str]]) -> Iterator[Fairest]:
    before, after = max(one[1] for one in made), max(one[2] for one in made)
    if before - after < FAIRER_BY_DEG:
        return
    ground = places.ground
    channels = [places.jobs[label].channel for label in group.labels]
    then = [stead(ground, channel, one[0]) for channel, one in zip(channels, made, strict=True)]
    now = [stead(ground, channel, spot) for channel, spot in zip(channels, group.spots, strict=True)]
    pays = max(one.deviation_deg for one in then) - max(one.deviation_deg for one in now)
    worst_seat = max(made, key=lambda one: one[1])[3]
    yield Fairest(group.labels, tuple(then), worst_seat, before, after, max(pays, 0.0))


def heights_of(places: Places) -> Iterator[HeightOption]:
    """Yield every way to get height for each pair of height channels, by what the ear gets.

    Parameters
    ----------
    places
        What was found.

    Yields
    ------
    HeightOption
        In the order of `METHODS`, for each pair.
    """
    for labels in groups(places.jobs):
        if labels[0].startswith("U"):
            jobs = [places.jobs[label] for label in labels]
            for method in METHODS:
                yield _height(places, jobs, method)


def _height(places: Places, jobs: list[Job], method: str) -> HeightOption:
    ground = places.ground
    labels = tuple(job.channel.label for job in jobs)
    best = [_best_by(places, job, method) for job in jobs]
    found = [one for one in best if one is not None]
    if len(found) < len(jobs):
        reasons = _why_no_bounce(ground) if method == "upward-firing" else ("The room has no such place.",)
        return HeightOption(
            labels, method, (), None, None, Verdict.NOT_POSSIBLE, possible=False, reasons=reasons
        )
    then = tuple(stead(ground, job.channel, spot) for job, (spot, _) in zip(jobs, found, strict=True))
    changes = tuple(dict.fromkeys(f"{step}." for _, steps in found for step in steps))
    worst = max(one.deviation_deg for one in then)
    bounce, tilt = _bounce(ground, found[0][0]) if method == "upward-firing" else (None, None)
    return HeightOption(
        labels,
        method,
        then,
        sum(one.elevation_deg for one in then) / len(then),
        worst,
        verdict_of(worst),
        possible=not changes,
        reasons=changes or (f"The ear gets {then[0].elevation_deg:.0f}° of elevation.",),
        bounce=bounce,
        tilt_deg=tilt,
    )


def _best_by(places: Places, job: Job, method: str) -> tuple[Spot, tuple[str, ...]] | None:
    """Return a channel's best place by a method and what would have to be lifted for it."""
    ground = places.ground
    mount = {"on the ceiling": Mount.CEILING, "upward-firing": Mount.UPWARD}.get(method, Mount.WALL)
    spots = places.book.spots(job.channel, mount, job.box)
    burden = _burdens(ground, spots)
    open_ = np.isfinite(burden) & _by_method(ground, spots, method)
    if not open_.any():
        return None
    some = spots.chosen(open_)
    channel = job.channel
    azimuths, elevations = widened(channel.azimuth_window or ()), widened(channel.elevation_window or ())
    outside = outside_window_deg(some.heard.azimuth_deg, some.heard.elevation_deg, azimuths, elevations)
    rank = outside.round(3) + 3 * burden[open_]
    best = int(np.lexsort((some.cost.round(6), rank))[0])
    pattern = int(some.bits[best])
    steps = tuple(one.change for i, one in enumerate(ground.obstacles) if pattern >> i & 1)
    x, y, z = (float(value) for value in some.points[best])
    return Spot((x, y, z), mount), steps


def _burdens(ground: Ground, spots: Spots) -> Floats:
    patterns, place = np.unique(spots.bits, return_inverse=True)
    burdens = [
        sum(one.burden for i, one in enumerate(ground.obstacles) if int(pattern) >> i & 1)
        for pattern in patterns
    ]
    return np.asarray(burdens, float)[place] if len(patterns) else np.zeros(0)


def _by_method(ground: Ground, spots: Spots, method: str) -> Mask:
    if not method.startswith("high"):
        return np.ones(len(spots.points), bool)
    around = np.abs(spots.heard.azimuth_deg)
    high = ground.ceiling(spots.points[:, :2]) - spots.points[:, 2] <= HIGH_M
    low, top = {"high in front": (0.0, 60.0), "high at the side": (60.0, 120.0)}.get(method, (120.0, 181.0))
    return np.asarray(high & (around >= low) & (around < top))


def _bounce(ground: Ground, spot: Spot) -> tuple[Point3 | None, float | None]:
    """Return where an upward-firing loudspeaker's sound lands on the ceiling, and its tilt from straight up [deg]."""
    _, bounces, which = bounce_directions(np.array([spot.at]), ground.head, ground.slopes)
    if which[0] < 0:
        return None, None
    x, y, z = (float(value) for value in bounces[0])
    reach = dist(spot.at, (x, y, z))
    return (x, y, z), degrees(acos(min(1.0, max(-1.0, (z - spot.at[2]) / max(reach, 1e-9)))))


def _why_no_bounce(ground: Ground) -> tuple[str, ...]:
    room, units = ground.survey.room, ground.project.units
    if absorbs(room.ceiling_finish.freq_hz, room.ceiling_finish.absorption):
        return (f"The ceiling ({room.ceiling_finish.name}) swallows the sound instead of throwing it back.",)
    low, high = BOUNCE_HEIGHT_M
    over = float(ground.ceiling(ground.head[None, :2])[0])
    if not low <= over <= high:
        span = f"{tell(low, units)} to {tell(high, units)}"
        return (
            f"The ceiling over the seat is {tell(over, units)} high; {span} throws sound back to a seat.",
        )
    hanging = [thing.name for thing in room.ceiling_things]
    if hanging:
        return (
            f"{', '.join(hanging).capitalize()} or the slope of the ceiling is in the way of every bounce.",
        )
    return ("The ceiling's slope throws the sound past the main seat.",)
