"""How ends are finished: common practice, checked for being whole."""

import pytest

from seatfield.catalogue.conductors import GAUGES, METRIC
from seatfield.catalogue.terminations import BIGGEST_NOTE, ENDINGS, IN_WALL_QUESTIONS, READINGS, ending
from seatfield.model import TerminalKind

KINDS = tuple(dict.fromkeys(e.terminal for e in ENDINGS))


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_terminal_takes_every_common_size_or_says_that_it_does_not(kind):
    for size in (*GAUGES, *METRIC):
        found = ending(kind, size.area_mm2)
        assert found.terminal == kind
        assert size.area_mm2 <= found.most_mm2 or found.note == BIGGEST_NOTE


def test_every_kind_that_the_file_may_name_has_its_ends():
    assert {kind.value for kind in TerminalKind} == set(KINDS) - {"line socket"}


def test_a_thicker_conductor_gets_a_wider_connector():
    assert ending("binding post", 2.5).connector == "4 mm plug"
    assert ending("binding post", 6.0).connector == "spade"
    assert ending("spring clip", 1.5).connector == ""
    assert ending("spring clip", 2.5).connector == "pin"


def test_no_end_under_a_screw_is_tinned():
    assert "Never tin" in ending("screw terminal", 2.5).note


def test_an_unknown_terminal_is_named():
    with pytest.raises(ValueError, match=r"'wing nut' is given; known are binding post"):
        ending("wing nut", 2.5)


def test_cable_in_walls_is_asked_about_and_never_cleared():
    for question in IN_WALL_QUESTIONS:
        assert question.endswith("?") or "?" in question
        assert "complies" not in question
        assert "compliant" not in question


def test_every_wrong_reading_says_what_it_means_and_what_to_do():
    for shows, means, do in READINGS:
        assert shows
        assert means
        assert do.endswith(".")
