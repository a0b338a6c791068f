"""Projects for the stages' tests, written as a person writes them and read by the door."""

import pytest

from seatfield.store.door import open_text

PLAIN = """
format = 1
name = "Room over the canal"
[room]
floor = [[0,0],[5,0],[5,4],[0,4]]
ceiling = 2.5
[[seat]]
name = "middle"
at = [2.5, 3.0]
ear = 1.1
main = true
[screen]
centre = [2.5, 0.1, 1.0]
width = 1.3
[system]
layout = "{layout}"
"""


@pytest.fixture
def described():
    """Read a project from the text of its file; a fault fails the test."""

    def read(text):
        opened = open_text(text)
        assert opened.project is not None, [str(fault) for fault in opened.faults]
        return opened.project

    return read


@pytest.fixture
def plain_room(described):
    """Read a plain room of 5 by 4 m, with more tables appended to its file."""

    def read(more="", layout="0+5+0", change=()):
        text = PLAIN.format(layout=layout)
        for old, new in change:
            assert old in text, old
            text = text.replace(old, new)
        return described(text + more)

    return read
