"""Cut times of arrival and positions out of a copy of the dEchorate repository; needs the copy's git directory."""

import csv
import io
import json
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent
COMMIT = "d3e664f1e7a7d46241d7f7b3b3761448686b9537"


def table(git_dir: str, path: str) -> list[dict[str, str]]:
    shown = subprocess.run(
        ["git", f"--git-dir={git_dir}", "show", f"{COMMIT}:{path}"], capture_output=True, check=True
    )
    return list(csv.DictReader(io.StringIO(shown.stdout.decode())))


def main(git_dir: str) -> None:
    microphones, loudspeakers = {}, {}
    for row in table(git_dir, "data/dEchorate_database.csv"):
        if row["mic_pos_x"]:
            microphones[int(float(row["mic_id"]))] = [float(row[f"mic_pos_{axis}"]) for axis in "xyz"]
        if row["src_type"] == "directional":
            loudspeakers[int(float(row["src_id"]))] = [float(row[f"src_pos_{axis}"]) for axis in "xyz"]
    arrival_s = [[0.0] * 30 for _ in range(4)]
    for row in table(git_dir, "data/echo_pickpeaking.csv"):
        arrival_s[int(float(row["src"]))][int(float(row["mic"]))] = round(float(row["direct"]), 8)
    kept = {
        "temperature_c": 24.0,
        "microphones_m": [microphones[index] for index in range(1, 31)],
        "loudspeakers_m": [loudspeakers[index] for index in range(1, 5)],
        "arrival_s": arrival_s,
    }
    (HERE / "dechorate.json").write_text(json.dumps(kept, indent=1) + "\n")


if __name__ == "__main__":
    main(sys.argv[1])
