"""Labels fit a tag, are unique, and the notches tell a cable without one."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatfield.catalogue.systems import SYSTEMS
from seatfield.stages.cable.labels import TAG_LETTERS, notch_codes, short_texts


@given(st.lists(st.text(min_size=1, max_size=30), min_size=1, max_size=25, unique=True))
def test_every_text_fits_the_tag_and_no_two_are_alike(names):
    texts = short_texts(tuple(names))
    assert len(set(texts.values())) == len(names)
    for text in texts.values():
        assert 0 < len(text) <= TAG_LETTERS
        assert text.isascii()


def test_a_short_name_is_its_own_label():
    assert short_texts(("M+030", "sub")) == {"M+030": "M+030", "sub": "sub"}


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("subwoofer", "sub"),
        ("front subwoofer", "frtsub"),
        ("surround left back", "surrLbk"),
        ("bookcase left", "bkcsL"),
        ("kitchen one", "ktchnone"),
        ("Wohnzimmer links", "Whnzmmrl"),
        ("сабвуфер", "run"),
    ],
)
def test_a_long_name_is_written_short_not_cut(name, text):
    assert short_texts((name,)) == {name: text}


def test_names_that_come_to_the_same_are_told_apart():
    texts = short_texts(("subwoofer", "sub", "sub woofer"))
    assert texts["sub"] == "sub"
    assert texts["subwoofer"] == "sub.1"
    assert len(set(texts.values())) == 3


@pytest.mark.parametrize("system", SYSTEMS, ids=lambda system: system.name)
def test_notches_of_every_sound_system_are_unique_and_few(system):
    codes = notch_codes(tuple((channel.label, channel.label) for channel in system.channels))
    assert len(set(codes.values())) == len(system.channels)
    for code in codes.values():
        groups = code.split(" ")
        assert len(groups) == 2
        assert all(1 <= len(group) <= 6 for group in groups)


def test_a_notch_code_stays_when_other_runs_come():
    few = notch_codes((("M+110", "M+110"), ("M-110", "M-110")))
    more = notch_codes((("M+000", "M+000"), ("M+110", "M+110"), ("U+030", "U+030"), ("M-110", "M-110")))
    assert few["M+110"] == more["M+110"]


def test_two_subwoofers_on_one_channel_get_two_codes():
    codes = notch_codes((("front sub", "LFE1"), ("rear sub", "LFE1")))
    assert codes["front sub"] != codes["rear sub"]


def test_each_run_gets_four_labels_with_one_text(laid):
    plan = laid([("M-110", (0.15, 2.5, 1.2), "wall")]).plan
    assert [label.end for label in plan.labels] == [
        "at receiver",
        "30 cm back from receiver",
        "at M-110",
        "30 cm back from M-110",
    ]
    assert {label.text for label in plan.labels} == {"M-110"}
    assert plan.labels[0].far == "surround right loudspeaker"
    assert plan.labels[2].far == "receiver, surround right"
