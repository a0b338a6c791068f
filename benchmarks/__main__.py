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
    print(f"{'measured':<46}{'seconds':>10}  {'reference':<46}{'seconds':>10}{'ratio':>9}")
    for module in sorted(
        entry.name for entry in pkgutil.iter_modules(benchmarks.__path__) if not entry.ispkg
    ):
        if module == "__main__" or (wanted and not module.startswith(tuple(wanted))):
            continue
        for name, seconds, reference, reference_seconds in importlib.import_module(
            f"benchmarks.{module}"
        ).run():
            ratio = seconds / reference_seconds
            print(
                f"{name:<46}{seconds:>10.4f}  {reference:<46}{reference_seconds:>10.4f}{ratio:>9.3f}",
                flush=True,
            )


if __name__ == "__main__":
    main(sys.argv[1:])
