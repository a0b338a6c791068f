"""Lengths as people write them.

The truth is exact by definition: 1 ft = 0.3048 m, 1 in = 0.0254 m (NIST Special Publication 811, Appendix B).
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatfield.units import (
    AmbiguousQuantityError,
    UnreadableQuantityError,
    format_amount,
    format_feet,
    format_length,
    format_metres,
    parse_length,
)


@pytest.mark.parametrize(
    ("text", "length_m"),
    [
        ("5' 10 1/2\"", 70.5 * 0.0254),
        ("5'10\"", 70 * 0.0254),
        ("5' 10", 70 * 0.0254),
        ("5′ 10½″", 70.5 * 0.0254),
        ("5’ 10 ¾”", 70.75 * 0.0254),
        ("5'-10-1/2\"", 70.5 * 0.0254),
        ("5'' ", 5 * 0.0254),
        ("11 ft 6 in", 138 * 0.0254),
        ("11ft6in", 138 * 0.0254),
        ("11 feet, 6 inches", 138 * 0.0254),
        ("11' 6\"", 138 * 0.0254),
        ("5.5 ft", 5.5 * 0.3048),
        ("5.100 ft", 5.1 * 0.3048),
        ('3/8"', 0.375 * 0.0254),
        ("70,5 in", 70.5 * 0.0254),
        ("2,40 m", 2.4),
        ("2.40 m", 2.4),
        ("2.40m", 2.4),
        (".5 m", 0.5),
        ("1,250 m", 1.25),
        ("2 m 40 cm", 2.4),
        ("2m40", 2.4),
        ("178 cm", 1.78),
        ("35\u00a0cm", 0.35),
        ("2400 mm", 2.4),
        ("2 yd 1 ft", 7 * 0.3048),
        ("-35 cm", -0.35),
        ("−35 cm", -0.35),
        ("+1 m", 1.0),
    ],
)
def test_a_length_is_read_as_it_is_written(text, length_m):
    """Feet, inches, fractions, primes, decimal commas and metric units all become metres."""
    assert parse_length(text) == pytest.approx(length_m, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("5.10 ft", "two ways: did you mean 5 ft 10 in or 5 ft 1.2 in"),
        ("5,11 ft", "did you mean 5 ft 11 in or 5 ft 1.32 in"),
        ("6.8 ft", "did you mean 6 ft 8 in or 6 ft 9.6 in"),
        ("1,250 mm", "did you mean 1250 mm or 1.25 mm"),
        ("1.250 mm", "did you mean 1250 mm or 1.25 mm"),
        ("1,250 cm", "did you mean 1250 cm or 1.25 cm"),
    ],
)
def test_what_can_be_read_in_two_ways_is_asked_about(text, asked):
    """Decimal feet that look like inches, and commas that may part thousands, are a question; both answers parse."""
    with pytest.raises(AmbiguousQuantityError, match=asked) as caught:
        parse_length(text)
    first, second = (parse_length(choice) for choice in caught.value.choices)
    assert first != second
    assert min(first, second) > 0


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("", "wanted: a length such as"),
        ("2.4", "with its unit"),
        ("n/a", "wanted: a length such as"),
        ("5 furlongs", "'furlongs' is no unit of length"),
        ("5' 12\"", "fewer than 12 in beside the ft"),
        ("5 ft 10 cm", "wanted: a length such as"),
        ("5.5 ft 3 in", "wanted: a length such as"),
        ("1 1/0 in", "does not divide by zero"),
        ("99999999999999999 m", "a number with fewer digits"),
        ("1e300 m", "no unit of length"),
        ("nan", "wanted: a length such as"),
        ("1" * 100, "in at most 60 characters"),
        ("2m4", "wanted: a length such as"),
    ],
)
def test_what_is_no_length_is_told_with_what_would_be_right(text, wanted):
    """The error says what was given and what is wanted."""
    with pytest.raises(UnreadableQuantityError, match=wanted):
        parse_length(text)


@pytest.mark.parametrize(("plain", "length_m"), [("m", 2.4), ("ft", 2.4 * 0.3048)])
def test_a_plain_number_is_in_the_projects_unit(plain, length_m):
    """A number without a unit takes the unit that the caller names."""
    assert parse_length("2.4", plain) == pytest.approx(length_m, abs=1e-12)


@pytest.mark.parametrize(
    ("length_m", "metres", "feet"),
    [
        (2.4, "2.40 m", "7' 10 1/2\""),
        (2.405, "2.41 m", "7' 10 5/8\""),
        (1.7907, "1.79 m", "5' 10 1/2\""),
        (0.3048, "0.30 m", "1' 0\""),
        (0.3040, "0.30 m", "1' 0\""),
        (8.239125, "8.24 m", "27' 0 3/8\""),
        (0.009525, "0.01 m", '3/8"'),
        (0.0, "0.00 m", '0"'),
        (-0.0001, "0.00 m", '0"'),
        (-1.5, "−1.50 m", "−4' 11\""),
    ],
)
def test_lengths_are_written_as_a_tape_is_read(length_m, metres, feet):
    """Metres to the centimetre, feet and inches to the nearest eighth with the carry into the next foot."""
    assert (format_metres(length_m), format_feet(length_m)) == (metres, feet)


@pytest.mark.parametrize(
    ("length_m", "metres", "feet", "up"),
    [
        (30.48, "30.5 m", "100 ft", False),
        (50.0, "50 m", "164' 1\"", False),
        (0.3, "30 cm", "1 ft", False),
        (8.755, "8.8 m", "28' 9\"", True),
        (7.51, "7.6 m", "24' 8\"", True),
        (0.996, "1 m", "3' 3\"", False),
    ],
)
def test_amounts_are_written_without_needless_decimals_and_read_back(length_m, metres, feet, up):
    """Goods are told to the decimetre or the inch; rounded up, never less than what is needed."""
    assert (format_amount(length_m, "m", up=up), format_amount(length_m, "ft", up=up)) == (metres, feet)
    for text, step in ((metres, 0.1), (feet, 0.0254)):
        assert (
            -1e-9 <= parse_length(text) - length_m <= step
            if up
            else abs(parse_length(text) - length_m) <= step / 2
        )


def test_plain_decimal_feet_are_asked_about_only_where_they_look_like_inches():
    """Coordinates in decimal feet are many; only .10 and .11 of them are inches as well as decimals."""
    assert parse_length("6.8", "ft") == pytest.approx(6.8 * 0.3048)
    with pytest.raises(AmbiguousQuantityError, match="6 ft 10 in"):
        parse_length("6.10", "ft")


@given(st.floats(min_value=-500, max_value=500), st.sampled_from(["m", "ft"]))
def test_what_is_written_reads_back_within_half_a_step(length_m, unit):
    """Formatting and parsing are inverse to half a centimetre and to a sixteenth of an inch."""
    step = 0.01 if unit == "m" else 0.0254 / 8
    assert abs(parse_length(format_length(length_m, unit)) - length_m) <= step / 2 + 1e-9


@given(st.text(max_size=30))
def test_any_text_is_a_finite_length_or_one_of_two_errors(text):
    """No text brings another exception, and no length is infinite."""
    try:
        assert math.isfinite(parse_length(text, "m"))
    except (AmbiguousQuantityError, UnreadableQuantityError) as error:
        assert str(error)  # noqa: PT017 - either outcome is right


@given(st.text(alphabet="0123456789.,/ '\"-mcftin½″′", max_size=12))
def test_any_near_length_is_a_finite_length_or_one_of_two_errors(text):
    """The same for texts made of the signs that lengths are made of."""
    try:
        assert math.isfinite(parse_length(text))
    except (AmbiguousQuantityError, UnreadableQuantityError) as error:
        assert str(error)  # noqa: PT017 - either outcome is right
