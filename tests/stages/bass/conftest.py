"""Projects through survey and layout to the bass."""

from pathlib import Path

import pytest

from seatfield.stages import bass, layout, survey
from seatfield.stages.layout import Layout
from seatfield.store.door import open_text

EXAMPLES = Path(__file__).parents[3] / "examples"


NOTHING_PLACED = Layout("0+5+0", "5.1", True, (), (), ())


def _before(project):
    surveyed = survey.plan(project)
    return surveyed, layout.plan(project, surveyed) if project.loudspeakers else NOTHING_PLACED


@pytest.fixture
def before():
    """Return survey and layout of a project; no loudspeakers are placed where the file lists none."""
    return _before


@pytest.fixture
def heard():
    """Return the bass of a project."""
    return lambda project, params=None: bass.plan(project, *_before(project), params)


@pytest.fixture
def codes():
    """Return the codes of the findings."""
    return lambda found: {finding.code for finding in found.findings}


@pytest.fixture(scope="session")
def examples():
    """Read every example once and compute its bass."""
    made = {}
    for name in ("rented-room", "open-plan", "attic"):
        project = open_text((EXAMPLES / name / "project.toml").read_text("utf-8")).project
        surveyed, laid_out = _before(project)
        made[name] = (project, surveyed, bass.plan(project, surveyed, laid_out))
    return made
