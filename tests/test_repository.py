"""What holds for the repository as a whole."""

import pathlib
import re
import subprocess
import sys

ROOT = pathlib.Path(__file__).parents[1]
# Written so that this file does not match itself.
REGISTRY = re.compile(
    r"(pypi\.(org|io)|pythonhosted|registry\.npm|deb\.debian\." + r"org|/simple/)", re.IGNORECASE
)
OPAQUE = {".png", ".pdf", ".wav", ".ttf", ".otf", ".bin", ".sofa"}


def committed():
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    return [ROOT / name for name in listed.splitlines() if (ROOT / name).is_file()]


def test_no_committed_file_names_a_package_registry():
    texts = (path for path in committed() if path.suffix not in OPAQUE and path != pathlib.Path(__file__))
    named = [
        str(path) for path in texts if REGISTRY.search(path.read_text(encoding="utf-8", errors="replace"))
    ]
    assert not named


def test_every_pinned_dependency_carries_a_hash():
    for lock in (ROOT / "requirements").glob("*.lock"):
        entries = re.split(r"\n(?=\S)", lock.read_text(encoding="utf-8").strip())
        assert entries
        assert all("--hash=sha256:" in entry for entry in entries), lock.name


def test_importing_the_package_and_its_command_line_loads_nothing_heavy():
    code = "import sys, seatfield.cli; print(' '.join(sys.modules))"
    loaded = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    ).stdout.split()
    heavy = {"numpy", "scipy", "shapely", "pydantic", "rich", "skfem", "tomlkit", "typst", "fastapi"}
    assert not heavy & {name.split(".")[0] for name in loaded}


def test_the_public_names_of_the_package_are_there():
    import seatfield

    for name in seatfield.__all__:
        assert getattr(seatfield, name) is not None
