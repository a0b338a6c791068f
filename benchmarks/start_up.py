"""How fast the command line answers, against the interpreter that imports argparse."""

import statistics
import subprocess
import sys
import time
from pathlib import Path

RUNS = 12
REFERENCE = [sys.executable, "-c", "import argparse"]


def run():
    """`seatfield --help` as a whole process; the promise is at most 6 times the reference."""
    command = [str(Path(sys.executable).with_name("seatfield")), "--help"]
    pairs = [(_seconds(command), _seconds(REFERENCE)) for _ in range(RUNS)]
    ours, theirs = (statistics.median(column) for column in zip(*pairs, strict=True))
    return [("seatfield --help", ours, 'python -c "import argparse"', theirs)]


def _seconds(command):
    began = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - began


if __name__ == "__main__":
    print(*run()[0])
