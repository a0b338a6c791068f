"""Standard output kept for whoever called: a solver's own lines, printed from C whatever it is told, go nowhere."""

import ctypes
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from threading import Lock

_LOCK = Lock()


@contextmanager
def silenced() -> Iterator[None]:
    """Send what is printed below Python to nowhere meanwhile; in one thread at a time.

    Notes
    -----
    What C has buffered is written out before the output is given back, or it would appear later, in the middle of a
    caller's own JSON.
    """
    with _LOCK:
        try:
            kept = os.dup(1)
        except OSError:  # there is no standard output to keep
            yield
            return
        with suppress(OSError, ValueError, AttributeError):
            sys.stdout.flush()
        _flush()
        nowhere = os.open(os.devnull, os.O_WRONLY)
        try:
            os.dup2(nowhere, 1)
            yield
        finally:
            _flush()
            os.dup2(kept, 1)
            os.close(kept)
            os.close(nowhere)


def _flush() -> None:
    with suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL(None).fflush(None)
