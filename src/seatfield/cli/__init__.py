"""The command line: arguments in, words and exit codes out; it computes nothing itself."""

from seatfield.cli.entry import main

__all__ = ["main"]
