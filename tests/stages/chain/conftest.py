"""Small chains, built by hand."""

from types import SimpleNamespace

import pytest

from seatfield.model import Amplifier, Device, Finish, Link, LinkKind, Project, Room, Screen, Seat, Service

EVERYTHING = (
    "LPCM 8", "AC-3", "E-AC-3", "E-AC-3 with objects", "DTS", "DTS lossless", "MLP", "MLP with objects",
)  # fmt: skip


def receiver(**facts):
    return Amplifier("receiver", processed=9, channels=7, **{"decodes": EVERYTHING} | facts)


def device(name, passes=(), decodes=(), **facts):
    return Device(name, passes=tuple(passes), decodes=tuple(decodes), **facts)


def link(source, target, kind="hdmi", rate=None):
    return Link((source, target), LinkKind(kind), rate)


PLAIN = Finish("plain", (500.0,), (0.1,))
FLOOR = ((0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0))


def house(devices, links, services, amplifiers=None, **more):
    """Build a project around a chain; room and seat are there because a project has them."""
    return Project(
        name="a chain",
        units="m",
        currency="EUR",
        room=Room(FLOOR, None, 2.5, (), PLAIN, PLAIN, ()),
        seats=(Seat("middle", (2.0, 2.0), (1.0, 1.0), main=True),),
        screen=Screen((2.0, 0.1, 1.0), 1.2, 0.7),
        layout="0+5+0",
        amplifiers=(receiver(),) if amplifiers is None else tuple(amplifiers),
        devices=tuple(devices),
        links=tuple(links),
        services=tuple(Service(*entry) for entry in services),
        **more,
    )


@pytest.fixture(scope="session")
def build():
    """The builders of this file: device, link, receiver, house."""
    return SimpleNamespace(device=device, link=link, receiver=receiver, house=house)
