"""Rooms that nobody drew for the test: made from a seed, as a person would describe them."""

import random

import pytest

HEAD = """
format = 1
name = "Room of seed {seed}"
[room]
floor = {floor}
ceiling = {ceiling}
tolerance = 0.02
"""


def _floor(chance):
    wide, deep = round(chance.uniform(3.6, 7.0), 2), round(chance.uniform(3.4, 6.0), 2)
    if chance.random() < 0.4:
        return [[0, 0], [wide, 0], [wide, deep], [0, deep]], wide, deep
    cut_x, cut_y = round(wide * chance.uniform(0.65, 0.8), 2), round(deep * chance.uniform(0.6, 0.8), 2)
    return [[0, 0], [wide, 0], [wide, cut_y], [cut_x, cut_y], [cut_x, deep], [0, deep]], wide, deep


def _box(name, left, low, wide, deep, top):
    right, high = round(left + wide, 3), round(low + deep, 3)
    left, low = round(left, 3), round(low, 3)
    corners = [[left, low], [right, low], [right, high], [left, high]]
    return f'[[furniture]]\nname = "{name}"\nkind = "{name}"\noutline = {corners}\nheight = {top}\n'


def described_room(seed, layout="4+7+0"):
    """Write the file of a room with a sofa, a low cabinet, doors, windows, a cupboard and limits."""
    chance = random.Random(seed)
    floor, wide, deep = _floor(chance)
    ceiling = round(chance.uniform(2.35, 2.9), 2)
    seat_x = round(wide * chance.uniform(0.36, 0.5), 2)
    seat_y = round(min(deep - chance.uniform(0.4, 1.6), deep * 0.75), 2)
    text = HEAD.format(seed=seed, floor=floor, ceiling=ceiling)
    door = round(chance.uniform(0.2, 1.0), 2)
    text += f'[[opening]]\nkind = "door"\nwall = {len(floor) - 1}\nstart = {door}\nwidth = 0.85\nsill = 0\nheight = 2\n'
    text += f'opens = "{chance.choice(["inward", "outward"])}"\n'
    window = round(chance.uniform(0.2, 0.8), 2)
    text += (
        f'[[opening]]\nkind = "window"\nwall = 1\nstart = {window}\nwidth = 1.2\nsill = 0.9\nheight = 1.2\n'
    )
    text += f"[[radiator]]\nwall = 1\nfrom = {window}\nto = {window + 1.0:.2f}\n"
    text += _box("sofa", seat_x - 1.0, seat_y - 0.35, 2.0, 0.9, 0.8)
    text += _box("low cabinet", seat_x - 0.8, 0.0, 1.6, 0.4, 0.45)
    text += _box("cupboard", 0.0, deep - 0.5, 0.9, 0.5, 1.9)
    text += f'[[seat]]\nname = "middle"\nat = [{seat_x}, {seat_y}]\near = 1.1\nmain = true\n'
    text += f'[[seat]]\nname = "left"\nat = [{seat_x + 0.65:.2f}, {seat_y}]\near = 1.1\n'
    text += f"[screen]\ncentre = [{seat_x}, 0.1, 1.05]\nwidth = 1.2\n"
    text += (
        f'[limits]\nholes = "{chance.choice(["none", "walls", "walls and ceiling", "walls and ceiling"])}"\n'
    )
    if chance.random() < 0.5:
        left, low = round(wide - 0.9, 2), 0.0
        outline = f"[[{left},{low}],[{wide},{low}],[{wide},0.9],[{left},0.9]]"
        text += f'keep_out = [{{ name = "stove", outline = {outline} }}]\n'
    return text + f'[system]\nlayout = "{layout}"\n'


@pytest.fixture
def random_room(described):
    """Read the room of a seed."""

    def read(seed, layout="4+7+0"):
        return described(described_room(seed, layout))

    return read
