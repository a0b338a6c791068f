"""What a solver prints from C does not reach the caller's standard output."""

import ctypes
import os

import pytest

from seatfield.routing.silence import silenced


def said():
    """Speak from C's own buffer, and past it."""
    libc = ctypes.CDLL(None)
    libc.puts(b"from C")
    os.write(1, b"past all buffers\n")


def test_nothing_is_heard_meanwhile_and_everything_afterwards(capfd):
    with silenced():
        said()
    assert capfd.readouterr().out == ""
    said()
    ctypes.CDLL(None).fflush(None)
    assert sorted(capfd.readouterr().out.split("\n")) == ["", "from C", "past all buffers"]


def test_the_output_is_given_back_after_a_failure(capfd):
    with pytest.raises(ValueError, match="no"), silenced():
        raise ValueError("no")
    os.write(1, b"heard")
    assert capfd.readouterr().out == "heard"
