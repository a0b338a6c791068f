"""Kinds of device: every format that they name is in the table of open formats."""

import pytest

from seatfield.catalogue.device_kinds import DEVICE_KINDS, device_kind, nearest_kind
from seatfield.catalogue.formats import parse_ability


@pytest.mark.parametrize("kind", DEVICE_KINDS, ids=lambda kind: kind.name)
def test_a_kind_names_only_known_formats_and_says_what_to_look_up(kind):
    for text in (*kind.decodes, *kind.passes, *(word for pair in kind.converts for word in pair)):
        assert parse_ability(text).format
    assert kind.check


def test_no_word_stands_for_two_kinds():
    words = [word for kind in DEVICE_KINDS for word in (kind.name, *kind.also)]
    assert len(words) == len(set(words))


@pytest.mark.parametrize(
    ("word", "name"), [("Television", "display"), ("player", "disc player"), ("console", "games console")]
)
def test_usual_words_find_their_kind(word, name):
    assert device_kind(word).name == name


def test_a_misspelt_kind_has_a_nearest_word():
    assert device_kind("televison") is None
    assert nearest_kind("televison") == "television"
