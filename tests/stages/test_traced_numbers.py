"""Every number that a finding of layout, bass or level prints can be traced: formula, inputs, source."""

import ast
import re
from pathlib import Path

import pytest

from seatfield.stages import bass, layout, level, survey, terminals
from seatfield.store.door import open_text

ROOT = Path(__file__).parents[2]
STAGES = ROOT / "src" / "seatfield" / "stages"


def written():
    """Yield every finding that the sources write down: file, line, code and the words of the call."""
    for stage in ("layout", "bass", "level"):
        for path in sorted((STAGES / stage).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Finding":
                    yield (
                        path.name,
                        node.lineno,
                        ast.unparse(node.args[0]),
                        {word.arg for word in node.keywords},
                    )


def test_whatever_is_measured_is_traced_to_a_formula_and_a_source():
    found = list(written())
    assert len(found) > 40
    for file, line, code, words in found:
        if "measured" in words:
            assert {"trace", "source"} <= words, f"{file}:{line} {code}"


def planned(text):
    """Plan a project through the stages whose findings are looked at."""
    project = open_text(text).project
    surveyed = survey.plan(project)
    laid_out = layout.plan(project, surveyed)
    heard = bass.plan(project, surveyed, laid_out)
    loud = level.plan(project, surveyed, laid_out, terminals.plan(project, laid_out), None, heard)
    return project, (*laid_out.findings, *heard.findings, *loud.findings)


def without_names(project, text):
    """Leave out of a sentence what the person called things, and the names of systems and standards."""
    things = (*project.room.furniture, *project.seats, *project.models, *project.subwoofer_models)
    named = [one.name for one in things] + [one.id for one in (*project.loudspeakers, *project.subwoofers)]
    for name in sorted(named, key=len, reverse=True):
        text = text.replace(name, "")
    return re.sub(r"BS\.\d+|\d\+\d+\+\d|[MUBT][+-]\d+|\d\.\d(\.\d)?(?= [a-z])", "", text)


@pytest.mark.parametrize("name", ["rented-room", "open-plan", "attic"])
def test_every_printed_number_of_an_example_has_its_trace(name):
    project, found = planned((ROOT / "examples" / name / "project.toml").read_text("utf-8"))
    numbers = [one for one in found if re.search(r"\d", without_names(project, one.message))]
    assert len(numbers) > 5
    for finding in numbers:
        assert finding.trace is not None, finding.message
        assert finding.trace.formula
        assert finding.trace.inputs, finding.message
        assert finding.source, finding.message
