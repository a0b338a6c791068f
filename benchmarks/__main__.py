"""Run every benchmark and print one table: what was measured, against which reference, and the ratio.

Each module of this folder has `run()`, which returns rows of (name, seconds, reference, reference seconds).
Both sides of a row are measured in this run, on the same work.
"""

import importlib
import pkgutil
import sys

import benchmarks


def main(wanted):
    """Run the benchmarks whose names start with one of the words given, or all."""
    for module in sorted(entry.name for entry in pkgutil.iter_modules(benchmarks.__path__)):
        if module == "__main__" or (wanted and not module.startswith(tuple(wanted))):
            continue
        for row in importlib.import_module(f"benchmarks.{module}").run():
            print(*row, sep=" | ", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
