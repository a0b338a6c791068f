"""Documents say what the program does: reference pages equal the schemas, examples run."""

import contextlib
import importlib.util
import io
import pathlib
import re

import pytest

ROOT = pathlib.Path(__file__).parents[1]
PAGES = [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]
EXAMPLES = [
    pytest.param(code, id=f"{page.name}-{number}")
    for page in PAGES
    for number, code in enumerate(
        re.findall(r"```python\n(.*?)```", page.read_text(encoding="utf-8"), re.DOTALL)
    )
]


def generator():
    spec = importlib.util.spec_from_file_location("documents", ROOT / "scripts/documents.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(("name", "text"), list(generator().pages().items()), ids=lambda value: value[:20])
def test_reference_pages_equal_the_published_schemas(name, text):
    assert (ROOT / "docs" / name).read_text(encoding="utf-8") == text, "run: python scripts/documents.py"


@pytest.mark.parametrize("code", EXAMPLES)
def test_every_python_example_runs(code, monkeypatch):
    monkeypatch.chdir(ROOT)
    with contextlib.redirect_stdout(io.StringIO()):
        exec(compile(code, "example", "exec"), {})


def test_every_link_between_documents_leads_somewhere():
    for page in PAGES:
        for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
            assert (page.parent / target).exists(), f"{page.name}: {target}"


def test_every_command_that_the_readme_shows_exists():
    from seatfield.cli.entry import COMMANDS

    shown = re.findall(
        r"seatfield (\w+)", (ROOT / "README.md").read_text(encoding="utf-8").partition("## Where")[0]
    )
    assert set(shown) <= {*COMMANDS, "COMMAND"}
