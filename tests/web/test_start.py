"""Starting the workbench: what the first view does not need is not loaded for it."""

import subprocess
import sys
from pathlib import Path

EXAMPLES = Path(__file__).parents[2] / "examples"
FIRST_VIEW = """
import sys
from seatfield.pipeline.bench import Bench
from seatfield.pipeline.screens import Look, plan_scene
from seatfield.web.app import make_app

bench = Bench(sys.argv[1], read_only=True)
make_app(bench, frozenset())
bench.state()
shown = bench.shown()
assert plan_scene(shown.project, bench.plan(shown), Look(50.0)).elements
print(*(name for name in sys.modules if name == "scipy" or name.startswith("seatfield.routing")))
"""


def test_state_and_drawing_load_neither_solvers_nor_their_libraries():
    command = [sys.executable, "-c", FIRST_VIEW, str(EXAMPLES / "open-plan")]
    told = subprocess.run(command, capture_output=True, text=True, check=True, timeout=120)
    assert told.stdout.split() == []
