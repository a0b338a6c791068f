"""Audio formats against the repetition periods of IEC 61937 and the frame sizes of ETSI TS 102 366."""

import pytest

from seatfield.catalogue.formats import (
    FORMATS,
    Ability,
    Stream,
    UnknownFormatError,
    audio_format,
    burst_capacity_bps,
    describe,
    frame_rate_hz,
    layout_name,
    lpcm_rate_bps,
    nearest_format,
    parse_ability,
    parse_format,
)


@pytest.mark.parametrize(
    ("text", "frames_hz", "capacity_bps"),
    [
        # IEC 61937-3, -5, -9: frame rates for 48 kHz sound and 16 bits in each of two sub-frames
        ("AC-3 5.1", 48_000, 1.536e6),
        ("DTS 5.1", 48_000, 1.536e6),
        ("E-AC-3 5.1", 192_000, 6.144e6),
        ("E-AC-3 with objects", 192_000, 6.144e6),
        ("DTS with extensions", 192_000, 6.144e6),
        ("DTS lossless", 768_000, 24.576e6),
        ("MLP", 768_000, 24.576e6),
    ],
)
def test_frame_rates_follow_from_the_repetition_periods(text, frames_hz, capacity_bps):
    found = frame_rate_hz(parse_format(text))
    assert found == frames_hz
    assert burst_capacity_bps(found) == capacity_bps


def test_e_ac_3_at_44_1_khz_needs_four_times_its_rate():
    assert frame_rate_hz(Stream("E-AC-3", 6, 44_100.0)) == 176_400


def test_mlp_at_192_khz_keeps_the_frame_rate_of_its_base_rate():
    assert frame_rate_hz(parse_format("MLP 8 192/24")) == 768_000


@pytest.mark.parametrize("entry", [entry for entry in FORMATS if entry.burst], ids=lambda entry: entry.name)
def test_the_highest_bit_rate_of_each_format_fits_its_burst(entry):
    assert entry.most_kbps * 1000 <= burst_capacity_bps(48_000 * entry.burst.multiple)


@pytest.mark.parametrize(
    ("channels", "rate_hz", "bps"),
    [(6, 48_000, 6.912e6), (8, 48_000, 9.216e6), (8, 96_000, 18.432e6), (8, 192_000, 36.864e6)],
)
def test_lpcm_rates_are_channels_times_rate_times_size(channels, rate_hz, bps):
    assert lpcm_rate_bps(channels, rate_hz) == bps


def test_a_core_is_a_format_of_the_table_with_no_more_than_its_extension():
    for entry in FORMATS:
        if entry.core:
            core = audio_format(entry.core)
            assert core.objects <= entry.objects
            assert core.most_channels <= entry.most_channels


@pytest.mark.parametrize(
    ("text", "stream"),
    [
        ("LPCM 2", Stream("LPCM", 2)),
        ("E-AC-3 with objects", Stream("E-AC-3 with objects", 6)),
        ("e-ac-3 5.1", Stream("E-AC-3", 6)),
        ("E-AC-3  5.1 with objects", Stream("E-AC-3 with objects", 6)),
        ("LPCM 8 192/24", Stream("LPCM", 8, 192_000.0, 24)),
        ("LPCM 8 24/192", Stream("LPCM", 8, 192_000.0, 24)),
        ("LPCM 2 44.1 kHz 16 bit", Stream("LPCM", 2, 44_100.0, 16)),
        ("LPCM 5.1 48kHz", Stream("LPCM", 6)),
        ("PCM 2", Stream("LPCM", 2)),
        ("MLP with objects", Stream("MLP with objects", 8)),
        ("DTS lossless 7.1 96/24", Stream("DTS lossless", 8, 96_000.0)),
        ("MPEG-H 3D Audio", Stream("MPEG-H 3D Audio", 12)),
        ("IAMF 7.1.4", Stream("IAMF", 12)),
        ("DTS", Stream("DTS", 6)),
    ],
)
def test_formats_read_as_people_write_them(text, stream):
    assert parse_format(text) == stream


def test_an_ability_sets_no_limit_that_its_text_does_not_name():
    assert parse_ability("LPCM 8") == Ability("LPCM", 8)
    assert parse_ability("LPCM 2 96 kHz") == Ability("LPCM", 2, 96_000.0)
    assert parse_ability("MLP with objects") == Ability("MLP with objects")


@pytest.mark.parametrize("entry", FORMATS, ids=lambda entry: entry.name)
@pytest.mark.parametrize("channels", [1, 2, 6])
def test_what_is_described_reads_back(entry, channels):
    stream = Stream(entry.name, channels, 48_000.0, 16)
    assert parse_format(describe(stream)) == stream


@pytest.mark.parametrize(
    ("text", "nearest"),
    [
        ("E-AC3 5.1", "E-AC-3 5.1"),
        ("LCPM 2", "LPCM 2"),
        ("E-AC-3 with object", "E-AC-3 with objects"),
        ("MPL", "MLP"),
        ("DTS losless", "DTS lossless"),
        ("AC-3 with objects", "E-AC-3 with objects"),
    ],
)
def test_a_misspelt_name_is_told_with_the_nearest_one(text, nearest):
    with pytest.raises(UnknownFormatError, match="is no audio format") as caught:
        parse_format(text)
    assert caught.value.nearest == nearest


def test_more_channels_than_a_format_carries_are_told():
    with pytest.raises(UnknownFormatError, match=r"AC-3 carries at most 5\.1 channels"):
        parse_format("AC-3 7.1")


def test_a_rate_above_the_format_is_told():
    with pytest.raises(UnknownFormatError, match="AC-3 goes up to 48 kHz"):
        parse_format("AC-3 5.1 96 kHz")


@pytest.mark.parametrize(
    "text", ["", " ", "x" * 100, "LPCM 2 soft", "LPCM 2 47 kHz", "LPCM 0", "LPCM 2 24 kHz"]
)
def test_what_is_not_understood_is_refused_in_a_sentence(text):
    with pytest.raises(UnknownFormatError, match="Known are LPCM"):
        parse_format(text)


def test_nothing_near_gives_no_suggestion():
    assert nearest_format("qqqqqqqq") == ""


def test_the_trade_names_six_and_eight_channels():
    assert (layout_name(6), layout_name(8), layout_name(2)) == ("5.1", "7.1", "2")


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("DTS-HD", "DTS lossless"),  # CTA-861 prints this name for its audio format code 11
        ("MAT", "MLP"),  # and this for code 12, as IEC 61937-9 does
        ("some HD", "MLP"),
        ("mlp lossless", "MLP"),
        ("DST", "DTS"),
    ],
)
def test_a_name_of_a_lossless_coding_is_never_taken_for_a_lossy_one(written, meant):
    assert nearest_format(written) == meant
