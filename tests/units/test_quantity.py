"""Other quantities; conversions are exact by definition (NIST Special Publication 811, Appendix B)."""

import pytest

from seatfield.units import (
    DURATION,
    FREQUENCY,
    LEVEL,
    POWER,
    RESISTANCE,
    TEMPERATURE,
    WEIGHT,
    UnreadableQuantityError,
    parse_quantity,
)


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("21 °C", TEMPERATURE, 21),
        ("68 °F", TEMPERATURE, 20),
        ("-40 F", TEMPERATURE, -40),
        ("10 lb", WEIGHT, 4.5359237),
        ("450 g", WEIGHT, 0.45),
        ("0.3 kW", POWER, 300),
        ("2,5 kHz", FREQUENCY, 2500),
        ("8 Ω", RESISTANCE, 8),
        ("5 ms", DURATION, 0.005),
        ("86 dB", LEVEL, 86),
        ("86", LEVEL, 86),
    ],
)
def test_a_quantity_is_read_with_its_unit(text, kind, value):
    """Each unit becomes the one that the house computes in."""
    assert parse_quantity(text, kind) == pytest.approx(value, abs=1e-9)


@pytest.mark.parametrize(("text", "kind"), [("80 Hz", POWER), ("~3", LEVEL), ("", WEIGHT)])
def test_a_quantity_of_another_kind_is_refused(text, kind):
    """The error names the kind and an example."""
    with pytest.raises(UnreadableQuantityError, match=f"wanted: {kind.name} such as {kind.example}"):
        parse_quantity(text, kind)
