"""Write graphs.json from the files b01.stp to b18.stp of the set B: `python make.py FOLDER`.

Kept are the graphs with at most 17 nodes to join, which is one sink and sixteen cables.
"""

import json
import pathlib
import sys


def graph(text):
    """One file in the STP format, version 1.0, as plain values."""
    rows = [line.split() for line in text.splitlines() if line.strip()]
    return {
        "optimum": next(int(r[1]) for r in rows if r[0] == "Optimal"),
        "edges": [[int(x) for x in r[1:4]] for r in rows if r[0] == "E"],
        "join": [int(r[1]) for r in rows if r[0] == "T"],
    }


if __name__ == "__main__":
    found = {p.stem: graph(p.read_text()) for p in sorted(pathlib.Path(sys.argv[1]).glob("b*.stp"))}
    kept = {name: g for name, g in found.items() if len(g["join"]) <= 17}
    lines = [f' "{name}": {json.dumps(g)}' for name, g in kept.items()]
    pathlib.Path(__file__).with_name("graphs.json").write_text("{\n" + ",\n".join(lines) + "\n}\n")
