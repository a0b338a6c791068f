import json
import pathlib

import pytest

AUTHORITIES = pathlib.Path(__file__).parents[2] / "authorities"


@pytest.fixture(scope="session")
def displays():
    """The blanked descriptions of authorities/edid with what the decoder prints of them."""
    return json.loads((AUTHORITIES / "edid" / "displays.json").read_text())


@pytest.fixture(scope="session")
def eld():
    """Read one ELD text of authorities/eld by its name."""
    return lambda name: (AUTHORITIES / "eld" / f"{name}.txt").read_text()
