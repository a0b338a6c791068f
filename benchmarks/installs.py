"""Two hundred invented installs with zero to three faults, half of them in rooms of a general library.

`python -m benchmarks.installs 200 20320100` measures that many, the second number being the first one's seed, and
prints what was named, what was left open, what was missed, and every false alarm. Of the table of `make bench` it gives
the time that one install takes against the time that playing its sweeps would take.
"""

import os
import sys
import time
from collections import Counter

from benchmarks.synthetic import installs

FIRST_SEED = 20310500
BLOCK_S = 8.7  # one sweep of 1.5 s with pips, chirps and silences


def judged(one):
    """Return the faults named, left open and missed, and the false alarms."""
    claims = [(fault.kind, frozenset((fault.run, *fault.with_runs))) for fault in one.found.faults]
    planted = [(fault, (fault.kind, frozenset(fault.runs))) for fault in one.planted]
    named = [fault for fault, claim in planted if claim in claims]
    rest = [fault for fault, claim in planted if claim not in claims]
    left_open = [
        fault
        for fault in rest
        if any(
            fault.kind in question.kinds and set(fault.runs) & set(question.runs)
            for question in one.found.undecided
        )
    ]
    missed = [fault for fault in rest if fault not in left_open]
    wanted = [claim for _, claim in planted]
    return named, left_open, missed, [claim for claim in claims if claim not in wanted]


def run():
    """One install of each kind."""
    began = time.perf_counter()
    measured = [installs.measured(FIRST_SEED, library=False), installs.measured(FIRST_SEED + 1, library=True)]
    spent_s = time.perf_counter() - began
    played_s = sum(one.channels * (one.positions + 1) * BLOCK_S for one in measured)
    return [("installs: rehearsed, read, judged", spent_s, "playing their sweeps", played_s)]


def main(count, seed):
    """Print what was named and what was not, each miss and each false alarm with its install."""
    os.environ["OMP_NUM_THREADS"] = "1"
    totals = {words: Counter() for words in ("named", "left open", "missed")}
    showable, channels, faulty, alarms = Counter(), 0, 0, 0
    for place in range(count):
        one = installs.measured(seed + place, library=place % 2 == 1)
        *told, wrong = judged(one)
        where = f"  {seed + place}, {one.positions} positions, {one.snr_db:.0f} dB:"
        for words, faults in zip(totals, told, strict=True):
            totals[words].update(fault.kind.value for fault in faults)
            showable.update(words for fault in faults if one.shows(fault))
            for fault in faults:
                if words != "named":
                    can = "can show" if one.shows(fault) else "cannot show"
                    print(
                        f"{where} {words} ({can}): {fault.kind.value} {' '.join(fault.runs)} {fault.amount:.1f}"
                    )
        for kind, runs in wrong:
            print(f"{where} FALSE: {kind.value} {' '.join(sorted(runs))}", flush=True)
        alarms += len(wrong)
        channels += one.channels
        faulty += len({run for fault in one.planted for run in fault.runs})
    print(f"{count} installs, {channels} channels, {channels - faulty} of them sound, {alarms} false alarms")
    for words, counter in totals.items():
        print(
            f"{words}: {sum(counter.values())}, {showable[words]} of what the takes can show  {dict(counter)}"
        )


if __name__ == "__main__":
    main(
        int(sys.argv[1]) if len(sys.argv) > 1 else 200, int(sys.argv[2]) if len(sys.argv) > 2 else FIRST_SEED
    )
