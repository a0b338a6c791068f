"""Draw the pictures that the documents show, from the examples: `python scripts/pictures.py`."""

from datetime import date
from pathlib import Path

import seatfield
from seatfield.drawing import Sheet, Shown, Title, floor_plan
from seatfield.pack import picture

IMAGES = Path(__file__).parents[1] / "docs/images"
DAY = date(2026, 11, 25)


def main() -> None:
    """Write docs/images/floor-plan.png."""
    project = seatfield.open_project("examples/open-plan")
    plan = seatfield.plan(project)
    title = Title(project.name, "Floor plan", "1", DAY.isoformat())
    scene = floor_plan(project, plan, Sheet(277.0, 180.0), title, Shown(runs=True))
    IMAGES.mkdir(parents=True, exist_ok=True)
    (IMAGES / "floor-plan.png").write_bytes(picture(scene, theme="paper", ppi=110))


if __name__ == "__main__":
    main()
