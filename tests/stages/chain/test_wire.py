"""Links against IEC 60958 frame rates and IEC 61937 repetition periods, and the LPCM rates of HDMI."""

import pytest

from seatfield.catalogue.formats import lpcm_rate_bps, parse_format
from seatfield.model import LinkKind
from seatfield.stages.chain.sound import offered
from seatfield.stages.chain.wire import WIRES, over, rate_of


def arrives(kind, rate_hz, text):
    return over(LinkKind(kind), rate_hz, offered(parse_format(text)))


@pytest.mark.parametrize(
    ("text", "lowest_hz"),
    [("AC-3", 48_000), ("DTS", 48_000), ("E-AC-3", 192_000), ("DTS with extensions", 192_000)],
)
@pytest.mark.parametrize("kind", ["optical", "coaxial", "return"])
def test_a_coded_stream_fits_one_digital_link_from_its_frame_rate_on(kind, text, lowest_hz):
    assert arrives(kind, float(lowest_hz), text) == offered(parse_format(text))
    assert arrives(kind, lowest_hz / 2, text) is None


@pytest.mark.parametrize("text", ["MLP", "MLP with objects", "DTS lossless"])
def test_768_khz_frames_fit_four_streams_side_by_side_only(text):
    assert arrives("hdmi", 192_000.0, text) is not None
    assert arrives("enhanced return", 192_000.0, text) is not None
    assert arrives("hdmi", 96_000.0, text) is None
    assert arrives("return", 192_000.0, text) is None


@pytest.mark.parametrize("kind", ["optical", "coaxial", "return"])
def test_a_single_digital_link_folds_lpcm_to_two_channels_whatever_its_rate(kind):
    assert arrives(kind, 192_000.0, "LPCM 8").channels == 2
    assert not arrives(kind, 192_000.0, "LPCM 8").faithful


def test_eight_channels_at_192_khz_and_24_bit_are_the_most_of_hdmi():
    # 36.864 Mbit/s, the figure that is usually rounded to 37
    assert arrives("hdmi", 192_000.0, "LPCM 8 192/24").channels == 8
    assert lpcm_rate_bps(8, 192_000) == 36.864e6
    assert arrives("hdmi", 192_000.0, "LPCM 16 192/24").channels == 8
    assert arrives("hdmi", 192_000.0, "LPCM 32 48/24").channels == 32


def test_a_lower_frame_rate_halves_the_sampling_rate_and_keeps_the_channels():
    found = arrives("hdmi", 96_000.0, "LPCM 8 192/24")
    assert (found.channels, found.rate_hz, found.faithful) == (8, 96_000.0, False)


@pytest.mark.parametrize("kind", ["analogue", "radio"])
def test_analogue_and_radio_links_carry_two_channels_and_nothing_coded(kind):
    assert arrives(kind, 0.0, "AC-3") is None
    found = arrives(kind, 0.0, "LPCM 8")
    assert (found.channels, found.faithful) == (2, False)


def test_a_format_without_a_data_type_goes_over_no_link():
    assert all(arrives(kind, 192_000.0, "IAMF") is None for kind in WIRES)


def test_a_stated_frame_rate_outranks_the_assumed_one(build):
    assert rate_of(build.link("a.out", "b.in", "optical")) == 96_000.0
    assert rate_of(build.link("a.out", "b.in", "optical", 48_000.0)) == 48_000.0
