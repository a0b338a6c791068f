"""Conductors as the trade marks them; the readings are the trade's own habit, stated in the docstring."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatfield.units import AmbiguousQuantityError, Conductor, UnreadableQuantityError, parse_conductor


@pytest.mark.parametrize(
    ("text", "conductor"),
    [
        ("16 AWG", Conductor(16, None)),
        ("16AWG", Conductor(16, None)),
        ("AWG 16", Conductor(16, None)),
        ("16 gauge", Conductor(16, None)),
        ("16 ga.", Conductor(16, None)),
        ("14/2", Conductor(14, None, 2)),
        ("14/4", Conductor(14, None, 4)),
        ("16-4", Conductor(16, None, 4)),
        ("2x14 AWG", Conductor(14, None, 2)),
        ("2x2.5", Conductor(None, 2.5, 2)),
        ("2 x 2,5 mm2", Conductor(None, 2.5, 2)),
        ("2 × 2.5 mm²", Conductor(None, 2.5, 2)),
        ("2x4", Conductor(None, 4.0, 2)),
        ("2.5 mm2", Conductor(None, 2.5)),
        ("2.5mm²", Conductor(None, 2.5)),
        ("1.5²", Conductor(None, 1.5)),
        ("0.75 sq mm", Conductor(None, 0.75)),
        ("1/0", Conductor(0, None)),
        ("2/0 AWG", Conductor(-1, None)),
    ],
)
def test_a_marking_tells_gauge_or_area_and_cores(text, conductor):
    """With a slash it is gauge and cores, with a times sign cores and square millimetres."""
    assert parse_conductor(text) == conductor


@pytest.mark.parametrize("text", ["14", "2x16", "2.5"])
def test_a_bare_number_is_asked_about(text):
    """A number that may be a gauge or a cross-section is a question, and each offered answer parses."""
    with pytest.raises(AmbiguousQuantityError, match="did you mean") as caught:
        parse_conductor(text)
    assert all(parse_conductor(choice) for choice in caught.value.choices)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("42 strand", "a count of strands alone does not tell it"),
        ("7 mm", "millimetres look like the cable's outside"),
        ("thick", "a conductor such as 16 AWG"),
        ("", "a conductor such as 16 AWG"),
        ("77 AWG", "a gauge of at most 40 AWG"),
        ("0 mm2", "a cross-section above 0"),
        ("14/99", "from 1 to 16 cores"),
    ],
)
def test_what_is_no_conductor_is_told_with_what_would_be_right(text, wanted):
    """Strand counts and outside diameters are named for what they are."""
    with pytest.raises(UnreadableQuantityError, match=wanted):
        parse_conductor(text)


def test_a_size_is_written_back_as_the_trade_writes_it():
    """Gauges carry AWG, large ones their zeros, areas mm2."""
    assert [str(parse_conductor(text)) for text in ("14/2", "2/0 AWG", "2x2.5")] == [
        "14 AWG",
        "2/0 AWG",
        "2.5 mm2",
    ]


@given(st.text(alphabet="0123456789x/ -.,²mAWGaw#", max_size=12))
def test_any_near_marking_is_a_conductor_or_one_of_two_errors(text):
    """No text brings another exception."""
    try:
        assert parse_conductor(text)
    except (AmbiguousQuantityError, UnreadableQuantityError) as error:
        assert str(error)  # noqa: PT017 - either outcome is right
