"""Invented homes as project files: rooms of four shapes with what stands in them, five to sixteen runs."""

from __future__ import annotations

import math
import random

from shapely.geometry import Point, Polygon
from shapely.ops import nearest_points

CHANNELS = {
    "M+030": 30, "M-030": -30, "M+000": 0, "M+110": 110, "M-110": -110, "U+030": 30, "U-030": -30, "U+110": 110,
    "U-110": -110, "M+135": 135, "M-135": -135, "U+090": 90, "U-090": -90, "M+060": 60, "M-060": -60, "M+090": 90,
}  # fmt: skip
"""Channels with their azimuths [deg], in the order in which a home gets them."""

KIT = """
[[model]]
name = "box"
sensitivity = 87
impedance = 8
lowest_impedance = 6
[[model]]
name = "deep"
kind = "subwoofer"
[cable]
slack = 0.1
ends = 0.4
[[cable.stock]]
conductor = "2x2.5 mm2"
price = 1.6
[[cable.stock]]
conductor = "2x1.5 mm2"
price = 30
length = 50
"""


def home(seed, runs=None):
    """Return the text of a project file; `runs` fixes the number of loudspeakers and subwoofers."""
    pick = random.Random(seed)
    runs = runs or pick.randint(5, 16)
    subs = pick.choice([0, 1, 1, 2]) if runs > 6 else 0
    wide, deep, high = (round(pick.uniform(*span), 2) for span in ((3.6, 6.8), (3.8, 6.4), (2.35, 2.9)))
    shape = pick.choice(["box", "box", "L", "bay"])
    floor = _floor(shape, wide, deep)
    seat = (
        round((0.42 if shape == "L" else 0.5) * wide + pick.uniform(-0.2, 0.2), 2),
        round(deep * pick.uniform(0.5, 0.6), 2),
    )
    speakers = [_loudspeaker(pick, channel, seat, floor, high) for channel in list(CHANNELS)[: runs - subs]]
    lows = [
        f'[[subwoofer]]\nname = "sub {i}"\nmodel = "deep"\n'
        f"at = [{(0.3, wide - 0.3)[i]:.2f}, {pick.uniform(0.4, deep * 0.5):.2f}, 0.2]\n"
        for i in range(subs)
    ]
    head = f"""format = 1
name = "home {seed}"
[room]
floor = {floor}
ceiling = {high}
[[seat]]
name = "middle"
at = {list(seat)}
ear = 1.05
main = true
[screen]
centre = [{seat[0]}, 0.1, 1.0]
width = 1.3
[system]
layout = "9.1.6"
"""
    room = [*_openings(pick, shape, floor), *_things(pick, shape, seat, deep), *_covers(pick, seat, floor)]
    return "".join(
        [head, *room, _limits(pick, floor, seat, deep), *_amplifiers(pick, seat), *speakers, *lows, KIT]
    )


def _floor(shape, wide, deep):
    if shape == "L":
        inner = [[wide, 0.65 * deep], [0.6 * wide, 0.65 * deep], [0.6 * wide, deep]]
    elif shape == "bay":
        out = deep + 0.7
        inner = [[wide, deep], [0.75 * wide, deep], [0.7 * wide, out], [0.3 * wide, out], [0.25 * wide, deep]]
    else:
        inner = [[wide, deep]]
    return [[round(x, 2), round(y, 2)] for x, y in [[0, 0], [wide, 0], *inner, [0, deep]]]


def _length(floor, wall):
    return math.dist(floor[wall], floor[(wall + 1) % len(floor)])


def _openings(pick, shape, floor):
    for wall, kind in ((1, "door"), (len(floor) - 1, pick.choice(["window", "door", "window"]))):
        width = 0.85 if kind == "door" else round(min(pick.uniform(0.8, 1.6), _length(floor, wall) - 0.6), 2)
        start = round(pick.uniform(0.25, _length(floor, wall) - width - 0.25), 2)
        yield _opening(kind, wall, start, width)
    if shape == "box" and pick.random() < 0.4:
        yield _opening("window", 2, round(_length(floor, 2) * 0.3, 2), round(_length(floor, 2) * 0.4, 2))


def _opening(kind, wall, start, width):
    height = "height = 2.0" if kind == "door" else "sill = 0.9\nheight = 1.2"
    return f'[[opening]]\nkind = "{kind}"\nwall = {wall}\nstart = {start}\nwidth = {width}\n{height}\n'


def _box(west, south, east, north):
    west, south, east, north = (round(edge, 2) for edge in (west, south, east, north))
    return [[west, south], [east, south], [east, north], [west, north]]


def _things(pick, shape, seat, deep):
    x, y = seat
    things = [
        ("sofa", _box(x - 1, y - 0.3, x + 1, y + 0.6), 0.8),
        ("lowboard", _box(x - 0.9, 0.05, x + 0.9, 0.5), 0.5),
    ]
    if pick.random() < 0.6:
        north = y + 1.0 if shape == "L" else min(y + 1.5, deep - 0.3)
        things.append(("cabinet", _box(0.02, y + 0.3, 0.35, north), 1.9))
    for kind, outline, height in things:
        yield f'[[furniture]]\nname = "{kind}"\nkind = "{kind}"\noutline = {outline}\nheight = {height}\n'


def _covers(pick, seat, floor):
    last, wide = len(floor) - 1, floor[1][0]
    if pick.random() < 0.6:
        yield f'[[cover]]\nkind = "rug"\noutline = {_box(seat[0] - 1.1, 1.0, seat[0] + 1.1, seat[1] - 0.4)}\n'
    if pick.random() < 0.35:
        yield (
            f'[[cover]]\nkind = "raceway"\nwall = 0\nfrom = 0.3\nto = {wide - 0.4:.2f}\n'
            "height = 0.05\ninside = [0.02, 0.015]\nexisting = true\n"
        )
    for wall, share in ((last, 0.35), (1, 0.25)):
        if pick.random() < share:
            north = _length(floor, wall) - 0.1
            yield f'[[cover]]\nkind = "skirting gap"\nwall = {wall}\nfrom = 0.1\nto = {north:.2f}\n'


def _limits(pick, floor, seat, deep):
    wide = floor[1][0]
    holes = pick.choice(["none", "none", "walls", "walls and ceiling"])
    lines = [f'[limits]\nholes = "{holes}"']
    lines += [f"{who} = true" for who in ("pets", "children") if pick.random() < 0.3]
    if pick.random() < 0.5:
        lines.append(
            f"walkways = [ [[{wide - 0.2:.2f}, {0.4 * deep:.2f}], [{seat[0]}, {seat[1] - 0.6:.2f}]] ]"
        )
    if pick.random() < 0.4:
        lines.append(f"mains_cables = [ [[0.5, 0, 0.3], [{wide - 0.5:.2f}, 0, 0.3]] ]")
    if holes != "none":
        lines += [f'[[wall]]\nnumber = {wall}\nbuild = "stud"' for wall in (0, 1, len(floor) - 1)]
    if holes == "walls and ceiling":
        lines.append(f'[[cover]]\nkind = "attic"\noutline = {floor}')
    return "\n".join(lines) + "\n"


def _amplifiers(pick, seat):
    x, two = round(seat[0] + pick.choice([-0.7, 0.0, 0.7]), 2), pick.random() < 0.2
    yield f'[[amplifier]]\nname = "receiver"\nat = [{x}, 0.3, 0.3]\nchannels = {9 if two else 16}\nprocessed = 16\n'
    yield "pre_outs = 16\nsub_outputs = 2\n"
    if two:
        yield f'[[amplifier]]\nname = "power"\nat = [{seat[0] + 0.5:.2f}, 0.3, 0.3]\nchannels = 7\n'


def _loudspeaker(pick, channel, seat, floor, high):
    inside, edge = Polygon(floor).buffer(-0.12), Polygon(floor).exterior
    azimuth, up = math.radians(CHANNELS[channel] + pick.uniform(-6, 6)), channel.startswith("U")
    away = pick.uniform(1.0, 1.6) if up else pick.uniform(1.7, 3.0)
    spot = Point(seat[0] - away * math.sin(azimuth), seat[1] - away * math.cos(azimuth))
    spot = spot if inside.contains(spot) else nearest_points(inside, spot)[0]
    mount, z = "stand", 1.0
    if channel == "M+000":
        spot, mount, z = Point(seat[0], 0.3), "shelf", 0.6
    elif up:
        mount, z = "ceiling", high - 0.12
        if pick.random() < 1 / 3:
            spot = nearest_points(inside, edge.interpolate(edge.project(spot)))[0]
            mount, z = "wall", high - 0.3
    elif inside.exterior.distance(spot) < 0.25 and pick.random() < 0.7:
        mount, z = "wall", pick.uniform(1.0, 1.6)
    at = f"[{spot.x:.2f}, {spot.y:.2f}, {z:.2f}]"
    return f'[[loudspeaker]]\nchannel = "{channel}"\nmodel = "box"\nat = {at}\nmount = "{mount}"\n'
