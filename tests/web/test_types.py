"""The browser's types are those of the encoder."""

import pathlib
import subprocess
import sys

SCRIPT = pathlib.Path(__file__).parents[2] / "scripts" / "browser-types"


def test_the_browsers_types_are_what_the_encoder_makes():
    """If this fails, run `.venv/bin/python scripts/browser-types` and look at what changed."""
    assert subprocess.run([sys.executable, str(SCRIPT), "--check"], check=False).returncode == 0
