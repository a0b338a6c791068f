"""Benchmarks: each against a named reference on the same work in the same run, on one thread of linear algebra.

One thread, because that is what the command sets for itself.
"""

import os

from seatfield.cli.entry import ONE_THREAD

for name in ONE_THREAD:
    os.environ.setdefault(name, "1")
