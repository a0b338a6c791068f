"""Absorption rows against the appendix of Vorländer, Auralization (2008)."""

import pytest

from seatfield.catalogue.absorption import OCTAVE_BANDS_HZ, SURFACES, nearest_surface, surface


@pytest.mark.parametrize(
    ("name", "at_125", "at_4000"),
    [("plastered masonry", 0.01, 0.04), ("single glass", 0.08, 0.02), ("thick carpet on felt", 0.08, 0.80)],
)
def test_rows_carry_the_published_ends(name, at_125, at_4000):
    assert (surface(name).absorption[0], surface(name).absorption[-1]) == (at_125, at_4000)


def test_every_surface_has_one_plausible_coefficient_per_band():
    for entry in SURFACES:
        assert len(entry.absorption) == len(OCTAVE_BANDS_HZ)
        assert all(0 < value < 1 for value in entry.absorption), entry.name


def test_an_unknown_surface_names_its_neighbour():
    assert surface("plasterboard") is None
    assert nearest_surface("plasterboard").startswith("plasterboard on")
    assert nearest_surface("plastered masonary") == "plastered masonry"


@pytest.mark.parametrize(
    ("word", "row"),
    [
        ("brick", "bare masonry"),
        ("laminate", "parquet on concrete"),
        ("Wallpaper on masonry", "plastered masonry"),
    ],
)
def test_an_everyday_word_stands_for_the_row_that_it_means(word, row):
    assert surface(word).name == row


def test_no_word_means_two_surfaces():
    words = [word for entry in SURFACES for word in (entry.name, *entry.also)]
    assert len(words) == len(set(words))
    assert all(word == word.lower() for word in words)
