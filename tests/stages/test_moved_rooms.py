"""A home moved, turned and mirrored as a whole: what is found moves, turns and mirrors with it."""

from collections import Counter
from dataclasses import fields, is_dataclass, replace
from functools import cache
from math import cos, dist, hypot, radians, sin
from pathlib import Path

import numpy as np
import pytest

from seatfield.stages import bass, layout, level, survey, terminals
from seatfield.stages.bass import BassParams
from seatfield.stages.layout.windows import mirrored_label
from seatfield.store.door import open_text

EXAMPLES = Path(__file__).parents[2] / "examples"
PLACES = {"at", "outline", "beyond", "floor", "centre", "points", "walkways", "mains_cables"}
PARTS = BassParams(parts=("places", "map", "seats"), spots=60)


def mover(turn_deg, shift, *, flip):
    """Make a map that mirrors left and right, turns and shifts the plan."""
    c, s = cos(radians(turn_deg)), sin(radians(turn_deg))

    def move(point):
        x, y = (-point[0] if flip else point[0]), point[1]
        return (c * x - s * y + shift[0], s * x + c * y + shift[1], *point[2:])

    return move


def moved(thing, move, *, flip, place=False):
    """Move every place in a project, and give each side's channel to the other where it is mirrored."""
    if is_dataclass(thing):
        changed = {
            field.name: moved(getattr(thing, field.name), move, flip=flip, place=field.name in PLACES)
            for field in fields(thing)
            if isinstance(getattr(thing, field.name), tuple) or is_dataclass(getattr(thing, field.name))
        }
        if flip and hasattr(thing, "channel"):
            changed["channel"] = mirrored_label(thing.channel)
        return replace(thing, **changed)
    if not isinstance(thing, tuple):
        return thing
    if place and thing and isinstance(thing[0], (int, float)):
        return move(thing)
    return tuple(moved(part, move, flip=flip, place=place) for part in thing)


def planned(project):
    surveyed = survey.plan(project)
    laid_out = layout.plan(project, surveyed)
    heard = bass.plan(project, surveyed, laid_out, PARTS)
    mapped = terminals.plan(project, laid_out)
    return surveyed, laid_out, heard, level.plan(project, surveyed, laid_out, mapped, None, heard)


@cache
def home(name):
    project = open_text((EXAMPLES / name / "project.toml").read_text("utf-8")).project
    return project, planned(project)


WAYS = [
    pytest.param(("rented-room", 37.0, (3.1, -7.7), False), id="rented-room turned"),
    pytest.param(("rented-room", 0.0, (0.0, 0.0), True), id="rented-room mirrored"),
    pytest.param(("open-plan", 211.3, (10.0, 20.0), True), id="open-plan mirrored and turned"),
    pytest.param(("attic", 90.0, (-4.0, 1.0), False), id="attic turned"),
]


@pytest.fixture(scope="module", params=WAYS)
def both(request):
    """Plan a home as it is and as it is moved."""
    name, turn_deg, shift, flip = request.param
    move = mover(turn_deg, shift, flip=flip)
    project, here = home(name)
    return here, planned(moved(project, move, flip=flip)), move, flip


def test_loudspeakers_and_seats(both):
    """Places are moved, azimuths change sides, verdicts and errors stay."""
    (_, here, _, _), (_, there, _, _), move, flip = both
    twins = {one.id: one for one in there.loudspeakers}
    for one in here.loudspeakers:
        twin = twins[one.id]
        assert twin.at == pytest.approx(move(one.at), abs=1e-6)
        assert twin.azimuth_deg == pytest.approx(-one.azimuth_deg if flip else one.azimuth_deg, abs=1e-6)
        assert twin.elevation_deg == pytest.approx(one.elevation_deg, abs=1e-6)
        assert (twin.mount, twin.verdict, twin.placed) == (one.mount, one.verdict, one.placed)
    for view, twin in zip(here.seats, there.seats, strict=True):
        assert [one.arrival_ms for one in twin.channels] == pytest.approx(
            [one.arrival_ms for one in view.channels], abs=1e-9
        )


def test_findings(both):
    """The same things are told of the same subjects."""
    here, there, _, flip = both
    for one, two in ((here[1], there[1]), (here[3], there[3])):
        codes = [Counter(finding.code for finding in found.findings) for found in (one, two)]
        assert codes[0] == codes[1]
        if not flip:
            assert {(f.code, f.subject) for f in one.findings} == {(f.code, f.subject) for f in two.findings}


def test_levels(both):
    """Every channel is as loud at every seat."""
    (_, _, _, here), (_, _, _, there), _, _ = both
    for seat, twin in zip(here.seats, there.seats, strict=True):
        assert {c.id: c.limited_by for c in seat.channels} == {c.id: c.limited_by for c in twin.channels}
        peaks = {channel.id: channel.peak_db for channel in twin.channels}
        usual = {channel.id: channel.usual_db for channel in twin.channels}
        for channel in seat.channels:
            assert peaks[channel.id] == pytest.approx(channel.peak_db, abs=1e-6)
            assert usual[channel.id] == pytest.approx(channel.usual_db, abs=1e-6)


def test_bass(both):
    """Modes as near as the elements are fine; each place for a subwoofer has its twin, of the same merit."""
    (_, _, here, _), (_, _, there, _), move, _ = both
    low = [freq for freq in here.modes_hz if freq < 150]
    np.testing.assert_allclose(there.modes_hz[: len(low)], low, rtol=1e-3)
    assert there.now.merit == pytest.approx(here.now.merit, abs=0.05)
    assert len(there.spots) == pytest.approx(len(here.spots), rel=0.05)
    found, off = 0, []
    for spot in here.spots:
        twin = min(there.spots, key=lambda one: hypot(*np.subtract(one.at, move(spot.at))[:2]))
        if dist(twin.at, move(spot.at)) < 1e-3:
            found += 1
            off.append(abs(twin.merit - spot.merit))
    assert found > 0.9 * len(here.spots)
    assert max(off) < 0.2
